using Graftbench.Core.Findings;

namespace Graftbench.Core.Proof;

/// <summary>What is known of one rail or signal.</summary>
/// <param name="Net">Its name.</param>
/// <param name="Rail">The rail; null for a signal.</param>
/// <param name="Findings">What was found, worst first, at least one.</param>
public sealed record NetProof(string Net, ProofRail? Rail, IReadOnlyList<Finding> Findings)
{
    /// <summary>Kind of the readings that decide.</summary>
    public ReadingKind Kind { get; init; }

    /// <summary>What was read now; null where nothing was, or where repeats contradict each other.</summary>
    public MeterValue? Now { get; init; }

    /// <summary>What it is held against; null where there is nothing.</summary>
    public MeterValue? Baseline { get; init; }

    /// <summary>The state that it is held against; null where there is none.</summary>
    public ReadingState? BaselineState { get; init; }

    /// <summary>Now by baseline; null where there are not both numbers, or the baseline is 0.</summary>
    public double? ChangeRatio { get; init; }

    /// <summary>Diode-mode: change without the common shift [V]; null where it cannot be told.</summary>
    public double? ShiftV { get; init; }

    /// <summary>Repeats that were made now.</summary>
    public int Repeats { get; init; }

    /// <summary>Repeats that would be needed in each state to see what is sought; null where that is not asked.</summary>
    public int? NeededRepeats { get; init; }

    /// <summary>Diode-mode: smallest shift that these repeats can show [V]; null where unknown.</summary>
    public double? SeenFromV { get; init; }

    /// <summary>Like junctions on the net, this chip's included; 1 where the chip's is the only one; null where unknown.</summary>
    public int? Junctions { get; init; }

    /// <summary>Why a person lets it pass; null where nobody does.</summary>
    public string? Waived { get; init; }

    /// <summary>Worst of what was found.</summary>
    public Verdict Verdict => Finding.Worst(Findings);

    /// <summary>Whether it was held against something: a rail that was not is never ok.</summary>
    public bool Compared =>
        Now is not null && Baseline is not null && !Findings.Any(one => one.Verdict == Verdict.Unknown);

    /// <summary>Whether it forbids power: a stop, or a rail of which nothing is known; a waiver lifts it.</summary>
    public bool BarsPower => Waived is null && Barring.Any();

    /// <summary>The findings that forbid power where nobody lets them pass: stops, and for a rail what is unknown.</summary>
    internal IEnumerable<Finding> Barring =>
        Findings.Where(one =>
            one.Verdict is Verdict.Blocker or Verdict.FixFirst || (Rail is not null && one.Verdict == Verdict.Unknown)
        );
}

/// <summary>What all nets of a set moved by together: temperature, the meter's battery, leads.</summary>
/// <param name="From">The state before.</param>
/// <param name="Meter">Meter; null where nobody said.</param>
/// <param name="Polarity">Polarity; null where nobody said.</param>
/// <param name="Nets">Nets in it.</param>
/// <param name="MedianV">Median of the changes [V].</param>
/// <param name="Removed">Whether it was taken off each net: only where there are nets enough.</param>
/// <param name="TemperatureDeltaK">Warmer by [K]; null where a temperature is missing.</param>
/// <param name="ExpectedV">What temperature explains [V]; null where it is missing.</param>
public sealed record CommonShift(
    ReadingState From,
    string? Meter,
    ProbePolarity? Polarity,
    int Nets,
    double MedianV,
    bool Removed,
    double? TemperatureDeltaK,
    double? ExpectedV
)
{
    /// <summary>What is taken off each net [V]: the median, else what temperature explains, else nothing.</summary>
    public double TakenOffV => Removed ? MedianV : ExpectedV ?? 0;
}

/// <summary>The proof before power.</summary>
/// <param name="Nets">Every rail and signal, the worst first; rails before signals among equals.</param>
/// <param name="Shifts">What sets of diode-mode readings moved by together.</param>
/// <param name="Repeat">Repeatabilities that were used.</param>
/// <param name="General">Findings that belong to no net, worst first.</param>
/// <param name="Request">What was asked.</param>
/// <param name="Readings">The readings that count.</param>
public sealed record ProofAnswer(
    IReadOnlyList<NetProof> Nets,
    IReadOnlyList<CommonShift> Shifts,
    IReadOnlyList<Repeatability> Repeat,
    IReadOnlyList<Finding> General,
    ProofRequest Request,
    ReadingSet Readings
)
{
    /// <summary>All findings, worst first.</summary>
    public IReadOnlyList<Finding> Findings => Finding.WorstFirst(General.Concat(Nets.SelectMany(net => net.Findings)));

    /// <summary>Rails and signals that forbid power, worst first.</summary>
    public IEnumerable<NetProof> Bars => Nets.Where(net => net.BarsPower);

    /// <summary>Whether nothing stands against power: every rail was held against its baseline, or is waived by name.</summary>
    public bool MayPower => Nets.Any(net => net.Rail is not null) && !Bars.Any();

    /// <summary>A net by its name; null where there is none.</summary>
    public NetProof? Of(string net) => Nets.FirstOrDefault(one => NetNames.Same(one.Net, net));
}
