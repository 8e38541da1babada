using Graftbench.Vision.Planes;

namespace Graftbench.Vision.Xray;

/// <summary>A void in a joint.</summary>
/// <param name="XPx">Middle [px].</param>
/// <param name="YPx">Middle [px].</param>
/// <param name="AreaPercent">Area of its shadow by the joint's [%].</param>
/// <param name="DepthRatio">Attenuation that it takes away, by that of the whole thickness.</param>
/// <param name="AtRim">Whether it reaches the joint's outline.</param>
public sealed record VoidSpot(double XPx, double YPx, double AreaPercent, double DepthRatio, bool AtRim);

/// <summary>Voids of one joint, and what the picture would hide.</summary>
/// <param name="Spots">Largest first.</param>
/// <param name="SharePercent">Area of all by the joint's [%].</param>
/// <param name="UncertaintyPercent">Two standard deviations of that share [percentage points].</param>
/// <param name="LeastPercent">Area of the smallest void that would be seen [%].</param>
/// <param name="DarkShare">Share of the joint that is darker than its profile: something else lies over it.</param>
/// <param name="MisfitRatio">How far solid solder lies off the profile, by the whole thickness.</param>
/// <param name="DoubtfulPercent">Area of spots that are too shallow for their width [%].</param>
internal sealed record VoidReading(
    IReadOnlyList<VoidSpot> Spots,
    double SharePercent,
    double UncertaintyPercent,
    double LeastPercent,
    double DarkShare,
    double MisfitRatio,
    double DoubtfulPercent
);

/// <summary>Finds voids as local drops in path length against the joint's own thickness.</summary>
internal static class VoidFinder
{
    // Departures of a real joint from the learned profile that are no void, by the whole thickness; before they are measured.
    private const double ShapeErrorRatio = 0.018;

    // How far the outline may be off, by the radius: matters where the profile is steep.
    private const double OutlineErrorRatio = 0.004;

    // The terms of the uncertainty together, so that about 95 of 100 voids of made pictures lie within it (bench voids).
    private const double Calibration = 1.25;
    private const double NoiseFactor = 4;
    private const double DepartureFactor = 4.2;

    // A void shallower than this share of the thickness is not told from a dent in the shape.
    private const double LeastDepthRatio = 0.025;

    // Common practice of collapsed joints, no source.
    private const double HeightByRadius = 1.35;
    private const double LeastDepthByRound = 0.25;
    private const double LeastDoubtPercent = 3;

    /// <summary>Two minima are one void where the wall between them rises less than this share of the shallower one.</summary>
    private const double SameVoidShare = 0.55;

    /// <summary>Finds.</summary>
    /// <param name="patch">The joint, its level and noise set.</param>
    /// <param name="profile">Thickness of the population.</param>
    /// <param name="blurPx">Standard deviation of the whole blur [px].</param>
    /// <param name="departures">How far solid joints of this picture lie off the profile; null while not measured.</param>
    public static VoidReading Find(JointPatch patch, ThicknessProfile profile, double blurPx, Departures? departures)
    {
        int n = patch.Value.Length;
        float[] missing = new float[n];
        float[] bar = new float[n];
        bool[] masked = new bool[n];
        Expected fit = new(patch.Level, 0, 0, 0, 0);
        List<Basin> basins = [];
        for (int round = 0; round < 3; round++)
        {
            fit = Fit(patch, profile, masked, fit, round);
            Compare(patch, profile, fit, departures, missing, bar);
            basins = Basins(patch, missing, bar);
            Mask(patch, basins, masked, blurPx);
        }
        return Measure(patch, fit, basins, missing, bar, blurPx);
    }

    /// <summary>Adds how far a joint lies off the profile on the dark side, where there are no voids.</summary>
    public static void Collect(JointPatch patch, ThicknessProfile profile, Departures.Pools pools)
    {
        bool[] masked = new bool[patch.Value.Length];
        float[] missing = new float[masked.Length];
        float[] bar = new float[masked.Length];
        Expected fit = Fit(patch, profile, masked, new Expected(patch.Level, 0, 0, 0, 0), 0);
        Compare(patch, profile, fit, null, missing, bar);
        Mask(patch, Basins(patch, missing, bar), masked, 0);
        fit = Fit(patch, profile, masked, fit, 1);
        Compare(patch, profile, fit, null, missing, bar);
        for (int k = 0; k < missing.Length; k++)
        {
            if (missing[k] < 0 && patch.Rho[k] <= 1.05)
            {
                pools.Add(patch.Rho[k], -missing[k] / fit.Level);
            }
        }
    }

    private readonly record struct Expected(double Level, double A, double B, double Curve, double Spread)
    {
        public double Factor(double u, double v, double rho) => Level * (1 + A * u + B * v + Curve * (rho * rho - 0.4));
    }

    // Level, slant and curvature of this joint against the profile, from what is neither void nor shadow.
    private static Expected Fit(JointPatch patch, ThicknessProfile profile, bool[] masked, Expected before, int round)
    {
        Expected fit = before;
        // With the first mask the level is the mode; later ones let slant and bulge follow, each held by a little weight.
        double[] prior = [0, Sq(1 / 0.05), Sq(1 / 0.05), Sq(1 / 0.06)];
        int side = patch.Side;
        int stride = Math.Max(1, (int)Math.Round(Math.Sqrt(patch.Value.Length / 2000.0)));
        double spread = Math.Max(patch.Noise / patch.Level, 0.02);
        double[] matrix = new double[16];
        double[] right = new double[4];
        Span<double> basis = stackalloc double[4];
        List<float> off = [];
        for (int loop = 0; loop < 4; loop++)
        {
            Array.Clear(matrix);
            Array.Clear(right);
            off.Clear();
            double weights = 0;
            for (int j = 0; j < side; j += stride)
            {
                double v = patch.Unit(j);
                for (int i = 0; i < side; i += stride)
                {
                    int k = j * side + i;
                    double rho = patch.Rho[k];
                    if (rho > 0.88 || masked[k])
                    {
                        continue;
                    }
                    double u = patch.Unit(i);
                    double p = profile.At(rho, patch.Turn[k]);
                    double y = patch.Value[k] / fit.Level;
                    double e = p * (1 + fit.A * u + fit.B * v + fit.Curve * (rho * rho - 0.4));
                    double q = (y - e) / (3 * spread);
                    off.Add((float)(y - e));
                    // Voids pull downwards only: what lies below counts less.
                    double w = Math.Abs(q) < 1 ? Sq(1 - q * q) : 0;
                    w = q < 0 ? w * (1 + q) : w;
                    if (w <= 0)
                    {
                        continue;
                    }
                    weights += w;
                    basis[0] = p;
                    basis[1] = p * u;
                    basis[2] = p * v;
                    basis[3] = p * (rho * rho - 0.4);
                    for (int a = 0; a < 4; a++)
                    {
                        right[a] += w * basis[a] * y;
                        for (int b = 0; b < 4; b++)
                        {
                            matrix[a * 4 + b] += w * basis[a] * basis[b];
                        }
                    }
                }
            }
            if (weights < 12)
            {
                break;
            }
            // As if the prior were worth the noise of a tenth of the points.
            for (int a = 1; a < 4; a++)
            {
                matrix[a * 5] += prior[a] * Sq(spread) * weights * 0.1;
            }
            if (round == 0)
            {
                matrix[5] += 1e9;
                matrix[10] += 1e9;
                matrix[15] += 1e9;
            }
            if (!SmallSystem.Solve(matrix, right, 4) || !(right[0] is > 0.5 and < 1.6))
            {
                break;
            }
            double level = right[0];
            fit = new Expected(
                fit.Level * level,
                Math.Clamp(right[1] / level, -0.2, 0.2),
                Math.Clamp(right[2] / level, -0.2, 0.2),
                Math.Clamp(right[3] / level, -0.25, 0.25),
                0
            );
            double deviation = Ranks.NormalByDeviation * Ranks.Median([.. off.Select(Math.Abs)]);
            // In a faint joint noise alone may be more than the most that is taken otherwise.
            double least = Math.Max(0.008, patch.Noise / patch.Level);
            spread = Math.Clamp(deviation, least, Math.Max(least, 0.12));
        }
        return fit with { Spread = spread };
    }

    private static void Compare(
        JointPatch patch,
        ThicknessProfile profile,
        Expected fit,
        Departures? departures,
        float[] missing,
        float[] bar
    )
    {
        int side = patch.Side;
        double noise = NoiseFactor * patch.Noise;
        for (int j = 0; j < side; j++)
        {
            double v = patch.Unit(j);
            for (int i = 0; i < side; i++)
            {
                int k = j * side + i;
                double rho = patch.Rho[k];
                if (rho > 1.05)
                {
                    missing[k] = 0;
                    bar[k] = float.MaxValue;
                    continue;
                }
                double p = profile.At(rho, patch.Turn[k]);
                double e = fit.Factor(patch.Unit(i), v, rho) * p;
                missing[k] = (float)(e - patch.Value[k]);
                double other;
                if (departures is null)
                {
                    double shape = 3 * ShapeErrorRatio;
                    double outline = 3 * (OutlineErrorRatio + 0.05 / patch.Outline.RadiusPx) * profile.Slope(rho);
                    other = Math.Sqrt(shape * shape + outline * outline);
                }
                else
                {
                    other = Math.Max(LeastDepthRatio, DepartureFactor * departures.At(rho));
                }
                bar[k] = (float)Math.Max(noise, other * fit.Level);
            }
        }
    }

    private sealed class Basin
    {
        public int Peak { get; init; }
        public float Depth { get; set; }
        public List<int> Cells { get; } = [];
    }

    // Cells above the bar, deepest first, each joined to the basin it touches; a low wall between two joins them.
    private static List<Basin> Basins(JointPatch patch, float[] missing, float[] bar)
    {
        int side = patch.Side;
        List<int> above = [];
        for (int k = 0; k < missing.Length; k++)
        {
            // Basins spread below the bar, down to what the wide contour needs.
            if (patch.Rho[k] <= 1.03 && missing[k] > 0.3 * bar[k])
            {
                above.Add(k);
            }
        }
        int[] order = [.. above.OrderByDescending(k => missing[k])];
        int[] owner = new int[missing.Length];
        Array.Fill(owner, -1);
        List<Basin> basins = [];
        List<int> parent = [];
        int Root(int b)
        {
            while (parent[b] != b)
            {
                b = parent[b] = parent[parent[b]];
            }
            return b;
        }
        foreach (int k in order)
        {
            int x = k % side;
            int y = k / side;
            int own = -1;
            for (int j = -1; j <= 1; j++)
            {
                for (int i = -1; i <= 1; i++)
                {
                    int ox = x + i;
                    int oy = y + j;
                    if (ox < 0 || oy < 0 || ox >= side || oy >= side || owner[oy * side + ox] < 0)
                    {
                        continue;
                    }
                    int other = Root(owner[oy * side + ox]);
                    if (own < 0)
                    {
                        own = other;
                    }
                    else if (other != own)
                    {
                        // Meet at this height: one void unless both stand well above the wall.
                        (int deep, int flat) = basins[own].Depth >= basins[other].Depth ? (own, other) : (other, own);
                        if (
                            missing[k] > SameVoidShare * basins[flat].Depth
                            || basins[flat].Depth < bar[basins[flat].Peak]
                        )
                        {
                            parent[flat] = deep;
                            basins[deep].Cells.AddRange(basins[flat].Cells);
                            basins[flat].Cells.Clear();
                        }
                        own = deep;
                    }
                }
            }
            if (own < 0)
            {
                own = basins.Count;
                parent.Add(own);
                basins.Add(new Basin { Peak = k, Depth = missing[k] });
            }
            owner[k] = own;
            basins[own].Cells.Add(k);
        }
        return [.. basins.Where(basin => basin.Cells.Count > 0 && missing[basin.Peak] > bar[basin.Peak])];
    }

    private static void Mask(JointPatch patch, List<Basin> basins, bool[] masked, double blurPx)
    {
        Array.Clear(masked);
        int grow = (int)Math.Ceiling(1.2 * blurPx / patch.StepPx);
        int side = patch.Side;
        foreach (Basin basin in basins)
        {
            foreach (int k in basin.Cells)
            {
                int x = k % side;
                int y = k / side;
                for (int j = -grow; j <= grow; j += Math.Max(1, grow))
                {
                    for (int i = -grow; i <= grow; i += Math.Max(1, grow))
                    {
                        int ox = Math.Clamp(x + i, 0, side - 1);
                        int oy = Math.Clamp(y + j, 0, side - 1);
                        masked[oy * side + ox] = true;
                    }
                }
            }
        }
    }

    private static VoidReading Measure(
        JointPatch patch,
        Expected fit,
        List<Basin> basins,
        float[] missing,
        float[] bar,
        double blurPx
    )
    {
        double cell = patch.StepPx * patch.StepPx;
        double joint = patch.Outline.AreaPx2;
        int side = patch.Side;
        List<VoidSpot> spots = [];
        double variance = 0;
        double total = 0;
        double doubtful = 0;
        foreach (Basin basin in basins)
        {
            // A single cell's depth is noise; the deepest tenth is the depth.
            float[] depths = [.. basin.Cells.Select(k => missing[k])];
            Array.Sort(depths);
            int top = Math.Max(1, Math.Min(depths.Length / 10, (int)(blurPx * blurPx * 3 / cell)));
            double depth = 0;
            for (int i = 0; i < top; i++)
            {
                depth += depths[^(i + 1)] / top;
            }
            double low = 0;
            double high = 0;
            double sx = 0;
            double sy = 0;
            bool rim = false;
            foreach (int k in basin.Cells)
            {
                if (missing[k] < BubbleShape.LowShare * depth)
                {
                    continue;
                }
                low += cell;
                high += missing[k] >= BubbleShape.HighShare * depth ? cell : 0;
                sx += cell * (k % side - (side - 1) / 2) * patch.StepPx;
                sy += cell * (k / side - (side - 1) / 2) * patch.StepPx;
                rim |= patch.Rho[k] > 0.95;
            }
            if (low <= 0)
            {
                continue;
            }
            double area = BubbleShape.Area(low, high, blurPx);
            // Narrower than the blur and hardly above the bar: noise has this look.
            double radius = Math.Sqrt(area / Math.PI);
            if (radius < 0.5 * blurPx && missing[basin.Peak] < 1.5 * bar[basin.Peak])
            {
                continue;
            }
            double share = 100 * area / joint;
            spots.Add(
                new VoidSpot(patch.Outline.XPx + sx / low, patch.Outline.YPx + sy / low, share, depth / fit.Level, rim)
            );
            total += share;
            // Contour moved by noise over its steepness, and the shape of the void itself.
            double shift = (patch.Noise + 0.3 * ShapeErrorRatio * fit.Level) / depth * radius + 0.15 * blurPx;
            double line = 100 * 2 * Math.PI * radius * shift * 0.5 / joint;
            variance += line * line + Sq(0.06 * share);
            // A bubble is about as deep as it is wide; wide and shallow, another part's shadow looks like that.
            double round = 2 * radius / patch.Outline.RadiusPx / HeightByRadius;
            if (share > LeastDoubtPercent && !rim && depth / fit.Level < LeastDepthByRound * round)
            {
                variance += Sq(0.5 * share);
                doubtful += share;
            }
        }
        // What would not be seen: a sphere whose depth stays under the bar in the middle of the joint.
        double usual = bar[side / 2 * side + side / 2] / fit.Level;
        double leastRadius = Math.Max(LeastRadiusRatio(usual), 1.2 * blurPx / patch.Outline.RadiusPx);
        double least = 100 * leastRadius * leastRadius;
        // What is too small to be seen may be there several times.
        variance += Sq(0.8 * least) + Sq(total > 0 ? 70 * Sq(blurPx / patch.Outline.RadiusPx) : 0);
        int dark = 0;
        int inside = 0;
        for (int k = 0; k < missing.Length; k++)
        {
            if (patch.Rho[k] < 0.92)
            {
                inside++;
                dark += missing[k] < -bar[k] ? 1 : 0;
            }
        }
        return new VoidReading(
            [.. spots.OrderByDescending(spot => spot.AreaPercent)],
            Math.Min(100, total),
            2 * Calibration * Math.Sqrt(variance),
            least,
            dark / (double)Math.Max(1, inside),
            fit.Spread,
            doubtful
        );
    }

    // Depth of a sphere of radius r in a joint 1.35 radii high is 2r/1.35 of the thickness.
    private static double LeastRadiusRatio(double depthRatio) => depthRatio * HeightByRadius / 2;

    private static double Sq(double value) => value * value;
}
