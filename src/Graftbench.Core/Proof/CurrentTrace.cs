namespace Graftbench.Core.Proof;

/// <summary>Supply current over time.</summary>
/// <param name="TimeS">Times, rising [s].</param>
/// <param name="CurrentA">Currents, as many [A].</param>
public sealed record CurrentTrace(IReadOnlyList<double> TimeS, IReadOnlyList<double> CurrentA)
{
    /// <summary>Most samples of a trace: our own limit.</summary>
    public const int MostSamples = 2_000_000;

    /// <summary>Fewest samples that say anything: our own limit.</summary>
    public const int LeastSamples = 10;

    /// <summary>Largest current that is taken [A]: our own limit.</summary>
    public const double MostCurrentA = 100;

    /// <summary>Longest trace that is taken [s]: a day, our own limit.</summary>
    public const double MostTimeS = 86_400;

    /// <summary>From the first sample to the last [s].</summary>
    public double LengthS => TimeS.Count == 0 ? 0 : TimeS[^1] - TimeS[0];

    /// <summary>Reads a trace as text in columns; docs/readings.md has the format. Content never throws.</summary>
    /// <param name="text">Text of the file.</param>
    public static TraceReading Read(string text)
    {
        ArgumentNullException.ThrowIfNull(text);
        return CurrentTraceReader.Read(text);
    }
}

/// <summary>What came of reading a trace.</summary>
/// <param name="Trace">The trace; null where there is none to be had.</param>
/// <param name="Problems">All that is wrong, in the order of the file.</param>
/// <param name="NotListed">Problems beyond those.</param>
public sealed record TraceReading(CurrentTrace? Trace, IReadOnlyList<ReadingProblem> Problems, int NotListed);

/// <summary>A stretch of a trace at one level.</summary>
/// <param name="FromS">Begins at [s], from the start of the trace.</param>
/// <param name="ToS">Ends at [s].</param>
/// <param name="MeanCurrentA">Mean current [A].</param>
/// <param name="ScatterCurrentA">Standard deviation of the current in it [A].</param>
public sealed record TracePlateau(double FromS, double ToS, double MeanCurrentA, double ScatterCurrentA)
{
    /// <summary>How long it lasts [s].</summary>
    public double LengthS => ToS - FromS;
}

/// <summary>What a trace of the first power looks like.</summary>
public enum TraceSignature
{
    /// <summary>None of the others.</summary>
    Unknown,

    /// <summary>Nothing flows.</summary>
    Zero,

    /// <summary>At the limit at once.</summary>
    AtLimit,

    /// <summary>Standby, and it stays there.</summary>
    Standby,

    /// <summary>Short kicks, and back to standby.</summary>
    KickAndBack,

    /// <summary>Steps to a plateau above standby and stays there, flat.</summary>
    MidPlateau,

    /// <summary>Rises, works, and starts anew every few seconds.</summary>
    Restarts,

    /// <summary>Varies as a board does that is busy.</summary>
    Busy,

    /// <summary>Climbs slowly without a plateau.</summary>
    SlowClimb,
}

/// <summary>A number that decided about a trace.</summary>
/// <param name="What">What it is, in words with its unit.</param>
/// <param name="Value">What was found.</param>
/// <param name="Limit">What it was held against; null where nothing.</param>
public sealed record TraceFigure(string What, string Value, string? Limit);

/// <summary>What a trace of the first power says.</summary>
/// <param name="Signature">What it looks like.</param>
/// <param name="Words">What it looks like, in words.</param>
/// <param name="ReadsAs">What that usually stands for.</param>
/// <param name="Todo">What to do.</param>
/// <param name="Figures">The numbers that decided.</param>
/// <param name="Plateaus">Stretches of one level.</param>
/// <param name="NoiseCurrentA">Noise from sample to sample, one standard deviation [A].</param>
/// <param name="OutcomeId">Outcome of the diagnosis test <c>current</c> that it amounts to; null for unknown.</param>
/// <param name="Findings">Findings, worst first.</param>
public sealed record TraceAnswer(
    TraceSignature Signature,
    string Words,
    string ReadsAs,
    string Todo,
    IReadOnlyList<TraceFigure> Figures,
    IReadOnlyList<TracePlateau> Plateaus,
    double NoiseCurrentA,
    string? OutcomeId,
    IReadOnlyList<Findings.Finding> Findings
);

/// <summary>What a trace is judged with.</summary>
/// <param name="Trace">The trace.</param>
public sealed record TraceRequest(CurrentTrace Trace)
{
    /// <summary>Current limit of the supply [A]; null where not told.</summary>
    public double? LimitCurrentA { get; init; }

    /// <summary>Current expected at standby [A]; null where not told.</summary>
    public double? StandbyCurrentA { get; init; }

    /// <summary>The host's own traces while it was healthy.</summary>
    public IReadOnlyList<CurrentTrace> Healthy { get; init; } = [];

    /// <summary>Limits.</summary>
    public ProofThresholds Thresholds { get; init; } = ProofThresholds.Standard;
}
