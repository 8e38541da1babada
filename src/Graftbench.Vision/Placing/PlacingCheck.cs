using Graftbench.Core.Facts;
using Graftbench.Core.Findings;
using Graftbench.Vision.Edges;
using Graftbench.Vision.Lattice;
using Graftbench.Vision.Planes;
using static System.FormattableString;

namespace Graftbench.Vision.Placing;

/// <summary>Offset and turn of a placed body against its lands, from clicks on its corners and on known places.</summary>
/// <remarks>
/// Two or three marks give a similarity (least squares), four and more a plane map, which takes a slanted camera out. The
/// body's rectangle is then laid on its four corners (least squares of a rigid move). What clicks do to the worst ball is
/// propagated one coordinate at a time.
/// </remarks>
public static class PlacingCheck
{
    /// <summary>Marks from which the camera's slant is taken out.</summary>
    public const int EnoughForSlant = 4;

    private const int CornerCount = 4;
    private const double MostMisfitFraction = 0.03;

    /// <summary>Checks.</summary>
    /// <param name="request">Clicks, sizes and places.</param>
    /// <exception cref="ArgumentException">A size is not above 0, there are not four corners or not two marks.</exception>
    public static PlacingReading Check(PlacingRequest request)
    {
        ArgumentNullException.ThrowIfNull(request);
        Require(request);
        (PicturePoint[] corners, int refined) = Refined(request);
        double cornerError = refined == CornerCount ? Math.Min(0.6, request.ClickErrorPx) : request.ClickErrorPx;
        BoardMark[] marks = [.. request.Marks];
        if (Pose(request, corners, marks) is not { } pose)
        {
            return No(
                corners,
                "The marks lie so that no place on the board follows from them: spread them around the body."
            );
        }
        double size = Math.Max(request.BodyLengthMm, request.BodyWidthMm);
        if (pose.MisfitMm > MostMisfitFraction * size)
        {
            return No(
                corners,
                Invariant(
                    $"The four corners are no body of {request.BodyLengthMm:0.##} by {request.BodyWidthMm:0.##} mm (off by {pose.MisfitMm:0.00} mm): check the clicks, their order and the marks' places."
                )
            );
        }
        double variance = 0;
        for (int i = 0; i < 2 * CornerCount + 2 * marks.Length; i++)
        {
            (PicturePoint[] c, BoardMark[] m) = Moved(corners, marks, i);
            double error = i < 2 * CornerCount ? cornerError : request.ClickErrorPx;
            // The same ball again: another one may be as far off the other way.
            Placed? moved = Pose(request, c, m, pose.WorstCorner);
            // The change of the worst ball's offset as a vector: near zero its length alone would hide it.
            variance += moved is null
                ? double.PositiveInfinity
                : Sq(error) * (Sq(moved.WorstXMm - pose.WorstXMm) + Sq(moved.WorstYMm - pose.WorstYMm)) / 2;
        }
        double parallax = request.BodyHeightMm * Math.Tan(request.SlantDeg * Math.PI / 180);
        double off = 2 * Math.Sqrt(variance + Sq(parallax));
        double worst = Math.Sqrt(Sq(pose.WorstXMm) + Sq(pose.WorstYMm));
        SeatLimit limit = InspectionFacts.OffsetByLand;
        double most = limit.AllowedPercent / 100 * request.LandMm;
        IReadOnlyList<Finding> findings = Findings(request, marks.Length, pose, worst, off, most, limit, parallax);
        return new PlacingReading(
            Invariant(
                $"Off by {pose.OffsetXMm:+0.000;-0.000} and {pose.OffsetYMm:+0.000;-0.000} mm, turned {pose.TurnOffDeg:+0.00;-0.00}°; the worst ball is {worst:0.000} ± {off:0.000} mm off its land (limit {most:0.000} mm)."
            ),
            double.IsFinite(off),
            pose.OffsetXMm,
            pose.OffsetYMm,
            pose.TurnOffDeg,
            worst,
            double.IsFinite(off) ? off : null,
            most,
            pose.MisfitMm,
            corners,
            refined,
            findings
        );
    }

    private sealed record Placed(
        double OffsetXMm,
        double OffsetYMm,
        double TurnOffDeg,
        double WorstXMm,
        double WorstYMm,
        int WorstCorner,
        double MisfitMm
    );

    private static Placed? Pose(PlacingRequest request, PicturePoint[] corners, BoardMark[] marks, int? corner = null)
    {
        if (Board(marks) is not { } toBoard)
        {
            return null;
        }
        double l = request.BodyLengthMm / 2;
        double w = request.BodyWidthMm / 2;
        (double X, double Y)[] body = [(-l, -w), (l, -w), (l, w), (-l, w)];
        (double X, double Y)[] seen = [.. corners.Select(toBoard)];
        if (seen.Any(place => !double.IsFinite(place.X) || !double.IsFinite(place.Y)))
        {
            return null;
        }
        double cx = seen.Average(place => place.X);
        double cy = seen.Average(place => place.Y);
        // Where y of the board runs up, corners clockwise in the picture run the other way round on the board.
        double area = 0;
        for (int i = 0; i < CornerCount; i++)
        {
            (double x0, double y0) = seen[i];
            (double x1, double y1) = seen[(i + 1) % CornerCount];
            area += x0 * y1 - x1 * y0;
        }
        int hand = area >= 0 ? 1 : -1;
        double dot = 0;
        double cross = 0;
        for (int i = 0; i < CornerCount; i++)
        {
            double bx = body[i].X;
            double by = hand * body[i].Y;
            dot += bx * (seen[i].X - cx) + by * (seen[i].Y - cy);
            cross += bx * (seen[i].Y - cy) - by * (seen[i].X - cx);
        }
        double turn = Math.Atan2(cross, dot);
        double misfit = 0;
        for (int i = 0; i < CornerCount; i++)
        {
            (double x, double y) = Turned(body[i].X, hand * body[i].Y, turn);
            misfit += Sq(cx + x - seen[i].X) + Sq(cy + y - seen[i].Y);
        }
        double should = request.TurnDeg * Math.PI / 180;
        double turnOff = Math.IEEERemainder(turn - should, 2 * Math.PI);
        double dx = cx - request.CentreXMm;
        double dy = cy - request.CentreYMm;
        double worst = -1;
        (double X, double Y) at = (0, 0);
        int which = 0;
        ReadOnlySpan<(int X, int Y)> ends = [(-1, -1), (1, -1), (1, 1), (-1, 1)];
        for (int k = 0; k < CornerCount; k++)
        {
            (int sx, int sy) = ends[k];
            double bx = sx * request.FieldLengthMm / 2;
            double by = sy * request.FieldWidthMm / 2;
            (double x1, double y1) = Turned(bx, by, turn);
            (double x0, double y0) = Turned(bx, by, should);
            double ox = dx + x1 - x0;
            double oy = dy + y1 - y0;
            if (corner is null ? ox * ox + oy * oy > worst + 1e-12 : corner == k)
            {
                which = k;
                worst = ox * ox + oy * oy;
                at = (ox, oy);
            }
        }
        return new Placed(dx, dy, turnOff * 180 / Math.PI, at.X, at.Y, which, Math.Sqrt(misfit / CornerCount));
    }

    // From the picture to the board [mm].
    private static Func<PicturePoint, (double X, double Y)>? Board(BoardMark[] marks)
    {
        if (marks.Length >= EnoughForSlant)
        {
            PlaneMap? map = PlaneMap.Fit([
                .. marks.Select(mark => new PlacePair(mark.XMm, mark.YMm, mark.Click.XPx, mark.Click.YPx)),
            ]);
            return map is null ? null : point => map.ToPlane(point.XPx, point.YPx);
        }
        // Similarity, both ways round; with two marks rows of the picture are taken to run against the board's y.
        double mx = marks.Average(mark => mark.Click.XPx);
        double my = marks.Average(mark => mark.Click.YPx);
        double bx = marks.Average(mark => mark.XMm);
        double by = marks.Average(mark => mark.YMm);
        (double A, double B, int Hand, double Misfit) best = (0, 0, 0, double.MaxValue);
        foreach (int hand in (int[])[-1, 1])
        {
            double norm = 0;
            double a = 0;
            double b = 0;
            foreach (BoardMark mark in marks)
            {
                double u = mark.Click.XPx - mx;
                double v = hand * (mark.Click.YPx - my);
                norm += u * u + v * v;
                a += u * (mark.XMm - bx) + v * (mark.YMm - by);
                b += u * (mark.YMm - by) - v * (mark.XMm - bx);
            }
            if (norm < 1)
            {
                return null;
            }
            a /= norm;
            b /= norm;
            double misfit = marks.Sum(mark =>
            {
                double u = mark.Click.XPx - mx;
                double v = hand * (mark.Click.YPx - my);
                return Sq(a * u - b * v - mark.XMm + bx) + Sq(b * u + a * v - mark.YMm + by);
            });
            if (misfit < best.Misfit - 1e-9 * (1 + misfit))
            {
                best = (a, b, hand, misfit);
            }
        }
        return point =>
        {
            double u = point.XPx - mx;
            double v = best.Hand * (point.YPx - my);
            return (bx + best.A * u - best.B * v, by + best.B * u + best.A * v);
        };
    }

    private static (PicturePoint[] Corners, int Refined) Refined(PlacingRequest request)
    {
        PicturePoint[] corners = [.. request.Corners];
        if (request.Picture is null)
        {
            return (corners, 0);
        }
        Plane grey = new Plane(request.Picture.WidthPx, request.Picture.HeightPx, request.Picture.Grey).Blurred(0.8);
        double reach = Math.Max(4, 4 * request.ClickErrorPx);
        EdgeLine?[] edges =
        [
            .. Enumerable
                .Range(0, CornerCount)
                .Select(i => Inner(grey, corners[i], corners[(i + 1) % CornerCount], reach)),
        ];
        int refined = edges.Count(edge => edge is not null);
        if (refined < CornerCount)
        {
            return (corners, refined);
        }
        for (int i = 0; i < CornerCount; i++)
        {
            if (EdgeLine.Crossing(edges[(i + 3) % CornerCount]!, edges[i]!) is { } crossing)
            {
                corners[i] = crossing;
            }
        }
        return (corners, refined);
    }

    // Corners are rounded: a tenth of the edge stays out at either end.
    private static EdgeLine? Inner(Plane grey, PicturePoint from, PicturePoint to, double reach)
    {
        PicturePoint At(double t) => new(from.XPx + t * (to.XPx - from.XPx), from.YPx + t * (to.YPx - from.YPx));
        return EdgeLine.Find(grey, At(0.1), At(0.9), reach);
    }

    private static (PicturePoint[] Corners, BoardMark[] Marks) Moved(
        PicturePoint[] corners,
        BoardMark[] marks,
        int which
    )
    {
        PicturePoint[] c = [.. corners];
        BoardMark[] m = [.. marks];
        PicturePoint Shift(PicturePoint point) =>
            which % 2 == 0 ? point with { XPx = point.XPx + 1 } : point with { YPx = point.YPx + 1 };
        if (which < 2 * CornerCount)
        {
            c[which / 2] = Shift(c[which / 2]);
        }
        else
        {
            int k = (which - 2 * CornerCount) / 2;
            m[k] = m[k] with { Click = Shift(m[k].Click) };
        }
        return (c, m);
    }

    private static IReadOnlyList<Finding> Findings(
        PlacingRequest request,
        int marks,
        Placed pose,
        double worst,
        double off,
        double most,
        SeatLimit limit,
        double parallaxMm
    )
    {
        (Verdict verdict, string what, string? todo) =
            !double.IsFinite(off)
                ? (
                    Verdict.Unknown,
                    "The marks are too close together to tell where the body lies.",
                    "Click marks around the body."
                )
            : worst - off > most
                ? (
                    Verdict.FixFirst,
                    "The body is farther off than half a land: balls may join the wrong land or bridge.",
                    "Set it again before the heat."
                )
            : worst + off > most
                ? (
                    Verdict.Warning,
                    "The body is so near to half a land off that the clicks cannot tell on which side.",
                    "Magnify, click again, or take more marks; or set it again."
                )
            : (
                Verdict.Ok,
                "The body lies within half a land; molten joints pull it the rest of the way by themselves, unless a part or a lid holds it.",
                (string?)null
            );
        List<Finding> findings =
        [
            new(
                verdict,
                "placing.offset",
                "package",
                what,
                Invariant($"worst ball {worst:0.000} mm ± {off:0.000}, turned {pose.TurnOffDeg:0.00}°"),
                Invariant($"{most:0.000} mm (half a land; common practice, no source)"),
                limit.Source,
                todo
            ),
            new(
                Verdict.Unknown,
                "placing.parallax",
                "package",
                Invariant(
                    $"Corners stand {request.BodyHeightMm:0.##} mm over the marks: a camera {request.SlantDeg:0.#}° off the upright moves them by {parallaxMm:0.000} mm. This is in the uncertainty."
                ),
                Source: "graftbench-estimate",
                Todo: "Hold the camera straight over the body, or click its lower edges."
            ),
        ];
        if (marks < EnoughForSlant)
        {
            findings.Add(
                new Finding(
                    Verdict.Unknown,
                    "placing.few-marks",
                    "package",
                    Invariant($"{marks} marks: a slanted camera cannot be taken out and may move the body seemingly."),
                    Todo: "Click four marks around the body."
                )
            );
        }
        return Finding.WorstFirst(findings);
    }

    private static PlacingReading No(PicturePoint[] corners, string why) =>
        new(
            "Cannot be judged. " + why,
            false,
            null,
            null,
            null,
            null,
            null,
            null,
            null,
            corners,
            0,
            [new Finding(Verdict.Unknown, "placing.unknown", "package", why, Todo: "Click again.")]
        );

    private static void Require(PlacingRequest request)
    {
        if (request.Corners.Count != CornerCount || request.Marks.Count < 2)
        {
            throw new ArgumentException("Needs four corners and at least two marks.", nameof(request));
        }
        double[] sizes =
        [
            request.BodyLengthMm,
            request.BodyWidthMm,
            request.FieldLengthMm,
            request.FieldWidthMm,
            request.LandMm,
            request.ClickErrorPx,
        ];
        if (sizes.Any(size => !(size > 0) || !double.IsFinite(size)))
        {
            throw new ArgumentException("Sizes and the click's error are above 0.", nameof(request));
        }
        double[] places =
        [
            request.CentreXMm,
            request.CentreYMm,
            request.TurnDeg,
            request.BodyHeightMm,
            request.SlantDeg,
            .. request.Corners.SelectMany(corner => new[] { corner.XPx, corner.YPx }),
            .. request.Marks.SelectMany(mark => new[] { mark.XMm, mark.YMm, mark.Click.XPx, mark.Click.YPx }),
        ];
        if (places.Any(place => !double.IsFinite(place)))
        {
            throw new ArgumentException("A place is no number.", nameof(request));
        }
    }

    private static (double X, double Y) Turned(double x, double y, double angle) =>
        (x * Math.Cos(angle) - y * Math.Sin(angle), x * Math.Sin(angle) + y * Math.Cos(angle));

    private static double Sq(double value) => value * value;
}
