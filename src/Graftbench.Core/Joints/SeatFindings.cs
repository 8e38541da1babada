using System.Globalization;
using Graftbench.Core.Findings;
using static System.FormattableString;

namespace Graftbench.Core.Joints;

/// <summary>Findings about necks that break, balls that do not suit and solder that is not known.</summary>
internal static class SeatFindings
{
    private const double SameBallMm = 0.004;

    public static IEnumerable<Finding> Of(JointPlan plan)
    {
        JointState[] parted = [.. plan.Joints.Where(joint => joint.Class.HasFlag(JointClass.Parted))];
        if (parted.Length > 0 || plan.Chance!.PartedFraction > 0)
        {
            yield return new Finding(
                Verdict.FixFirst,
                "joints.pulled-apart",
                plan.Subject,
                Invariant(
                    $"{parted.Length} joints form and are pulled apart again at nominal sizes; so is one or more in {100 * plan.Chance!.PartedFraction:0.0} % of drawn packages."
                ),
                null,
                null,
                JointFindings.Model,
                "The package tips while it is molten: look for a load beside the middle, or parts near one edge."
            );
        }
        double ball = JointChanges.BallMm(plan.Request);
        if (
            plan.Balls.FirstOrDefault(choice => Math.Abs(choice.BallDiameterMm - ball) < SameBallMm) is
            { Suits: false } odd
        )
        {
            yield return new Finding(
                Verdict.Warning,
                "joints.ball",
                plan.Subject,
                Invariant($"Balls of {odd.BallDiameterMm:0.00#} mm do not suit: {odd.Why}."),
                Invariant($"{odd.BallDiameterMm:0.00#} mm"),
                null,
                odd.Source,
                plan.Balls is [{ Suits: true } best, ..]
                    ? Invariant($"Balls of {best.BallDiameterMm:0.00#} mm: {best.Why}.")
                    : "Check pad, land and pitch."
            );
        }
        if (!plan.Request.Solder.Known)
        {
            yield return new Finding(
                Verdict.Warning,
                "joints.solder-assumed",
                plan.Subject,
                Invariant(
                    $"The tension of the molten solder is assumed: {plan.Request.Solder.TensionNPerM:0.00} N/m ± {plan.Request.Solder.TensionErrorPercent:0} %, wide enough for the alloys in use under flux but tin-bismuth."
                ),
                null,
                null,
                JointFindings.Model,
                "Enter the alloy of the balls."
            );
        }
    }
}
