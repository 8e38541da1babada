using Graftbench.Vision.Planes;

namespace Graftbench.Vision.Xray;

/// <summary>What an X-ray picture shows of a joint's whereabouts.</summary>
public enum JointSight
{
    /// <summary>Solder is there, apart from its neighbours.</summary>
    Present,

    /// <summary>No solder where the map has a ball.</summary>
    Missing,

    /// <summary>Solder goes on to a neighbour.</summary>
    Joined,

    /// <summary>Solder is there, in a size or shape unlike the others.</summary>
    Odd,

    /// <summary>The picture does not tell.</summary>
    CannotJudge,
}

/// <summary>One joint in an X-ray picture.</summary>
/// <param name="Name">Name of the ball.</param>
/// <param name="Row">Row from 0.</param>
/// <param name="Column">Column from 0.</param>
/// <param name="XPx">Centre in the picture [px].</param>
/// <param name="YPx">Centre in the picture [px].</param>
/// <param name="State">Whether it is there and how.</param>
/// <param name="ConfidenceFraction">How sure the state is, 0 to 1; estimated, not a counted chance.</param>
/// <param name="RadiusPx">Mean radius of its outline [px]; null without an outline.</param>
/// <param name="AreaRatio">Area of its shadow by the population's median.</param>
/// <param name="EllipticityRatio">Longer by shorter axis, less 1.</param>
/// <param name="RoughRatio">How far its edge lies off a smooth line, by its radius.</param>
/// <param name="JoinedWith">Names of the neighbours that it is joined with.</param>
/// <param name="VoidPercent">Area of voids by its own [%]; null where it cannot be judged.</param>
/// <param name="VoidUncertaintyPercent">Two standard deviations of that [percentage points], estimated.</param>
/// <param name="LargestVoidPercent">Area of the largest single void by the joint's [%].</param>
/// <param name="LeastVoidPercent">Area of the smallest void that this picture would show [%].</param>
/// <param name="Voids">Each void, largest first.</param>
/// <param name="WhyNot">Why voids or state cannot be judged; null where they can.</param>
/// <param name="Outline">Outline for drawing [px]; empty without one.</param>
public sealed record JointReading(
    string Name,
    int Row,
    int Column,
    double XPx,
    double YPx,
    JointSight State,
    double ConfidenceFraction,
    double? RadiusPx,
    double? AreaRatio,
    double? EllipticityRatio,
    double? RoughRatio,
    IReadOnlyList<string> JoinedWith,
    double? VoidPercent,
    double? VoidUncertaintyPercent,
    double? LargestVoidPercent,
    double? LeastVoidPercent,
    IReadOnlyList<VoidSpot> Voids,
    string? WhyNot,
    IReadOnlyList<PicturePoint> Outline
);

/// <summary>A dark spot between joints: a loose ball, a splash, or a via or part of the board.</summary>
/// <param name="XPx">Place [px].</param>
/// <param name="YPx">Place [px].</param>
/// <param name="DiameterPx">Diameter [px].</param>
/// <param name="LevelRatio">How dark it is by a whole joint.</param>
/// <param name="Near">Name of the nearest ball.</param>
public sealed record StraySpot(double XPx, double YPx, double DiameterPx, double LevelRatio, string Near);
