using Graftbench.Core.Findings;
using Graftbench.Core.Jobs;

namespace Graftbench.Core.Ledger;

/// <summary>Heats spent and planned for each board and chip, beside the guideline.</summary>
/// <param name="Accounts">Chips first, then host and donor board.</param>
/// <param name="Findings">Findings, worst first.</param>
public sealed record HeatLedger(IReadOnlyList<HeatAccount> Accounts, IReadOnlyList<Finding> Findings);

/// <summary>The heats of one board or chip.</summary>
/// <param name="Id"><c>host</c>, <c>donor</c> or the chip's id.</param>
/// <param name="Title">What a person calls it.</param>
/// <param name="Spent">Heats on record, oldest first.</param>
/// <param name="SpentNumber">Heats spent: those on record plus those assumed.</param>
/// <param name="AssumedNumber">Heats that must have happened but are not on record (the build).</param>
/// <param name="Planned">Heats that this job still plans.</param>
/// <param name="PlannedLowNumber">Lower end of the planned count.</param>
/// <param name="PlannedHighNumber">Upper end of the planned count.</param>
/// <param name="GuidelineNumber">The guideline.</param>
/// <param name="GuidelineSource">Source id of the guideline.</param>
public sealed record HeatAccount(
    string Id,
    string Title,
    IReadOnlyList<Heat> Spent,
    double SpentNumber,
    double AssumedNumber,
    IReadOnlyList<PlannedHeat> Planned,
    double PlannedLowNumber,
    double PlannedHighNumber,
    double GuidelineNumber,
    string GuidelineSource
);

/// <summary>A heat that the job still plans.</summary>
/// <param name="Kind">What for.</param>
/// <param name="LowNumber">What it counts at least.</param>
/// <param name="HighNumber">What it counts at most.</param>
/// <param name="Source">Source id.</param>
public sealed record PlannedHeat(HeatKind Kind, double LowNumber, double HighNumber, string Source);
