using System.ComponentModel;

namespace Graftbench.Core.Jobs;

/// <summary>What the boards and chips have been through.</summary>
[Description("What the boards and chips have been through. Anything not written down counts as unknown.")]
public sealed record History
{
    [Description("Where a board or chip has been, with dates; unknown stretches count as saturated.")]
    [AtMost(5000)]
    public IReadOnlyList<Exposure> Exposures { get; init; } = [];

    [Description("Heats above soldering temperature that a board or chip has had.")]
    [AtMost(500)]
    public IReadOnlyList<Heat> Heats { get; init; } = [];

    [Description("Weighings during drying.")]
    [AtMost(5000)]
    public IReadOnlyList<Weighing> Weighings { get; init; } = [];
}

/// <summary>A stretch of time in one place.</summary>
[Description("A stretch of time in one place.")]
public sealed record Exposure
{
    [Description("host, donor, or the id of a chip. A chip on a board shares the board's exposures.")]
    [Text(40, MinLength = 1)]
    public required string Of { get; init; }

    [Description("Kind of place.")]
    public required ExposurePlace Place { get; init; }

    [Description("Begin.")]
    public required DateTimeOffset From { get; init; }

    [Description("End; still there if left out.")]
    public DateTimeOffset? To { get; init; }

    [Description("Air temperature; for a bake, the temperature of the parts.")]
    [Allowed(-40, 200, Unit = "°C")]
    public double? TemperatureC { get; init; }

    [Description("Relative humidity at that temperature.")]
    [Allowed(0, 100, Unit = "% RH")]
    public double? HumidityPercent { get; init; }

    [Description("Breaks of a bake: the parts cooled or the door stood open.")]
    [AtMost(500)]
    public IReadOnlyList<Break> Breaks { get; init; } = [];

    [Description("In words.")]
    [Text(400)]
    public string? Note { get; init; }
}

/// <summary>Kinds of places that a board or chip can be in.</summary>
public enum ExposurePlace
{
    /// <summary>Open in a room, vehicle or shelf.</summary>
    Room,

    /// <summary>Dry cabinet with a stated humidity.</summary>
    DryCabinet,

    /// <summary>Sealed moisture-barrier bag with fresh desiccant whose indicator card read dry when it was opened.</summary>
    DryBag,

    /// <summary>Any other bag or box: keeps the humidity it was closed with.</summary>
    Bag,

    /// <summary>In a dryer.</summary>
    Bake,
}

/// <summary>A break in a bake.</summary>
[Description("A break in a bake.")]
public sealed record Break
{
    [Description("Begin.")]
    public required DateTimeOffset From { get; init; }

    [Description("End.")]
    public required DateTimeOffset To { get; init; }
}

/// <summary>One heat above soldering temperature.</summary>
[Description("One heat above soldering temperature.")]
public sealed record Heat
{
    [Description("host, donor, or the id of a chip. A chip that was on a heated board is given its own entry.")]
    [Text(40, MinLength = 1)]
    public required string Of { get; init; }

    [Description("When.")]
    public required DateTimeOffset At { get; init; }

    [Description("What the heat was for.")]
    public required HeatKind Kind { get; init; }

    [Description("Highest temperature reached.")]
    [Allowed(100, 450, Unit = "°C")]
    public double? PeakC { get; init; }

    [Description("Time above the liquidus of the solder.")]
    [Allowed(0, 7200, Unit = "s")]
    public double? AboveLiquidusS { get; init; }

    [Description("Side that was heated.")]
    public BoardSide? Side { get; init; }

    [Description("Why.")]
    [Text(400)]
    public string? Why { get; init; }

    [Description("Who decided on a heat beyond the guideline, and the reason; the heat stays a warning without it.")]
    [Text(400)]
    public string? Decision { get; init; }
}

/// <summary>What a heat was for.</summary>
public enum HeatKind
{
    Build,
    Lift,
    Clean,
    BallAttach,
    Place,
    Again,
    Neighbour,
}

/// <summary>One weighing of a board or chip during drying.</summary>
[Description("One weighing of a board or chip during drying.")]
public sealed record Weighing
{
    [Description("host, donor, or the id of a chip.")]
    [Text(40, MinLength = 1)]
    public required string Of { get; init; }

    [Description("When.")]
    public required DateTimeOffset At { get; init; }

    [Description("Weight.")]
    [Allowed(0.01, 50000, Unit = "g")]
    public required double WeightG { get; init; }

    [Description("Smallest step or stated error of the balance.")]
    [Allowed(0.00001, 10, Unit = "g")]
    public double? BalanceErrorG { get; init; }
}
