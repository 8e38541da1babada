using Graftbench.Vision.Planes;

namespace Graftbench.Vision.Xray;

/// <summary>Looks between joints for dark spots that are a disc of their own.</summary>
internal static class StrayFinder
{
    private const double LeastLevelRatio = 0.25;
    private const int MostStrays = 200;
    private const int Directions = 8;

    /// <summary>Searches the field's own area.</summary>
    /// <param name="light">Transmitted light, joints dark.</param>
    /// <param name="joints">What was measured.</param>
    /// <param name="sites">Where the field has sites, with or without a ball.</param>
    /// <param name="radiusPx">Usual radius [px].</param>
    /// <param name="levelNumber">Attenuation of a joint.</param>
    public static IReadOnlyList<StraySpot> Find(
        Plane light,
        IReadOnlyList<JointReading> joints,
        IReadOnlyList<PicturePoint> sites,
        double radiusPx,
        double levelNumber
    )
    {
        if (sites.Count == 0 || !(radiusPx > 3) || !(levelNumber > 0))
        {
            return [];
        }
        int block = Math.Max(1, (int)(radiusPx / 8));
        Plane dark = JointSurvey.Attenuation(light.Reduced(block)).Blurred(0.8);
        double r = radiusPx / block;
        double shift = (block - 1) / 2.0;
        (double X, double Y, string Name)[] taken =
        [
            .. joints.Select(joint => ((joint.XPx - shift) / block, (joint.YPx - shift) / block, joint.Name)),
        ];
        bool[] near = Near(dark, taken, sites, block, shift, r);
        List<StraySpot> found = [];
        for (int y = 2; y < dark.HeightPx - 2; y++)
        {
            for (int x = 2; x < dark.WidthPx - 2; x++)
            {
                if (!near[y * dark.WidthPx + x] || !IsTop(dark, x, y))
                {
                    continue;
                }
                (double contrast, double size) = Disc(dark, x, y, r);
                if (contrast < LeastLevelRatio * levelNumber)
                {
                    continue;
                }
                (double X, double Y, string Name) next = taken.MinBy(one =>
                    (one.X - x) * (one.X - x) + (one.Y - y) * (one.Y - y)
                );
                found.Add(
                    new StraySpot(
                        x * block + shift,
                        y * block + shift,
                        2 * size * block,
                        contrast / levelNumber,
                        next.Name
                    )
                );
            }
        }
        return [.. found.OrderByDescending(spot => spot.LevelRatio).Take(MostStrays)];
    }

    // Places in the field's surroundings that are no joint's own.
    private static bool[] Near(
        Plane dark,
        (double X, double Y, string Name)[] taken,
        IReadOnlyList<PicturePoint> sites,
        int block,
        double shift,
        double r
    )
    {
        bool[] near = new bool[dark.Values.Length];
        foreach (PicturePoint site in sites)
        {
            Disc(near, dark, (site.XPx - shift) / block, (site.YPx - shift) / block, 2.6 * r, true);
        }
        foreach ((double x, double y, _) in taken)
        {
            Disc(near, dark, x, y, 1.3 * r, false);
        }
        return near;
    }

    private static void Disc(bool[] near, Plane dark, double x, double y, double r, bool value)
    {
        for (int j = (int)Math.Max(0, y - r); j <= Math.Min(dark.HeightPx - 1, y + r); j++)
        {
            for (int i = (int)Math.Max(0, x - r); i <= Math.Min(dark.WidthPx - 1, x + r); i++)
            {
                if ((i - x) * (i - x) + (j - y) * (j - y) <= r * r)
                {
                    near[j * dark.WidthPx + i] = value;
                }
            }
        }
    }

    private static bool IsTop(Plane dark, int x, int y)
    {
        float value = dark[x, y];
        for (int j = -2; j <= 2; j++)
        {
            for (int i = -2; i <= 2; i++)
            {
                float other = dark[x + i, y + j];
                if (other > value || (other == value && (j < 0 || (j == 0 && i < 0))))
                {
                    return false;
                }
            }
        }
        return true;
    }

    // How far it stands out in every direction, and where it has fallen by half.
    private static (double Contrast, double RadiusPx) Disc(Plane dark, int x, int y, double r)
    {
        double top = dark[x, y];
        double best = 0;
        foreach (double reach in (double[])[0.4, 0.65, 0.9])
        {
            double least = double.MaxValue;
            for (int k = 0; k < Directions; k++)
            {
                double angle = 2 * Math.PI * k / Directions;
                least = Math.Min(
                    least,
                    top - dark.At(x + reach * r * Math.Cos(angle), y + reach * r * Math.Sin(angle))
                );
            }
            best = Math.Max(best, least);
        }
        double sum = 0;
        for (int k = 0; k < Directions; k++)
        {
            double angle = 2 * Math.PI * k / Directions;
            double d = 0.25;
            while (d < r && top - dark.At(x + d * Math.Cos(angle), y + d * Math.Sin(angle)) < best / 2)
            {
                d += 0.25;
            }
            sum += d;
        }
        return (best, sum / Directions);
    }
}
