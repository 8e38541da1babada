using Graftbench.Core.Findings;

namespace Graftbench.Core.Planning;

public static partial class Planner
{
    private static QuestionAnswer FirmwareAnswer(string question, FirmwareSummary firmware, IReadOnlyList<Finding> all)
    {
        // A waiver sets a finding aside, never what the images themselves say.
        Verdict verdict = Own(firmware.Findings, all).Select(finding => finding.Verdict).Append(firmware.Verdict).Min();
        return new QuestionAnswer(FirmwareNumber, question, true, verdict, firmware.Answer, firmware.Next);
    }
}
