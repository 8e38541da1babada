using Graftbench.Core.Findings;
using Graftbench.Core.Fit.Maps;
using Graftbench.Core.Proof;

namespace Graftbench.Core.Returns;

/// <summary>What the comparison of hand-over and return is asked with.</summary>
/// <param name="Readings">Readings of both states; others are left aside.</param>
public sealed record ReturnRequest(IReadOnlyList<Reading> Readings)
{
    /// <summary>Ball list of the chip, for the picture; null where there is none.</summary>
    public BallMap? Map { get; init; }

    /// <summary>Limits.</summary>
    public ProofThresholds Thresholds { get; init; } = ProofThresholds.Standard;
}

/// <summary>One net at hand-over and on return.</summary>
/// <param name="Net">Its name.</param>
/// <param name="Kind">Kind of reading.</param>
/// <param name="Before">At hand-over; null where missing or contradictory.</param>
/// <param name="Now">On return; null where missing or contradictory.</param>
/// <param name="ShiftNumber">Change without the common shift, in the unit of the kind, for a resistance in shares (0.1 is 10 %); null where it cannot be told.</param>
/// <param name="LimitNumber">Change beyond which it stands out, in the same unit; null where it cannot be told.</param>
/// <param name="StandsOut">Whether it does.</param>
/// <param name="Why">Why it could not be compared; null where it was.</param>
/// <param name="Balls">Balls of the chip on it.</param>
public sealed record NetReturn(
    string Net,
    ReadingKind Kind,
    MeterValue? Before,
    MeterValue? Now,
    double? ShiftNumber,
    double? LimitNumber,
    bool StandsOut,
    string? Why,
    IReadOnlyList<string> Balls
);

/// <summary>What all nets of one kind moved by together.</summary>
/// <param name="Kind">Kind.</param>
/// <param name="Nets">Nets in it.</param>
/// <param name="MedianNumber">Median change, in the unit of the kind; for a resistance in shares.</param>
/// <param name="TemperatureDeltaK">Warmer on return by [K]; null where a temperature is missing.</param>
/// <param name="ExpectedV">Diode-mode: what temperature explains [V]; null where it is missing.</param>
public sealed record ReturnShift(
    ReadingKind Kind,
    int Nets,
    double MedianNumber,
    double? TemperatureDeltaK,
    double? ExpectedV
);

/// <summary>How the nets that stand out lie on the ball field.</summary>
public enum ReturnPattern
{
    /// <summary>No ball list, no ball stands out, or too few to tell.</summary>
    NotTold,

    /// <summary>Near several corners.</summary>
    Corners,

    /// <summary>Together at a corner.</summary>
    Corner,

    /// <summary>Together, away from the corners.</summary>
    Block,

    /// <summary>Scattered.</summary>
    Scattered,
}

/// <summary>Hand-over against return.</summary>
/// <param name="Answer">The answer in one line.</param>
/// <param name="Next">What to do next; null where nothing is to be done.</param>
/// <param name="Nets">Every net, those that stand out first, the largest by its limit first.</param>
/// <param name="Shifts">What all of them moved by together.</param>
/// <param name="Pattern">How those that stand out lie.</param>
/// <param name="Chance">The test behind it; null where none was made.</param>
/// <param name="Repeat">Repeatabilities that were used.</param>
/// <param name="Findings">Findings, worst first.</param>
public sealed record ReturnAnswer(
    string Answer,
    string? Next,
    IReadOnlyList<NetReturn> Nets,
    IReadOnlyList<ReturnShift> Shifts,
    ReturnPattern Pattern,
    ClusterChance? Chance,
    IReadOnlyList<Repeatability> Repeat,
    IReadOnlyList<Finding> Findings
)
{
    /// <summary>Nets that stand out.</summary>
    public IEnumerable<NetReturn> StandingOut => Nets.Where(net => net.StandsOut);

    /// <summary>Worst of what was found.</summary>
    public Verdict Verdict => Finding.Worst(Findings);
}
