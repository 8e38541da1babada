using Graftbench.Core.Numerics;

namespace Graftbench.Vision.Lattice;

/// <summary>One pair of places that belong together: on the plane and in the picture.</summary>
/// <param name="U">On the plane, along a row; in grid steps or millimetres.</param>
/// <param name="V">On the plane, down a column.</param>
/// <param name="XPx">In the picture [px].</param>
/// <param name="YPx">In the picture [px].</param>
/// <param name="WeightNumber">How much it counts, 0 or more.</param>
public readonly record struct PlacePair(double U, double V, double XPx, double YPx, double WeightNumber = 1);

/// <summary>A plane seen by a camera: from places on the plane to places in the picture and back (a homography).</summary>
/// <remarks>
/// x = (h0·u + h1·v + h2) / (h6·u + h7·v + h8), y likewise with h3 to h5. R. Hartley, A. Zisserman, "Multiple View Geometry",
/// 2nd ed. (2004), chapter 4: normalised linear estimate, here weighted again by its denominators so that what is made
/// small is the distance in the picture. Bent lines of a lens are not part of it.
/// </remarks>
public sealed class PlaneMap
{
    private readonly double[] h;
    private readonly double[] back;

    private PlaneMap(double[] h)
    {
        this.h = h;
        back = Inverse(h);
    }

    /// <summary>Straight map: pixel = scale · place + shift.</summary>
    /// <param name="scalePx">Pixels for one step [px].</param>
    /// <param name="xPx">Where (0, 0) lies [px].</param>
    /// <param name="yPx">Where (0, 0) lies [px].</param>
    public static PlaneMap Straight(double scalePx, double xPx, double yPx) =>
        new([scalePx, 0, xPx, 0, scalePx, yPx, 0, 0, 1]);

    /// <summary>The nine numbers, row by row.</summary>
    public IReadOnlyList<double> Numbers => h;

    /// <summary>Place in the picture [px].</summary>
    public (double XPx, double YPx) ToPicture(double u, double v)
    {
        double w = h[6] * u + h[7] * v + h[8];
        return ((h[0] * u + h[1] * v + h[2]) / w, (h[3] * u + h[4] * v + h[5]) / w);
    }

    /// <summary>Place on the plane.</summary>
    public (double U, double V) ToPlane(double xPx, double yPx)
    {
        double w = back[6] * xPx + back[7] * yPx + back[8];
        return ((back[0] * xPx + back[1] * yPx + back[2]) / w, (back[3] * xPx + back[4] * yPx + back[5]) / w);
    }

    /// <summary>Length of a step along u and along v at a place [px], and whether the picture shows the plane unmirrored.</summary>
    public (double UPx, double VPx, bool Unmirrored) StepAt(double u, double v)
    {
        const double Half = 0.5;
        (double x0, double y0) = ToPicture(u - Half, v);
        (double x1, double y1) = ToPicture(u + Half, v);
        (double x2, double y2) = ToPicture(u, v - Half);
        (double x3, double y3) = ToPicture(u, v + Half);
        double cross = (x1 - x0) * (y3 - y2) - (y1 - y0) * (x3 - x2);
        return (Math.Sqrt(Sq(x1 - x0) + Sq(y1 - y0)), Math.Sqrt(Sq(x3 - x2) + Sq(y3 - y2)), cross > 0);
    }

    /// <summary>Whether a place lies in front of the camera (the denominator keeps the sign it has at another place).</summary>
    public bool SameSide(double u, double v, double u0, double v0) =>
        (h[6] * u + h[7] * v + h[8]) * (h[6] * u0 + h[7] * v0 + h[8]) > 0;

    /// <summary>The map that goes first through another map of the plane: place = m·(u, v) + t.</summary>
    public PlaneMap After(double m00, double m01, double t0, double m10, double m11, double t1)
    {
        double[] a = [m00, m01, t0, m10, m11, t1, 0, 0, 1];
        return new PlaneMap(Multiply(h, a));
    }

    /// <summary>The map whose distances in the picture are smallest, far pairs counting less and less.</summary>
    /// <param name="pairs">Four or more pairs, no three of four on a line.</param>
    /// <param name="scalePx">Beyond about three times this distance a pair no longer counts [px]; 0: all count.</param>
    /// <returns>The map; null where the pairs do not decide one.</returns>
    public static PlaneMap? Fit(IReadOnlyList<PlacePair> pairs, double scalePx = 0)
    {
        ArgumentNullException.ThrowIfNull(pairs);
        if (pairs.Count < 4)
        {
            return null;
        }
        (double cu, double cv, double su) = Frame(pairs.Select(pair => (pair.U, pair.V)));
        (double cx, double cy, double sx) = Frame(pairs.Select(pair => (pair.XPx, pair.YPx)));
        if (!(su > 0) || !(sx > 0))
        {
            return null;
        }
        double[] g = [1, 0, 0, 0, 1, 0, 0, 0];
        double cut = scalePx > 0 ? 3 * scalePx / sx : 0;
        for (int turn = 0; turn < 6; turn++)
        {
            double[] a = new double[64];
            double[] b = new double[8];
            foreach (PlacePair pair in pairs)
            {
                double u = (pair.U - cu) / su;
                double v = (pair.V - cv) / su;
                double x = (pair.XPx - cx) / sx;
                double y = (pair.YPx - cy) / sx;
                double weight = pair.WeightNumber;
                if (turn > 0)
                {
                    double w = g[6] * u + g[7] * v + 1;
                    weight /= Math.Max(w * w, 1e-3);
                    if (cut > 0 && turn > 1)
                    {
                        double away =
                            Sq((g[0] * u + g[1] * v + g[2]) / w - x) + Sq((g[3] * u + g[4] * v + g[5]) / w - y);
                        double share = 1 - away / (cut * cut);
                        weight *= share > 0 ? share * share : 0;
                    }
                }
                Add(a, b, [u, v, 1, 0, 0, 0, -u * x, -v * x], x, weight);
                Add(a, b, [0, 0, 0, u, v, 1, -u * y, -v * y], y, weight);
            }
            if (Solve(a, b) is not { } next)
            {
                return null;
            }
            g = next;
        }
        double[] inner = [g[0], g[1], g[2], g[3], g[4], g[5], g[6], g[7], 1];
        double[] outer = [sx, 0, cx, 0, sx, cy, 0, 0, 1];
        double[] first = [1 / su, 0, -cu / su, 0, 1 / su, -cv / su, 0, 0, 1];
        double[] all = Multiply(outer, Multiply(inner, first));
        double size = all[8];
        if (!(Math.Abs(size) > 1e-12) || all.Any(number => !double.IsFinite(number)))
        {
            // The plane's own (0, 0) lies on the horizon: scale by the largest number instead.
            size = all.Max(Math.Abs);
        }
        for (int i = 0; i < 9; i++)
        {
            all[i] /= size;
        }
        PlaneMap map = new(all);
        return map.back.All(double.IsFinite) ? map : null;
    }

    private static (double X, double Y, double Scale) Frame(IEnumerable<(double X, double Y)> places)
    {
        double x = 0;
        double y = 0;
        double square = 0;
        int n = 0;
        foreach ((double px, double py) in places)
        {
            x += px;
            y += py;
            square += px * px + py * py;
            n++;
        }
        x /= n;
        y /= n;
        return (x, y, Math.Sqrt(Math.Max(square / n - x * x - y * y, 0)));
    }

    private static void Add(double[] a, double[] b, ReadOnlySpan<double> row, double right, double weight)
    {
        for (int i = 0; i < 8; i++)
        {
            double wi = weight * row[i];
            if (wi == 0)
            {
                continue;
            }
            b[i] += wi * right;
            for (int j = 0; j < 8; j++)
            {
                a[i * 8 + j] += wi * row[j];
            }
        }
    }

    private static double[]? Solve(double[] a, double[] b)
    {
        for (int i = 0; i < 8; i++)
        {
            a[i * 8 + i] += 1e-12;
        }
        if (Cholesky.Lower(a, 8) is not { } lower)
        {
            return null;
        }
        double[] x = [.. b];
        for (int i = 0; i < 8; i++)
        {
            for (int j = 0; j < i; j++)
            {
                x[i] -= lower[i * 8 + j] * x[j];
            }
            x[i] /= lower[i * 8 + i];
        }
        for (int i = 7; i >= 0; i--)
        {
            for (int j = i + 1; j < 8; j++)
            {
                x[i] -= lower[j * 8 + i] * x[j];
            }
            x[i] /= lower[i * 8 + i];
        }
        return x.All(double.IsFinite) ? x : null;
    }

    private static double[] Multiply(double[] a, double[] b)
    {
        double[] c = new double[9];
        for (int i = 0; i < 3; i++)
        {
            for (int j = 0; j < 3; j++)
            {
                c[3 * i + j] = a[3 * i] * b[j] + a[3 * i + 1] * b[3 + j] + a[3 * i + 2] * b[6 + j];
            }
        }
        return c;
    }

    private static double[] Inverse(double[] m)
    {
        double[] c =
        [
            m[4] * m[8] - m[5] * m[7],
            m[2] * m[7] - m[1] * m[8],
            m[1] * m[5] - m[2] * m[4],
            m[5] * m[6] - m[3] * m[8],
            m[0] * m[8] - m[2] * m[6],
            m[2] * m[3] - m[0] * m[5],
            m[3] * m[7] - m[4] * m[6],
            m[1] * m[6] - m[0] * m[7],
            m[0] * m[4] - m[1] * m[3],
        ];
        double determinant = m[0] * c[0] + m[1] * c[3] + m[2] * c[6];
        for (int i = 0; i < 9; i++)
        {
            c[i] /= determinant;
        }
        return c;
    }

    private static double Sq(double x) => x * x;
}
