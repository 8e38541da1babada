using System.Text.Json.Serialization;
using Graftbench.Core.Drying;
using Graftbench.Core.Findings;
using Graftbench.Core.Heating;
using Graftbench.Core.Jobs;
using Graftbench.Core.Joints;
using Graftbench.Core.Ledger;

namespace Graftbench.Core.Planning;

/// <summary>Every answer that the job allows, computed at one moment.</summary>
/// <param name="Job">The job that was planned.</param>
/// <param name="ComputedAt">Moment the plan was computed for.</param>
/// <param name="Questions">The ten questions in the order of the work.</param>
/// <param name="Drying">Answer to question 2.</param>
/// <param name="Ledger">Heats spent and planned.</param>
/// <param name="Cautions">Cautions that this job needs, most urgent first.</param>
/// <param name="Findings">All findings of all answers, worst first.</param>
/// <param name="SourceIds">Ids of every source that the answers lean on.</param>
/// <param name="Heat">Answer to question 3; null where no heat plan was computed.</param>
/// <param name="Joints">Answer to question 5; null where no joint seat was computed.</param>
/// <param name="Firmware">Answer to question 8; null where no image of the flash chip was looked at.</param>
/// <param name="Inspection">Answer to question 6; null where no picture was looked at.</param>
public sealed record JobPlan(
    Job Job,
    DateTimeOffset ComputedAt,
    IReadOnlyList<QuestionAnswer> Questions,
    DryingPlan Drying,
    HeatLedger Ledger,
    IReadOnlyList<Caution> Cautions,
    IReadOnlyList<Finding> Findings,
    IReadOnlyList<string> SourceIds,
    [property: JsonIgnore(Condition = JsonIgnoreCondition.WhenWritingNull)] HeatPlan? Heat = null,
    [property: JsonIgnore(Condition = JsonIgnoreCondition.WhenWritingNull)] JointPlan? Joints = null,
    [property: JsonIgnore(Condition = JsonIgnoreCondition.WhenWritingNull)] FirmwareSummary? Firmware = null,
    [property: JsonIgnore(Condition = JsonIgnoreCondition.WhenWritingNull)] InspectionSummary? Inspection = null
);

/// <summary>One of the ten questions with its answer in one line.</summary>
/// <param name="Number">1 to 10.</param>
/// <param name="Question">The question as it stands on the screen.</param>
/// <param name="Computed">False where this question is not built yet.</param>
/// <param name="Verdict">Worst verdict of its findings; unknown where it is not computed.</param>
/// <param name="Answer">The answer in one large line.</param>
/// <param name="Next">What to do next; null where nothing is to be done.</param>
public sealed record QuestionAnswer(
    int Number,
    string Question,
    bool Computed,
    Verdict Verdict,
    string Answer,
    string? Next
);

/// <summary>A caution for the screen and the sheet.</summary>
/// <param name="Hazard">What can hurt.</param>
/// <param name="Text">What to do, with its figure.</param>
/// <param name="Confidence">Confidence mark.</param>
/// <param name="Source">Source id.</param>
public sealed record Caution(string Hazard, string Text, string Confidence, string Source);
