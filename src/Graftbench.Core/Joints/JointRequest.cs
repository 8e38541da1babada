namespace Graftbench.Core.Joints;

/// <summary>Everything that the seat of a package is computed from. Lengths from the middle of the ball field, x right, y up.</summary>
/// <param name="Subject">What it is about: <c>chip U1</c>.</param>
/// <param name="Solder">The solder while molten.</param>
/// <param name="Sites">Joints, in the order that every per-joint list of the answer keeps.</param>
/// <param name="Stops">Parts on the underside that can stop the package.</param>
/// <param name="PartsKnown">False where nobody looked at the underside: the answer is then never ok.</param>
/// <param name="Load">What presses down.</param>
/// <param name="HotWarpageMm">Gap at the farthest joint less gap in the middle at reflow [mm]; grows with the square of the distance.</param>
/// <param name="ColdWarpageMm">The same at room temperature [mm].</param>
/// <param name="WarpageKnown">False where the warpage is assumed.</param>
/// <param name="Spread">How far sizes vary.</param>
/// <param name="PitchMm">Least distance between neighbours [mm].</param>
/// <param name="OriginalStandoffMm">Gap as the package was made [mm]; null where not known.</param>
/// <param name="Goal">What is wanted.</param>
public sealed record JointRequest(
    string Subject,
    JointSolder Solder,
    IReadOnlyList<JointSite> Sites,
    IReadOnlyList<JointStop> Stops,
    bool PartsKnown,
    JointLoad Load,
    double HotWarpageMm,
    double ColdWarpageMm,
    bool WarpageKnown,
    JointSpread Spread,
    double PitchMm,
    double? OriginalStandoffMm,
    JointGoal Goal
)
{
    /// <summary>False where the package is taken to be flat at room temperature because nobody measured it.</summary>
    public bool ColdWarpageKnown { get; init; } = true;
}

/// <summary>The solder while molten. Errors are taken as two standard deviations and drawn once for each package.</summary>
/// <param name="TensionNPerM">Surface tension [N/m].</param>
/// <param name="TensionErrorPercent">How far it may be off [%].</param>
/// <param name="DensityKgPerM3">Density of the liquid [kg/m³].</param>
/// <param name="SwellingFactor">Volume molten by volume at room temperature.</param>
/// <param name="SolidDensityKgPerM3">Density at room temperature, for the mass of the balls [kg/m³].</param>
/// <param name="Source">Where the tension comes from: given, the alloy's name, or assumed.</param>
/// <param name="DensityErrorPercent">How far the density may be off [%].</param>
/// <param name="SwellingErrorPercent">How far the swelling may be off, in parts of a hundred of the volume [%].</param>
/// <param name="Known">False where the tension is assumed because the alloy is not known.</param>
/// <param name="Figures">What was used, with its error and source, in words; empty for a request made without a document.</param>
public sealed record JointSolder(
    double TensionNPerM,
    double TensionErrorPercent,
    double DensityKgPerM3,
    double SwellingFactor,
    double SolidDensityKgPerM3,
    string Source,
    double DensityErrorPercent = 0,
    double SwellingErrorPercent = 0,
    bool Known = true,
    IReadOnlyList<SolderFigure>? Figures = null
)
{
    /// <summary>What was used, in words; empty for a request made without a document.</summary>
    public IReadOnlyList<SolderFigure> Figures { get; init; } = Figures ?? [];
}

/// <summary>A figure of the solder as it was used.</summary>
/// <param name="What">What it is: surface tension, density molten, growth on melting.</param>
/// <param name="Figure">The figure with unit and error, and whether it was entered, the alloy's or assumed.</param>
/// <param name="Source">Source id.</param>
public sealed record SolderFigure(string What, string Figure, string Source);

/// <summary>One joint: a ball on the package over a land on the board.</summary>
/// <param name="Name">Name of the ball.</param>
/// <param name="XMm">Place [mm].</param>
/// <param name="YMm">Place [mm].</param>
/// <param name="BallVolumeMm3">Volume of the ball at room temperature [mm³]; 0 where it is missing.</param>
/// <param name="DomeVolumeMm3">Volume of the solder on the land at room temperature [mm³].</param>
/// <param name="PackageRadiusMm">Wetted radius on the package [mm].</param>
/// <param name="BoardRadiusMm">Wetted radius on the board [mm].</param>
/// <param name="LandHeightMm">Land above the plane of the lands [mm].</param>
public sealed record JointSite(
    string Name,
    double XMm,
    double YMm,
    double BallVolumeMm3,
    double DomeVolumeMm3,
    double PackageRadiusMm,
    double BoardRadiusMm,
    double LandHeightMm = 0
);

/// <summary>A part that stops the package where the gap over it falls to its stop height.</summary>
/// <param name="Name">Name of the part.</param>
/// <param name="XMm">Place [mm].</param>
/// <param name="YMm">Place [mm].</param>
/// <param name="StopHeightMm">Gap between the planes of the lands at which it meets the board, cold [mm].</param>
/// <param name="FilmMm">How much lower that may be while its own solder is molten [mm].</param>
/// <param name="ErrorMm">How far the measurement may be off [mm].</param>
public sealed record JointStop(
    string Name,
    double XMm,
    double YMm,
    double StopHeightMm,
    double FilmMm,
    double ErrorMm = 0
);

/// <summary>What presses down while the solder is molten.</summary>
/// <param name="PackageG">Weight of the package [g].</param>
/// <param name="LidG">Weight of a lid lying on it [g].</param>
/// <param name="PressG">Pressing load, in grams of weight [g].</param>
/// <param name="CentreXMm">Centre of gravity [mm].</param>
/// <param name="CentreYMm">Centre of gravity [mm].</param>
/// <param name="WeightKnown">False where the weight of the package is assumed.</param>
public sealed record JointLoad(
    double PackageG,
    double LidG,
    double PressG,
    double CentreXMm,
    double CentreYMm,
    bool WeightKnown = true
);

/// <summary>How far sizes vary; normal unless said.</summary>
/// <param name="BallDiameterSdMm">Standard deviation of the ball's diameter [mm].</param>
/// <param name="PadRadiusSdMm">Standard deviation of each wetted radius [mm].</param>
/// <param name="LandHeightSdMm">Standard deviation of a land's height [mm].</param>
/// <param name="DomeVolumeSdPercent">Standard deviation of a dome's volume by its mean [%]; cut off below a tenth of the mean.</param>
/// <param name="WarpageSdMm">Standard deviation of the warpage from package to package [mm].</param>
/// <param name="MissingFraction">Share of balls missing before placing.</param>
public sealed record JointSpread(
    double BallDiameterSdMm,
    double PadRadiusSdMm,
    double LandHeightSdMm,
    double DomeVolumeSdPercent,
    double WarpageSdMm = 0,
    double MissingFraction = 0
);

/// <summary>What is wanted, and how hard to look.</summary>
/// <param name="WantedFraction">Wanted chance that every joint of a package forms.</param>
/// <param name="Trials">Packages to draw.</param>
/// <param name="Seed">Start of the drawing: same seed, same answer.</param>
/// <param name="WithLevers">Whether levers and the least dome are computed too.</param>
public sealed record JointGoal(double WantedFraction, int Trials, ulong Seed = 20261126, bool WithLevers = true);
