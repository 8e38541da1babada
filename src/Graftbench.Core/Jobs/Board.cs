using System.ComponentModel;
using System.Text.Json.Serialization;

namespace Graftbench.Core.Jobs;

/// <summary>A circuit board with what is soldered to it. Origin at the lower left corner, x right, y up, seen from the top.</summary>
[Description(
    "A circuit board with what is soldered to it. Lengths in mm from its lower left corner, x right, y up, seen from the top side."
)]
public sealed record Board
{
    [Description("What the board is.")]
    [Text(120)]
    public string? Name { get; init; }

    [Description("Serial number as printed.")]
    [Text(80)]
    public string? Serial { get; init; }

    [Description("Where the board comes from and, for a donor, why it was given up.")]
    [Text(400)]
    public string? Origin { get; init; }

    [Description("Extent in x.")]
    [Allowed(5, 1000, Unit = "mm")]
    public required double LengthMm { get; init; }

    [Description("Extent in y.")]
    [Allowed(5, 1000, Unit = "mm")]
    public required double WidthMm { get; init; }

    [Description("Thickness of the bare board.")]
    [Allowed(0.1, 10, Unit = "mm")]
    public required double ThicknessMm { get; init; }

    [Description("Number of copper layers.")]
    [Allowed(1, 64)]
    public int? CopperLayers { get; init; }

    [Description("Thickness of all continuous copper added up: planes and fills, not tracks.")]
    [Allowed(0, 3, Unit = "mm")]
    public double? CopperThicknessMm { get; init; }

    [Description("Regions with more or less copper than the rest; where two overlap, the later one counts.")]
    [AtMost(100)]
    public IReadOnlyList<CopperRegion> CopperRegions { get; init; } = [];

    [Description("What holds the board while it is heated.")]
    public BoardSupport Support { get; init; } = BoardSupport.Unknown;

    [Description("Whether inner layers are solid planes, which bar moisture.")]
    public YesNo SolidPlanes { get; init; } = YesNo.Unknown;

    [Description("Class of the laminate.")]
    public LaminateKind Laminate { get; init; } = LaminateKind.Unknown;

    [Description("Glass transition of the laminate, where the data sheet is at hand.")]
    [Allowed(60, 400, Unit = "°C")]
    public double? GlassTransitionC { get; init; }

    [Description("Finish of the lands.")]
    public FinishKind Finish { get; init; } = FinishKind.Unknown;

    [Description("Outline as corner points; a rectangle of length and width if left out.")]
    [AtMost(500)]
    public IReadOnlyList<PointMm> Outline { get; init; } = [];

    [Description("What sits on the board and matters: bodies that take up moisture, parts that cannot stand heat.")]
    [AtMost(2000)]
    public IReadOnlyList<Part> Parts { get; init; } = [];

    [Description("What the board gives the chip, for the question whether it works there; on the host board.")]
    public BoardGives? Gives { get; init; }
}

/// <summary>A point on the board.</summary>
[Description("A point on the board.")]
public sealed record PointMm
{
    [Description("From the left edge.")]
    [Allowed(-100, 1100, Unit = "mm")]
    public required double XMm { get; init; }

    [Description("From the lower edge.")]
    [Allowed(-100, 1100, Unit = "mm")]
    public required double YMm { get; init; }
}

/// <summary>Classes of laminate by the groups of slash sheets in the base-material standard.</summary>
public enum LaminateKind
{
    Unknown,

    /// <summary>Epoxy glass from before lead-free soldering, glass transition 130-140 °C.</summary>
    [JsonStringEnumMemberName("epoxy-older")]
    EpoxyOlder,

    /// <summary>IPC-4101 /101, /121: glass transition at least 110 °C.</summary>
    [JsonStringEnumMemberName("epoxy-tg110")]
    EpoxyTg110,

    /// <summary>IPC-4101 /99, /124: at least 150 °C.</summary>
    [JsonStringEnumMemberName("epoxy-tg150")]
    EpoxyTg150,

    /// <summary>IPC-4101 /126, /129: at least 170 °C.</summary>
    [JsonStringEnumMemberName("epoxy-tg170")]
    EpoxyTg170,

    Polyimide,
}

/// <summary>Finish of the lands.</summary>
public enum FinishKind
{
    Unknown,

    /// <summary>Organic preservative: should not be baked.</summary>
    Organic,

    NickelGold,

    Tin,

    Silver,

    SolderLevelled,
}

/// <summary>One body or heat-sensitive part on a board.</summary>
[Description("One body or heat-sensitive part on a board.")]
public sealed record Part
{
    [Description("Reference as printed on the board.")]
    [Text(40, MinLength = 1)]
    public required string Ref { get; init; }

    [Description("What it is.")]
    public required PartKind Kind { get; init; }

    [Description("Centre from the left edge.")]
    [Allowed(-100, 1100, Unit = "mm")]
    public double? XMm { get; init; }

    [Description("Centre from the lower edge.")]
    [Allowed(-100, 1100, Unit = "mm")]
    public double? YMm { get; init; }

    [Description("Extent of the body in its own x.")]
    [Allowed(0.1, 500, Unit = "mm")]
    public double? LengthMm { get; init; }

    [Description("Extent of the body in its own y.")]
    [Allowed(0.1, 500, Unit = "mm")]
    public double? WidthMm { get; init; }

    [Description("Turn of the body, counter-clockwise.")]
    [Allowed(-360, 360, Unit = "°")]
    public double RotationDeg { get; init; }

    [Description("Side of the board that it sits on.")]
    public BoardSide Side { get; init; } = BoardSide.Top;

    [Description("Height above the board.")]
    [Allowed(0.05, 200, Unit = "mm")]
    public double? HeightMm { get; init; }

    [Description("Thickness of the plastic body without balls or leads.")]
    [Allowed(0.1, 20, Unit = "mm")]
    public double? BodyThicknessMm { get; init; }

    [Description("Moisture level from the label or data sheet.")]
    public MoistureLevel MoistureLevel { get; init; } = MoistureLevel.Unknown;

    [Description("For a ball-grid body: whether the substrate has solid planes that bar moisture from below.")]
    public YesNo InternalPlanes { get; init; } = YesNo.Unknown;

    [Description("Whether dies are stacked in it.")]
    public YesNo StackedDie { get; init; } = YesNo.Unknown;

    [Description("Hottest long bake that its maker allows; fills in or replaces the limit of its kind.")]
    [Allowed(20, 260, Unit = "°C")]
    public double? BakeLimitC { get; init; }

    [Description("Highest peak that its maker allows in soldering.")]
    [Allowed(60, 400, Unit = "°C")]
    public double? PeakLimitC { get; init; }

    [Description("Whether its own joints must stay solid during the heat; ball-grid neighbours do if left unknown.")]
    public YesNo StaySolid { get; init; } = YesNo.Unknown;

    [Description("What keeps the heat from it.")]
    public HeatShield Shield { get; init; } = HeatShield.None;

    [Description("True once it has been taken off the board for this job.")]
    public bool TakenOff { get; init; }
}

/// <summary>Side of a board.</summary>
public enum BoardSide
{
    Top,
    Bottom,
}

/// <summary>Sorts of parts that matter for drying and heat.</summary>
public enum PartKind
{
    /// <summary>Plastic ball-grid body.</summary>
    BallGridPackage,

    /// <summary>Moulded plastic body with leads or lands.</summary>
    MouldedPackage,

    /// <summary>Hermetic ceramic or metal body: takes up no moisture.</summary>
    HermeticPackage,

    CeramicCapacitor,
    AluminiumElectrolytic,
    PolymerCapacitor,
    FilmCapacitorPolypropylene,
    FilmCapacitorPolyester,
    Supercapacitor,
    CoinCell,
    LithiumPack,
    Crystal,
    LcFilter,
    RadioModule,
    ConnectorHeatProof,
    ConnectorOther,
    PlasticPart,
    LabelOrTape,
    Other,
}

/// <summary>Moisture levels of J-STD-020.</summary>
public enum MoistureLevel
{
    Unknown,

    [JsonStringEnumMemberName("1")]
    L1,

    [JsonStringEnumMemberName("2")]
    L2,

    [JsonStringEnumMemberName("2a")]
    L2A,

    [JsonStringEnumMemberName("3")]
    L3,

    [JsonStringEnumMemberName("4")]
    L4,

    [JsonStringEnumMemberName("5")]
    L5,

    [JsonStringEnumMemberName("5a")]
    L5A,

    [JsonStringEnumMemberName("6")]
    L6,
}

/// <summary>A chip that is moved in the job.</summary>
[Description("A chip that is moved in the job.")]
public sealed record Chip
{
    [Description("Short name of the chip in this document.")]
    [Text(40, Pattern = "^[A-Za-z0-9][A-Za-z0-9_-]{0,39}$", PatternInWords = "letters, digits, dash and underscore")]
    public required string Id { get; init; }

    [Description("Marking as printed.")]
    [Text(120)]
    public string? Marking { get; init; }

    [Description("Class from the package library that its sizes were taken from.")]
    [Text(80)]
    public string? PackageClass { get; init; }

    [Description("Where the chip sits before the job.")]
    public required ChipPlace From { get; init; }

    [Description("Where the chip goes.")]
    public required ChipPlace To { get; init; }

    [Description("Extent of the body in its own x.")]
    [Allowed(1, 100, Unit = "mm")]
    public required double BodyLengthMm { get; init; }

    [Description("Extent of the body in its own y.")]
    [Allowed(1, 100, Unit = "mm")]
    public required double BodyWidthMm { get; init; }

    [Description("Thickness of the body without balls.")]
    [Allowed(0.2, 10, Unit = "mm")]
    public required double BodyThicknessMm { get; init; }

    [Description("Thickness of the substrate, part of the body thickness.")]
    [Allowed(0.05, 5, Unit = "mm")]
    public double? SubstrateThicknessMm { get; init; }

    [Description("What the top of the body is.")]
    public BodyTop Top { get; init; } = BodyTop.Unknown;

    [Description("Extent of the die in the body's own x.")]
    [Allowed(0.5, 80, Unit = "mm")]
    public double? DieLengthMm { get; init; }

    [Description("Extent of the die in the body's own y.")]
    [Allowed(0.5, 80, Unit = "mm")]
    public double? DieWidthMm { get; init; }

    [Description("Thickness of the die.")]
    [Allowed(0.03, 2, Unit = "mm")]
    public double? DieThicknessMm { get; init; }

    [Description("Height of the joints once soldered.")]
    [Allowed(0.03, 1.5, Unit = "mm")]
    public double? StandoffMm { get; init; }

    [Description("Pitch of the balls.")]
    [Allowed(0.2, 2.54, Unit = "mm")]
    public double? PitchMm { get; init; }

    [Description("Rows of the ball field, empty sites included.")]
    [Allowed(1, 100)]
    public int? Rows { get; init; }

    [Description("Columns of the ball field, empty sites included.")]
    [Allowed(1, 100)]
    public int? Columns { get; init; }

    [Description("Number of balls.")]
    [Allowed(1, 10000)]
    public int? BallCount { get; init; }

    [Description("Diameter of the balls before they were attached.")]
    [Allowed(0.05, 1.5, Unit = "mm")]
    public double? BallDiameterMm { get; init; }

    [Description("Alloy of the balls on it now.")]
    [Text(40)]
    public string? BallAlloy { get; init; }

    [Description("What decides how it seats on its lands, for a chip that goes to the host.")]
    public Seat? Seat { get; init; }

    [Description("Its ball list.")]
    public BallListFile? BallList { get; init; }

    [Description("What it needs of its board, for a chip that goes to the host.")]
    public ChipNeeds? Needs { get; init; }

    [Description("Moisture level from the label or data sheet.")]
    public MoistureLevel MoistureLevel { get; init; } = MoistureLevel.Unknown;

    [Description("Whether the substrate has solid planes that bar moisture from below.")]
    public YesNo InternalPlanes { get; init; } = YesNo.Unknown;

    [Description("Whether dies are stacked in it.")]
    public YesNo StackedDie { get; init; } = YesNo.Unknown;

    [Description("Highest peak that its maker allows in soldering.")]
    [Allowed(60, 400, Unit = "°C")]
    public double? PeakLimitC { get; init; }

    [Description("Centre on its board from the left edge.")]
    [Allowed(-100, 1100, Unit = "mm")]
    public double? XMm { get; init; }

    [Description("Centre on its board from the lower edge.")]
    [Allowed(-100, 1100, Unit = "mm")]
    public double? YMm { get; init; }

    [Description("Turn of the body on its board, counter-clockwise; corner A1 is upper left at 0.")]
    [Allowed(-360, 360, Unit = "°")]
    public double RotationDeg { get; init; }

    [Description(
        "Where the chip goes to: centre from the host's left edge; the same place as the chip it replaces if left out."
    )]
    [Allowed(-100, 1100, Unit = "mm")]
    public double? HostXMm { get; init; }

    [Description("Where the chip goes to: centre from the host's lower edge.")]
    [Allowed(-100, 1100, Unit = "mm")]
    public double? HostYMm { get; init; }

    [Description("Where the chip goes to: turn on the host, counter-clockwise.")]
    [Allowed(-360, 360, Unit = "°")]
    public double? HostRotationDeg { get; init; }
}

/// <summary>Where a chip sits or goes.</summary>
public enum ChipPlace
{
    Host,
    Donor,
    Shelf,
    Scrap,
}
