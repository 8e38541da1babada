using Graftbench.Core.Drying;
using Graftbench.Core.Findings;
using Graftbench.Core.Mixing;

namespace Graftbench.Core.Joints;

/// <summary>Whether there is an answer.</summary>
public enum JointPlanState
{
    /// <summary>The wanted chance is reached as it is.</summary>
    Reached,

    /// <summary>The wanted chance is reached with more, or more even, solder on the lands.</summary>
    NeedsSolder,

    /// <summary>No amount of solder on the lands reaches the wanted chance.</summary>
    CannotBeReached,

    /// <summary>Could not be computed; the findings say why.</summary>
    NoAnswer,

    /// <summary>Computed, but something must be put right or looked at first, whatever the chance is.</summary>
    Held,
}

/// <summary>Answer to question 5: which balls, how much solder on the lands, will every joint form.</summary>
/// <param name="Subject">What it is about.</param>
/// <param name="State">Whether there is an answer.</param>
/// <param name="Answer">The answer in one large line, to act on.</param>
/// <param name="Cold">How the package stands before anything melts; null where it was not found.</param>
/// <param name="Molten">How it stands molten, nominal sizes; null where it was not found.</param>
/// <param name="Joints">Every joint, in the order of the request.</param>
/// <param name="Stops">Every part on the underside, in the order of the request.</param>
/// <param name="Chance">Chances over drawn packages; null where they were not computed.</param>
/// <param name="Need">The least solder on the lands; null where it was not computed.</param>
/// <param name="Limits">Upper limits.</param>
/// <param name="Levers">What could be changed and what it gains, best first.</param>
/// <param name="Balls">Balls that suit pitch, pads and original standoff, best first.</param>
/// <param name="Count">Count and mass of balls and solder.</param>
/// <param name="Curve">Force over gap of the nominal joint.</param>
/// <param name="Findings">Findings, worst first.</param>
/// <param name="Assumptions">What was assumed.</param>
/// <param name="Request">What it was computed from; sections are drawn from it.</param>
public sealed record JointPlan(
    string Subject,
    JointPlanState State,
    string Answer,
    ColdSeat? Cold,
    MoltenSeat? Molten,
    IReadOnlyList<JointState> Joints,
    IReadOnlyList<StopState> Stops,
    JointChance? Chance,
    SolderNeed? Need,
    JointLimits? Limits,
    IReadOnlyList<JointLever> Levers,
    IReadOnlyList<BallChoice> Balls,
    BallCount Count,
    ForceCurve? Curve,
    IReadOnlyList<Finding> Findings,
    IReadOnlyList<Assumption> Assumptions,
    JointRequest Request
)
{
    /// <summary>What nominal sizes become at the ends of the warpage, two standard deviations off; empty where it does not vary.</summary>
    public IReadOnlyList<WarpageEnd> WarpageEnds { get; init; } = [];

    /// <summary>What the joint becomes when ball and what is left on the lands melt together; null where it was not computed.</summary>
    public MixAnswer? Mixture { get; init; }
}

/// <summary>How the package seats at an end of its warpage.</summary>
/// <param name="WarpageMm">Gap at the farthest joint less gap in the middle [mm].</param>
/// <param name="OpenNumber">Joints that stay open.</param>
/// <param name="SpillNumber">Joints squashed over the edge of a pad.</param>
public sealed record WarpageEnd(double WarpageMm, int OpenNumber, int SpillNumber);

/// <summary>The package's plane: gap = z + tx·x + ty·y + warpage.</summary>
/// <param name="GapMm">Gap in the middle of the field [mm].</param>
/// <param name="TiltXRatio">Rise by length along x.</param>
/// <param name="TiltYRatio">Rise by length along y.</param>
public readonly record struct SeatPlane(double GapMm, double TiltXRatio, double TiltYRatio);

/// <summary>How the package stands before anything melts.</summary>
/// <param name="Plane">Its plane.</param>
/// <param name="Contacts">Names of balls and parts that it stands on.</param>
/// <param name="StandsOnParts">Whether a part is among them.</param>
/// <param name="Rocks">Whether it can rock: its centre of gravity is not inside the contacts.</param>
/// <param name="Float10UmNumber">Balls that hang more than 0.01 mm above their land's solder.</param>
/// <param name="Float50UmNumber">More than 0.05 mm.</param>
/// <param name="Float100UmNumber">More than 0.10 mm.</param>
/// <param name="LargestFloatMm">Largest distance of a ball from its land's solder [mm].</param>
public sealed record ColdSeat(
    SeatPlane Plane,
    IReadOnlyList<string> Contacts,
    bool StandsOnParts,
    bool Rocks,
    int Float10UmNumber,
    int Float50UmNumber,
    int Float100UmNumber,
    double LargestFloatMm
);

/// <summary>How the package stands molten.</summary>
/// <param name="Plane">Its plane.</param>
/// <param name="Converged">False: the figures are the last step's and no answer.</param>
/// <param name="Steps">Steps taken.</param>
/// <param name="ResidualMilliN">Force out of balance [mN].</param>
/// <param name="JoinedNumber">Joints that formed.</param>
/// <param name="OpenNumber">Joints that did not.</param>
/// <param name="OnStopsMilliN">Force that the parts carry together [mN].</param>
/// <param name="LoadMilliN">Weight, lid and press together [mN].</param>
/// <param name="CentringMilliNPerMm">Sideways force by sideways offset of all joints together [mN/mm]; null where not computed.</param>
/// <param name="LeastGapMm">Gap in the middle at that end of the tension's range where it is least [mm]; null where not computed.</param>
/// <param name="MostGapMm">The same at the other end [mm].</param>
/// <param name="LeastReachMm">Least reach left over at any joint [mm]; below 0 where one misses; null where not computed.</param>
public sealed record MoltenSeat(
    SeatPlane Plane,
    bool Converged,
    int Steps,
    double ResidualMilliN,
    int JoinedNumber,
    int OpenNumber,
    double OnStopsMilliN,
    double LoadMilliN,
    double? CentringMilliNPerMm,
    double? LeastGapMm = null,
    double? MostGapMm = null,
    double? LeastReachMm = null
);

/// <summary>What became of a joint.</summary>
[Flags]
public enum JointClass
{
    /// <summary>Nothing known.</summary>
    None = 0,

    /// <summary>Ball and land became one joint.</summary>
    Joined = 1,

    /// <summary>The ball did not reach its land.</summary>
    Open = 2,

    /// <summary>Joined and pulling the package down; normal where parts carry it.</summary>
    Stretched = 4,

    /// <summary>Squashed until solder leaves the edge of a pad.</summary>
    Spill = 8,

    /// <summary>Nearer to a neighbour than the spacing that is asked for.</summary>
    BridgeRisk = 16,

    /// <summary>No ball.</summary>
    Missing = 32,

    /// <summary>Joined, then stretched until the neck broke; open from then on.</summary>
    Parted = 64,
}

/// <summary>One joint as computed at nominal sizes, and its chance.</summary>
/// <param name="Name">Name of the ball.</param>
/// <param name="XMm">Place [mm].</param>
/// <param name="YMm">Place [mm].</param>
/// <param name="Class">What became of it.</param>
/// <param name="TouchHeightMm">Gap at which ball and land's solder touch, molten sizes [mm].</param>
/// <param name="ColdFloatMm">Distance of the ball from its land's solder before melting [mm].</param>
/// <param name="GapMm">Gap molten [mm].</param>
/// <param name="MissMm">How far an open joint misses [mm]; 0 for a joined one.</param>
/// <param name="ForceMilliN">Force on the package, up positive [mN].</param>
/// <param name="WidestMm">Widest diameter [mm]; of the ball where it is open.</param>
/// <param name="SpacingMm">Least distance to a neighbour's solder [mm]; null without neighbours.</param>
/// <param name="SpillGapMm">Gap below which solder leaves the pad [mm]; null where not found.</param>
/// <param name="BreakGapMm">Gap above which the molten neck breaks [mm]; null where not found.</param>
/// <param name="OpenFraction">Share of drawn packages where it is open; null without chances.</param>
/// <param name="NeededDomeMm">Solder height that this land needs with the package as it stands molten [mm]; 0 where none.</param>
public sealed record JointState(
    string Name,
    double XMm,
    double YMm,
    JointClass Class,
    double TouchHeightMm,
    double ColdFloatMm,
    double GapMm,
    double MissMm,
    double ForceMilliN,
    double WidestMm,
    double? SpacingMm,
    double? SpillGapMm,
    double? BreakGapMm,
    double? OpenFraction,
    double NeededDomeMm
);

/// <summary>One part on the underside.</summary>
/// <param name="Name">Name of the part.</param>
/// <param name="XMm">Place [mm].</param>
/// <param name="YMm">Place [mm].</param>
/// <param name="StopHeightMm">Gap at which it meets the board [mm].</param>
/// <param name="ColdClearanceMm">Its distance from the board before melting [mm]; 0 where it stands on it.</param>
/// <param name="HotClearanceMm">Its distance from the board molten [mm].</param>
/// <param name="ForceMilliN">Force that presses it on the board [mN].</param>
public sealed record StopState(
    string Name,
    double XMm,
    double YMm,
    double StopHeightMm,
    double ColdClearanceMm,
    double HotClearanceMm,
    double ForceMilliN
);

/// <summary>Chances over drawn packages.</summary>
/// <param name="Trials">Packages drawn.</param>
/// <param name="Seed">Start of the drawing.</param>
/// <param name="AllJoinedFraction">Share of packages with every joint formed.</param>
/// <param name="AllJoinedErrorFraction">Its standard error.</param>
/// <param name="OpenShareFraction">Share of joints that are open, over all packages.</param>
/// <param name="OpenShareErrorFraction">Its standard error, from package to package.</param>
/// <param name="SpillFraction">Share of packages where a joint spills.</param>
/// <param name="PartedFraction">Share of packages where a joint forms and is pulled apart again.</param>
/// <param name="NearBridgeFraction">Share of packages where two joints come nearer than the asked spacing.</param>
/// <param name="OnStopsMilliN">Mean force that the parts carry together [mN].</param>
/// <param name="OpenByJointFraction">Share of packages where each joint is open, in the order of the request.</param>
/// <param name="OpenCounts">How many packages had 0, 1, 2 … open joints; the last entry counts all that had more.</param>
/// <param name="NotSettledNumber">Packages whose plane was not found; counted as not joined.</param>
/// <param name="OutsideTableNumber">Packages with a joint outside the table's range, where the force is held at its edge.</param>
public sealed record JointChance(
    int Trials,
    ulong Seed,
    double AllJoinedFraction,
    double AllJoinedErrorFraction,
    double OpenShareFraction,
    double OpenShareErrorFraction,
    double SpillFraction,
    double PartedFraction,
    double NearBridgeFraction,
    double OnStopsMilliN,
    IReadOnlyList<double> OpenByJointFraction,
    IReadOnlyList<int> OpenCounts,
    int NotSettledNumber,
    int OutsideTableNumber
);

/// <summary>The least solder on the lands.</summary>
/// <param name="RuleDomeMm">Dome from which every land is safe by itself, with the package as it stands molten and four standard deviations of reach [mm]; 0 where none is needed.</param>
/// <param name="Levels">Least mean dome by evenness, most even first.</param>
/// <param name="Sentence">What to do, one sentence.</param>
/// <param name="Words">What common words for an amount of solder mean in mm.</param>
/// <param name="AdvisedDomeMm">Amount that the sentence advises, on the safe side [mm]; null where none is enough.</param>
/// <param name="AdvisedSpreadPercent">How even it must be made for that [%]; null where no amount is enough.</param>
public sealed record SolderNeed(
    double RuleDomeMm,
    IReadOnlyList<SolderLevel> Levels,
    string Sentence,
    IReadOnlyList<SolderWord> Words,
    double? AdvisedDomeMm,
    double? AdvisedSpreadPercent
);

/// <summary>The least mean dome for one evenness.</summary>
/// <param name="DomeSpreadPercent">Standard deviation of the volume by its mean [%].</param>
/// <param name="LeastMeanDomeMm">Least mean dome height [mm]; null where none below a half sphere is enough.</param>
/// <param name="AllJoinedFraction">Chance with that dome, or with the best one tried.</param>
/// <param name="AllJoinedErrorFraction">Its standard error.</param>
/// <param name="BestDomeMm">The dome that the chance belongs to [mm].</param>
public sealed record SolderLevel(
    double DomeSpreadPercent,
    double? LeastMeanDomeMm,
    double AllJoinedFraction,
    double AllJoinedErrorFraction,
    double BestDomeMm
);

/// <summary>A word for an amount of solder on a land.</summary>
/// <param name="Word">The word.</param>
/// <param name="FromMm">From [mm].</param>
/// <param name="ToMm">To [mm].</param>
/// <param name="Source">Common practice, no source.</param>
public sealed record SolderWord(string Word, double FromMm, double ToMm, string Source);

/// <summary>Upper limits.</summary>
/// <param name="SlideDomeMm">Dome above which a ball put down off centre slides off [mm]; null where not computed.</param>
/// <param name="SpillLoadG">Load at which the joints would spill, all together [g].</param>
/// <param name="SafeLoadG">A third of it [g].</param>
/// <param name="LeastSpacingMm">Least distance between two joints' solder [mm].</param>
/// <param name="AskedSpacingMm">Spacing that is asked for [mm].</param>
/// <param name="ColdTiltMm">Height difference over the field before melting [mm].</param>
public sealed record JointLimits(
    double? SlideDomeMm,
    double? SpillLoadG,
    double? SafeLoadG,
    double? LeastSpacingMm,
    double AskedSpacingMm,
    double ColdTiltMm
);

/// <summary>Something that could be changed.</summary>
/// <param name="What">What, with figures.</param>
/// <param name="ReachGainMm">Reach gained at the worst joint [mm].</param>
/// <param name="AllJoinedFraction">Chance with it that every joint forms; null where it was not computed.</param>
/// <param name="AllJoinedErrorFraction">Its standard error.</param>
/// <param name="SpacingMm">Least distance between neighbours with it [mm].</param>
/// <param name="Cost">What it costs, in words.</param>
/// <param name="Enough">Whether it alone reaches the wanted chance.</param>
/// <param name="Kind">What sort of change it is.</param>
public sealed record JointLever(
    string What,
    double ReachGainMm,
    double? AllJoinedFraction,
    double? AllJoinedErrorFraction,
    double? SpacingMm,
    string Cost,
    bool Enough,
    JointLeverKind Kind
);

/// <summary>Sorts of changes.</summary>
public enum JointLeverKind
{
    /// <summary>Other balls.</summary>
    Balls,

    /// <summary>More, more even or local solder on the lands.</summary>
    Solder,

    /// <summary>Other pads on the package.</summary>
    Pads,

    /// <summary>Lower parts underneath.</summary>
    Parts,

    /// <summary>Flatter heat.</summary>
    Heat,

    /// <summary>A weight.</summary>
    Weight,
}

/// <summary>A size of ball.</summary>
/// <param name="BallDiameterMm">Diameter [mm].</param>
/// <param name="StencilHoleMm">Hole of the stencil [mm].</param>
/// <param name="AttachedHeightMm">Height on this package's pads [mm].</param>
/// <param name="StandoffMm">Gap molten under this weight without parts [mm].</param>
/// <param name="OffOriginalMm">That less the original standoff [mm]; null where that is not known.</param>
/// <param name="SpacingMm">Distance to the neighbour molten [mm].</param>
/// <param name="Suits">Whether it suits pad and pitch.</param>
/// <param name="Why">Why or why not.</param>
/// <param name="Source">Source of the rule.</param>
public sealed record BallChoice(
    double BallDiameterMm,
    double StencilHoleMm,
    double AttachedHeightMm,
    double? StandoffMm,
    double? OffOriginalMm,
    double? SpacingMm,
    bool Suits,
    string Why,
    string Source
)
{
    /// <summary>Balls of this size and stencils for them on the shelf, in words; null where no shelf was looked at.</summary>
    public string? OnShelf { get; init; }
}

/// <summary>Count and mass.</summary>
/// <param name="Balls">Balls.</param>
/// <param name="BallMassG">Mass of all balls [g].</param>
/// <param name="LandSolderG">Mass of the solder on the lands [g].</param>
public sealed record BallCount(int Balls, double BallMassG, double LandSolderG);

/// <summary>Force over gap of the nominal joint.</summary>
/// <param name="Points">Points, gap rising.</param>
/// <param name="SpillGapMm">Gap below which it spills [mm]; null where not found.</param>
/// <param name="BreakGapMm">Gap above which it breaks [mm]; null where not found.</param>
/// <param name="TouchHeightMm">Gap at which ball and land touch [mm].</param>
public sealed record ForceCurve(
    IReadOnlyList<ForcePoint> Points,
    double? SpillGapMm,
    double? BreakGapMm,
    double TouchHeightMm
);

/// <summary>One point of a force curve.</summary>
/// <param name="GapMm">Gap [mm].</param>
/// <param name="ForceMilliN">Force on the package, up positive [mN].</param>
/// <param name="WidestMm">Widest diameter [mm].</param>
public readonly record struct ForcePoint(double GapMm, double ForceMilliN, double WidestMm);
