using Graftbench.Core.Findings;
using Graftbench.Core.Mixing;

namespace Graftbench.Core.Joints;

/// <summary>Puts what the solders become into the answer of question 5.</summary>
public static class JointMixes
{
    /// <summary>The answer at a glance with what is refused and what is not known of its solders; nothing is melted for it.</summary>
    /// <param name="plan">The answer so far.</param>
    /// <param name="made">The solders as the document says them.</param>
    internal static JointPlan Glance(JointPlan plan, SeatMixMade made) =>
        JointHolds.On(
            plan with
            {
                Findings = Finding.WorstFirst([.. plan.Findings, .. made.Findings, .. SeatMix.Refused(made)]),
            }
        );

    /// <summary>The answer with the mixture of its joints and all that follows from it.</summary>
    /// <param name="plan">The answer so far.</param>
    /// <param name="made">The solders as the document says them.</param>
    /// <param name="cancel">Stops it.</param>
    public static JointPlan With(JointPlan plan, SeatMixMade made, CancellationToken cancel = default)
    {
        ArgumentNullException.ThrowIfNull(plan);
        ArgumentNullException.ThrowIfNull(made);
        MixAnswer? mixture = made.Request is { } request ? MixPlanner.Plan(request, made.Assumptions, cancel) : null;
        return JointHolds.On(
            plan with
            {
                Mixture = mixture,
                Findings = Finding.WorstFirst([
                    .. plan.Findings,
                    .. made.Findings,
                    .. mixture?.Findings ?? [],
                    .. JointHolds.SolidBalls(plan, mixture),
                ]),
                Assumptions = [.. plan.Assumptions, .. made.Assumptions],
            }
        );
    }
}
