using Graftbench.Core.Findings;
using Graftbench.Vision.Pictures;
using Graftbench.Vision.Planes;

namespace Graftbench.Vision.BeforeAfter;

/// <summary>An area of the picture before, upright.</summary>
/// <param name="LeftPx">Left edge [px].</param>
/// <param name="TopPx">Upper edge [px].</param>
/// <param name="WidthPx">Width [px].</param>
/// <param name="HeightPx">Height [px].</param>
public sealed record PictureArea(double LeftPx, double TopPx, double WidthPx, double HeightPx)
{
    /// <summary>Whether a place lies inside.</summary>
    public bool Holds(double xPx, double yPx) =>
        xPx >= LeftPx && yPx >= TopPx && xPx <= LeftPx + WidthPx && yPx <= TopPx + HeightPx;
}

/// <summary>A part to look after.</summary>
/// <param name="Name">Its name.</param>
/// <param name="Area">Where it lies in the picture before.</param>
public sealed record WatchedPart(string Name, PictureArea Area);

/// <summary>Two pictures of a board.</summary>
/// <param name="Before">The picture before.</param>
/// <param name="After">The picture after.</param>
/// <param name="Parts">Parts to look after; may be empty.</param>
/// <param name="Ignored">Areas that are meant to differ: the package that was changed.</param>
/// <param name="PxPerMm">Scale of the picture before, to tell moves in mm; null where unknown.</param>
public sealed record ComparisonRequest(
    Picture Before,
    Picture After,
    IReadOnlyList<WatchedPart> Parts,
    IReadOnlyList<PictureArea> Ignored,
    double? PxPerMm = null
);

/// <summary>What became of a part.</summary>
public enum PartChange
{
    /// <summary>Where it was, and looks as it did.</summary>
    Same,

    /// <summary>Elsewhere.</summary>
    Moved,

    /// <summary>Not there, or no longer to be known again.</summary>
    Gone,

    /// <summary>The pictures do not tell.</summary>
    CannotJudge,
}

/// <summary>A part and what became of it.</summary>
/// <param name="Name">Its name.</param>
/// <param name="Area">Where it was.</param>
/// <param name="Change">What became of it.</param>
/// <param name="ConfidenceFraction">How sure, 0 to 1; estimated, not a counted chance.</param>
/// <param name="LikenessNumber">How alike both pictures are there, −1 to 1 (correlation).</param>
/// <param name="MoveXPx">Where it went, in the picture before [px]; null unless it moved.</param>
/// <param name="MoveYPx">Where it went [px].</param>
/// <param name="WhyNot">Why it cannot be judged.</param>
public sealed record PartComparison(
    string Name,
    PictureArea Area,
    PartChange Change,
    double ConfidenceFraction,
    double? LikenessNumber,
    double? MoveXPx,
    double? MoveYPx,
    string? WhyNot
);

/// <summary>An area that looks different and belongs to no listed part.</summary>
/// <param name="Area">Where, in the picture before.</param>
/// <param name="LikenessNumber">Least likeness in it.</param>
/// <param name="ConfidenceFraction">How sure that something changed there.</param>
public sealed record ChangedArea(PictureArea Area, double LikenessNumber, double ConfidenceFraction);

/// <summary>What two pictures say.</summary>
/// <param name="Answer">The answer in one line.</param>
/// <param name="Registered">False: the pictures could not be laid on each other.</param>
/// <param name="MatchNumber">Details that agree between both.</param>
/// <param name="ResidualPx">How far they lie off after registering, median [px].</param>
/// <param name="TurnDeg">Turn from before to after [°].</param>
/// <param name="ScaleRatio">Scale from before to after.</param>
/// <param name="Corners">Corners of the picture before, in the picture after.</param>
/// <param name="Parts">Each part.</param>
/// <param name="Areas">Other areas that differ.</param>
/// <param name="Findings">Findings, worst first.</param>
public sealed record BoardComparison(
    string Answer,
    bool Registered,
    int MatchNumber,
    double? ResidualPx,
    double? TurnDeg,
    double? ScaleRatio,
    IReadOnlyList<PicturePoint> Corners,
    IReadOnlyList<PartComparison> Parts,
    IReadOnlyList<ChangedArea> Areas,
    IReadOnlyList<Finding> Findings
);
