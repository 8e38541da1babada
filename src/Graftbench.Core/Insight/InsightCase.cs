using Graftbench.Core.Jobs;

namespace Graftbench.Core.Insight;

/// <summary>How a job ended, as far as it is known on a day.</summary>
public enum CaseOutcome
{
    /// <summary>On the bench still: in no rate.</summary>
    Open,

    /// <summary>Ended, but so lately that its days of watching are not over: in no rate.</summary>
    TooEarly,

    /// <summary>Handed over, and nobody knows when: in no rate.</summary>
    NotDated,

    /// <summary>Handed over as working, and not back within the days of watching.</summary>
    Worked,

    /// <summary>Handed over as working, and back within the days of watching.</summary>
    CameBack,

    /// <summary>Given up, or handed back without working.</summary>
    DidNotWork,
}

/// <summary>What the record of a job says besides its document.</summary>
/// <param name="ChangedAt">When the document was saved last.</param>
/// <param name="FirstHandedOverAt">First hand-over, where an earlier revision tells of one that a return followed; null else.</param>
/// <param name="FirstReturnedAt">When it was first marked as returned; null where it never was.</param>
/// <param name="GivenUpAt">When its fault was closed without a cause and without proof; null where it was not.</param>
public sealed record RecordFacts(
    DateTimeOffset ChangedAt,
    DateTimeOffset? FirstHandedOverAt = null,
    DateTimeOffset? FirstReturnedAt = null,
    DateTimeOffset? GivenUpAt = null
);

/// <summary>Time and money spent on one step of a job.</summary>
/// <param name="What">The step.</param>
/// <param name="SpentMin">All its minutes [min]; null where none were entered.</param>
/// <param name="Cost">All its costs, in the currency of the case; null where none were entered.</param>
public sealed record StepSpent(WorkStep What, double? SpentMin, double? Cost);

/// <summary>What one job teaches: a few hundred bytes, whatever the size of its document.</summary>
/// <param name="JobId">The job.</param>
/// <param name="Revision">Revision that it was read from.</param>
/// <param name="OpenedAt">When it was taken in.</param>
/// <param name="IsHandedOver">Whether it was handed over.</param>
/// <param name="HandedOverAt">When it was first handed over; null where it was not, or the day is not known.</param>
/// <param name="ReturnedAt">When it first came back; null where it did not.</param>
/// <param name="FailedAt">When it was given up or handed back without working; null where it was not.</param>
/// <param name="Groups">The groups that it belongs to.</param>
/// <param name="DonorSource">Where its donor board came from; empty without one, or where not said.</param>
/// <param name="DonorChips">Chips that were lifted from its donor board.</param>
/// <param name="TransplantFromDonor">Whether the chip that went to the host is one of them.</param>
/// <param name="Currency">Currency of its costs; empty where not said.</param>
/// <param name="Spent">What was entered of time and money, by step.</param>
public sealed record InsightCase(
    string JobId,
    int Revision,
    DateTimeOffset? OpenedAt,
    bool IsHandedOver,
    DateTimeOffset? HandedOverAt,
    DateTimeOffset? ReturnedAt,
    DateTimeOffset? FailedAt,
    InsightGroups Groups,
    string DonorSource,
    int DonorChips,
    bool TransplantFromDonor,
    string Currency,
    IReadOnlyList<StepSpent> Spent
)
{
    /// <summary>The day that the case is counted under: when it ended, else when it was taken in; null where neither is known.</summary>
    public DateTimeOffset? CountedAt => FailedAt ?? HandedOverAt ?? (IsHandedOver ? null : OpenedAt);

    /// <summary>How it ended, as far as is known.</summary>
    /// <param name="asOf">The moment to look from.</param>
    /// <param name="watchDays">Days that every ended job is watched for before it counts [d].</param>
    /// <remarks>
    /// A return counts only once the days of watching are over, just as a machine that still works does: else lately ended
    /// jobs would enter by their failures first.
    /// </remarks>
    public CaseOutcome Outcome(DateTimeOffset asOf, double watchDays)
    {
        Require.FinitePositive(watchDays);
        if (FailedAt is { } failed)
        {
            return (asOf - failed).TotalDays < watchDays ? CaseOutcome.TooEarly : CaseOutcome.DidNotWork;
        }
        if (!IsHandedOver)
        {
            return CaseOutcome.Open;
        }
        if (HandedOverAt is not { } over)
        {
            return CaseOutcome.NotDated;
        }
        return (asOf - over).TotalDays < watchDays ? CaseOutcome.TooEarly
            : ReturnedAt is { } back && (back - over).TotalDays <= watchDays ? CaseOutcome.CameBack
            : CaseOutcome.Worked;
    }

    /// <summary>How long it worked, or is known to have worked; null where it was never handed over as working.</summary>
    /// <param name="asOf">The moment to look from.</param>
    public KnownSpan? Span(DateTimeOffset asOf) =>
        FailedAt is null && HandedOverAt is { } over && over <= asOf
            ? new KnownSpan(Math.Max(0, ((ReturnedAt ?? asOf) - over).TotalDays), ReturnedAt is not null)
            : null;
}
