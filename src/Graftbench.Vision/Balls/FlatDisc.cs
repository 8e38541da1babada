namespace Graftbench.Vision.Balls;

/// <summary>How much of a look an evenly bright disc leaves unexplained, sharp or blurred, on ground that may slope.</summary>
/// <remarks>
/// A bare land out of focus has a bright middle and a soft rim, and could pass for a solid ball. Its profile is that of a
/// step through a bell, ½·erfc((r − ρ)/(√2·σ)), the radius ρ and the blur σ free. What a ball shows beyond that (a
/// ring, a highlight off the middle, a dark side, a dark rim) is what is left.
/// </remarks>
internal static class FlatDisc
{
    private static readonly double[] Radii = [0.5, 0.6, 0.7, 0.8, 0.9, 1.0, 1.1, 1.2];
    private static readonly double[] Blurs = [0.05, 0.12, 0.2, 0.3, 0.42, 0.56];
    private static readonly (double X, double Y)[] Moves =
    [
        (0, 0),
        (0.1, 0),
        (-0.1, 0),
        (0, 0.1),
        (0, -0.1),
        (0.08, 0.08),
        (-0.08, 0.08),
        (0.08, -0.08),
        (-0.08, -0.08),
    ];

    /// <summary>Root of the unexplained share of the look's squares, 0 to 1.</summary>
    public static double Unexplained(ReadOnlySpan<float> look)
    {
        float[] want = look.ToArray();
        RoundPatch.Centre(want);
        double all = RoundPatch.Dot(want, want);
        if (!(all > 1e-12))
        {
            return 0;
        }
        // Slopes are square to each other and to the constant, since places lie evenly around.
        float[] x = [.. RoundPatch.PlacesOf.Select(place => place.X)];
        float[] y = [.. RoundPatch.PlacesOf.Select(place => place.Y)];
        Remove(want, x);
        Remove(want, y);
        double left = RoundPatch.Dot(want, want);
        double best = left;
        float[] disc = new float[want.Length];
        foreach ((double mx, double my) in Moves)
        {
            foreach (double radius in Radii)
            {
                foreach (double blur in Blurs)
                {
                    for (int k = 0; k < disc.Length; k++)
                    {
                        double dx = RoundPatch.PlacesOf[k].X - mx;
                        double dy = RoundPatch.PlacesOf[k].Y - my;
                        disc[k] = (float)Step((Math.Sqrt(dx * dx + dy * dy) - radius) / blur);
                    }
                    RoundPatch.Centre(disc);
                    Remove(disc, x);
                    Remove(disc, y);
                    double size = RoundPatch.Dot(disc, disc);
                    double dot = RoundPatch.Dot(disc, want);
                    best = Math.Min(best, left - dot * dot / Math.Max(size, 1e-12));
                }
            }
        }
        return Math.Sqrt(Math.Max(best, 0) / all);
    }

    // Normal distribution, upper tail; the logistic form is good to 0.01, enough here.
    private static double Step(double x) => 1 / (1 + Math.Exp(1.702 * x));

    private static void Remove(Span<float> from, ReadOnlySpan<float> what)
    {
        float share = RoundPatch.Dot(from, what) / RoundPatch.Dot(what, what);
        for (int k = 0; k < from.Length; k++)
        {
            from[k] -= share * what[k];
        }
    }
}
