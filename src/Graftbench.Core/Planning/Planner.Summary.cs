using Graftbench.Core.Findings;

namespace Graftbench.Core.Planning;

public static partial class Planner
{
    private static QuestionAnswer SummaryAnswer(
        int number,
        string question,
        QuestionSummary summary,
        IReadOnlyList<Finding> all
    )
    {
        // A waiver sets a finding aside; what nobody looked at stays unknown.
        Verdict least = !summary.Waivable || summary.Verdict == Verdict.Unknown ? summary.Verdict : Verdict.Ok;
        Verdict verdict = Own(summary.Findings, all).Select(finding => finding.Verdict).Append(least).Min();
        if (verdict == Verdict.Warning && least == Verdict.Unknown)
        {
            // A warning beside it must not make what nobody looked at look known.
            verdict = Verdict.Unknown;
        }
        return new QuestionAnswer(number, question, true, verdict, summary.Answer, summary.Next);
    }
}
