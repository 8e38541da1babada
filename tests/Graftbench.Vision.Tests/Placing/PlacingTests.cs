using CsCheck;
using Graftbench.Core.Findings;
using Graftbench.Tests.Checks;
using Graftbench.Vision.Pictures;
using Graftbench.Vision.Placing;
using Graftbench.Vision.Planes;

namespace Graftbench.Vision.Tests.Placing;

/// <summary>Bodies laid off by known amounts, photographed by known cameras.</summary>
public class PlacingTests
{
    private const double PxPerMm = 40;

    [Fact]
    public void Offset_and_turn_come_back_for_any_camera() =>
        Gen.Select(
                Gen.Double[-0.3, 0.3],
                Gen.Double[-0.3, 0.3],
                Gen.Double[-2, 2],
                Gen.Double[0, 360],
                Gen.Double[-0.004, 0.004],
                Gen.Double[-90, 90]
            )
            .Sample(
                (dx, dy, turn, camera, slant, should) =>
                {
                    PlacingReading got = PlacingCheck.Check(Request(dx, dy, turn, camera, slant, should, 4));
                    Assert.True(got.Judged, got.Answer);
                    Assert.Equal(dx, got.OffsetXMm!.Value, 1e-6);
                    Assert.Equal(dy, got.OffsetYMm!.Value, 1e-6);
                    Assert.Equal(turn, got.TurnOffDeg!.Value, 1e-5);
                }
            );

    [Theory]
    [InlineData(2)]
    [InlineData(3)]
    public void Two_or_three_marks_are_enough_for_an_upright_camera(int marks)
    {
        PlacingReading got = PlacingCheck.Check(Request(0.1, -0.05, 0.6, 25, 0, 0, marks));
        Assert.Equal(0.1, got.OffsetXMm!.Value, 1e-6);
        Assert.Equal(-0.05, got.OffsetYMm!.Value, 1e-6);
        Assert.Equal(0.6, got.TurnOffDeg!.Value, 1e-5);
        Assert.Contains(got.Findings, finding => finding is { Code: "placing.few-marks", Verdict: Verdict.Unknown });
    }

    // Land 0.4 mm: half is 0.2. Worst ball of a field 12 by 12 turned by t is off by the shift and 8.49·t.
    [Theory]
    [InlineData(0, 0, 0, Verdict.Ok)]
    [InlineData(0.05, 0, 0, Verdict.Ok)]
    [InlineData(0.18, 0, 0, Verdict.Warning)]
    [InlineData(0.4, 0, 0, Verdict.FixFirst)]
    [InlineData(0, 0, 3, Verdict.FixFirst)]
    public void The_worst_ball_is_held_against_half_a_land(double dx, double dy, double turn, Verdict verdict)
    {
        PlacingReading got = PlacingCheck.Check(Request(dx, dy, turn, 5, 0.001, 0, 4));
        Finding offset = got.Findings.Single(finding => finding.Code == "placing.offset");
        Assert.Equal(verdict, offset.Verdict);
        Assert.Equal(0.2, got.LimitMm!.Value, 1e-12);
        Assert.Equal("common-practice", offset.Source);
        double t = turn * Math.PI / 180;
        // By hand: |(dx, dy) + (R − 1)p| at the farthest corner.
        double far = ((int, int)[])[(1, 1), (1, -1), (-1, 1), (-1, -1)] is { } corners
            ? corners.Max(corner =>
            {
                double x = 6 * corner.Item1;
                double y = 6 * corner.Item2;
                return Math.Sqrt(
                    Math.Pow(dx + x * Math.Cos(t) - y * Math.Sin(t) - x, 2)
                        + Math.Pow(dy + x * Math.Sin(t) + y * Math.Cos(t) - y, 2)
                );
            })
            : 0;
        Assert.Equal(far, got.WorstBallMm!.Value, 1e-5);
    }

    [Fact]
    public void The_uncertainty_is_that_of_drawn_clicks()
    {
        PlacingRequest clean = Request(0.15, 0.1, 0.4, 15, 0.001, 0, 4) with { BodyHeightMm = 0 };
        PlacingReading told = PlacingCheck.Check(clean);
        Random random = new(8);
        List<double> worst = [];
        for (int i = 0; i < 400; i++)
        {
            PicturePoint Click(PicturePoint point) =>
                new(
                    point.XPx + clean.ClickErrorPx * Shared.Vision.XrayMaker.Normal(random),
                    point.YPx + clean.ClickErrorPx * Shared.Vision.XrayMaker.Normal(random)
                );
            worst.Add(
                PlacingCheck
                    .Check(
                        clean with
                        {
                            Corners = [.. clean.Corners.Select(Click)],
                            Marks = [.. clean.Marks.Select(mark => mark with { Click = Click(mark.Click) })],
                        }
                    )
                    .WorstBallMm!.Value
            );
        }
        double mean = worst.Average();
        double spread = Math.Sqrt(worst.Average(value => (value - mean) * (value - mean)));
        Assert.InRange(told.WorstUncertaintyMm!.Value / (2 * spread), 0.7, 1.5);
    }

    [Theory]
    [InlineData(0.1, 0.05, 0.5, 3)]
    [InlineData(-0.15, 0.2, -1, 0)]
    [InlineData(0, 0, 0, 20)]
    [InlineData(0.25, -0.1, 1.5, -12)]
    public void Corners_are_refined_on_the_edges_of_the_body(double dx, double dy, double turn, double camera)
    {
        // A dark body on a bright board, drawn by its own corners; clicks are three pixels off.
        PlacingRequest request = Request(dx, dy, turn, camera, 0, 0, 4);
        PicturePoint[] truth = [.. request.Corners];
        const int Size = 1000;
        float[] grey = new float[Size * Size];
        for (int y = 0; y < Size; y++)
        {
            for (int x = 0; x < Size; x++)
            {
                double least = double.MaxValue;
                for (int i = 0; i < 4; i++)
                {
                    PicturePoint a = truth[i];
                    PicturePoint b = truth[(i + 1) % 4];
                    double length = Math.Sqrt(Math.Pow(b.XPx - a.XPx, 2) + Math.Pow(b.YPx - a.YPx, 2));
                    least = Math.Min(least, ((b.XPx - a.XPx) * (y - a.YPx) - (b.YPx - a.YPx) * (x - a.XPx)) / length);
                }
                grey[y * Size + x] = (float)(0.7 - 0.5 * Math.Clamp(least + 0.5, 0, 1));
            }
        }
        Random random = new(4);
        PlacingReading got = PlacingCheck.Check(
            request with
            {
                Picture = new Picture(Size, Size, grey),
                Corners =
                [
                    .. truth.Select(corner => new PicturePoint(
                        corner.XPx + 6 * random.NextDouble() - 3,
                        corner.YPx + 6 * random.NextDouble() - 3
                    )),
                ],
            }
        );
        Assert.Equal(4, got.RefinedNumber);
        Truth.Note(
            "pictures.placing",
            1000 * Math.Max(Math.Abs(got.OffsetXMm!.Value - dx), Math.Abs(got.OffsetYMm!.Value - dy))
        );
        Assert.Equal(dx, got.OffsetXMm!.Value, 0.004);
        Assert.Equal(dy, got.OffsetYMm!.Value, 0.004);
    }

    [Fact]
    public void Corners_of_another_body_are_not_judged()
    {
        PlacingRequest request = Request(0, 0, 0, 10, 0, 0, 4);
        PlacingReading got = PlacingCheck.Check(request with { BodyLengthMm = 9 });
        Assert.False(got.Judged);
        Assert.Contains("no body of 9", got.Answer, StringComparison.Ordinal);
        Assert.Equal(Verdict.Unknown, Finding.Worst(got.Findings));
    }

    [Fact]
    public void Marks_in_one_place_are_not_judged()
    {
        PlacingRequest request = Request(0, 0, 0, 10, 0, 0, 4);
        BoardMark one = request.Marks[0];
        Assert.False(PlacingCheck.Check(request with { Marks = [one, one] }).Judged);
        Assert.False(PlacingCheck.Check(request with { Marks = [one, one, one, one] }).Judged);
    }

    [Fact]
    public void What_is_no_size_or_no_place_is_refused()
    {
        PlacingRequest request = Request(0, 0, 0, 0, 0, 0, 4);
        Assert.Throws<ArgumentException>(() =>
            PlacingCheck.Check(request with { Corners = [.. request.Corners.Take(3)] })
        );
        Assert.Throws<ArgumentException>(() => PlacingCheck.Check(request with { Marks = [request.Marks[0]] }));
        Assert.Throws<ArgumentException>(() => PlacingCheck.Check(request with { LandMm = 0 }));
        Assert.Throws<ArgumentException>(() => PlacingCheck.Check(request with { CentreXMm = double.NaN }));
        Assert.Throws<ArgumentException>(() =>
            PlacingCheck.Check(
                request with
                {
                    Corners = [new PicturePoint(double.PositiveInfinity, 0), .. request.Corners.Skip(1)],
                }
            )
        );
    }

    // A body of 14 by 12 mm around (30, 20) on the board, seen by a camera turned and slanted; the board's y runs up.
    private static PlacingRequest Request(
        double dx,
        double dy,
        double turn,
        double camera,
        double slant,
        double should,
        int marks
    )
    {
        double c = Math.Cos(camera * Math.PI / 180);
        double s = Math.Sin(camera * Math.PI / 180);
        PicturePoint See(double x, double y)
        {
            double u = x - 30;
            double v = y - 20;
            double w = 1 + slant * (u - 0.5 * v);
            double px = PxPerMm * (c * u + s * v) / w;
            double py = PxPerMm * (s * u - c * v) / w;
            return new PicturePoint(500 + px, 500 + py);
        }
        double t = (should + turn) * Math.PI / 180;
        PicturePoint Corner(double bx, double by) =>
            See(30 + dx + bx * Math.Cos(t) - by * Math.Sin(t), 20 + dy + bx * Math.Sin(t) + by * Math.Cos(t));
        (double X, double Y)[] places = [(18, 10), (42, 11), (41, 31), (19, 30)];
        return new PlacingRequest(
            // Clockwise in the picture where the board's y runs up: first edge along x.
            [Corner(-7, 6), Corner(7, 6), Corner(7, -6), Corner(-7, -6)],
            14,
            12,
            30,
            20,
            should,
            [.. places.Take(marks).Select(place => new BoardMark(See(place.X, place.Y), place.X, place.Y))],
            12,
            12,
            0.4,
            ClickErrorPx: 1
        );
    }
}
