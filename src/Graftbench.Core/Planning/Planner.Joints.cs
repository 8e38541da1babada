using Graftbench.Core.Findings;
using Graftbench.Core.Joints;

namespace Graftbench.Core.Planning;

public static partial class Planner
{
    private static QuestionAnswer JointAnswer(string question, JointPlan joints, IReadOnlyList<Finding> all)
    {
        List<Finding> findings = Own(joints.Findings, all);
        Verdict state = joints.State switch
        {
            // An answer without its chance or without a settled package is none.
            JointPlanState.Reached when joints.Chance is null || joints.Molten is not { Converged: true } =>
                Verdict.Unknown,
            JointPlanState.Reached => Verdict.Ok,
            JointPlanState.NeedsSolder => Verdict.FixFirst,
            JointPlanState.CannotBeReached => Verdict.Blocker,
            // What holds it is among the findings, unless it is only not known.
            JointPlanState.Held => Verdict.Unknown,
            _ => Verdict.Unknown,
        };
        Verdict verdict = findings.Select(finding => finding.Verdict).Append(state).Min();
        if (joints.State == JointPlanState.Held && verdict == Verdict.Warning)
        {
            // A warning beside it must not make what nobody looked at look known.
            verdict = Verdict.Unknown;
        }
        string? next =
            Urgent(findings)
            ?? (
                // What holds it is said by the answer; a change that gains chance is no next step before that.
                joints.State
                    is JointPlanState.Reached
                        or JointPlanState.Held
                    ? null
                    : joints.Levers.FirstOrDefault(lever => lever.Enough)?.What
            )
            ?? findings
                .FirstOrDefault(finding =>
                    finding.Todo is not null
                    && (joints.State != JointPlanState.Held || finding.Code == JointHolds.PartsUnknown)
                )
                ?.Todo;
        // The answer is a sentence to act on: what it says already is not said twice.
        bool said = next is not null && joints.Answer.Contains(next, StringComparison.Ordinal);
        return new QuestionAnswer(JointQuestion, question, true, verdict, joints.Answer, said ? null : next);
    }
}
