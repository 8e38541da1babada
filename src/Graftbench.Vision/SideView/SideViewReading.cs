using Graftbench.Core.Findings;
using Graftbench.Core.Joints;
using Graftbench.Vision.Edges;
using Graftbench.Vision.Pictures;
using Graftbench.Vision.Planes;

namespace Graftbench.Vision.SideView;

/// <summary>A length in the picture that a person knows.</summary>
/// <param name="From">One end.</param>
/// <param name="To">The other end.</param>
/// <param name="LengthMm">Its length [mm]: the body's edge, its thickness, a gauge.</param>
public sealed record KnownLength(PicturePoint From, PicturePoint To, double LengthMm);

/// <summary>What to measure in a side picture. Rough lines are clicked from corner to corner.</summary>
/// <param name="Picture">The picture.</param>
/// <param name="Side">What the side is called: <c>front</c>, <c>left</c>.</param>
/// <param name="PackageFrom">Left end of the package's lower edge.</param>
/// <param name="PackageTo">Right end of it.</param>
/// <param name="BoardFrom">The board's surface below the left end.</param>
/// <param name="BoardTo">The board's surface below the right end.</param>
/// <param name="Known">The known length.</param>
/// <param name="ClickErrorPx">How far a click may be off, one standard deviation [px].</param>
public sealed record SideViewRequest(
    Picture Picture,
    string Side,
    PicturePoint PackageFrom,
    PicturePoint PackageTo,
    PicturePoint BoardFrom,
    PicturePoint BoardTo,
    KnownLength Known,
    double ClickErrorPx = 1.5
);

/// <summary>A gap at one place of an edge.</summary>
/// <param name="Place">Share of the edge from its left end, 0 to 1.</param>
/// <param name="GapMm">Gap [mm].</param>
/// <param name="UncertaintyMm">Two standard deviations [mm].</param>
public sealed record SideGap(double Place, double GapMm, double UncertaintyMm);

/// <summary>What a side picture says.</summary>
/// <param name="Side">What the side is called.</param>
/// <param name="Judged">False: an edge could not be seen clearly; see <paramref name="WhyNot"/>.</param>
/// <param name="Gaps">Gap at the left corner, in the middle, at the right corner; empty where not judged.</param>
/// <param name="TiltMm">Gap at the right corner less that at the left [mm].</param>
/// <param name="TiltUncertaintyMm">Two standard deviations [mm].</param>
/// <param name="PxPerMm">Scale.</param>
/// <param name="ScalePercent">Two standard deviations of the scale by the clicks [%]; every gap shares it.</param>
/// <param name="Package">The package's edge.</param>
/// <param name="Board">The board's edge.</param>
/// <param name="WhyNot">Why it cannot be judged.</param>
/// <param name="Caveat">What a side picture leaves open.</param>
public sealed record SideViewReading(
    string Side,
    bool Judged,
    IReadOnlyList<SideGap> Gaps,
    double? TiltMm,
    double? TiltUncertaintyMm,
    double? PxPerMm,
    double? ScalePercent,
    EdgeLine? Package,
    EdgeLine? Board,
    string? WhyNot,
    string Caveat
)
{
    /// <summary>What a side picture leaves open.</summary>
    public const string Leaves =
        "The camera must look along the board at the height of the gap: from above, the board's edge that is seen lies nearer "
        + "than the package and the gap reads wrong. All sides at the same magnification. Only the outer row is seen.";
}

/// <summary>The gap that the joint model expects.</summary>
/// <param name="GapMm">Mean standoff [mm].</param>
/// <param name="SpreadMm">One standard deviation from package to package [mm].</param>
public sealed record ExpectedStandoff(double GapMm, double SpreadMm)
{
    // From package to package the gap scatters by so much at least: an estimate.
    private const double LeastSpreadFraction = 0.05;

    /// <summary>What a joint seat expects; null where it was not computed or did not settle.</summary>
    /// <remarks>
    /// The spread is a quarter of what the range of the surface tension makes of the gap, and 5 % of the gap at least (an
    /// estimate). What solder shrinks when it freezes is left out: under 2 % of the gap.
    /// </remarks>
    public static ExpectedStandoff? Of(JointPlan? plan) =>
        plan?.Molten is { Converged: true } molten
            ? new ExpectedStandoff(
                molten.Plane.GapMm,
                Math.Max(
                    LeastSpreadFraction * molten.Plane.GapMm,
                    ((molten.MostGapMm ?? molten.Plane.GapMm) - (molten.LeastGapMm ?? molten.Plane.GapMm)) / 4
                )
            )
            : null;
}

/// <summary>All sides together, against the limits.</summary>
/// <param name="Answer">The answer in one line.</param>
/// <param name="MeanGapMm">Mean of all corners and mid-sides [mm]; null where nothing was judged.</param>
/// <param name="TiltMm">Largest less smallest gap [mm].</param>
/// <param name="TiltUncertaintyMm">Two standard deviations [mm].</param>
/// <param name="Findings">Findings, worst first.</param>
public sealed record SeatReading(
    string Answer,
    double? MeanGapMm,
    double? TiltMm,
    double? TiltUncertaintyMm,
    IReadOnlyList<Finding> Findings
);
