using System.ComponentModel;

namespace Graftbench.Core.Jobs;

/// <summary>What decides how a chip seats on its lands: pads, balls, parts on its underside, weight, warpage, solder.</summary>
[Description(
    "What decides how a chip seats on its lands: pads, parts on its underside, weight, warpage, solder left on the lands."
)]
public sealed record Seat
{
    [Description(
        "Diameter that solder wets on the package: the mask opening if the mask covers the edge of the pad, else the pad."
    )]
    [Allowed(0.05, 2, Unit = "mm")]
    public double? PackagePadMm { get; init; }

    [Description(
        "Diameter that solder wets on the board: the land if the mask opening is larger, else the mask opening."
    )]
    [Allowed(0.05, 2, Unit = "mm")]
    public double? BoardPadMm { get; init; }

    [Description("Gap between board and package as it was made, for the choice of balls.")]
    [Allowed(0.03, 1.5, Unit = "mm")]
    public double? OriginalStandoffMm { get; init; }

    [Description("Rows without balls in the middle of the field.")]
    [Allowed(0, 100)]
    public int EmptyRows { get; init; }

    [Description("Columns without balls in the middle of the field.")]
    [Allowed(0, 100)]
    public int EmptyColumns { get; init; }

    [Description("Joints one by one, where they are no regular field; rows and columns are then not used.")]
    [AtMost(10000)]
    public IReadOnlyList<SeatSite> Sites { get; init; } = [];

    [Description("Parts on the underside of the package, each with its measured height.")]
    [AtMost(400)]
    public IReadOnlyList<SeatPart> Parts { get; init; } = [];

    [Description("Whether the underside was looked at: no leaves out the question of parts, unknown keeps it open.")]
    public YesNo HasParts { get; init; } = YesNo.Unknown;

    [Description("Weight of the package with its balls.")]
    [Allowed(0.001, 200, Unit = "g")]
    public double? PackageG { get; init; }

    [Description("Weight of a lid or heat spreader that lies on it while hot and is not part of its weight.")]
    [Allowed(0, 200, Unit = "g")]
    public double LidG { get; init; }

    [Description("Load that presses on it while the solder is molten, in grams of weight.")]
    [Allowed(0, 1000, Unit = "g")]
    public double PressG { get; init; }

    [Description("Centre of gravity from the middle of the field, x.")]
    [Allowed(-50, 50, Unit = "mm")]
    public double CentreXMm { get; init; }

    [Description("Centre of gravity from the middle of the field, y.")]
    [Allowed(-50, 50, Unit = "mm")]
    public double CentreYMm { get; init; }

    [Description(
        "Warpage of package and board together at reflow: gap at the corner joints less gap in the middle; above 0 the corners stand up."
    )]
    [Allowed(-1, 1, Unit = "mm")]
    public double? HotWarpageMm { get; init; }

    [Description("The same at room temperature.")]
    [Allowed(-1, 1, Unit = "mm")]
    public double? ColdWarpageMm { get; init; }

    [Description("Mean height of the solder left on the board's lands; 0 for bare lands.")]
    [Allowed(0, 1, Unit = "mm")]
    public double? DomeHeightMm { get; init; }

    [Description("How uneven that solder is from land to land: standard deviation of its volume by the mean.")]
    [Allowed(0, 150, Unit = "%")]
    public double? DomeSpreadPercent { get; init; }

    [Description("How far sizes vary.")]
    public SeatSpread Spread { get; init; } = new();

    [Description("The solder while it is molten.")]
    public SeatSolder Solder { get; init; } = new();

    [Description("Wanted chance that every joint of the package forms.")]
    [Allowed(50, 99.9, Unit = "%")]
    public double WantedChancePercent { get; init; } = 97.5;
}

/// <summary>One joint.</summary>
[Description("One joint: its place, and what is different about it.")]
public sealed record SeatSite
{
    [Description("Name of the ball.")]
    [Text(16)]
    public string? Name { get; init; }

    [Description("From the middle of the field, to the right seen from the top.")]
    [Allowed(-60, 60, Unit = "mm")]
    public required double XMm { get; init; }

    [Description("From the middle of the field, up.")]
    [Allowed(-60, 60, Unit = "mm")]
    public required double YMm { get; init; }

    [Description("Diameter of this ball before attaching, where it differs.")]
    [Allowed(0.05, 1.5, Unit = "mm")]
    public double? BallDiameterMm { get; init; }

    [Description("Wetted diameter on the package, where it differs.")]
    [Allowed(0.05, 2, Unit = "mm")]
    public double? PackagePadMm { get; init; }

    [Description("Wetted diameter on the board, where it differs.")]
    [Allowed(0.05, 2, Unit = "mm")]
    public double? BoardPadMm { get; init; }

    [Description("Height of the solder on this land, where it differs.")]
    [Allowed(0, 1, Unit = "mm")]
    public double? DomeHeightMm { get; init; }

    [Description("Land above (positive) or below the plane of the other lands.")]
    [Allowed(-0.5, 0.5, Unit = "mm")]
    public double LandHeightMm { get; init; }
}

/// <summary>A part on the underside of the package.</summary>
[Description("A part on the underside of the package; its height is measured, not taken from a case code.")]
public sealed record SeatPart
{
    [Description("Name of the part.")]
    [Text(40, MinLength = 1)]
    public required string Name { get; init; }

    [Description("From the middle of the field, to the right seen from the top.")]
    [Allowed(-60, 60, Unit = "mm")]
    public required double XMm { get; init; }

    [Description("From the middle of the field, up.")]
    [Allowed(-60, 60, Unit = "mm")]
    public required double YMm { get; init; }

    [Description("Measured: its lowest point below the package's mask, its own solder included.")]
    [Allowed(0.05, 3, Unit = "mm")]
    public required double HeightMm { get; init; }

    [Description("How far that measurement may be off; what is usual if left out.")]
    [Allowed(0, 0.3, Unit = "mm")]
    public double? HeightErrorMm { get; init; }

    [Description(
        "Solder film under its terminals, which may be squeezed out while it is molten; what is usual if left out."
    )]
    [Allowed(0, 0.2, Unit = "mm")]
    public double? FilmMm { get; init; }

    [Description("How far the package's pads lie below its mask; what is usual if left out.")]
    [Allowed(0, 0.1, Unit = "mm")]
    public double? PadDepthMm { get; init; }

    [Description("How far the board's mask under the part stands above the lands; level if left out.")]
    [Allowed(-0.05, 0.1, Unit = "mm")]
    public double? MaskHeightMm { get; init; }
}

/// <summary>How far sizes vary from joint to joint.</summary>
[Description("How far sizes vary from joint to joint.")]
public sealed record SeatSpread
{
    [Description("Tolerance of the ball's diameter, taken as three standard deviations; by size if left out.")]
    [Allowed(0, 0.1, Unit = "mm")]
    public double? BallToleranceMm { get; init; }

    [Description("Standard deviation of a wetted radius; what is usual if left out.")]
    [Allowed(0, 0.05, Unit = "mm")]
    public double? PadRadiusSdMm { get; init; }

    [Description("Standard deviation of a land's height; what is usual if left out.")]
    [Allowed(0, 0.05, Unit = "mm")]
    public double? LandHeightSdMm { get; init; }

    [Description(
        "Standard deviation of the warpage, from package to package and of its measurement; a share of the warpage if left out."
    )]
    [Allowed(0, 0.2, Unit = "mm")]
    public double? WarpageSdMm { get; init; }

    [Description("Share of balls that are missing before placing.")]
    [Allowed(0, 5, Unit = "%")]
    public double MissingPercent { get; init; }
}

/// <summary>The solder while it is molten.</summary>
[Description("The solder while it is molten; each figure with how far it may be off.")]
public sealed record SeatSolder
{
    [Description("Surface tension; by the alloy if left out.")]
    [Allowed(0.1, 1.2, Unit = "N/m")]
    public double? TensionNPerM { get; init; }

    [Description("How far the tension may be off; by the alloy if left out.")]
    [Allowed(0, 50, Unit = "%")]
    public double? TensionErrorPercent { get; init; }

    [Description("Density of the liquid; by the alloy at the peak if left out.")]
    [Allowed(4000, 14000, Unit = "kg/m³")]
    public double? DensityKgPerM3 { get; init; }

    [Description(
        "How much the volume grows from room temperature to the melt; by the alloy if left out. 0 leaves it out on the cautious side."
    )]
    [Allowed(-2, 8, Unit = "%")]
    public double? SwellingPercent { get; init; }

    [Description("What lies on the molten solder; it decides the tension of an alloy.")]
    public SolderCover Cover { get; init; } = SolderCover.Flux;

    [Description("Hottest that the joints get; 20 K above full melt if left out.")]
    [Allowed(100, 400, Unit = "°C")]
    public double? PeakC { get; init; }
}

/// <summary>What lies on the molten solder.</summary>
public enum SolderCover
{
    Flux,
    Nitrogen,
    Air,
}
