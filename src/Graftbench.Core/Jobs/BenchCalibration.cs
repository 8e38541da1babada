using System.ComponentModel;

namespace Graftbench.Core.Jobs;

/// <summary>A number of the bench that a trial run can teach.</summary>
public enum CalibratedNumber
{
    /// <summary>Film under the nozzle at full flow.</summary>
    FilmUnderNozzle,

    /// <summary>Gas that spills over beside the nozzle.</summary>
    Spill,

    /// <summary>Film over the bottom heater.</summary>
    FilmOverPreheater,

    /// <summary>Loss to the room.</summary>
    LossToRoom,

    /// <summary>Emissivities, all alike.</summary>
    Radiation,

    /// <summary>What the gas is over the room, against what the tool shows.</summary>
    GasExcess,

    /// <summary>What the bottom heater is over the room, against what it shows.</summary>
    PreheaterExcess,

    /// <summary>Lag of the gas behind its set point.</summary>
    GasLag,

    /// <summary>Lag of the bottom heater.</summary>
    PreheaterLag,
}

/// <summary>What a trial run taught about a bench.</summary>
[Description(
    "What a trial run on a scrap board taught about the bench. Written by a calibration; not meant to be typed."
)]
public sealed record BenchCalibration
{
    [Description("When the trial ran.")]
    public required DateTimeOffset At { get; init; }

    [Description("Opening of the nozzle of the trial in x.")]
    [Allowed(1, 200, Unit = "mm")]
    public required double NozzleLengthMm { get; init; }

    [Description("Opening of that nozzle in y.")]
    [Allowed(1, 200, Unit = "mm")]
    public required double NozzleWidthMm { get; init; }

    [Description("Flow of the trial as share of the strongest step.")]
    [Allowed(1, 100, Unit = "%")]
    public required double FlowPercent { get; init; }

    [Description("Length of the board or plate of the trial.")]
    [Allowed(5, 2000, Unit = "mm")]
    public required double BoardLengthMm { get; init; }

    [Description("Width of that board.")]
    [Allowed(5, 2000, Unit = "mm")]
    public required double BoardWidthMm { get; init; }

    [Description("Thickness of that board.")]
    [Allowed(0.2, 20, Unit = "mm")]
    public required double BoardThicknessMm { get; init; }

    [Description("How the bottom heater of the trial heats.")]
    public PreheaterKind Preheater { get; init; } = PreheaterKind.Unknown;

    [Description("Hottest set temperature of the gas in the trial.")]
    [Allowed(0, 700, Unit = "°C")]
    public required double HottestGasC { get; init; }

    [Description("Hottest set temperature of the bottom heater in the trial.")]
    [Allowed(0, 700, Unit = "°C")]
    public required double HottestPreheaterC { get; init; }

    [Description("What the fitted model left unexplained, root mean square.")]
    [Allowed(0, 50, Unit = "K")]
    public required double ResidualDeltaK { get; init; }

    [Description("Numbers with what the trial says of each.")]
    [AtMost(9)]
    public IReadOnlyList<CalibratedValue> Numbers { get; init; } = [];
}

/// <summary>What a trial says of one number.</summary>
[Description("What a trial says of one number of the bench.")]
public sealed record CalibratedValue
{
    [Description("Which number.")]
    public required CalibratedNumber Number { get; init; }

    [Description("What it was taken for before: the usual figure or the bench's own, in its unit.")]
    [Allowed(0.001, 1000)]
    public required double BaseNumber { get; init; }

    [Description("What the trial says it is, as multiple of that.")]
    [Allowed(0.1, 10)]
    public required double Ratio { get; init; }

    [Description("Standard deviation of the natural logarithm of that multiple.")]
    [Allowed(0.0001, 2)]
    public required double LogSdRatio { get; init; }

    [Description("Its spread before the trial, the same way.")]
    [Allowed(0.0001, 2)]
    public required double PriorLogSdRatio { get; init; }

    [Description("Correlation with each number above it in the list, in order.")]
    [AtMost(8)]
    public IReadOnlyList<double> CorrelationsRatio { get; init; } = [];
}
