using Graftbench.Core.Numerics;

namespace Graftbench.Vision.Balls;

/// <summary>Tells whether the places of a picture are of one kind or of two, and which of two are the solid ones.</summary>
/// <remarks>
/// Where many balls are missing, bare lands must not pass for balls. Patches and colours are laid along their main axes; where
/// one axis parts them into two heaps with a clear gap, the heap whose mean is the more solid one
/// (<see cref="RoundPatch"/>) has the balls.
/// </remarks>
internal static class PatchGroups
{
    private const int Axes = 4;
    private const double ColourWeight = 12;

    // Distance of the heaps by their spreads, and the emptiness between them.
    private const double ClearGap = 1.9;
    private const double MostBetween = 0.06;
    private const int LeastMembers = 6;

    // Fewer than this are left to what the others of the picture say.
    private const double LeastShare = 0.06;
    private const double MostIgnored = 0.2;

    /// <summary>Which places have balls; null where all are of one kind, empty where two kinds are not told apart.</summary>
    public static bool[]? Split(IReadOnlyList<(float[] Samples, double Red, double Blue)> places)
    {
        int n = places.Count;
        if (n < 4 * LeastMembers)
        {
            return null;
        }
        int width = RoundPatch.Count + 2;
        double[][] rows = Rows(places, width);
        double[][] axes = MainAxes(rows, width);
        bool[]? best = null;
        double most = ClearGap;
        foreach (double[] axis in axes)
        {
            double[] along = [.. rows.Select(row => Dense.Dot(row, axis))];
            double[] sorted = [.. along.Order()];
            if (Gap(sorted) is (double gap, double cut) && gap > most)
            {
                most = gap;
                best = [.. along.Select(value => value > cut)];
            }
        }
        return best is null ? null : Solid(places, best);
    }

    private static double[][] Rows(IReadOnlyList<(float[] Samples, double Red, double Blue)> places, int width)
    {
        double[][] rows = new double[places.Count][];
        for (int p = 0; p < rows.Length; p++)
        {
            float[] samples = [.. places[p].Samples];
            RoundPatch.Centre(samples);
            double size = Math.Sqrt(RoundPatch.Dot(samples, samples)) + 0.1;
            rows[p] = new double[width];
            for (int k = 0; k < samples.Length; k++)
            {
                rows[p][k] = samples[k] / size;
            }
            rows[p][width - 2] = places[p].Red * ColourWeight / 10;
            rows[p][width - 1] = places[p].Blue * ColourWeight / 10;
        }
        double[] middle = new double[width];
        for (int k = 0; k < width; k++)
        {
            int at = k;
            middle[k] = rows.Average(row => row[at]);
            foreach (double[] row in rows)
            {
                row[k] -= middle[k];
            }
        }
        return rows;
    }

    // Power iteration, each axis square to those before it.
    private static double[][] MainAxes(double[][] rows, int width)
    {
        List<double[]> axes = [];
        for (int a = 0; a < Axes; a++)
        {
            double[] axis = [.. Enumerable.Range(0, width).Select(k => 1.0 + (k * 7 + a * 3) % 5)];
            for (int turn = 0; turn < 25; turn++)
            {
                double[] next = new double[width];
                foreach (double[] row in rows)
                {
                    Dense.AddScaled(next, Dense.Dot(row, axis), row);
                }
                foreach (double[] other in axes)
                {
                    Dense.AddScaled(next, -Dense.Dot(next, other), other);
                }
                double size = Math.Sqrt(Dense.Dot(next, next));
                if (!(size > 1e-12))
                {
                    return [.. axes];
                }
                axis = [.. next.Select(x => x / size)];
            }
            axes.Add(axis);
        }
        return [.. axes];
    }

    // The cut that parts two heaps best: their distance by the sum of their robust spreads, with next to nothing between.
    private static (double Gap, double Cut)? Gap(double[] sorted)
    {
        int n = sorted.Length;
        int least = Math.Max(LeastMembers, (int)(LeastShare * n));
        (double, double)? best = null;
        double most = 0;
        for (int cut = least; cut <= n - least; cut++)
        {
            double low = sorted[cut / 2];
            double high = sorted[cut + (n - cut) / 2];
            double lowSpread = (sorted[(int)(0.84 * (cut - 1))] - sorted[(int)(0.16 * (cut - 1))]) / 2;
            double highSpread =
                (sorted[cut + (int)(0.84 * (n - cut - 1))] - sorted[cut + (int)(0.16 * (n - cut - 1))]) / 2;
            double gap = (high - low) / (lowSpread + highSpread + 1e-9);
            if (gap / 2 <= most)
            {
                continue;
            }
            double third = (high - low) / 3;
            int between = sorted.Count(value => value > low + third && value < high - third);
            if (between < MostBetween * n)
            {
                most = gap / 2;
                best = (gap / 2, (low + high) / 2);
            }
        }
        return best;
    }

    private static bool[]? Solid(IReadOnlyList<(float[] Samples, double Red, double Blue)> places, bool[] upper)
    {
        double high = Strength(places.Where((_, p) => upper[p]));
        double low = Strength(places.Where((_, p) => !upper[p]));
        const double Clearly = 1.25;
        int fewer = Math.Min(upper.Count(one => one), upper.Count(one => !one));
        return high > Clearly * low ? upper
            : low > Clearly * high ? [.. upper.Select(one => !one)]
            // A few that are not alike (small, joined, moved) do not change what is learnt of the others.
            : fewer < MostIgnored * upper.Length ? null
            : [];
    }

    // How much of the mean no flat thing explains, in brightness; what differs from place to place averages out.
    private static double Strength(IEnumerable<(float[] Samples, double Red, double Blue)> places)
    {
        float[] mean = new float[RoundPatch.Count];
        int count = 0;
        foreach ((float[] samples, _, _) in places)
        {
            float[] centred = [.. samples];
            RoundPatch.Centre(centred);
            for (int k = 0; k < mean.Length; k++)
            {
                mean[k] += centred[k];
            }
            count++;
        }
        float[] solid = new float[mean.Length];
        RoundPatch.Solid(mean, solid);
        return Math.Sqrt(RoundPatch.Dot(solid, solid)) / Math.Max(count, 1);
    }
}
