using System.ComponentModel;

namespace Graftbench.Core.Jobs;

/// <summary>The steps that time and money are spent on, in the order of the work.</summary>
public enum WorkStep
{
    Intake,
    Strip,
    Baseline,
    Dump,
    Lift,
    ChipClean,
    Balls,
    Lands,
    Place,
    Inspect,
    Clean,
    Proof,
    FirstPower,
    Firmware,
    Rebuild,
    Soak,
    HandOver,

    /// <summary>The donor and other parts that were bought.</summary>
    Parts,

    /// <summary>What was used up: balls, flux, wick, a share of the stencil.</summary>
    Consumables,

    Other,
}

/// <summary>Time and money spent on a step.</summary>
[Description("Time and money spent on a step of the work.")]
public sealed record WorkEntry
{
    [Description("The step.")]
    public required WorkStep What { get; init; }

    [Description("Time at the bench that it took.")]
    [Allowed(0, 10000, Unit = "min")]
    public double? SpentMin { get; init; }

    [Description("What it cost, in the shop's currency; time is not in it.")]
    [Allowed(0, 10000000)]
    public double? Cost { get; init; }

    [Description("In words.")]
    [Text(400)]
    public string? Note { get; init; }

    [Description("When.")]
    public DateTimeOffset? At { get; init; }
}

/// <summary>Whether the machine works after the work.</summary>
public enum WorkResult
{
    /// <summary>Not said: the stage tells.</summary>
    Unknown,

    /// <summary>It works.</summary>
    Works,

    /// <summary>It does not: given up, or handed back without working.</summary>
    DoesNotWork,
}
