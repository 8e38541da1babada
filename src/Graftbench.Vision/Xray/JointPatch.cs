using Graftbench.Vision.Planes;

namespace Graftbench.Vision.Xray;

/// <summary>One joint cut out of the attenuation, its surroundings taken off, on a grid fine enough for small joints.</summary>
internal sealed class JointPatch
{
    /// <summary>Farthest place by the outline that the grid holds.</summary>
    public const double ReachRatio = 1.2;

    private const double StepsByRadius = 36;
    private const double StepsOfLarge = 28;
    private const int Sectors = 24;

    private double[] ringSteps = [0];

    private JointPatch(JointOutline outline, double stepPx, int side, float[] value, float[] rho, float[] turn)
    {
        Outline = outline;
        StepPx = stepPx;
        Side = side;
        Value = value;
        Rho = rho;
        Turn = turn;
    }

    public JointOutline Outline { get; }

    /// <summary>Distance of grid points [px].</summary>
    public double StepPx { get; }

    /// <summary>Grid points on a side.</summary>
    public int Side { get; }

    /// <summary>Attenuation above the surroundings.</summary>
    public float[] Value { get; }

    /// <summary>Distance from the centre by the outline's in that direction.</summary>
    public float[] Rho { get; }

    /// <summary>Direction from the centre, 0 to 1 for the whole round.</summary>
    public float[] Turn { get; }

    /// <summary>How much the surroundings differ from a plane, around.</summary>
    public double RingSpread { get; private init; }

    /// <summary>Largest departure of a twelfth of the ring from that plane, so many left out.</summary>
    public double RingStep(int leftOut) => ringSteps[Math.Min(leftOut, ringSteps.Length - 1)];

    /// <summary>Attenuation of the surroundings at the centre.</summary>
    public double Background { get; private init; }

    /// <summary>Standard deviation of the attenuation by noise, blurred as the patch is.</summary>
    public double Noise { get; set; }

    /// <summary>Usual attenuation of the whole thickness here.</summary>
    public double Level { get; set; }

    /// <summary>Grid coordinate by the outline's mean radius, from the centre.</summary>
    public double Unit(int i) => (i - (Side - 1) / 2) * StepPx / Outline.RadiusPx;

    /// <summary>Cuts out.</summary>
    /// <param name="soft">Attenuation, blurred.</param>
    /// <param name="outline">Its outline.</param>
    /// <param name="reachPx">Half way to the neighbour [px].</param>
    public static JointPatch Cut(Plane soft, JointOutline outline, double reachPx)
    {
        double r = outline.RadiusPx;
        (double b, double gx, double gy, double spread, double[] steps) = Surroundings(soft, outline, reachPx);
        // A large joint needs no point for each of its pixels.
        double grid = r > StepsOfLarge ? r / StepsOfLarge : r / StepsByRadius;
        int half = (int)Math.Ceiling(ReachRatio * (r + Math.Abs(outline.Cos2Px) + Math.Abs(outline.Sin2Px)) / grid);
        int side = 2 * half + 1;
        float[] value = new float[side * side];
        float[] rho = new float[side * side];
        float[] turn = new float[side * side];
        for (int j = 0; j < side; j++)
        {
            double v = (j - half) * grid;
            for (int i = 0; i < side; i++)
            {
                double u = (i - half) * grid;
                double d = Math.Sqrt(u * u + v * v);
                double at = d < 1e-9 ? 0 : d / Math.Max(0.3 * r, outline.At(u / d, v / d));
                rho[j * side + i] = (float)at;
                turn[j * side + i] = (float)(Math.Atan2(v, u) / (2 * Math.PI) + (v < 0 ? 1 : 0));
                value[j * side + i] =
                    at > ReachRatio
                        ? 0
                        : (float)(soft.At(outline.XPx + u, outline.YPx + v) - b - (gx * u + gy * v) / r);
            }
        }
        return new JointPatch(outline, grid, side, value, rho, turn)
        {
            RingSpread = spread,
            ringSteps = steps,
            Background = b,
        };
    }

    // A plane through the medians of sectors of a ring; sectors that do not fit (a bridge, a via) drop out.
    private static (double B, double Gx, double Gy, double Spread, double[] Steps) Surroundings(
        Plane soft,
        JointOutline outline,
        double reachPx
    )
    {
        double r = outline.RadiusPx;
        double from = 1.16;
        double to = Math.Max(from + 0.06, Math.Min(1.5, reachPx / r));
        double middle = (from + to) / 2;
        double[] value = new double[Sectors];
        float[] pool = new float[5 * 4];
        for (int k = 0; k < Sectors; k++)
        {
            int n = 0;
            for (int a = 0; a < 4; a++)
            {
                double angle = 2 * Math.PI * (k + a / 4.0) / Sectors;
                double c = Math.Cos(angle);
                double s = Math.Sin(angle);
                double edge = outline.At(c, s);
                for (int i = 0; i < 5; i++)
                {
                    double d = edge * (from + (to - from) * i / 4);
                    pool[n++] = soft.At(outline.XPx + d * c, outline.YPx + d * s);
                }
            }
            value[k] = Ranks.Median(pool.AsSpan(0, n));
        }
        double b = Ranks.Median(value);
        double gx = 0;
        double gy = 0;
        double spread = Ranks.Spread(value);
        double[] normal = new double[9];
        double[] right = new double[3];
        for (int round = 0; round < 6; round++)
        {
            double reach = 3 * Math.Max(spread, 1e-4);
            Array.Clear(normal);
            Array.Clear(right);
            // A slope needs a reason: held by a little weight.
            normal[4] = normal[8] = 0.05 * Sectors;
            normal[0] = 1e-9;
            for (int k = 0; k < Sectors; k++)
            {
                (double u, double v) = Place(k, middle);
                double q = (value[k] - b - gx * u - gy * v) / reach;
                double w = Math.Abs(q) < 1 ? Math.Pow(1 - q * q, 2) : 0;
                normal[0] += w;
                normal[1] += w * u;
                normal[2] += w * v;
                normal[4] += w * u * u;
                normal[5] += w * u * v;
                normal[8] += w * v * v;
                right[0] += w * value[k];
                right[1] += w * u * value[k];
                right[2] += w * v * value[k];
            }
            normal[3] = normal[1];
            normal[6] = normal[2];
            normal[7] = normal[5];
            if (!SmallSystem.Solve(normal, right, 3))
            {
                break;
            }
            (b, gx, gy) = (right[0], right[1], right[2]);
            (double B, double X, double Y) plane = (b, gx, gy);
            spread =
                Ranks.NormalByDeviation
                * Ranks.Median(
                    value.Select(
                        (one, k) =>
                        {
                            (double u, double v) = Place(k, middle);
                            return Math.Abs(one - plane.B - plane.X * u - plane.Y * v);
                        }
                    )
                );
        }
        double[] steps = new double[Sectors / 2];
        for (int k = 0; k < Sectors; k += 2)
        {
            (double u0, double v0) = Place(k, middle);
            (double u1, double v1) = Place(k + 1, middle);
            double off = (value[k] - b - gx * u0 - gy * v0 + value[k + 1] - b - gx * u1 - gy * v1) / 2;
            steps[k / 2] = Math.Abs(off);
        }
        Array.Sort(steps);
        Array.Reverse(steps);
        return (b, gx, gy, spread, steps);
    }

    private static (double U, double V) Place(int sector, double middle)
    {
        double angle = 2 * Math.PI * (sector + 0.375) / Sectors;
        return (middle * Math.Cos(angle), middle * Math.Sin(angle));
    }
}
