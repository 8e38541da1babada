namespace Graftbench.Core.Physics.Heat;

/// <summary>A rectangle on the board seen from the top [mm].</summary>
/// <param name="X0Mm">Left.</param>
/// <param name="X1Mm">Right, above <paramref name="X0Mm"/>.</param>
/// <param name="Y0Mm">Lower.</param>
/// <param name="Y1Mm">Upper, above <paramref name="Y0Mm"/>.</param>
public sealed record RectMm(double X0Mm, double X1Mm, double Y0Mm, double Y1Mm)
{
    /// <summary>Whether a point lies inside, edges included.</summary>
    public bool Contains(double xMm, double yMm) => xMm >= X0Mm && xMm <= X1Mm && yMm >= Y0Mm && yMm <= Y1Mm;

    /// <summary>The same rectangle grown on all four sides.</summary>
    public RectMm Grown(double byMm) => new(X0Mm - byMm, X1Mm + byMm, Y0Mm - byMm, Y1Mm + byMm);
}

/// <summary>What a box stands for, so that one factor can scale the conductivity of all boxes of a sort.</summary>
public enum BoxRole
{
    /// <summary>Anything else.</summary>
    Other,

    /// <summary>The bare board or a region of it.</summary>
    Board,

    /// <summary>Substrate of the package that is moved.</summary>
    Substrate,

    /// <summary>Ball layer of the package that is moved.</summary>
    Balls,
}

/// <summary>Heat that solder takes up while it melts: the liquid share rises straight from solidus to liquidus.</summary>
/// <param name="LatentJPerKg">Latent heat per mass of the box (its mean density, air between the balls included) [J/kg].</param>
/// <param name="SolidusC">First melt [°C].</param>
/// <param name="LiquidusC">Last crystal gone, at least 0.5 K above the solidus [°C].</param>
public sealed record Melting(double LatentJPerKg, double SolidusC, double LiquidusC);

/// <summary>A block of one material; where blocks overlap, the later one in the list wins.</summary>
/// <param name="Name">Unique name; films may be limited to named boxes.</param>
/// <param name="X0Mm">Left [mm].</param>
/// <param name="X1Mm">Right [mm].</param>
/// <param name="Y0Mm">Lower edge [mm].</param>
/// <param name="Y1Mm">Upper edge [mm].</param>
/// <param name="Z0Mm">Underside; the board's top face is z = 0 by custom [mm].</param>
/// <param name="Z1Mm">Top [mm].</param>
/// <param name="InPlaneWPerMK">Conductivity along x and y [W/(m K)].</param>
/// <param name="ThroughWPerMK">Conductivity along z [W/(m K)].</param>
/// <param name="DensityKgPerM3">Density [kg/m³].</param>
/// <param name="SpecificHeatJPerKgK">Specific heat [J/(kg K)].</param>
/// <param name="Role">What it stands for.</param>
/// <param name="Melting">Melting heat; null where nothing melts.</param>
public sealed record HeatBox(
    string Name,
    double X0Mm,
    double X1Mm,
    double Y0Mm,
    double Y1Mm,
    double Z0Mm,
    double Z1Mm,
    double InPlaneWPerMK,
    double ThroughWPerMK,
    double DensityKgPerM3,
    double SpecificHeatJPerKgK,
    BoxRole Role = BoxRole.Other,
    Melting? Melting = null
);

/// <summary>Which exposed faces of the boxes a film or a radiation patch covers.</summary>
public enum Faces
{
    /// <summary>Faces that look up.</summary>
    Top,

    /// <summary>Faces that look down.</summary>
    Bottom,

    /// <summary>Faces that look left, right, to the front or to the back.</summary>
    Side,
}

/// <summary>Which uncertain factor scales a film.</summary>
public enum FilmGroup
{
    /// <summary>Gas under the nozzle.</summary>
    Top,

    /// <summary>Gas that spills over outside the nozzle.</summary>
    Spill,

    /// <summary>Bottom heater.</summary>
    Bottom,

    /// <summary>Loss to the room.</summary>
    Ambient,
}

/// <summary>A share of a signal; a film's sink is the sum of its shares, which add up to 1.</summary>
/// <param name="Signal">Name of the signal.</param>
/// <param name="ShareFraction">Share; the shares of a sink add up to 1. Above 1 and below 0 for a zone that is set hotter than its heater's signal.</param>
public sealed record SignalShare(string Signal, double ShareFraction);

/// <summary>Convection on exposed faces. Several films on one face add. A face counts as inside by its cell's centre.</summary>
/// <param name="Faces">Which faces.</param>
/// <param name="FilmWPerM2K">Film coefficient [W/(m² K)].</param>
/// <param name="Sink">What the gas temperature follows.</param>
/// <param name="Group">Which uncertain factor scales it.</param>
/// <param name="Inside">Only inside this rectangle; null for everywhere.</param>
/// <param name="Outside">Only outside this rectangle; null for everywhere.</param>
/// <param name="OnlyBoxes">Only on these boxes; empty for all.</param>
public sealed record HeatFilm(
    Faces Faces,
    double FilmWPerM2K,
    IReadOnlyList<SignalShare> Sink,
    FilmGroup Group,
    RectMm? Inside,
    RectMm? Outside,
    IReadOnlyList<string> OnlyBoxes
);

/// <summary>Radiation of exposed faces: ε·σ·(Tₑ⁴ − T⁴) to surroundings at the sink's temperature.</summary>
/// <param name="Faces">Which faces.</param>
/// <param name="EmissivityRatio">Effective emissivity, 0 to 1.</param>
/// <param name="Sink">What the surroundings' temperature follows.</param>
/// <param name="Inside">Only inside this rectangle; null for everywhere.</param>
/// <param name="Outside">Only outside this rectangle; null for everywhere.</param>
/// <param name="OnlyBoxes">Only on these boxes; empty for all.</param>
public sealed record HeatRadiation(
    Faces Faces,
    double EmissivityRatio,
    IReadOnlyList<SignalShare> Sink,
    RectMm? Inside,
    RectMm? Outside,
    IReadOnlyList<string> OnlyBoxes
);

/// <summary>A temperature at a moment.</summary>
/// <param name="TimeS">Time from the start [s].</param>
/// <param name="TemperatureC">Temperature [°C].</param>
public sealed record SignalPoint(double TimeS, double TemperatureC);

/// <summary>A temperature that drives the board: gas, heater, room. Straight lines between points, held after the last.</summary>
/// <param name="Name">Unique name.</param>
/// <param name="Points">Points, times rising; two points of one time are a jump.</param>
/// <param name="LagS">First-order lag of the device behind its set point; 0 where the points are the temperature itself [s].</param>
public sealed record HeatSignal(string Name, IReadOnlyList<SignalPoint> Points, double LagS = 0);

/// <summary>Names of the signals that every planned run has.</summary>
public static class HeatSignals
{
    /// <summary>Gas out of the nozzle.</summary>
    public const string Gas = "gas";

    /// <summary>Bottom heater.</summary>
    public const string Preheater = "preheater";

    /// <summary>Air and walls of the room.</summary>
    public const string Room = "room";
}

/// <summary>A place to read the temperature at.</summary>
/// <param name="Name">Unique name.</param>
/// <param name="XMm">From the left [mm].</param>
/// <param name="YMm">From the lower edge [mm].</param>
/// <param name="ZMm">Height, inside or on the face of a box [mm].</param>
public sealed record HeatProbe(string Name, double XMm, double YMm, double ZMm);

/// <summary>
/// One heating run as the physics sees it: boxes that touch perfectly, films and radiation on their exposed faces, signals
/// that drive them, and places to read. Faces with neither film nor radiation are insulated.
/// </summary>
/// <param name="Name">Name for messages.</param>
/// <param name="StartC">Temperature of everything at time 0 [°C].</param>
/// <param name="DurationS">How long it runs [s].</param>
/// <param name="Boxes">Blocks; later ones win.</param>
/// <param name="Films">Convection.</param>
/// <param name="Radiation">Radiation.</param>
/// <param name="Signals">What drives the films.</param>
/// <param name="Probes">Places to read.</param>
/// <param name="TimesS">Moments at which the probes are reported, rising [s]; empty for every step.</param>
public sealed record HeatCase(
    string Name,
    double StartC,
    double DurationS,
    IReadOnlyList<HeatBox> Boxes,
    IReadOnlyList<HeatFilm> Films,
    IReadOnlyList<HeatRadiation> Radiation,
    IReadOnlyList<HeatSignal> Signals,
    IReadOnlyList<HeatProbe> Probes,
    IReadOnlyList<double> TimesS
);

/// <summary>
/// What is not known well, as multiples of the nominal value; 1 everywhere is the nominal case. Films, conductivities and
/// the board's heat capacity scale; the excess of a gas over the room scales with its device's factor.
/// </summary>
public sealed record HeatFactors
{
    /// <summary>Nothing scaled.</summary>
    public static HeatFactors Nominal { get; } = new();

    /// <summary>Film under the nozzle.</summary>
    public double TopFactor { get; init; } = 1;

    /// <summary>Spill-over film round the nozzle.</summary>
    public double SpillFactor { get; init; } = 1;

    /// <summary>Film of the bottom heater.</summary>
    public double BottomFactor { get; init; } = 1;

    /// <summary>Film to the room.</summary>
    public double AmbientFactor { get; init; } = 1;

    /// <summary>All emissivities.</summary>
    public double RadiationFactor { get; init; } = 1;

    /// <summary>In-plane conductivity of the board's boxes.</summary>
    public double BoardConductivityFactor { get; init; } = 1;

    /// <summary>Heat capacity of the board's boxes.</summary>
    public double BoardCapacityFactor { get; init; } = 1;

    /// <summary>Conductivity of the package's substrate, all directions.</summary>
    public double SubstrateConductivityFactor { get; init; } = 1;

    /// <summary>Gas temperature above the room, against what the tool shows.</summary>
    public double GasExcessFactor { get; init; } = 1;

    /// <summary>Bottom heater's temperature above the room, against what it shows.</summary>
    public double PreheaterExcessFactor { get; init; } = 1;

    /// <summary>Lag of the gas.</summary>
    public double GasLagFactor { get; init; } = 1;

    /// <summary>Lag of the bottom heater.</summary>
    public double PreheaterLagFactor { get; init; } = 1;
}
