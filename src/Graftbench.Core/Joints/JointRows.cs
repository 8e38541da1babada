namespace Graftbench.Core.Joints;

/// <summary>Which row of a package is worth looking at.</summary>
public static class JointRows
{
    private const double SameRowMm = 1e-6;

    /// <summary>The row with the joint in most need: open first, then likeliest open, then nearest to not reaching its land.</summary>
    /// <param name="plan">The answer.</param>
    /// <returns>Its place in <see cref="JointSections.RowsMm"/>; 0 without joints.</returns>
    public static int Neediest(JointPlan plan)
    {
        ArgumentNullException.ThrowIfNull(plan);
        if (plan.Joints.Count == 0)
        {
            return 0;
        }
        JointState worst = plan
            .Joints.OrderByDescending(joint =>
                (joint.Class & (JointClass.Open | JointClass.Missing)) != JointClass.None
            )
            .ThenByDescending(joint => joint.OpenFraction ?? 0)
            .ThenByDescending(joint => joint.GapMm - joint.TouchHeightMm)
            .First();
        IReadOnlyList<double> rowsMm = JointSections.RowsMm(plan);
        int at = 0;
        while (at < rowsMm.Count - 1 && rowsMm[at] < worst.YMm - SameRowMm)
        {
            at++;
        }
        return at;
    }
}
