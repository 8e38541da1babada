using System.ComponentModel;
using System.Text.Json.Serialization;

namespace Graftbench.Core.Jobs;

/// <summary>One transplant, from intake to hand-over, as one document.</summary>
[Description("One transplant: a ball-grid-array chip moved from a donor (or shelf) to a host board.")]
public sealed record Job
{
    [Description("Document format; always graftbench-job-1.")]
    [Text(32, Pattern = "^graftbench-job-1$", PatternInWords = "the text graftbench-job-1")]
    public required string Format { get; init; }

    [Description("Short name of the job, unique in the shop: small letters, digits and dashes.")]
    [Text(
        64,
        Pattern = "^[a-z0-9][a-z0-9-]{0,63}$",
        PatternInWords = "small letters, digits and dashes, starting with a letter or digit"
    )]
    public required string Id { get; init; }

    [Description("One line that a person recognises the job by.")]
    [Text(120, MinLength = 1)]
    public required string Title { get; init; }

    [Description("When the job was taken in, with the offset from UTC.")]
    public DateTimeOffset? OpenedAt { get; init; }

    [Description("Where the job stands at the bench.")]
    public JobStage Stage { get; init; } = JobStage.Intake;

    [Description("The shop that does the work.")]
    public Shop Shop { get; init; } = new();

    [Description("The machine, its owner and what they want.")]
    public Machine Machine { get; init; } = new();

    [Description("The board that the chip goes to.")]
    public required Board Host { get; init; }

    [Description("The board that the chip comes from; left out for a new or shelf chip.")]
    public Board? Donor { get; init; }

    [Description("The chips that are moved in this job. The first one that goes to the host is the transplant.")]
    [AtMost(16)]
    public IReadOnlyList<Chip> Chips { get; init; } = [];

    [Description("The bench and the air of the room.")]
    public Bench Bench { get; init; } = new();

    [Description("The dryer: any oven, box or food-dryer class device that holds a temperature.")]
    public Dryer Dryer { get; init; } = new();

    [Description("Balls, solder, flux and what else is used up.")]
    public Materials Materials { get; init; } = new();

    [Description("What the boards and chips have been through.")]
    public History History { get; init; } = new();

    [Description("What is wanted of the plan.")]
    public Wishes Wishes { get; init; } = new();

    [Description("Time and money spent, step by step.")]
    [AtMost(500)]
    public IReadOnlyList<WorkEntry> Work { get; init; } = [];

    [Description(
        "Whether the machine works after the work; does-not-work for one that was given up or handed back as it was."
    )]
    public WorkResult Result { get; init; } = WorkResult.Unknown;

    [Description("What is told and given to the owner at hand-over; left out before.")]
    public HandoverNote? Handover { get; init; }

    [Description("References to evidence kept with the job. Corrections add entries, nothing is taken out.")]
    [AtMost(5000)]
    public IReadOnlyList<EvidenceEntry> Evidence { get; init; } = [];
}

/// <summary>Where a job stands; the stages of the work in their order.</summary>
public enum JobStage
{
    Intake,
    Fit,
    Baseline,
    Drying,
    Lifting,
    Preparing,
    Placing,
    Inspecting,
    Proving,
    FirstPower,
    Soak,
    HandedOver,
    Returned,
}

/// <summary>Yes, no, or nobody knows. Unknown is answered with the cautious one of the two.</summary>
public enum YesNo
{
    Unknown,
    Yes,
    No,
}

/// <summary>The shop that does the work.</summary>
[Description("The shop that does the work.")]
public sealed record Shop
{
    [Description("Name of the shop.")]
    [Text(120)]
    public string? Name { get; init; }

    [Description("Who does the work; goes into the evidence.")]
    [Text(80)]
    public string? Technician { get; init; }

    [Description("Currency of all costs of the job, as the shop writes it.")]
    [Text(8, MinLength = 1)]
    public string? Currency { get; init; }
}

/// <summary>The machine, its owner and what they want.</summary>
[Description("The machine that the host board belongs to, its owner and the owner's wish.")]
public sealed record Machine
{
    [Description("What the machine is.")]
    [Text(120)]
    public string? What { get; init; }

    [Description("Serial number as printed.")]
    [Text(80)]
    public string? Serial { get; init; }

    [Description("Owner's name or customer number.")]
    [Text(120)]
    public string? Owner { get; init; }

    [Description("Where the owner's written authority is kept; empty means that there is none yet.")]
    [Text(400)]
    public string? Authority { get; init; }

    [Description("What is wrong with it.")]
    [Text(2000)]
    public string? Symptom { get; init; }

    [Description("What the owner wants.")]
    [Text(2000)]
    public string? Wish { get; init; }
}

/// <summary>The bench and the air of the room.</summary>
[Description("The bench and the air of the room around it.")]
public sealed record Bench
{
    [Description("Name of the bench.")]
    [Text(80)]
    public string? Name { get; init; }

    [Description("Temperature of the room.")]
    [Allowed(1, 50, Unit = "°C")]
    public double? RoomC { get; init; }

    [Description("Relative humidity of the room.")]
    [Allowed(1, 100, Unit = "% RH")]
    public double? RoomHumidityPercent { get; init; }

    [Description("Board preheater, in the technician's words.")]
    [Text(120)]
    public string? Preheater { get; init; }

    [Description("Hot-gas tool, in the technician's words.")]
    [Text(120)]
    public string? HotGas { get; init; }

    [Description("Number of thermocouple channels.")]
    [Allowed(0, 64)]
    public int? ProbeChannels { get; init; }

    [Description("What the bench heats with.")]
    public HeatTools Heat { get; init; } = new();

    [Description("What a trial run taught about the bench; usual figures count if left out.")]
    public BenchCalibration? Calibration { get; init; }
}

/// <summary>Where the dryer's air comes from.</summary>
public enum DryerAir
{
    /// <summary>Room air, only heated: humidity inside follows from the room.</summary>
    Room,

    /// <summary>Desiccant, dry gas or a measuring device: the humidity inside is stated.</summary>
    Stated,
}

/// <summary>The dryer: any device that holds a temperature.</summary>
[Description("The dryer: an oven, a heated box, a food-dryer class device or a dry cabinet.")]
public sealed record Dryer
{
    [Description("Name of the dryer.")]
    [Text(80)]
    public string? Name { get; init; }

    [Description("Temperature it is to hold.")]
    [Allowed(20, 150, Unit = "°C")]
    public double? SetC { get; init; }

    [Description("Hottest it can be set to.")]
    [Allowed(20, 300, Unit = "°C")]
    public double? MaxC { get; init; }

    [Description("How far the parts may be below or above the set temperature, measured or guessed.")]
    [Allowed(0, 40, Unit = "K")]
    public double? SpreadDeltaK { get; init; }

    [Description("Whether the air inside is heated room air or has a stated humidity.")]
    public DryerAir Air { get; init; } = DryerAir.Room;

    [Description("Relative humidity inside at temperature, where the air is stated.")]
    [Allowed(0, 100, Unit = "% RH")]
    public double? HumidityPercent { get; init; }

    [Description("Time until the parts, not the air, have the set temperature.")]
    [Allowed(0, 600, Unit = "min")]
    public double? WarmUpMin { get; init; }

    [Description("How many boards it holds at once.")]
    [Allowed(1, 100)]
    public int? BoardsAtOnce { get; init; }
}

/// <summary>What is used up.</summary>
[Description("Balls, solder, flux and what else is used up.")]
public sealed record Materials
{
    [Description("Diameter of the balls that will be attached.")]
    [Allowed(0.05, 1.5, Unit = "mm")]
    public double? BallDiameterMm { get; init; }

    [Description("Alloy of the balls that will be attached.")]
    [Text(40)]
    public string? BallAlloy { get; init; }

    [Description("Alloy left on or put on the lands.")]
    [Text(40)]
    public string? LandAlloy { get; init; }

    [Description("Flux.")]
    [Text(120)]
    public string? Flux { get; init; }

    [Description("Stencil.")]
    [Text(120)]
    public string? Stencil { get; init; }

    [Description("Diameter of the stencil's holes.")]
    [Allowed(0.05, 2, Unit = "mm")]
    public double? StencilHoleMm { get; init; }

    [Description("Pitch of the stencil's holes.")]
    [Allowed(0.2, 2.54, Unit = "mm")]
    public double? StencilPitchMm { get; init; }
}

/// <summary>What is wanted of the plan.</summary>
[Description("What is wanted of the plan.")]
public sealed record Wishes
{
    [Description("When drying can start; the moment of planning if left out.")]
    public DateTimeOffset? StartAt { get; init; }

    [Description("Hottest temperature that any body on the board is planned to reach, top centre.")]
    [Allowed(20, 400, Unit = "°C")]
    public double? HottestBodyC { get; init; }

    [Description("Moisture that may be left in the bare laminate, share of its dry weight.")]
    [Allowed(0.01, 1, Unit = "% by weight")]
    public double? LaminateMoisturePercent { get; init; }

    [Description("What is wanted of the heat plan.")]
    public HeatWishes Heat { get; init; } = new();
}

/// <summary>A reference to evidence: a reading, picture, log, decision or waiver.</summary>
[Description("A reference to evidence: a reading, picture, log, decision or waiver.")]
public sealed record EvidenceEntry
{
    [Description("When it was taken.")]
    public required DateTimeOffset At { get; init; }

    [Description("Who took it.")]
    [Text(80, MinLength = 1)]
    public required string Who { get; init; }

    [Description("What sort of evidence it is.")]
    public required EvidenceKind Kind { get; init; }

    [Description("In words.")]
    [Text(4000)]
    public string? Note { get; init; }

    [Description("File beside the job document, by relative path.")]
    [Text(260)]
    public string? File { get; init; }

    [Description("SHA-256 of that file, 64 hexadecimal digits.")]
    [Text(64, Pattern = "^[0-9a-f]{64}$", PatternInWords = "64 hexadecimal digits in small letters")]
    public string? Sha256 { get; init; }

    [Description("Code of the finding that a waiver sets aside.")]
    [Text(80)]
    public string? Waives { get; init; }

    [Description("Where the finding that a waiver sets aside was found, as the finding says it: host board, BT1.")]
    [Text(120)]
    public string? WaivesWhere { get; init; }
}

/// <summary>Sorts of evidence.</summary>
public enum EvidenceKind
{
    Note,
    Picture,
    Reading,
    Log,
    Dump,
    Decision,
    Waiver,
    Authority,
}
