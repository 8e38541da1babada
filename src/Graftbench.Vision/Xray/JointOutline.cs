using Graftbench.Vision.Planes;

namespace Graftbench.Vision.Xray;

/// <summary>Outline of a joint as a smooth closed line around its centre: r(θ) = r0 + Σ aₖcos kθ + bₖsin kθ, k = 2, 3.</summary>
/// <param name="XPx">Centre [px].</param>
/// <param name="YPx">Centre [px].</param>
/// <param name="RadiusPx">Mean radius r0 [px].</param>
/// <param name="Cos2Px">a₂ [px].</param>
/// <param name="Sin2Px">b₂ [px].</param>
/// <param name="Cos3Px">a₃ [px].</param>
/// <param name="Sin3Px">b₃ [px].</param>
/// <param name="EdgeFraction">Share of directions whose edge lies on the line, 0 to 1.</param>
/// <param name="RoughPx">How far edges lie off the line, median [px].</param>
/// <param name="EdgeWidthPx">Half width of the edge on its outer side [px].</param>
internal sealed record JointOutline(
    double XPx,
    double YPx,
    double RadiusPx,
    double Cos2Px,
    double Sin2Px,
    double Cos3Px,
    double Sin3Px,
    double EdgeFraction,
    double RoughPx,
    double EdgeWidthPx
)
{
    private const int Directions = 72;
    private const int Terms = 7;

    /// <summary>Area inside [px²].</summary>
    public double AreaPx2 =>
        Math.PI * (RadiusPx * RadiusPx + 0.5 * (Cos2Px * Cos2Px + Sin2Px * Sin2Px + Cos3Px * Cos3Px + Sin3Px * Sin3Px));

    /// <summary>Longer by shorter axis, less 1.</summary>
    public double EllipticityRatio
    {
        get
        {
            double e = Math.Sqrt(Cos2Px * Cos2Px + Sin2Px * Sin2Px);
            return (RadiusPx + e) / Math.Max(1e-9, RadiusPx - e) - 1;
        }
    }

    /// <summary>Radius towards a direction given by its cosine and sine [px].</summary>
    public double At(double cos, double sin)
    {
        double cos2 = cos * cos - sin * sin;
        double sin2 = 2 * sin * cos;
        return RadiusPx
            + Cos2Px * cos2
            + Sin2Px * sin2
            + Cos3Px * (cos2 * cos - sin2 * sin)
            + Sin3Px * (sin2 * cos + cos2 * sin);
    }

    /// <summary>Follows the edge of a joint.</summary>
    /// <param name="dark">What joints are higher in than their surroundings, a little blurred.</param>
    /// <param name="x">Expected centre [px].</param>
    /// <param name="y">Expected centre [px].</param>
    /// <param name="radiusPx">Expected radius [px].</param>
    /// <param name="reachPx">Farthest that the outline may lie from the centre [px]: half way to the neighbour.</param>
    /// <returns>The outline; null where too few directions have an edge.</returns>
    public static JointOutline? Follow(Plane dark, double x, double y, double radiusPx, double reachPx)
    {
        JointOutline? outline = null;
        double r = radiusPx;
        for (int round = 0; round < 3; round++)
        {
            double from = Math.Max(1, (round == 0 ? 0.45 : 0.7) * r);
            double to = Math.Min(reachPx, (round == 0 ? 1.7 : 1.35) * r);
            if (to < from + 2)
            {
                return outline;
            }
            outline = Fit(dark, x, y, from, to, outline);
            if (outline is null)
            {
                return null;
            }
            double moved = Math.Max(Math.Abs(outline.XPx - x), Math.Abs(outline.YPx - y));
            x = outline.XPx;
            y = outline.YPx;
            r = outline.RadiusPx;
            if (round > 0 && moved < 0.05)
            {
                break;
            }
        }
        return outline;
    }

    private static JointOutline? Fit(Plane dark, double x, double y, double from, double to, JointOutline? before)
    {
        const double StepPx = 0.5;
        int steps = (int)((to - from) / StepPx) + 1;
        Span<double> values = stackalloc double[Math.Min(steps, 1024)];
        steps = values.Length;
        double[] edge = new double[Directions];
        double[] width = new double[Directions];
        double[] drop = new double[Directions];
        for (int k = 0; k < Directions; k++)
        {
            double angle = 2 * Math.PI * k / Directions;
            double c = Math.Cos(angle);
            double s = Math.Sin(angle);
            for (int i = 0; i < steps; i++)
            {
                double r = from + i * StepPx;
                values[i] = dark.At(x + r * c, y + r * s);
            }
            (edge[k], width[k], drop[k]) = Edge(values, from, StepPx, before?.At(c, s));
        }
        return Solve(x, y, edge, width, drop);
    }

    // The steepest fall from inside to outside, between steps.
    private static (double RadiusPx, double WidthPx, double Drop) Edge(
        ReadOnlySpan<double> values,
        double from,
        double step,
        double? expected
    )
    {
        int best = -1;
        double steepest = 0;
        for (int i = 1; i < values.Length - 1; i++)
        {
            double fall = values[i - 1] - values[i + 1];
            if (expected is { } r)
            {
                double off = (from + i * step - r) / (0.12 * r + 1);
                fall *= Math.Exp(-0.5 * off * off);
            }
            if (fall > steepest)
            {
                steepest = fall;
                best = i;
            }
        }
        if (best < 2 || best > values.Length - 3)
        {
            return (double.NaN, double.NaN, 0);
        }
        double a = values[best - 2] - values[best];
        double b = values[best - 1] - values[best + 1];
        double c = values[best] - values[best + 2];
        double curve = a - 2 * b + c;
        double shift = curve < 0 ? Math.Clamp(0.5 * (a - c) / curve, -1, 1) : 0;
        int outer = best;
        while (outer < values.Length - 2 && values[outer - 1] - values[outer + 1] > 0.5 * b)
        {
            outer++;
        }
        double here = values[outer - 1] - values[Math.Min(outer + 1, values.Length - 1)];
        double before = values[Math.Max(0, outer - 2)] - values[outer];
        double part = before > here ? Math.Clamp((0.5 * b - here) / (before - here), 0, 1) : 0;
        return (from + (best + shift) * step, (outer - part - best - shift) * step, b);
    }

    private static JointOutline? Solve(double x, double y, double[] edge, double[] width, double[] drop)
    {
        double usualDrop = Ranks.Median(drop.Where(d => d > 0));
        double[] weight = new double[Directions];
        for (int k = 0; k < Directions; k++)
        {
            weight[k] = double.IsFinite(edge[k]) && drop[k] > 0.3 * usualDrop ? 1 : 0;
        }
        if (weight.Sum() < Directions / 3.0)
        {
            return null;
        }
        double[] solution = new double[Terms];
        double spread = double.NaN;
        for (int round = 0; round < 8; round++)
        {
            double middle = Ranks.Median(edge.Where((_, k) => weight[k] > 0));
            if (round == 0)
            {
                solution[0] = middle;
            }
            double[] off = new double[Directions];
            for (int k = 0; k < Directions; k++)
            {
                off[k] = double.IsFinite(edge[k]) ? edge[k] - Line(solution, k) : double.NaN;
            }
            spread = Math.Max(
                0.15,
                Ranks.NormalByDeviation * Ranks.Median(off.Where(double.IsFinite).Select(Math.Abs))
            );
            // First pass wide: a circle is not yet the outline.
            double reach = (round == 0 ? 6 : 3.5) * spread;
            double[] normal = new double[Terms * Terms];
            double[] right = new double[Terms];
            for (int k = 0; k < Directions; k++)
            {
                double q = off[k] / reach;
                double w = double.IsFinite(off[k]) && Math.Abs(q) < 1 ? Math.Pow(1 - q * q, 2) : 0;
                w *= Math.Min(1, drop[k] / usualDrop);
                weight[k] = w;
                for (int i = 0; i < Terms && w > 0; i++)
                {
                    double bi = Basis(i, k);
                    right[i] += w * bi * edge[k];
                    for (int j = 0; j < Terms; j++)
                    {
                        normal[i * Terms + j] += w * bi * Basis(j, k);
                    }
                }
            }
            // Shape terms are held small where few directions speak.
            for (int i = 0; i < Terms; i++)
            {
                normal[i * Terms + i] += i == 0 ? 1e-6 : 0.5;
            }
            if (!SmallSystem.Solve(normal, right, Terms))
            {
                return null;
            }
            right.CopyTo(solution, 0);
        }
        int on = 0;
        List<double> rough = [];
        for (int k = 0; k < Directions; k++)
        {
            double d = double.IsFinite(edge[k]) ? Math.Abs(edge[k] - Line(solution, k)) : double.PositiveInfinity;
            if (d < Math.Max(1, 0.06 * solution[0]))
            {
                on++;
            }
            if (double.IsFinite(d))
            {
                rough.Add(d);
            }
        }
        if (!(solution[0] > 1))
        {
            return null;
        }
        return new JointOutline(
            x + solution[1],
            y + solution[2],
            solution[0],
            solution[3],
            solution[4],
            solution[5],
            solution[6],
            on / (double)Directions,
            Ranks.Median(rough),
            Ranks.Median(width.Where(double.IsFinite))
        );
    }

    private static double Line(double[] solution, int k)
    {
        double sum = 0;
        for (int i = 0; i < Terms; i++)
        {
            sum += solution[i] * Basis(i, k);
        }
        return sum;
    }

    private static double Basis(int term, int k)
    {
        double angle = 2 * Math.PI * k / Directions;
        return term switch
        {
            0 => 1,
            1 => Math.Cos(angle),
            2 => Math.Sin(angle),
            3 => Math.Cos(2 * angle),
            4 => Math.Sin(2 * angle),
            5 => Math.Cos(3 * angle),
            _ => Math.Sin(3 * angle),
        };
    }
}
