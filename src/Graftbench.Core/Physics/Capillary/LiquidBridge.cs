namespace Graftbench.Core.Physics.Capillary;

/// <summary>Molten solder between two wetted circles: shape, force and gap.</summary>
/// <remarks>
/// The surface has everywhere the curvature pressure by tension; the contact lines stay on the rims, since solder wets
/// copper and not mask. r' = cos θ, z' = sin θ, θ' = (p0 − ρ g z)/γ − sin θ / r, v' = π r² sin θ from the lower rim to the
/// upper one, solved with its derivatives by the classical Runge-Kutta method of 40 steps and Newton's method on pressure, start
/// angle and length. Force on the upper pad F = π Ru² (p0 − ρ g h) − 2 π Ru γ sin θ_end. Method and verification: project
/// fact sheet "seating mechanics", sections 2, 3.1 and 5.1, there against a general surface-energy minimiser (largest difference
/// 0.0054 %). Ignores wetting beyond the rim, tilt of one pad against the other inside a joint, and voids.
/// </remarks>
public static class LiquidBridge
{
    private const double WalkRatio = 0.03;
    private const int MostWalk = 400;

    /// <summary>Shape at a gap.</summary>
    /// <param name="bridge">The drop.</param>
    /// <param name="gapMm">Gap [mm], above 0.</param>
    public static BridgeSolution AtGap(BridgeCase bridge, double gapMm)
    {
        ArgumentNullException.ThrowIfNull(bridge);
        Require.FinitePositive(gapMm);
        BridgeProblem problem = bridge.Problem();
        double scale = bridge.ScaleMm;
        return Solve(in problem, gapMm / scale, out MeridianStart start, out Meridian end, out double residual)
            ? new BridgeSolution(
                Shape(bridge, in problem, gapMm / scale, in start, in end),
                BridgeFailure.None,
                residual
            )
            : new BridgeSolution(null, Why(bridge, gapMm), residual);
    }

    /// <summary>Shape under a load: the gap at which the force equals it.</summary>
    /// <param name="bridge">The drop.</param>
    /// <param name="loadMilliN">Load on the upper pad [mN]; below 0 it is pulled up.</param>
    /// <returns>The stable gap above the strongest pull's; none where the joint cannot pull that hard.</returns>
    public static BridgeSolution AtLoad(BridgeCase bridge, double loadMilliN)
    {
        ArgumentNullException.ThrowIfNull(bridge);
        Require.Within(loadMilliN, -1e6, 1e6);
        BridgeProblem problem = bridge.Problem();
        double scale = bridge.ScaleMm;
        double wanted = loadMilliN / (bridge.TensionNPerM * scale);
        double gap = FreeGap(in problem);
        if (!Solve(in problem, gap, out MeridianStart start, out Meridian end, out double residual))
        {
            return new BridgeSolution(null, BridgeFailure.NotConverged, residual);
        }
        for (int i = 0; i < 60; i++)
        {
            double force = problem.Force(in start, in end, gap);
            if (Math.Abs(force - wanted) < 1e-10 * (1 + Math.Abs(wanted)))
            {
                return new BridgeSolution(
                    Shape(bridge, in problem, gap, in start, in end),
                    BridgeFailure.None,
                    residual
                );
            }
            if (!BridgeProblem.ByGap(in start, in end, out MeridianStart change))
            {
                break;
            }
            double slope = problem.ForceChange(in start, in end, in change, 1);
            if (!(slope < 0))
            {
                // Past the strongest pull: no load holds here.
                return new BridgeSolution(null, BridgeFailure.PulledApart, Math.Abs(force - wanted));
            }
            double next = gap + Math.Clamp((wanted - force) / slope, -0.1 * gap, 0.1 * gap);
            MeridianStart trial = new(
                start.Pressure + change.Pressure * (next - gap),
                start.Angle + change.Angle * (next - gap),
                start.Length + change.Length * (next - gap)
            );
            if (!problem.Newton(next, ref trial, out Meridian there, out residual))
            {
                break;
            }
            (start, end, gap) = (trial, there, next);
        }
        return new BridgeSolution(null, BridgeFailure.NotConverged, residual);
    }

    /// <summary>Gap of the drop without load as a cut sphere, in units of the problem.</summary>
    internal static double FreeGap(in BridgeProblem problem) =>
        SolderCap.TruncatedSphereHeightMm(problem.Volume, problem.Lower, problem.Upper);

    /// <summary>Solves at a gap: straight from the arc, else walking there from the gap without load.</summary>
    internal static bool Solve(
        in BridgeProblem problem,
        double gap,
        out MeridianStart start,
        out Meridian end,
        out double residual
    )
    {
        residual = double.PositiveInfinity;
        end = default;
        double free = FreeGap(in problem);
        if (ArcBridge.Start(in problem, gap) is { } arc)
        {
            start = arc;
            if (gap < 1.6 * free && problem.Newton(gap, ref start, out end, out residual))
            {
                return true;
            }
        }
        return Walk(in problem, free, gap, out start, out end, out residual);
    }

    private static bool Walk(
        in BridgeProblem problem,
        double from,
        double to,
        out MeridianStart start,
        out Meridian end,
        out double residual
    )
    {
        residual = double.PositiveInfinity;
        end = default;
        start = default;
        if (ArcBridge.Start(in problem, from) is not { } arc)
        {
            return false;
        }
        start = arc;
        if (!problem.Newton(from, ref start, out end, out residual))
        {
            return false;
        }
        double gap = from;
        double stride = 8 * WalkRatio * from * Math.Sign(to - from);
        for (int i = 0; i < MostWalk && gap != to; i++)
        {
            double next = Math.Abs(to - gap) <= Math.Abs(stride) ? to : gap + stride;
            MeridianStart trial = start;
            if (BridgeProblem.ByGap(in start, in end, out MeridianStart change))
            {
                trial = new MeridianStart(
                    start.Pressure + change.Pressure * (next - gap),
                    start.Angle + change.Angle * (next - gap),
                    start.Length + change.Length * (next - gap)
                );
            }
            // A jump of the start angle means another branch, not the next shape on this one.
            if (
                problem.Newton(next, ref trial, out Meridian there, out residual)
                && Math.Abs(trial.Angle - start.Angle) < 0.7
            )
            {
                (start, end, gap) = (trial, there, next);
            }
            else
            {
                stride /= 2;
                if (Math.Abs(stride) < 1e-4 * from)
                {
                    return false;
                }
            }
        }
        return gap == to;
    }

    private static BridgeFailure Why(BridgeCase bridge, double gapMm) =>
        BridgeLimits.PullApart(bridge) is { } limit && gapMm > limit.GapMm
            ? BridgeFailure.PulledApart
            : BridgeFailure.NotConverged;

    private static BridgeShape Shape(
        BridgeCase bridge,
        in BridgeProblem problem,
        double gap,
        in MeridianStart start,
        ref readonly Meridian end
    )
    {
        double scale = bridge.ScaleMm;
        double unit = bridge.TensionNPerM * scale;
        double force = problem.Force(in start, in end, gap);
        double slope = BridgeProblem.ByGap(in start, in end, out MeridianStart change)
            ? problem.ForceChange(in start, in end, in change, 1)
            : double.NegativeInfinity;
        OutlinePoint[] outline = new OutlinePoint[BridgeProblem.Steps + 1];
        (double widest, double narrowest) = Trace(in problem, in start, scale, outline);
        return new BridgeShape(
            gap * scale,
            force * unit,
            slope * bridge.TensionNPerM,
            start.Pressure * bridge.TensionNPerM / scale,
            2 * widest * scale,
            2 * narrowest * scale,
            Degrees(start.Angle),
            Degrees(Math.PI - end.Angle),
            (problem.LowerForce(in start) - force - problem.Bond * problem.Volume) * unit,
            outline
        );
    }

    /// <summary>Walks along a solved meridian: largest and smallest radius, in units of the problem.</summary>
    internal static (double Widest, double Narrowest) Trace(
        in BridgeProblem problem,
        in MeridianStart start,
        double scaleMm,
        Span<OutlinePoint> outline
    )
    {
        Meridian at = new() { R = problem.Lower, Angle = start.Angle };
        double step = start.Length / BridgeProblem.Steps;
        double widest = problem.Lower;
        double narrowest = problem.Lower;
        if (outline.Length > 0)
        {
            outline[0] = new OutlinePoint(at.R * scaleMm, 0);
        }
        for (int i = 1; i <= BridgeProblem.Steps; i++)
        {
            Meridian before = at;
            Meridian.Step(ref at, start.Pressure, problem.Bond, step);
            double slope0 = Math.Cos(before.Angle);
            double slope1 = Math.Cos(at.Angle);
            widest = Math.Max(widest, at.R);
            narrowest = Math.Min(narrowest, at.R);
            if (slope0 * slope1 < 0)
            {
                // The slope falls nearly straight through 0: r there, to the third order.
                double share = slope0 / (slope0 - slope1);
                double turn = before.R + slope0 * share * step / 2;
                widest = Math.Max(widest, turn);
                narrowest = Math.Min(narrowest, turn);
            }
            if (outline.Length > 0)
            {
                outline[i] = new OutlinePoint(at.R * scaleMm, at.Z * scaleMm);
            }
        }
        return (widest, narrowest);
    }

    private static double Degrees(double angle) => angle * 180 / Math.PI;
}
