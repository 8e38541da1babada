using System.ComponentModel;

namespace Graftbench.Core.Jobs;

/// <summary>How settings are given to a heater.</summary>
public enum HeatControl
{
    /// <summary>Straight lines between set points, any number of stages.</summary>
    Ramps,

    /// <summary>A fixed number of stages, each one held temperature for a time.</summary>
    Stages,

    /// <summary>One knob for the gas and one for the preheater, turned by hand.</summary>
    Knobs,
}

/// <summary>How the bottom heater warms the board.</summary>
public enum PreheaterKind
{
    Unknown,
    HotAir,
    Infrared,

    /// <summary>A hot plate that the board lies on or just above.</summary>
    Plate,

    /// <summary>There is none: gas from above alone.</summary>
    None,
}

/// <summary>What the bench heats with.</summary>
[Description("What the bench heats with: hot gas from above, a heater from below, how they are set.")]
public sealed record HeatTools
{
    [Description("How settings are given.")]
    public HeatControl Control { get; init; } = HeatControl.Ramps;

    [Description("Stages that can be set, where the bench takes stages.")]
    [Allowed(1, 20)]
    public int? MaxStages { get; init; }

    [Description("Smallest step of a set temperature.")]
    [Allowed(0.1, 50, Unit = "K")]
    public double? SetStepDeltaK { get; init; }

    [Description("Hot gas from above.")]
    public GasTool Gas { get; init; } = new();

    [Description("Heater from below.")]
    public BottomHeater Preheater { get; init; } = new();
}

/// <summary>Hot gas from above.</summary>
[Description("Hot gas from above through a nozzle over the chip.")]
public sealed record GasTool
{
    [Description("Hottest set temperature of the gas.")]
    [Allowed(50, 600, Unit = "°C")]
    public double? MaxC { get; init; }

    [Description("Coolest set temperature of the gas.")]
    [Allowed(0, 300, Unit = "°C")]
    public double? MinC { get; init; }

    [Description("Steepest rise that the tool can follow.")]
    [Allowed(0.1, 50, Unit = "K/s")]
    public double? MaxRampKPerS { get; init; }

    [Description("Lag of the gas behind its set point.")]
    [Allowed(0, 300, Unit = "s")]
    public double? LagS { get; init; }

    [Description("Film coefficient under the nozzle from a trial run; an assumed value is used if left out.")]
    [Allowed(10, 500, Unit = "W/m²K")]
    public double? FilmWPerM2K { get; init; }

    [Description("Airflow steps, weakest first.")]
    [AtMost(20)]
    public IReadOnlyList<FlowStep> FlowSteps { get; init; } = [];

    [Description("Nozzles at hand.")]
    [AtMost(60)]
    public IReadOnlyList<Nozzle> Nozzles { get; init; } = [];
}

/// <summary>An airflow step of the gas tool.</summary>
[Description("An airflow step of the gas tool.")]
public sealed record FlowStep
{
    [Description("What the tool calls it.")]
    [Text(40, MinLength = 1)]
    public required string Name { get; init; }

    [Description("Flow as share of the strongest step.")]
    [Allowed(1, 100, Unit = "%")]
    public required double FlowPercent { get; init; }
}

/// <summary>A nozzle at hand.</summary>
[Description("A nozzle at hand; its opening decides how evenly the joints are heated.")]
public sealed record Nozzle
{
    [Description("What it is called on this bench.")]
    [Text(60, MinLength = 1)]
    public required string Name { get; init; }

    [Description("Opening in x; the diameter of a round one.")]
    [Allowed(1, 200, Unit = "mm")]
    public required double LengthMm { get; init; }

    [Description("Opening in y; left out for a round or square one.")]
    [Allowed(1, 200, Unit = "mm")]
    public double? WidthMm { get; init; }

    [Description("Whether the opening is round.")]
    public bool Round { get; init; }
}

/// <summary>Heater from below.</summary>
[Description("Heater from below.")]
public sealed record BottomHeater
{
    [Description("How it heats.")]
    public PreheaterKind Kind { get; init; } = PreheaterKind.Unknown;

    [Description("Heated extent in x; under the whole board if left out.")]
    [Allowed(5, 2000, Unit = "mm")]
    public double? LengthMm { get; init; }

    [Description("Heated extent in y.")]
    [Allowed(5, 2000, Unit = "mm")]
    public double? WidthMm { get; init; }

    [Description(
        "Centre of the heated field under the board, from the board's left edge; the board's middle if left out."
    )]
    [Allowed(-1000, 2000, Unit = "mm")]
    public double? XMm { get; init; }

    [Description("Centre of the heated field under the board, from the board's lower edge.")]
    [Allowed(-1000, 2000, Unit = "mm")]
    public double? YMm { get; init; }

    [Description("Hottest set temperature.")]
    [Allowed(30, 600, Unit = "°C")]
    public double? MaxC { get; init; }

    [Description("Coolest set temperature.")]
    [Allowed(0, 300, Unit = "°C")]
    public double? MinC { get; init; }

    [Description("Steepest rise that the heater can follow.")]
    [Allowed(0.05, 50, Unit = "K/s")]
    public double? MaxRampKPerS { get; init; }

    [Description("Lag of the heater behind its set point.")]
    [Allowed(0, 900, Unit = "s")]
    public double? LagS { get; init; }

    [Description("Film coefficient at the board's underside from a trial run; an assumed value is used if left out.")]
    [Allowed(2, 200, Unit = "W/m²K")]
    public double? FilmWPerM2K { get; init; }

    [Description("Zones that can be switched or set apart; one field if left out.")]
    [AtMost(16)]
    public IReadOnlyList<HeaterZone> Zones { get; init; } = [];
}

/// <summary>One zone of the bottom heater.</summary>
[Description("One zone of the bottom heater: a rectangle under the board.")]
public sealed record HeaterZone
{
    [Description("What it is called.")]
    [Text(40, MinLength = 1)]
    public required string Name { get; init; }

    [Description("Left edge, from the board's left edge.")]
    [Allowed(-1000, 2000, Unit = "mm")]
    public required double XMm { get; init; }

    [Description("Lower edge, from the board's lower edge.")]
    [Allowed(-1000, 2000, Unit = "mm")]
    public required double YMm { get; init; }

    [Description("Extent in x.")]
    [Allowed(1, 2000, Unit = "mm")]
    public required double LengthMm { get; init; }

    [Description("Extent in y.")]
    [Allowed(1, 2000, Unit = "mm")]
    public required double WidthMm { get; init; }

    [Description("Temperature rise over the room, as share of the main setting; 0 is switched off.")]
    [Allowed(0, 200, Unit = "%")]
    public double SharePercent { get; init; } = 100;
}

/// <summary>How much copper a region of the board holds against the rest.</summary>
public enum CopperAmount
{
    /// <summary>Few planes: a corner with connectors, a cut-out of the planes.</summary>
    Poor,

    /// <summary>Heavy planes: power supply, ground fill.</summary>
    Rich,
}

/// <summary>A region of the board with more or less copper than the rest.</summary>
[Description("A region of the board with more or less copper than the rest, drawn on the picture.")]
public sealed record CopperRegion
{
    [Description("Whether it holds more or less copper than the rest.")]
    public required CopperAmount Amount { get; init; }

    [Description("Left edge, from the board's left edge.")]
    [Allowed(-100, 1100, Unit = "mm")]
    public required double XMm { get; init; }

    [Description("Lower edge, from the board's lower edge.")]
    [Allowed(-100, 1100, Unit = "mm")]
    public required double YMm { get; init; }

    [Description("Extent in x.")]
    [Allowed(0.5, 1000, Unit = "mm")]
    public required double LengthMm { get; init; }

    [Description("Extent in y.")]
    [Allowed(0.5, 1000, Unit = "mm")]
    public required double WidthMm { get; init; }

    [Description("Thickness of all continuous copper in it added up, where it is known.")]
    [Allowed(0, 3, Unit = "mm")]
    public double? CopperThicknessMm { get; init; }
}

/// <summary>What holds the board while it is heated.</summary>
public enum BoardSupport
{
    Unknown,

    /// <summary>Standoffs or pins from below.</summary>
    Standoffs,

    /// <summary>Clamped along two edges.</summary>
    EdgeClamps,

    /// <summary>Clamped frame on all edges.</summary>
    Frame,
}

/// <summary>What keeps heat from a part.</summary>
public enum HeatShield
{
    None,

    /// <summary>Polyimide tape: hardly any shade, it keeps parts in place.</summary>
    Tape,

    /// <summary>Metal foil or foil tape: reflects and spreads.</summary>
    Foil,

    /// <summary>A metal cover that keeps the gas off.</summary>
    Cover,
}

/// <summary>What the top of a chip's body is.</summary>
public enum BodyTop
{
    Unknown,

    /// <summary>Moulded plastic over the die.</summary>
    Moulded,

    /// <summary>Bare die on the substrate.</summary>
    BareDie,

    /// <summary>Metal lid over the die.</summary>
    Lid,
}

/// <summary>What is wanted of the heat plan.</summary>
[Description("What is wanted of the heat plan.")]
public sealed record HeatWishes
{
    [Description("How far above full melt the coldest joint is to get.")]
    [Allowed(0, 40, Unit = "K")]
    public double? JointMarginDeltaK { get; init; }

    [Description("How long the coldest joint is to stay above full melt.")]
    [Allowed(0, 300, Unit = "s")]
    public double? MoltenS { get; init; }

    [Description("Largest difference across the joints at peak.")]
    [Allowed(1, 60, Unit = "K")]
    public double? JointSpreadDeltaK { get; init; }

    [Description("Longest heating, up to switching off.")]
    [Allowed(60, 1800, Unit = "s")]
    public double? MaxHeatingS { get; init; }

    [Description("Chance wanted that every joint melts and nothing is harmed.")]
    [Allowed(10, 99.9, Unit = "%")]
    public double? ChancePercent { get; init; }
}
