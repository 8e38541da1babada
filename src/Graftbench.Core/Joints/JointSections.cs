using Graftbench.Core.Physics.Capillary;

namespace Graftbench.Core.Joints;

/// <summary>Cuts through rows of an answer, to scale, with the exact outline of every joint.</summary>
public static class JointSections
{
    private const double SameRowMm = 0.02;
    private const int CapPoints = 24;

    /// <summary>Rows that can be cut, from the lowest y.</summary>
    /// <param name="plan">The answer.</param>
    /// <returns>Their y [mm].</returns>
    public static IReadOnlyList<double> RowsMm(JointPlan plan)
    {
        ArgumentNullException.ThrowIfNull(plan);
        List<double> rows = [];
        foreach (double y in plan.Joints.Select(joint => joint.YMm).Order())
        {
            if (rows.Count == 0 || y - rows[^1] > SameRowMm)
            {
                rows.Add(y);
            }
        }
        return rows;
    }

    /// <summary>The cut along one row.</summary>
    /// <param name="plan">The answer.</param>
    /// <param name="row">Place in <see cref="RowsMm"/>.</param>
    /// <returns>The cut; null where there is no such row or no answer.</returns>
    public static JointSection? Cut(JointPlan plan, int row)
    {
        IReadOnlyList<double> rows = RowsMm(plan);
        if (plan.Molten is null || row < 0 || row >= rows.Count)
        {
            return null;
        }
        double y = rows[row];
        List<SectionJoint> joints = [];
        for (int i = 0; i < plan.Joints.Count; i++)
        {
            if (plan.Joints[i].YMm >= y - 1e-9 && plan.Joints[i].YMm <= y + SameRowMm)
            {
                joints.Add(Joint(plan, i));
            }
        }
        joints.Sort((a, b) => a.XMm.CompareTo(b.XMm));
        SectionPoint[] line =
        [
            .. joints.Select(joint => new SectionPoint(
                joint.XMm,
                plan.Joints[joint.Index].GapMm + plan.Request.Sites[joint.Index].LandHeightMm
            )),
        ];
        SectionStop[] stops =
        [
            .. plan
                .Stops.Where(stop => Math.Abs(stop.YMm - y) <= plan.Request.PitchMm)
                .Select(stop => new SectionStop(
                    stop.Name,
                    stop.XMm,
                    stop.StopHeightMm + stop.HotClearanceMm,
                    stop.HotClearanceMm
                )),
        ];
        return new JointSection(y, joints, stops, line);
    }

    private static SectionJoint Joint(JointPlan plan, int i)
    {
        JointState state = plan.Joints[i];
        JointSite site = plan.Request.Sites[i];
        double land = site.LandHeightMm;
        if (
            state.Class.HasFlag(JointClass.Joined)
            && LiquidBridge.AtGap(JointChanges.Bridge(plan.Request, site), state.GapMm).Shape is { } shape
        )
        {
            (double, double)[] right = [.. shape.Outline.Select(point => (point.RadiusMm, land + point.HeightMm))];
            return new SectionJoint(i, state.Name, state.XMm, true, [Closed(state.XMm, right)]);
        }
        double swelling = plan.Request.Solder.SwellingFactor;
        List<IReadOnlyList<SectionPoint>> outlines = [];
        double ball = SolderCap.HeightMm(site.BallVolumeMm3 * swelling, site.PackageRadiusMm);
        if (ball > 0)
        {
            double top = land + state.GapMm;
            outlines.Add(Closed(state.XMm, [.. Cap(ball, site.PackageRadiusMm).Select(at => (at.R, top - at.H))]));
        }
        double dome = SolderCap.HeightMm(site.DomeVolumeMm3 * swelling, site.BoardRadiusMm);
        if (dome > 0)
        {
            outlines.Add(Closed(state.XMm, [.. Cap(dome, site.BoardRadiusMm).Select(at => (at.R, land + at.H))]));
        }
        return new SectionJoint(i, state.Name, state.XMm, false, outlines);
    }

    // From the rim to the apex.
    private static IEnumerable<(double R, double H)> Cap(double height, double radius)
    {
        double sphere = SolderCap.SphereRadiusMm(height, radius);
        double half = 2 * Math.Atan2(height, radius);
        for (int k = 0; k <= CapPoints; k++)
        {
            double angle = half * (1 - (double)k / CapPoints);
            yield return (sphere * Math.Sin(angle), height - sphere * (1 - Math.Cos(angle)));
        }
    }

    private static SectionPoint[] Closed(double x, (double R, double Z)[] right) =>
        [
            .. right.Select(at => new SectionPoint(x + at.R, at.Z)),
            .. right.Reverse().Select(at => new SectionPoint(x - at.R, at.Z)),
        ];
}
