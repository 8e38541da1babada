using System.ComponentModel;
using Graftbench.Core.Inspection;

namespace Graftbench.Core.Jobs;

/// <summary>What a board gives a chip: rails, clocks, links, memory, cooling.</summary>
[Description(
    "What the board gives the chip: rails, clocks, links, memory, cooling. What is left out counts as unknown."
)]
public sealed record BoardGives
{
    [Description("Balls that the board is made for; the list of the chip that is replaced if left out.")]
    public BallListFile? BallList { get; init; }

    [Description("Rails that feed the chip.")]
    [AtMost(200)]
    public IReadOnlyList<GivenRail> Rails { get; init; } = [];

    [Description("Voltages that the core regulator can be asked for.")]
    public VoltageCodes? CoreCodes { get; init; }

    [Description("Reference clocks that the board can make.")]
    [AtMost(40)]
    public IReadOnlyList<GivenClock> Clocks { get; init; } = [];

    [Description("Lowest multiple of the reference clock that the board can set.")]
    [Allowed(0.5, 1000)]
    public double? LeastClockRatio { get; init; }

    [Description("Highest multiple of the reference clock that the board can set.")]
    [Allowed(0.5, 1000)]
    public double? MostClockRatio { get; init; }

    [Description("Buses and links that reach the chip.")]
    [AtMost(100)]
    public IReadOnlyList<ChipLink> Links { get; init; } = [];

    [Description("What limits the memory.")]
    public BoardMemory? Memory { get; init; }

    [Description("How the chip is cooled.")]
    public BoardCooling? Cooling { get; init; }
}

/// <summary>What a chip needs of its board, by its data sheet.</summary>
[Description("What the chip needs of its board, by its data sheet. What is left out counts as unknown.")]
public sealed record ChipNeeds
{
    [Description("Where the figures come from: data sheet, revision, page.")]
    [Text(200)]
    public string? Sheet { get; init; }

    [Description("Rails; taken from the ball list where it tells voltages if left out.")]
    [AtMost(200)]
    public IReadOnlyList<NeededRail> Rails { get; init; } = [];

    [Description("Voltages that the chip may ask of the core regulator.")]
    public VoltageCodes? CoreCodes { get; init; }

    [Description("Highest power.")]
    [Allowed(0.01, 1000, Unit = "W")]
    public double? MostW { get; init; }

    [Description("Hottest that its die may get.")]
    [Allowed(20, 250, Unit = "°C")]
    public double? HottestDieC { get; init; }

    [Description("Power of switching alone, at full work.")]
    [Allowed(0, 1000, Unit = "W")]
    public double? SwitchingW { get; init; }

    [Description("Leakage at the temperature below.")]
    [Allowed(0, 1000, Unit = "W")]
    public double? LeakageW { get; init; }

    [Description("Temperature that the leakage is told for.")]
    [Allowed(-40, 200, Unit = "°C")]
    public double? LeakageAtC { get; init; }

    [Description("Rise that doubles the leakage.")]
    [Allowed(3, 100, Unit = "K")]
    public double? LeakageDoublesDeltaK { get; init; }

    [Description("Reference clock that it needs; by its straps if left out.")]
    [Allowed(0.001, 10000, Unit = "MHz")]
    public double? ClockMhz { get; init; }

    [Description("Levels of its strap balls, in the order of the table: low high open.")]
    [Text(120, Pattern = LevelsPattern, PatternInWords = LevelsWords)]
    public string? Straps { get; init; }

    [Description("Table of its data sheet: levels of the strap balls, and the clock they ask for.")]
    [AtMost(64)]
    public IReadOnlyList<StrapRow> StrapTable { get; init; } = [];

    [Description("Lowest multiple of the reference clock.")]
    [Allowed(0.5, 1000)]
    public double? LeastClockRatio { get; init; }

    [Description("Highest multiple of the reference clock.")]
    [Allowed(0.5, 1000)]
    public double? MostClockRatio { get; init; }

    [Description("Buses and links that it uses.")]
    [AtMost(100)]
    public IReadOnlyList<ChipLink> Links { get; init; } = [];

    [Description("Address bits: bytes of memory that it can reach are two to this power.")]
    [Allowed(16, 64)]
    public int? AddressBits { get; init; }

    [Description("Signature that the firmware must know, hexadecimal.")]
    [Text(8, Pattern = "^[0-9A-Fa-f]{1,8}$", PatternInWords = "1 to 8 hexadecimal digits")]
    public string? Signature { get; init; }

    [Description("Platform number beside the signature, 0 to 7.")]
    [Allowed(0, 7)]
    public int? Platform { get; init; }

    /// <summary>Form of strap levels.</summary>
    internal const string LevelsPattern = "^(low|high|open)( (low|high|open)){0,15}$";

    /// <summary>The same in words.</summary>
    internal const string LevelsWords = "low, high or open for each strap, with one space between";
}

/// <summary>A ball list in a file beside the job.</summary>
[Description("A ball list in a file beside the job: a boundary-scan description, a buffer model, or text in columns.")]
public sealed record BallListFile
{
    [Description("File beside the job document, by relative path.")]
    [Text(260, MinLength = 1)]
    public required string File { get; init; }

    [Description("SHA-256 of that file, 64 hexadecimal digits.")]
    [Text(64, Pattern = "^[0-9a-f]{64}$", PatternInWords = "64 hexadecimal digits in small letters")]
    public string? Sha256 { get; init; }

    [Description("From where the list or its drawing looks at the balls.")]
    public required BallView View { get; init; }

    [Description("Package of the file, where it holds several.")]
    [Text(120)]
    public string? Package { get; init; }
}

/// <summary>A rail of a board.</summary>
[Description("A rail of the board.")]
public sealed record GivenRail
{
    [Description("Name.")]
    [Text(60, MinLength = 1)]
    public required string Name { get; init; }

    [Description("Voltage that it is set to.")]
    [Allowed(0.1, 60, Unit = "V")]
    public required double SetV { get; init; }

    [Description("How far it may be off; what is usual if left out.")]
    [Allowed(0, 30, Unit = "%")]
    public double? TolerancePercent { get; init; }

    [Description("Voltage measured on this board without the chip or with the old one.")]
    [Allowed(0.05, 60, Unit = "V")]
    public double? MeasuredV { get; init; }

    [Description("Current that its regulator gives for good.")]
    [Allowed(0.001, 1000, Unit = "A")]
    public double? MostCurrentA { get; init; }

    [Description("How fast that current may rise.")]
    [Allowed(0.001, 100000, Unit = "A/µs")]
    public double? SlewAPerUs { get; init; }

    [Description("Share of the current that is counted on; what is usual if left out.")]
    [Allowed(20, 100, Unit = "%")]
    public double? DeratingPercent { get; init; }

    [Description("Load line of the regulator: how far the voltage gives way.")]
    [Allowed(0, 100, Unit = "mΩ")]
    public double? LoadLineMilliOhm { get; init; }
}

/// <summary>A rail of a chip.</summary>
[Description("A rail of the chip.")]
public sealed record NeededRail
{
    [Description("Name on the chip.")]
    [Text(60, MinLength = 1)]
    public required string Name { get; init; }

    [Description("Name of the board's rail that feeds it; by the ball lists or the same name if left out.")]
    [Text(60)]
    public string? OnBoard { get; init; }

    [Description("Lowest voltage that it works at.")]
    [Allowed(0.05, 60, Unit = "V")]
    public required double LeastV { get; init; }

    [Description("Usual voltage.")]
    [Allowed(0.05, 60, Unit = "V")]
    public double? UsualV { get; init; }

    [Description("Highest voltage that it works at.")]
    [Allowed(0.05, 60, Unit = "V")]
    public required double MostV { get; init; }

    [Description("Highest current.")]
    [Allowed(0.0001, 1000, Unit = "A")]
    public double? MostCurrentA { get; init; }

    [Description("How fast that current may rise.")]
    [Allowed(0.001, 100000, Unit = "A/µs")]
    public double? SlewAPerUs { get; init; }

    [Description("Load line that it asks for.")]
    [Allowed(0, 100, Unit = "mΩ")]
    public double? LoadLineMilliOhm { get; init; }
}

/// <summary>Voltages that a code can ask for.</summary>
[Description("Voltages that a code can ask for: from the lowest to the highest in even steps.")]
public sealed record VoltageCodes
{
    [Description("Name of the coding table, as the data sheet calls it.")]
    [Text(80, MinLength = 1)]
    public required string Table { get; init; }

    [Description("Number of code lines.")]
    [Allowed(1, 16)]
    public required int Lines { get; init; }

    [Description("Lowest voltage.")]
    [Allowed(0.05, 5, Unit = "V")]
    public required double LeastV { get; init; }

    [Description("Highest voltage.")]
    [Allowed(0.05, 5, Unit = "V")]
    public required double MostV { get; init; }

    [Description("Step.")]
    [Allowed(0.0005, 0.5, Unit = "V")]
    public required double StepV { get; init; }
}

/// <summary>A clock that a board can make.</summary>
[Description("A reference clock that the board can make.")]
public sealed record GivenClock
{
    [Description("Frequency.")]
    [Allowed(0.001, 10000, Unit = "MHz")]
    public required double ClockMhz { get; init; }

    [Description("What it is called, or how it is chosen.")]
    [Text(80)]
    public string? Name { get; init; }
}

/// <summary>A row of a strap table.</summary>
[Description("Levels of the strap balls and the clock that they ask for.")]
public sealed record StrapRow
{
    [Description("Levels: low high open.")]
    [Text(120, Pattern = ChipNeeds.LevelsPattern, PatternInWords = ChipNeeds.LevelsWords)]
    public required string Levels { get; init; }

    [Description("Clock that they ask for.")]
    [Allowed(0.001, 10000, Unit = "MHz")]
    public required double ClockMhz { get; init; }
}

/// <summary>A bus or link.</summary>
[Description("A bus or link between the chip and the board.")]
public sealed record ChipLink
{
    [Description("Which one: memory, graphics, storage.")]
    [Text(60, MinLength = 1)]
    public required string Name { get; init; }

    [Description("Its type, as both data sheets call it.")]
    [Text(60, MinLength = 1)]
    public required string Type { get; init; }

    [Description("Generation.")]
    [Allowed(1, 20)]
    public int? Generation { get; init; }

    [Description("Data lines or lanes.")]
    [Allowed(1, 1024)]
    public int? Lanes { get; init; }

    [Description("Termination voltage.")]
    [Allowed(0, 12, Unit = "V")]
    public double? TerminationV { get; init; }

    [Description("Whether the machine works without it.")]
    public YesNo Optional { get; init; } = YesNo.Unknown;
}

/// <summary>What limits the memory of a board.</summary>
[Description("What limits the memory of the board, apart from the chip.")]
public sealed record BoardMemory
{
    [Description("Limit of the chipset.")]
    [Allowed(0.0001, 100000, Unit = "GiB")]
    public double? ChipsetGib { get; init; }

    [Description("Limit of the firmware.")]
    [Allowed(0.0001, 100000, Unit = "GiB")]
    public double? FirmwareGib { get; init; }

    [Description("Sockets or places for memory.")]
    [Allowed(1, 64)]
    public int? Slots { get; init; }

    [Description("Largest module or part that fits one.")]
    [Allowed(0.0001, 10000, Unit = "GiB")]
    public double? ModuleGib { get; init; }

    [Description("Memory that the owner wants.")]
    [Allowed(0.0001, 100000, Unit = "GiB")]
    public double? WantedGib { get; init; }
}

/// <summary>How a chip is cooled.</summary>
[Description("How the chip is cooled, and how firmly the cooler sits.")]
public sealed record BoardCooling
{
    [Description("Thermal resistance from the die to the air; by the three figures below if left out.")]
    [Allowed(0.02, 200, Unit = "K/W")]
    public double? ThetaKPerW { get; init; }

    [Description("Measured with the old chip on this cooler: temperature of its die.")]
    [Allowed(-20, 200, Unit = "°C")]
    public double? OldDieC { get; init; }

    [Description("Measured with the old chip: air at the cooler.")]
    [Allowed(-20, 90, Unit = "°C")]
    public double? OldAirC { get; init; }

    [Description("Measured with the old chip: its power.")]
    [Allowed(0.05, 1000, Unit = "W")]
    public double? OldW { get; init; }

    [Description("How far the thermal resistance may be off; what is usual if left out.")]
    [Allowed(0, 60, Unit = "%")]
    public double? ThetaErrorPercent { get; init; }

    [Description("Warmest air at the cooler that the machine must stand.")]
    [Allowed(0, 90, Unit = "°C")]
    public double? WarmestAirC { get; init; }

    [Description(
        "How much lower or higher the top of the chip may be before the cooler misses it or presses too hard."
    )]
    [Allowed(0, 10, Unit = "mm")]
    public double? TravelMm { get; init; }

    [Description("Force with which the cooler presses.")]
    [Allowed(0, 2000, Unit = "N")]
    public double? ClampN { get; init; }

    [Description("Highest pressure on the die by its data sheet; one maker's limit if left out.")]
    [Allowed(5, 5000, Unit = "kPa")]
    public double? MostPressureKPa { get; init; }
}
