using Graftbench.Core.Heating;
using Graftbench.Core.Jobs;
using Graftbench.Core.Watching;

namespace Graftbench.Core.Calibrating;

/// <summary>A trial run on a scrap board: what was heated, how it was set, and what the probes read.</summary>
/// <param name="Job">Board, chip on it, and bench; a calibration that it carries is not used.</param>
/// <param name="Task">How the chip sits: <see cref="HeatTask.Lift"/> for one that is soldered on.</param>
/// <param name="ChipId">The chip under the nozzle.</param>
/// <param name="Probes">One to four probes and where they sit.</param>
/// <param name="Readings">What they read; time 0 is the start of the heat.</param>
/// <param name="SetPoints">What was set on the heaters over time; null where nobody knows.</param>
/// <param name="At">When the trial ran.</param>
public sealed record CalibrationRequest(
    Job Job,
    HeatTask Task,
    string ChipId,
    IReadOnlyList<WatchProbe> Probes,
    IReadOnlyList<ProbeReading> Readings,
    HeatSchedule? SetPoints,
    DateTimeOffset At
)
{
    /// <summary>The nozzle; null for the bench's only one, else one that reaches beyond the chip by the usual overhang.</summary>
    public Nozzle? Nozzle { get; init; }

    /// <summary>Flow as share of the strongest step [%]; null for the middle step of the bench, else the strongest.</summary>
    public double? FlowPercent { get; init; }

    /// <summary>Whether the person has checked by sight that the nozzle stood centred over the chip.</summary>
    public bool AlignmentChecked { get; init; }

    /// <summary>From a wider grid: faster, for trials of the method.</summary>
    public bool Rough { get; init; }
}

/// <summary>How a calibration ended.</summary>
public enum CalibrationState
{
    /// <summary>Something was learned and may be used.</summary>
    Trusted,

    /// <summary>The model cannot explain the trial; nothing of it may be used.</summary>
    NotExplained,

    /// <summary>The trial cannot be used at all; the problems say why.</summary>
    Refused,
}

/// <summary>How much the trial taught of one number.</summary>
public enum LearnedShare
{
    /// <summary>Its spread is at most half of what it was.</summary>
    Learned,

    /// <summary>Its spread is at most four fifths of what it was.</summary>
    Partly,

    /// <summary>Its spread is hardly smaller than before: the trial says nothing of it.</summary>
    Not,
}

/// <summary>What the trial says of one number.</summary>
/// <param name="Factor">Name of the factor in <c>HeatFactors</c>.</param>
/// <param name="Title">What it is.</param>
/// <param name="OfBench">Whether it belongs to the bench; else to the board of the trial, and is used for no other.</param>
/// <param name="BaseNumber">What it was taken for before; null where that is no single number.</param>
/// <param name="Unit">Unit of that.</param>
/// <param name="Ratio">What the trial says, as multiple of that.</param>
/// <param name="LogSdRatio">Standard deviation of its natural logarithm.</param>
/// <param name="PriorLogSdRatio">The same before the trial.</param>
public sealed record LearnedNumber(
    string Factor,
    string Title,
    bool OfBench,
    double? BaseNumber,
    string Unit,
    double Ratio,
    double LogSdRatio,
    double PriorLogSdRatio
)
{
    /// <summary>How much was learned.</summary>
    public LearnedShare Share =>
        LogSdRatio <= 0.5 * PriorLogSdRatio ? LearnedShare.Learned
        : LogSdRatio <= 0.8 * PriorLogSdRatio ? LearnedShare.Partly
        : LearnedShare.Not;
}

/// <summary>Two numbers that the trial cannot tell apart: together they are known better than each.</summary>
/// <param name="First">Title of one.</param>
/// <param name="Second">Title of the other.</param>
/// <param name="CorrelationRatio">Correlation of their logarithms, -1 to 1.</param>
/// <param name="Together">What of them is known: their product or their ratio.</param>
/// <param name="TogetherLogSdRatio">Standard deviation of the logarithm of that.</param>
/// <param name="ApartLogSdRatio">What it would be without the correlation.</param>
public sealed record LearnedPair(
    string First,
    string Second,
    double CorrelationRatio,
    string Together,
    double TogetherLogSdRatio,
    double ApartLogSdRatio
);

/// <summary>How well one probe is explained.</summary>
/// <param name="Channel">Channel.</param>
/// <param name="BeforeDeltaK">Root mean square of reading less model with the usual figures [K].</param>
/// <param name="AfterDeltaK">The same with what was learned [K].</param>
/// <param name="CorrelatedS">How long a residual lasts: its correlation, added up over time [s].</param>
/// <param name="BiasDeltaK">What the probe itself seems to read too much [K].</param>
/// <param name="LeftOutBeforeDeltaK">Root mean square with the usual figures of this probe [K]; null with a single probe.</param>
/// <param name="LeftOutDeltaK">The same as forecast from the other probes alone [K].</param>
public sealed record ProbeResidual(
    string Channel,
    double BeforeDeltaK,
    double AfterDeltaK,
    double CorrelatedS,
    double BiasDeltaK,
    double? LeftOutBeforeDeltaK,
    double? LeftOutDeltaK
);

/// <summary>How much better the next forecast is.</summary>
/// <param name="SplitS">The fit of the first part of the trial, up to here, forecasts the rest [s].</param>
/// <param name="SecondHalfBeforeDeltaK">Root mean square of the rest with the usual figures [K].</param>
/// <param name="SecondHalfAfterDeltaK">The same as forecast from the first part [K].</param>
/// <param name="ColdestBeforeC">Peak of the coldest joint in the trial by the usual figures [°C].</param>
/// <param name="ColdestBeforeDeltaK">Its standard deviation then [K].</param>
/// <param name="ColdestAfterC">The same after the trial [°C].</param>
/// <param name="ColdestAfterDeltaK">Its standard deviation on this board [K].</param>
/// <param name="OtherBoardDeltaK">Its standard deviation on another board of the same sort, whose copper the trial does not know [K].</param>
public sealed record ForecastGain(
    double SplitS,
    double SecondHalfBeforeDeltaK,
    double SecondHalfAfterDeltaK,
    double ColdestBeforeC,
    double ColdestBeforeDeltaK,
    double ColdestAfterC,
    double ColdestAfterDeltaK,
    double OtherBoardDeltaK
);

/// <summary>Outcome of a calibration.</summary>
/// <param name="State">How it ended.</param>
/// <param name="Answer">The answer in one or two sentences.</param>
/// <param name="Problems">Why it was refused or is not explained; empty where it is trusted.</param>
/// <param name="Notes">What else a person should know.</param>
/// <param name="Numbers">What was learned and not, bench first.</param>
/// <param name="Pairs">Numbers known only together.</param>
/// <param name="Residuals">Residuals by probe.</param>
/// <param name="ResidualDeltaK">Root mean square of all [K].</param>
/// <param name="Gain">How much better the next forecast is; null where nothing was fitted.</param>
/// <param name="Calibration">What the bench keeps; null unless it is trusted.</param>
public sealed record CalibrationResult(
    CalibrationState State,
    string Answer,
    IReadOnlyList<string> Problems,
    IReadOnlyList<string> Notes,
    IReadOnlyList<LearnedNumber> Numbers,
    IReadOnlyList<LearnedPair> Pairs,
    IReadOnlyList<ProbeResidual> Residuals,
    double ResidualDeltaK,
    ForecastGain? Gain,
    BenchCalibration? Calibration
);
