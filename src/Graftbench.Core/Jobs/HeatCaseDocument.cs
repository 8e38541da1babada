using System.ComponentModel;

namespace Graftbench.Core.Jobs;

/// <summary>
/// One heating run as the physics sees it, as a document: boxes that touch perfectly, films and radiation on their exposed
/// faces, signals that drive them, places to read.
/// </summary>
[Description(
    "One heating run as the physics sees it: boxes that touch perfectly, films and radiation on exposed faces, signals, probes."
)]
public sealed record HeatCaseDocument
{
    [Description("Document format; always graftbench-heat-1.")]
    [Text(32, Pattern = "^graftbench-heat-1$", PatternInWords = "the text graftbench-heat-1")]
    public required string Format { get; init; }

    [Description("What the case is.")]
    [Text(200)]
    public string? Name { get; init; }

    [Description("Temperature of everything at time 0.")]
    [Allowed(-50, 400, Unit = "°C")]
    public double StartC { get; init; } = 25;

    [Description("How long it runs.")]
    [Allowed(1, 7200, Unit = "s")]
    public required double DurationS { get; init; }

    [Description("Blocks of one material; where blocks overlap, the later one wins.")]
    [AtMost(600)]
    public required IReadOnlyList<CaseBox> Boxes { get; init; }

    [Description("Convection on exposed faces; several films on one face add.")]
    [AtMost(600)]
    public IReadOnlyList<CaseFilm> Films { get; init; } = [];

    [Description("Radiation of exposed faces.")]
    [AtMost(600)]
    public IReadOnlyList<CaseRadiation> Radiation { get; init; } = [];

    [Description("Temperatures that drive the films: straight lines between points, held after the last.")]
    [AtMost(60)]
    public IReadOnlyList<CaseSignal> Signals { get; init; } = [];

    [Description("Places to read.")]
    [AtMost(400)]
    public IReadOnlyList<CaseProbe> Probes { get; init; } = [];

    [Description("Moments to report, rising; every 10 s if left out.")]
    [AtMost(7201)]
    [Allowed(0, 7200, Unit = "s")]
    public IReadOnlyList<double> TimesS { get; init; } = [];
}

/// <summary>What a box stands for.</summary>
public enum CaseRole
{
    Other,
    Board,
    Substrate,
    Balls,
}

/// <summary>A block of one material.</summary>
[Description("A block of one material.")]
public sealed record CaseBox
{
    [Description("Unique name; films may be limited to named boxes.")]
    [Text(60, MinLength = 1)]
    public required string Name { get; init; }

    [Description("Left.")]
    [Allowed(-2000, 2000, Unit = "mm")]
    public required double X0Mm { get; init; }

    [Description("Right.")]
    [Allowed(-2000, 2000, Unit = "mm")]
    public required double X1Mm { get; init; }

    [Description("Lower edge.")]
    [Allowed(-2000, 2000, Unit = "mm")]
    public required double Y0Mm { get; init; }

    [Description("Upper edge.")]
    [Allowed(-2000, 2000, Unit = "mm")]
    public required double Y1Mm { get; init; }

    [Description("Underside; the board's top face is 0 by custom.")]
    [Allowed(-300, 300, Unit = "mm")]
    public required double Z0Mm { get; init; }

    [Description("Top.")]
    [Allowed(-300, 300, Unit = "mm")]
    public required double Z1Mm { get; init; }

    [Description("Conductivity along x and y.")]
    [Allowed(0.001, 5000, Unit = "W/(m K)")]
    public required double InPlaneWPerMK { get; init; }

    [Description("Conductivity along z.")]
    [Allowed(0.001, 5000, Unit = "W/(m K)")]
    public required double ThroughWPerMK { get; init; }

    [Description("Density.")]
    [Allowed(0.1, 30000, Unit = "kg/m³")]
    public required double DensityKgPerM3 { get; init; }

    [Description("Specific heat.")]
    [Allowed(10, 20000, Unit = "J/(kg K)")]
    public required double SpecificHeatJPerKgK { get; init; }

    [Description("What it stands for.")]
    public CaseRole Role { get; init; }

    [Description("Melting heat; left out where nothing melts.")]
    public CaseMelting? Melting { get; init; }
}

/// <summary>Heat that solder takes up while it melts.</summary>
[Description("Heat that a box takes up while it melts: the liquid share rises straight from solidus to liquidus.")]
public sealed record CaseMelting
{
    [Description("Latent heat per mass of the box.")]
    [Allowed(0, 1000000, Unit = "J/kg")]
    public required double LatentJPerKg { get; init; }

    [Description("First melt.")]
    [Allowed(30, 700, Unit = "°C")]
    public required double SolidusC { get; init; }

    [Description("Last crystal gone, at least 0.5 K above the solidus.")]
    [Allowed(30, 700, Unit = "°C")]
    public required double LiquidusC { get; init; }
}

/// <summary>Which exposed faces are meant.</summary>
public enum CaseFaces
{
    Top,
    Bottom,
    Side,
}

/// <summary>A rectangle seen from the top.</summary>
[Description("A rectangle seen from the top.")]
public sealed record CaseRect
{
    [Description("Left.")]
    [Allowed(-3000, 3000, Unit = "mm")]
    public required double X0Mm { get; init; }

    [Description("Right.")]
    [Allowed(-3000, 3000, Unit = "mm")]
    public required double X1Mm { get; init; }

    [Description("Lower edge.")]
    [Allowed(-3000, 3000, Unit = "mm")]
    public required double Y0Mm { get; init; }

    [Description("Upper edge.")]
    [Allowed(-3000, 3000, Unit = "mm")]
    public required double Y1Mm { get; init; }
}

/// <summary>A share of a signal.</summary>
[Description("A share of a signal; the shares of a sink add up to 1.")]
public sealed record CaseShare
{
    [Description("Name of the signal.")]
    [Text(60, MinLength = 1)]
    public required string Signal { get; init; }

    [Description("Share; above 1 and below 0 for a zone that is set hotter than its signal.")]
    [Allowed(-1, 2)]
    public double ShareFraction { get; init; } = 1;
}

/// <summary>Convection on exposed faces.</summary>
[Description("Convection on exposed faces. A face counts as inside by the centre of its grid cell.")]
public sealed record CaseFilm
{
    [Description("Which faces.")]
    public required CaseFaces Faces { get; init; }

    [Description("Film coefficient.")]
    [Allowed(0, 100000, Unit = "W/(m² K)")]
    public required double FilmWPerM2K { get; init; }

    [Description("What the gas temperature follows.")]
    [AtMost(20)]
    public required IReadOnlyList<CaseShare> Sink { get; init; }

    [Description("Only inside this rectangle.")]
    public CaseRect? Inside { get; init; }

    [Description("Only outside this rectangle.")]
    public CaseRect? Outside { get; init; }

    [Description("Only on these boxes.")]
    [AtMost(600)]
    [Text(60, MinLength = 1)]
    public IReadOnlyList<string> OnlyBoxes { get; init; } = [];
}

/// <summary>Radiation of exposed faces.</summary>
[Description("Radiation of exposed faces to surroundings at the sink's temperature.")]
public sealed record CaseRadiation
{
    [Description("Which faces.")]
    public required CaseFaces Faces { get; init; }

    [Description("Effective emissivity.")]
    [Allowed(0, 1)]
    public required double EmissivityRatio { get; init; }

    [Description("What the surroundings' temperature follows.")]
    [AtMost(20)]
    public required IReadOnlyList<CaseShare> Sink { get; init; }

    [Description("Only inside this rectangle.")]
    public CaseRect? Inside { get; init; }

    [Description("Only outside this rectangle.")]
    public CaseRect? Outside { get; init; }

    [Description("Only on these boxes.")]
    [AtMost(600)]
    [Text(60, MinLength = 1)]
    public IReadOnlyList<string> OnlyBoxes { get; init; } = [];
}

/// <summary>A temperature that drives films.</summary>
[Description(
    "A temperature that drives films: straight lines between points, held after the last; two points of one time are a jump."
)]
public sealed record CaseSignal
{
    [Description("Unique name.")]
    [Text(60, MinLength = 1)]
    public required string Name { get; init; }

    [Description("Points, times not falling.")]
    [AtMost(20000)]
    public required IReadOnlyList<CasePoint> Points { get; init; }

    [Description("First-order lag behind the points; 0 where the points are the temperature itself.")]
    [Allowed(0, 3600, Unit = "s")]
    public double LagS { get; init; }
}

/// <summary>A temperature at a moment.</summary>
[Description("A temperature at a moment.")]
public sealed record CasePoint
{
    [Description("Time from the start.")]
    [Allowed(0, 7200, Unit = "s")]
    public required double TimeS { get; init; }

    [Description("Temperature.")]
    [Allowed(-50, 1200, Unit = "°C")]
    public required double TemperatureC { get; init; }
}

/// <summary>A place to read.</summary>
[Description("A place to read: inside a box or on its face.")]
public sealed record CaseProbe
{
    [Description("Unique name.")]
    [Text(60, MinLength = 1)]
    public required string Name { get; init; }

    [Description("From the left.")]
    [Allowed(-2000, 2000, Unit = "mm")]
    public required double XMm { get; init; }

    [Description("From the lower edge.")]
    [Allowed(-2000, 2000, Unit = "mm")]
    public required double YMm { get; init; }

    [Description("Height.")]
    [Allowed(-300, 300, Unit = "mm")]
    public required double ZMm { get; init; }
}
