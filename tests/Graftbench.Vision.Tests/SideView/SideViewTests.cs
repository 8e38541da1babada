using Graftbench.Core.Findings;
using Graftbench.Shared.Vision;
using Graftbench.Tests.Checks;
using Graftbench.Vision.Pictures;
using Graftbench.Vision.Planes;
using Graftbench.Vision.SideView;

namespace Graftbench.Vision.Tests.SideView;

/// <summary>Gaps in made side pictures against the geometry they were made from.</summary>
public class SideViewTests
{
    private static readonly SideLook Base = new() { EdgeMm = 9, PxPerMm = 60 };

    public static TheoryData<string> Looks => ["plain", "noise", "blur", "turned", "dark", "dirt"];

    [Theory, MemberData(nameof(Looks))]
    public void Gaps_agree_with_the_geometry_within_their_uncertainty(string name)
    {
        MadeSide made = SideMaker.Make(
            name switch
            {
                "noise" => Base with { Noise = 0.06 },
                "blur" => Base with { BlurPx = 3 },
                "turned" => Base with { TurnDeg = 7, TiltMm = 0.08 },
                "dark" => Base with { Light = 0.05, Board = 0.4, Package = 0.3, Ball = 0.7 },
                "dirt" => Base with { Dirt = 8 },
                _ => Base,
            }
        );
        SideViewReading got = SideViewReader.Measure(Request(made, 3));
        Assert.True(got.Judged, got.WhyNot);
        foreach ((SideGap gap, double truth) in got.Gaps.Zip(made.GapsMm))
        {
            Truth.Note("pictures.side", 1000 * (gap.GapMm - truth));
            Assert.Equal(truth, gap.GapMm, Math.Max(0.012, gap.UncertaintyMm));
            Assert.InRange(gap.UncertaintyMm, 0.0005, 0.03);
        }
        Assert.Equal(made.GapsMm[2] - made.GapsMm[0], got.TiltMm!.Value, Math.Max(0.012, got.TiltUncertaintyMm!.Value));
    }

    [Fact]
    public void The_scale_follows_the_known_length()
    {
        MadeSide made = SideMaker.Make(Base);
        SideViewRequest request = Request(made, 0);
        double once = SideViewReader.Measure(request).Gaps[1].GapMm;
        double twice = SideViewReader
            .Measure(request with { Known = request.Known with { LengthMm = 2 * request.Known.LengthMm } })
            .Gaps[1]
            .GapMm;
        Assert.Equal(2 * once, twice, 1e-9);
    }

    [Fact]
    public void Edges_that_hardly_stand_out_are_not_judged()
    {
        SideViewReading got = SideViewReader.Measure(
            Request(SideMaker.Make(Base with { Light = 0.36, Board = 0.35, Package = 0.345, Balls = false }), 2)
        );
        Assert.False(got.Judged);
        Assert.Contains("stands out", got.WhyNot, StringComparison.Ordinal);
        Assert.Empty(got.Gaps);
    }

    [Fact]
    public void A_gap_of_a_few_pixels_asks_for_magnification()
    {
        SideViewReading got = SideViewReader.Measure(Request(SideMaker.Make(Base with { PxPerMm = 25 }), 0));
        Assert.False(got.Judged);
        Assert.Contains("magnify", got.WhyNot, StringComparison.Ordinal);
    }

    [Fact]
    public void Clicks_outside_of_the_picture_are_refused()
    {
        SideViewRequest request = Request(SideMaker.Make(Base), 0);
        Assert.Throws<ArgumentException>(() =>
            SideViewReader.Measure(request with { PackageFrom = new PicturePoint(-5, 3) })
        );
        Assert.Throws<ArgumentException>(() =>
            SideViewReader.Measure(request with { BoardTo = new PicturePoint(double.NaN, 3) })
        );
        Assert.Throws<ArgumentException>(() =>
            SideViewReader.Measure(request with { Known = request.Known with { LengthMm = 0 } })
        );
    }

    [Fact]
    public void Four_even_sides_as_expected_are_ok()
    {
        SeatReading seat = SeatCheck.Of(Sides(0.40, 0.40, 0.40, 0.40), new ExpectedStandoff(0.40, 0.01));
        Assert.All(seat.Findings, finding => Assert.Equal(Verdict.Ok, finding.Verdict));
        Assert.Equal(0.40, seat.MeanGapMm!.Value, 1e-9);
    }

    // Corners at 0.40 and one raised: 10 % of 0.40 mm is 0.04, 15 % over the mean is about 0.46.
    [Theory]
    [InlineData(0.41, Verdict.Ok, Verdict.Ok)]
    [InlineData(0.438, Verdict.Warning, Verdict.Ok)]
    [InlineData(0.46, Verdict.FixFirst, Verdict.Ok)]
    [InlineData(0.52, Verdict.FixFirst, Verdict.FixFirst)]
    public void A_raised_corner_is_held_against_both_limits(double cornerMm, Verdict tilt, Verdict corner)
    {
        SeatReading seat = SeatCheck.Of(Sides(0.40, cornerMm, 0.40, 0.40), new ExpectedStandoff(0.40, 0.03));
        Assert.Equal(tilt, seat.Findings.Single(finding => finding.Code == "side.tilt").Verdict);
        Assert.Equal(corner, Finding.Worst(seat.Findings.Where(finding => finding.Code == "side.corner")));
        Assert.All(
            seat.Findings.Where(finding => finding.Code is "side.tilt" or "side.corner"),
            finding => Assert.Equal("graftbench-estimate", finding.Source)
        );
    }

    [Theory]
    [InlineData(0.40, Verdict.Ok, "what the joint model expects")]
    [InlineData(0.55, Verdict.Warning, "smaller than expected")]
    [InlineData(0.30, Verdict.Warning, "larger than expected")]
    public void The_mean_gap_is_compared_with_the_joint_model(double expectedMm, Verdict verdict, string says)
    {
        Finding finding = SeatCheck
            .Of(Sides(0.40, 0.40, 0.40, 0.40), new ExpectedStandoff(expectedMm, 0.01))
            .Findings.Single(one => one.Code == "side.standoff");
        Assert.Equal(verdict, finding.Verdict);
        Assert.Contains(says, finding.What, StringComparison.Ordinal);
    }

    [Fact]
    public void What_was_not_measured_is_unknown_and_never_ok()
    {
        SideViewReading[] one = [Sides(0.4, 0.4, 0.4, 0.4)[0]];
        SeatReading seat = SeatCheck.Of(one, null);
        Assert.Contains(seat.Findings, finding => finding is { Code: "side.not-all", Verdict: Verdict.Unknown });
        Assert.Contains(seat.Findings, finding => finding is { Code: "side.standoff", Verdict: Verdict.Unknown });
        SeatReading none = SeatCheck.Of([], null);
        Assert.Null(none.MeanGapMm);
        Assert.Equal(Verdict.Unknown, Finding.Worst(none.Findings));
    }

    [Fact]
    public void A_corner_with_two_gaps_tells_of_different_scales()
    {
        SideViewReading[] sides = Sides(0.40, 0.40, 0.40, 0.40);
        sides[1] = sides[1] with { Gaps = [new SideGap(0, 0.46, 0.005), .. sides[1].Gaps.Skip(1)] };
        Assert.Contains(
            SeatCheck.Of(sides, null).Findings,
            finding => finding is { Code: "side.corner-twice", Verdict: Verdict.Warning }
        );
    }

    // Corners a to d around; sides run from corner to corner.
    private static SideViewReading[] Sides(double a, double b, double c, double d)
    {
        double[] corners = [a, b, c, d];
        return
        [
            .. ((string[])["front", "right", "back", "left"]).Select(
                (side, i) =>
                {
                    double from = corners[i];
                    double to = corners[(i + 1) % 4];
                    return new SideViewReading(
                        side,
                        true,
                        [
                            new SideGap(0, from, 0.004),
                            new SideGap(0.5, (from + to) / 2, 0.003),
                            new SideGap(1, to, 0.004),
                        ],
                        to - from,
                        0.005,
                        70,
                        0.3,
                        null,
                        null,
                        null,
                        SideViewReading.Leaves
                    );
                }
            ),
        ];
    }

    private static SideViewRequest Request(MadeSide made, double clickPx)
    {
        Random random = new(3);
        PicturePoint Click((double X, double Y) place, double off) =>
            new(place.X + off * (2 * random.NextDouble() - 1), place.Y + off * (2 * random.NextDouble() - 1));
        double length =
            Math.Sqrt(
                Math.Pow(made.Package[1].X - made.Package[0].X, 2) + Math.Pow(made.Package[1].Y - made.Package[0].Y, 2)
            ) / made.PxPerMm;
        return new SideViewRequest(
            made.Picture,
            "front",
            Click(made.Package[0], clickPx),
            Click(made.Package[1], clickPx),
            Click(made.Board[0], clickPx),
            Click(made.Board[1], clickPx),
            new KnownLength(Click(made.Package[0], 0), Click(made.Package[1], 0), length)
        );
    }
}
