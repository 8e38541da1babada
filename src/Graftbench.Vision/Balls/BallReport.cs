using Graftbench.Core.Findings;
using Graftbench.Core.Inspection;

namespace Graftbench.Vision.Balls;

/// <summary>What a site was found to be.</summary>
public enum SiteClass
{
    /// <summary>A ball, as the others are.</summary>
    Present,

    /// <summary>No ball.</summary>
    Missing,

    /// <summary>A ball that is clearly smaller than the others.</summary>
    Undersized,

    /// <summary>A ball that lies clearly beside its site.</summary>
    OffCentre,

    /// <summary>A ball that has run together with a neighbour.</summary>
    Joined,

    /// <summary>The picture does not decide it: look at it yourself.</summary>
    CannotJudge,
}

/// <summary>One site of the field and what was seen there.</summary>
/// <param name="Name">Name of the ball.</param>
/// <param name="Row">Row from 0.</param>
/// <param name="Column">Column from 0.</param>
/// <param name="XPx">Where it lies in the picture [px]; outside of the picture where the site is not in it.</param>
/// <param name="YPx">Where it lies in the picture [px].</param>
/// <param name="Class">What it was found to be.</param>
/// <param name="ConfidenceFraction">How sure, 0 to 1: the share of such verdicts that hold, estimated on rendered pictures.</param>
/// <param name="DiameterMm">Diameter of the ball [mm], by the pitch; null where none was measured.</param>
/// <param name="SizeRatio">Its diameter by the median of the picture; null where none was measured.</param>
/// <param name="OffsetMm">How far it lies beside its site [mm]; null where none was measured.</param>
/// <param name="JoinedWith">Names of the neighbours that it has run together with.</param>
/// <param name="Why">Why it cannot be judged; null otherwise.</param>
public sealed record SiteFinding(
    string Name,
    int Row,
    int Column,
    double XPx,
    double YPx,
    SiteClass Class,
    double ConfidenceFraction,
    double? DiameterMm,
    double? SizeRatio,
    double? OffsetMm,
    IReadOnlyList<string> JoinedWith,
    string? Why
);

/// <summary>A ball where the list has none.</summary>
/// <param name="XPx">Place [px].</param>
/// <param name="YPx">Place [px].</param>
/// <param name="Near">The names of the sites around it.</param>
/// <param name="ConfidenceFraction">How sure, 0 to 1.</param>
public sealed record StrayBall(double XPx, double YPx, IReadOnlyList<string> Near, double ConfidenceFraction);

/// <summary>How the field lies in the picture.</summary>
/// <param name="PitchPx">Pitch in the middle of what is seen [px].</param>
/// <param name="BallRadiusPitchRatio">Radius of the balls by the pitch.</param>
/// <param name="TiltDeg">How far the steps along and across differ, told as the tilt of a far camera [°].</param>
/// <param name="MarginSites">By how many sites the turn that was taken fits better than the next.</param>
/// <param name="CornersPx">Where A1, the last of row A, the last of the last row and the first of the last row lie [px].</param>
public sealed record FieldPose(
    double PitchPx,
    double BallRadiusPitchRatio,
    double TiltDeg,
    double MarginSites,
    IReadOnlyList<(double XPx, double YPx)> CornersPx
);

/// <summary>What one picture says about the balls.</summary>
/// <param name="Picture">Name of the picture.</param>
/// <param name="WidthPx">Width [px].</param>
/// <param name="HeightPx">Height [px].</param>
/// <param name="View">From where it was taken, as the person said.</param>
/// <param name="Judged">Whether sites were judged at all.</param>
/// <param name="Findings">What there is to say about the picture and the field, worst first.</param>
/// <param name="Sites">All sites of the field that have a ball, row by row; empty where nothing was judged.</param>
/// <param name="Strays">Balls where the list has none.</param>
/// <param name="Pose">How the field lies; null where it was not found.</param>
public sealed record BallReport(
    string Picture,
    int WidthPx,
    int HeightPx,
    BallView View,
    bool Judged,
    IReadOnlyList<Finding> Findings,
    IReadOnlyList<SiteFinding> Sites,
    IReadOnlyList<StrayBall> Strays,
    FieldPose? Pose
)
{
    /// <summary>How many sites are of a class.</summary>
    public int CountOf(SiteClass one) => Sites.Count(site => site.Class == one);
}
