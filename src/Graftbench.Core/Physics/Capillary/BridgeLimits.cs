namespace Graftbench.Core.Physics.Capillary;

/// <summary>A limit of a molten joint.</summary>
/// <param name="GapMm">Gap at the limit [mm].</param>
/// <param name="ForceMilliN">Force there [mN].</param>
/// <param name="WidestMm">Widest diameter there [mm].</param>
/// <param name="NarrowestMm">Narrowest diameter there [mm].</param>
public readonly record struct BridgeLimit(double GapMm, double ForceMilliN, double WidestMm, double NarrowestMm);

/// <summary>How far a molten joint can be stretched and squashed. Checked against project fact sheet "seating mechanics", 5.4.</summary>
public static class BridgeLimits
{
    /// <summary>Pull-apart: the largest gap with a shape, where the gap turns back along the line of solutions.</summary>
    /// <param name="bridge">The drop.</param>
    /// <returns>The limit; null where it was not found.</returns>
    /// <remarks>Followed by arc length in pressure, angle, length and gap; the turn is found by the sign of the gap's share.</remarks>
    public static BridgeLimit? PullApart(BridgeCase bridge)
    {
        ArgumentNullException.ThrowIfNull(bridge);
        BridgeProblem problem = bridge.Problem();
        Span<double> x = stackalloc double[4];
        return Follow(in problem, x) ? Limit(bridge, in problem, x) : null;
    }

    /// <summary>Gap and force of the limit in units of the problem; null where it was not found.</summary>
    internal static (double Gap, double Force)? PullApart(in BridgeProblem problem)
    {
        Span<double> x = stackalloc double[4];
        if (!Follow(in problem, x))
        {
            return null;
        }
        MeridianStart start = new(x[0], x[1], x[2]);
        problem.Integrate(in start, out Meridian end);
        return (x[3], problem.Force(in start, in end, x[3]));
    }

    // Pressure, angle, length and gap where the gap turns back.
    private static bool Follow(in BridgeProblem problem, Span<double> x)
    {
        double gap = LiquidBridge.FreeGap(in problem);
        if (!LiquidBridge.Solve(in problem, gap, out MeridianStart start, out Meridian end, out _))
        {
            return false;
        }
        (x[0], x[1], x[2], x[3]) = (start.Pressure, start.Angle, start.Length, gap);
        Span<double> t = stackalloc double[4];
        Span<double> next = stackalloc double[4];
        Span<double> turned = stackalloc double[4];
        Tangent(in end, t, default);
        if (t[3] < 0)
        {
            Turn(t);
        }
        double stride = 0.1;
        for (int i = 0; i < 600; i++)
        {
            if (!Correct(in problem, x, t, stride, next, out Meridian there))
            {
                stride /= 2;
                if (stride < 1e-6)
                {
                    return false;
                }
                continue;
            }
            Tangent(in there, turned, t);
            if (turned[3] <= 0)
            {
                if (stride < 1e-5)
                {
                    return true;
                }
                // The turn lies within this step: go shorter.
                stride = Math.Min(stride / 2, stride * t[3] / (t[3] - turned[3]));
                stride = Math.Max(stride, 0.5e-5);
                continue;
            }
            next.CopyTo(x);
            turned.CopyTo(t);
            end = there;
            if (t[3] < 1e-7)
            {
                return true;
            }
        }
        return false;
    }

    /// <summary>Spill: the gap below which solder leaves the edge of a pad horizontally and lies on the mask.</summary>
    /// <param name="bridge">The drop.</param>
    /// <returns>The limit; null where it was not found.</returns>
    /// <remarks>Sideways slump sets in at the same gap within the checks' 0.5 % (<see cref="BridgeSideways"/>).</remarks>
    public static BridgeLimit? Spill(BridgeCase bridge)
    {
        ArgumentNullException.ThrowIfNull(bridge);
        BridgeProblem problem = bridge.Problem();
        double gap = LiquidBridge.FreeGap(in problem);
        if (!LiquidBridge.Solve(in problem, gap, out MeridianStart start, out Meridian end, out _))
        {
            return null;
        }
        for (int i = 0; i < 200; i++)
        {
            double lower = start.Angle;
            double upper = Math.PI - end.Angle;
            bool atLower = lower < upper;
            double rim = Math.Min(lower, upper);
            if (Math.Abs(rim) < 1e-9)
            {
                return Limit(bridge, in problem, [start.Pressure, start.Angle, start.Length, gap]);
            }
            if (!BridgeProblem.ByGap(in start, in end, out MeridianStart change))
            {
                return null;
            }
            double curve = start.Pressure - problem.Bond * end.Z - Math.Sin(end.Angle) / end.R;
            double slope = atLower
                ? change.Angle
                : -(end.Ap * change.Pressure + end.Aq * change.Angle + curve * change.Length);
            if (!(Math.Abs(slope) > 1e-12))
            {
                return null;
            }
            double next = gap + Math.Clamp(-rim / slope, -0.05 * gap, 0.05 * gap);
            MeridianStart trial = new(
                start.Pressure + change.Pressure * (next - gap),
                start.Angle + change.Angle * (next - gap),
                start.Length + change.Length * (next - gap)
            );
            if (!problem.Newton(next, ref trial, out Meridian there, out _))
            {
                return null;
            }
            (start, end, gap) = (trial, there, next);
        }
        return null;
    }

    private static BridgeLimit Limit(BridgeCase bridge, in BridgeProblem problem, ReadOnlySpan<double> x)
    {
        MeridianStart start = new(x[0], x[1], x[2]);
        problem.Integrate(in start, out Meridian end);
        double scale = bridge.ScaleMm;
        (double widest, double narrowest) = LiquidBridge.Trace(in problem, in start, scale, []);
        return new BridgeLimit(
            x[3] * scale,
            problem.Force(in start, in end, x[3]) * bridge.TensionNPerM * scale,
            2 * widest * scale,
            2 * narrowest * scale
        );
    }

    // Null vector of the 3 x 4 matrix of end conditions by unknowns and gap, in the direction of the last one.
    private static void Tangent(ref readonly Meridian end, Span<double> t, ReadOnlySpan<double> along)
    {
        (double s, double c) = Math.SinCos(end.Angle);
        double lv = Math.PI * end.R * end.R * s;
        ReadOnlySpan<double> a = [end.Rp, end.Rq, c, end.Zp, end.Zq, s, end.Vp, end.Vq, lv];
        // Columns: pressure, angle, length; the gap's column is (0, -1, 0).
        t[0] = a[1] * a[8] - a[2] * a[7];
        t[1] = -(a[0] * a[8] - a[2] * a[6]);
        t[2] = a[0] * a[7] - a[1] * a[6];
        // r and v stay; t[0..2] is their null vector, the gap follows from the row of z.
        t[3] = a[3] * t[0] + a[4] * t[1] + a[5] * t[2];
        double length = Math.Sqrt(t[0] * t[0] + t[1] * t[1] + t[2] * t[2] + t[3] * t[3]);
        for (int i = 0; i < 4; i++)
        {
            t[i] /= length;
        }
        if (along.Length == 4 && t[0] * along[0] + t[1] * along[1] + t[2] * along[2] + t[3] * along[3] < 0)
        {
            Turn(t);
        }
    }

    private static void Turn(Span<double> t)
    {
        for (int i = 0; i < 4; i++)
        {
            t[i] = -t[i];
        }
    }

    private static bool Correct(
        in BridgeProblem problem,
        ReadOnlySpan<double> x,
        ReadOnlySpan<double> t,
        double stride,
        Span<double> next,
        out Meridian end
    )
    {
        for (int i = 0; i < 4; i++)
        {
            next[i] = x[i] + stride * t[i];
        }
        end = default;
        Span<double> matrix = stackalloc double[16];
        Span<double> change = stackalloc double[4];
        for (int iteration = 0; iteration < 12; iteration++)
        {
            MeridianStart start = new(next[0], next[1], next[2]);
            if (!(start.Length > 0) || !problem.Integrate(in start, out end))
            {
                return false;
            }
            double plane = 0;
            for (int i = 0; i < 4; i++)
            {
                plane += t[i] * (next[i] - x[i]);
            }
            change[0] = problem.Upper - end.R;
            change[1] = next[3] - end.Z;
            change[2] = problem.Volume - end.V;
            change[3] = stride - plane;
            if (problem.Residual(in end, next[3]) < 1e-11)
            {
                return true;
            }
            (double s, double c) = Math.SinCos(end.Angle);
            double[] rows =
            [
                end.Rp,
                end.Rq,
                c,
                0,
                end.Zp,
                end.Zq,
                s,
                -1,
                end.Vp,
                end.Vq,
                Math.PI * end.R * end.R * s,
                0,
                t[0],
                t[1],
                t[2],
                t[3],
            ];
            Numerics.DenseLu lu = new(rows, 4);
            if (lu.Singular)
            {
                return false;
            }
            lu.Solve(change, matrix[..4]);
            for (int i = 0; i < 4; i++)
            {
                next[i] += matrix[i];
            }
        }
        return problem.Residual(in end, next[3]) < 1e-9;
    }
}
