using Graftbench.Core.Findings;
using Graftbench.Core.Jobs;
using Graftbench.Core.Ledger;
using Graftbench.Core.Planning;
using Graftbench.Core.Proof;
using Graftbench.Core.Returns;

namespace Graftbench.Core.Handover;

/// <summary>What became of the data that make a machine this one.</summary>
public enum IdentityState
{
    /// <summary>Nobody looked.</summary>
    NotKnown,

    /// <summary>The firmware stayed as it was; reads of it can be trusted.</summary>
    Untouched,

    /// <summary>New firmware with the machine's own data in it, read back byte for byte.</summary>
    Kept,

    /// <summary>New firmware was made or brought in, and it is not proven that the data are in the machine.</summary>
    NotProven,
}

/// <summary>What became of a machine's identity.</summary>
/// <param name="State">What became of it.</param>
/// <param name="Items">What was carried over, in plain words, each once: <c>serial numbers</c>; empty where nothing was.</param>
public sealed record HandoverIdentity(IdentityState State, IReadOnlyList<string> Items);

/// <summary>What evidence outside of the job document says; null where nothing could be looked at.</summary>
public sealed record HandoverFacts
{
    /// <summary>Readings that were taken at hand-over.</summary>
    public int? Readings { get; init; }

    /// <summary>What the trace of the first power says; null without one.</summary>
    public TraceAnswer? FirstPower { get; init; }

    /// <summary>What became of the machine's identity.</summary>
    public HandoverIdentity? Identity { get; init; }

    /// <summary>Readings of a return against those of the hand-over.</summary>
    public ReturnAnswer? Returned { get; init; }
}

/// <summary>What question 10 is computed of.</summary>
/// <param name="Plan">The plan of the job: its other answers, with waivers.</param>
/// <param name="Facts">What evidence outside of the document says.</param>
public sealed record HandoverRequest(JobPlan Plan, HandoverFacts Facts);

/// <summary>How a test ended, in the eyes of the owner.</summary>
public enum HandoverOutcome
{
    /// <summary>As it should be.</summary>
    Good,

    /// <summary>As it should be, with a remark.</summary>
    Remark,

    /// <summary>Not as it should be.</summary>
    Wrong,

    /// <summary>Not tested.</summary>
    NotTested,
}

/// <summary>What was tested, or not.</summary>
/// <param name="Id">Name: <c>question-7</c>, <c>first-power</c>, <c>soak</c>, <c>readings</c>.</param>
/// <param name="Outcome">How it ended.</param>
/// <param name="Partly">Whether points of it could not be checked.</param>
/// <param name="Words">The same in a sentence for the owner, free of the shop's own notes.</param>
public sealed record HandoverTest(string Id, HandoverOutcome Outcome, bool Partly, string Words);

/// <summary>Solder that is now under the chip.</summary>
/// <param name="Leaded">Whether it holds lead; null where that is not known.</param>
/// <param name="Alloys">Alloys of the table that meet there, balls first; an alloy that the table does not have is left out.</param>
public sealed record HandoverSolder(bool? Leaded, IReadOnlyList<string> Alloys);

/// <summary>A warranty.</summary>
/// <param name="Days">Its length; 0 for none [d].</param>
/// <param name="From">When it starts; null where it starts with handing over, which has not happened.</param>
/// <param name="Until">When it ends; null where its start is not known.</param>
public sealed record Warranty(int Days, DateTimeOffset? From, DateTimeOffset? Until);

/// <summary>Answer to question 10.</summary>
/// <param name="Verdict">The verdict; unknown where nothing stands against it and something was not tested.</param>
/// <param name="Answer">The answer in one line.</param>
/// <param name="Next">What to do next; null for nothing.</param>
/// <param name="Findings">The checklist with waivers applied, worst first.</param>
/// <param name="Tests">What was tested and what not, in words for the owner.</param>
/// <param name="Solder">Solder under the chip.</param>
/// <param name="Identity">What became of the identity.</param>
/// <param name="Warranty">The warranty; null where none was entered.</param>
/// <param name="Heats">Heats of what the owner gets back: chips on the host, host board.</param>
/// <param name="Waived">Whether anything was set aside, so that the owner had to be told.</param>
public sealed record HandoverAnswer(
    Verdict Verdict,
    string Answer,
    string? Next,
    IReadOnlyList<Finding> Findings,
    IReadOnlyList<HandoverTest> Tests,
    HandoverSolder Solder,
    HandoverIdentity Identity,
    Warranty? Warranty,
    IReadOnlyList<HeatAccount> Heats,
    bool Waived
)
{
    /// <summary>What stands against handing over, worst first.</summary>
    public IEnumerable<Finding> Stops =>
        Findings.Where(finding => finding.Verdict is Verdict.Blocker or Verdict.FixFirst);

    /// <summary>Whether nothing stands against handing over.</summary>
    public bool MayHandOver => !Stops.Any();

    /// <summary>The answer in short, with what the plan does not say elsewhere.</summary>
    public QuestionSummary Summary =>
        new(
            Verdict,
            Answer,
            Next,
            [.. Findings.Where(finding => finding.Code.StartsWith("handover.", StringComparison.Ordinal))],
            Waivable: false
        );
}
