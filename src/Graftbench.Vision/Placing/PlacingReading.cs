using Graftbench.Core.Findings;
using Graftbench.Vision.Pictures;
using Graftbench.Vision.Planes;

namespace Graftbench.Vision.Placing;

/// <summary>A place that is known on the board and was clicked in the picture: a printed mark, a fiducial, a land.</summary>
/// <param name="Click">Where it was clicked.</param>
/// <param name="XMm">Place on the board [mm].</param>
/// <param name="YMm">Place on the board [mm].</param>
public sealed record BoardMark(PicturePoint Click, double XMm, double YMm);

/// <summary>Where a body should lie and what must hit what.</summary>
/// <param name="Corners">The body's four corners as clicked, from its A1 corner, clockwise in the picture.</param>
/// <param name="BodyLengthMm">Size along the edge from the first to the second corner [mm].</param>
/// <param name="BodyWidthMm">Size across [mm].</param>
/// <param name="CentreXMm">Where its middle belongs on the board [mm].</param>
/// <param name="CentreYMm">Where its middle belongs on the board [mm].</param>
/// <param name="TurnDeg">Direction that its first edge belongs to, from the board's x towards its y [°].</param>
/// <param name="Marks">At least two known places; four or more also take the camera's slant out.</param>
/// <param name="FieldLengthMm">Farthest balls apart along the first edge [mm].</param>
/// <param name="FieldWidthMm">Farthest balls apart across [mm].</param>
/// <param name="LandMm">Width of a land [mm].</param>
/// <param name="ClickErrorPx">How far a click may be off, one standard deviation [px].</param>
/// <param name="BodyHeightMm">How high the clicked corners stand over the marks [mm].</param>
/// <param name="SlantDeg">How far the camera may look off the upright there, one standard deviation [°].</param>
/// <param name="Picture">The picture, where corners shall be refined on the body's edges; null to take the clicks.</param>
public sealed record PlacingRequest(
    IReadOnlyList<PicturePoint> Corners,
    double BodyLengthMm,
    double BodyWidthMm,
    double CentreXMm,
    double CentreYMm,
    double TurnDeg,
    IReadOnlyList<BoardMark> Marks,
    double FieldLengthMm,
    double FieldWidthMm,
    double LandMm,
    double ClickErrorPx = 1.5,
    double BodyHeightMm = 1,
    double SlantDeg = 2,
    Picture? Picture = null
);

/// <summary>How a body lies on its lands.</summary>
/// <param name="Answer">The answer in one line.</param>
/// <param name="Judged">False: it could not be computed; the findings say why.</param>
/// <param name="OffsetXMm">Its middle off its place along the board's x [mm].</param>
/// <param name="OffsetYMm">The same along y [mm].</param>
/// <param name="TurnOffDeg">Turned off its direction [°].</param>
/// <param name="WorstBallMm">Offset of the ball that is farthest off [mm].</param>
/// <param name="WorstUncertaintyMm">Two standard deviations of that [mm].</param>
/// <param name="LimitMm">Half of a land [mm].</param>
/// <param name="BodyMisfitMm">How far the four corners are off a body of that size, root mean square [mm].</param>
/// <param name="Corners">The corners that counted: refined where they could be.</param>
/// <param name="RefinedNumber">How many edges were refined in the picture.</param>
/// <param name="Findings">Findings, worst first.</param>
public sealed record PlacingReading(
    string Answer,
    bool Judged,
    double? OffsetXMm,
    double? OffsetYMm,
    double? TurnOffDeg,
    double? WorstBallMm,
    double? WorstUncertaintyMm,
    double? LimitMm,
    double? BodyMisfitMm,
    IReadOnlyList<PicturePoint> Corners,
    int RefinedNumber,
    IReadOnlyList<Finding> Findings
);
