using System.Text.Json.Serialization;
using Graftbench.Core.Drying;
using Graftbench.Core.Facts;
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
/// <param name="Apart">Answers that were made apart.</param>
public sealed record JobPlan(
    Job Job,
    DateTimeOffset ComputedAt,
    IReadOnlyList<QuestionAnswer> Questions,
    DryingPlan Drying,
    HeatLedger Ledger,
    IReadOnlyList<Caution> Cautions,
    IReadOnlyList<Finding> Findings,
    IReadOnlyList<string> SourceIds,
    [property: JsonIgnore] ApartAnswers? Apart = null
)
{
    /// <summary>Answer to question 1; null where no fit was computed.</summary>
    [JsonIgnore(Condition = JsonIgnoreCondition.WhenWritingNull)]
    public QuestionSummary? Fit => Apart?.Fit;

    /// <summary>Answer to question 3; null where no heat plan was computed.</summary>
    [JsonIgnore(Condition = JsonIgnoreCondition.WhenWritingNull)]
    public HeatPlan? Heat => Apart?.Heat;

    /// <summary>Answer to question 5; null where no joint seat was computed.</summary>
    [JsonIgnore(Condition = JsonIgnoreCondition.WhenWritingNull)]
    public JointPlan? Joints => Apart?.Joints;

    /// <summary>Answer to question 6; null where no picture was looked at.</summary>
    [JsonIgnore(Condition = JsonIgnoreCondition.WhenWritingNull)]
    public QuestionSummary? Inspection => Apart?.Inspection;

    /// <summary>Answer to question 7; null where nothing was measured.</summary>
    [JsonIgnore(Condition = JsonIgnoreCondition.WhenWritingNull)]
    public QuestionSummary? Proof => Apart?.Proof;

    /// <summary>Answer to question 8; null where no image of the flash chip was looked at.</summary>
    [JsonIgnore(Condition = JsonIgnoreCondition.WhenWritingNull)]
    public QuestionSummary? Firmware => Apart?.Firmware;

    /// <summary>Answer to question 9; null where nothing was tested.</summary>
    [JsonIgnore(Condition = JsonIgnoreCondition.WhenWritingNull)]
    public QuestionSummary? NextTest => Apart?.NextTest;

    /// <summary>Answer to question 10; null where it is not asked yet.</summary>
    [JsonIgnore(Condition = JsonIgnoreCondition.WhenWritingNull)]
    public QuestionSummary? Handover => Apart?.Handover;
}

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
/// <param name="When">Jobs that it belongs to.</param>
public sealed record Caution(string Hazard, string Text, string Confidence, string Source, CautionWhen When)
{
    /// <summary>Tells whether the hazard is there at the work of a question.</summary>
    /// <param name="question">Number of the question, 1 to 10.</param>
    /// <returns>Whether to show it there; each belongs to at least one question.</returns>
    public bool IsOf(int question) =>
        When switch
        {
            CautionWhen.Lithium => question is 2 or 3 or 4,
            CautionWhen.Leaded => question is 3 or 4 or 5,
            CautionWhen.Drying => question is 2,
            CautionWhen.Heating => question is 3 or 4 or 9,
            CautionWhen.Solvent => question is 2 or 3 or 5,
            CautionWhen.Power => question is 7 or 9 or 10,
            CautionWhen.Identity => question is 1 or 8,
            _ => true,
        };
}
