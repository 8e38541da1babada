using Graftbench.Vision.Edges;
using Graftbench.Vision.Planes;

namespace Graftbench.Vision.SideView;

/// <summary>Measures the gap under a package along one edge of a side picture.</summary>
/// <remarks>
/// Package and board are each fitted as one straight edge near the clicked line, by many places along it; balls between them
/// disturb some of the places and drop out. See docs/models/side-view-and-placing.md for how far it was checked.
/// </remarks>
public static class SideViewReader
{
    private const double LeastGapPx = 14;

    /// <summary>Measures.</summary>
    /// <param name="request">Picture, rough lines and known length.</param>
    /// <exception cref="ArgumentException">A click lies outside of the picture, or the known length is none.</exception>
    public static SideViewReading Measure(SideViewRequest request)
    {
        ArgumentNullException.ThrowIfNull(request);
        Plane grey = new(request.Picture.WidthPx, request.Picture.HeightPx, request.Picture.Grey);
        foreach (
            PicturePoint click in (PicturePoint[])
                [
                    request.PackageFrom,
                    request.PackageTo,
                    request.BoardFrom,
                    request.BoardTo,
                    request.Known.From,
                    request.Known.To,
                ]
        )
        {
            if (!grey.Holds(click.XPx, click.YPx))
            {
                throw new ArgumentException(
                    FormattableString.Invariant($"({click.XPx}, {click.YPx}) lies outside of the picture."),
                    nameof(request)
                );
            }
        }
        double known = Distance(request.Known.From, request.Known.To);
        if (!(request.Known.LengthMm > 0) || !double.IsFinite(request.Known.LengthMm) || known < 10)
        {
            throw new ArgumentException(
                "The known length must be above 0 mm and its ends 10 px apart or more.",
                nameof(request)
            );
        }
        double pxPerMm = known / request.Known.LengthMm;
        double scalePercent = 100 * 2 * Math.Sqrt(2) * request.ClickErrorPx / known;
        double apart = Math.Min(
            Distance(request.PackageFrom, request.BoardFrom),
            Distance(request.PackageTo, request.BoardTo)
        );
        if (apart < LeastGapPx)
        {
            return No(request, $"the two lines are only {apart:0} px apart; {LeastGapPx:0} are needed: magnify more");
        }
        Plane soft = grey.Blurred(0.8);
        double reach = Math.Min(0.6 * apart, 40);
        EdgeLine? package = EdgeLine.Find(soft, request.PackageFrom, request.PackageTo, reach);
        EdgeLine? board = EdgeLine.Find(soft, request.BoardFrom, request.BoardTo, reach);
        if (package is null || board is null)
        {
            string which =
                package is null && board is null ? "neither edge"
                : package is null ? "no edge of the package"
                : "no edge of the board";
            return No(
                request,
                $"{which} stands out straight near the clicked line: focus on it, light it from behind or from the side, click nearer"
            );
        }
        SideGap[] gaps =
        [
            .. ((double[])[0, 0.5, 1]).Select(place =>
            {
                (double px, double off) = Gap(package, board, place);
                double mm = px / pxPerMm;
                return new SideGap(place, mm, Math.Sqrt(Sq(off / pxPerMm) + Sq(mm * scalePercent / 100)));
            }),
        ];
        if (gaps.Any(gap => gap.GapMm <= 0))
        {
            return No(request, "the edges that were found cross each other: click nearer to them");
        }
        double edges = Math.Sqrt(Sq(package.UncertaintyPx) + Sq(board.UncertaintyPx)) / pxPerMm;
        double tilt = gaps[2].GapMm - gaps[0].GapMm;
        return new SideViewReading(
            request.Side,
            true,
            gaps,
            tilt,
            Math.Sqrt(2 * Sq(edges) + Sq(tilt * scalePercent / 100)),
            pxPerMm,
            scalePercent,
            package,
            board,
            null,
            SideViewReading.Leaves
        );
    }

    // Square to the board, from a place of the package's edge.
    private static (double GapPx, double UncertaintyPx) Gap(EdgeLine package, EdgeLine board, double place)
    {
        double x = package.FromPx.XPx + place * (package.ToPx.XPx - package.FromPx.XPx);
        double y = package.FromPx.YPx + place * (package.ToPx.YPx - package.FromPx.YPx);
        double dx = board.ToPx.XPx - board.FromPx.XPx;
        double dy = board.ToPx.YPx - board.FromPx.YPx;
        double length = Math.Sqrt(dx * dx + dy * dy);
        double across = (dx * (y - board.FromPx.YPx) - dy * (x - board.FromPx.XPx)) / length;
        // In the middle a fitted line is twice as sure as at its ends.
        double sure = place is > 0.25 and < 0.75 ? 0.5 : 1;
        return (Math.Abs(across), sure * Math.Sqrt(Sq(package.UncertaintyPx) + Sq(board.UncertaintyPx)));
    }

    private static SideViewReading No(SideViewRequest request, string why) =>
        new(request.Side, false, [], null, null, null, null, null, null, why, SideViewReading.Leaves);

    private static double Distance(PicturePoint a, PicturePoint b) => Math.Sqrt(Sq(a.XPx - b.XPx) + Sq(a.YPx - b.YPx));

    private static double Sq(double value) => value * value;
}
