using Graftbench.Core.Findings;

namespace Graftbench.Core.Planning;

public static partial class Planner
{
    private static QuestionAnswer InspectionAnswer(
        string question,
        InspectionSummary inspection,
        IReadOnlyList<Finding> all
    )
    {
        // A waiver sets a finding aside; what nobody looked at stays unknown.
        Verdict verdict = Own(inspection.Findings, all)
            .Select(finding => finding.Verdict)
            .Append(inspection.Verdict == Verdict.Unknown ? Verdict.Unknown : Verdict.Ok)
            .Min();
        return new QuestionAnswer(InspectionNumber, question, true, verdict, inspection.Answer, inspection.Next);
    }
}
