using System.Text.Json;
using CsCheck;
using Graftbench.Core.Facts;
using Graftbench.Core.Findings;
using Graftbench.Core.Inspection;
using Graftbench.Core.Planning;
using Graftbench.Shared.Vision;
using Graftbench.Tests.Checks;
using Graftbench.Vision.Pictures;
using Graftbench.Vision.Xray;

namespace Graftbench.Vision.Tests.Xray;

/// <summary>Whole X-ray pictures, made from geometry, against the void areas counted on their own rays.</summary>
public class XrayReaderTests
{
    private static readonly XrayLook Base = new()
    {
        Rows = 6,
        Columns = 7,
        PxPerMm = 50,
    };

    private static readonly Lazy<MadeXray> Plain = new(() => XrayMaker.Make(Base));

    // Largest departure [percentage points] by look. The bench command voids has the whole table.
    public static TheoryData<string, double, double> Looks =>
        new()
        {
            { "plain", 3, 5 },
            { "oblique", 3.5, 6 },
            { "noise", 4, 6 },
        };

    [Theory, MemberData(nameof(Looks))]
    public void Void_areas_agree_with_the_geometry(string name, double p95, double most)
    {
        XrayScore score = new();
        score.Add(
            XrayMaker.Make(
                name switch
                {
                    "oblique" => Base with { ObliqueDeg = 9, RotationDeg = 11 },
                    "noise" => Base with { Photons = 2000 },
                    _ => Base,
                }
            )
        );
        Truth.Note("xray.voids", score.P95);
        Assert.True(score.OffPercent.Count > 36, $"only {score.OffPercent.Count} judged");
        Assert.True(
            score.P95 <= p95 && score.Largest <= most,
            score.Line(name) + "\n" + string.Join('\n', score.Worst)
        );
        Assert.True(score.Covered >= 0.9 * score.OffPercent.Count, score.Line(name));
    }

    [Fact]
    public void A_picture_made_in_another_way_reads_as_well()
    {
        XrayScore score = new();
        score.Add(
            OtherXrayMaker.Make(
                new OtherLook
                {
                    Rows = 7,
                    Columns = 7,
                    Inverted = true,
                    Gamma = 0.5,
                }
            )
        );
        Assert.True(score.OffPercent.Count > 40 && score.P95 <= 3, score.Line("other"));
    }

    [Fact]
    public void Missing_and_joined_ones_are_found_among_traces_vias_and_parts()
    {
        XrayScore score = new();
        score.Add(
            XrayMaker.Make(
                Base with
                {
                    Traces = true,
                    Vias = true,
                    Parts = true,
                    BigShadow = true,
                    MissingNumber = 3,
                    BridgeNumber = 3,
                }
            )
        );
        Assert.Equal((3, 3, 0), (score.Missing, score.MissingFound, score.MissingFalse));
        Assert.Equal((6, 6, 0), (score.Joined, score.JoinedFound, score.JoinedFalse));
        Assert.True(score.P95 <= 5, score.Line("board") + "\n" + string.Join('\n', score.Worst));
        // Where a part's edge crosses a joint nothing is guessed.
        Assert.Contains(score.Why.Keys, why => why.Contains("shadow", StringComparison.Ordinal));
    }

    [Fact]
    public void Whole_joints_have_no_voids()
    {
        XrayReading reading = XrayReader.Read(XrayScore.Request(XrayMaker.Make(Base with { VoidShare = 0 })));
        Assert.All(reading.Joints, joint => Assert.Equal(0, joint.VoidPercent));
        Assert.All(reading.Joints, joint => Assert.Equal(JointSight.Present, joint.State));
        Assert.DoesNotContain(reading.Findings, finding => finding.Verdict < Verdict.Unknown);
    }

    [Fact]
    public void The_diameter_is_that_of_the_geometry() =>
        // A ball of 0.6 mm: the outline lies a little outside of the steepest edge.
        Assert.Equal(
            0.6,
            XrayReader.Read(XrayScore.Request(XrayMaker.Make(Base with { SizeScatter = 0 }))).JointDiameterMm!.Value,
            0.01
        );

    [Fact]
    public void A_bridge_adds_no_missing_joint_and_names_its_neighbour()
    {
        MadeXray made = XrayMaker.Make(Base with { BridgeNumber = 1 });
        XrayReading reading = XrayReader.Read(XrayScore.Request(made));
        JointReading[] joined = [.. reading.Joints.Where(joint => joint.State == JointSight.Joined)];
        Assert.Equal(2, joined.Length);
        Assert.Equal([joined[1].Name], joined[0].JoinedWith);
        Assert.Equal(
            new HashSet<(int, int)> { made.Bridges[0].A, made.Bridges[0].B },
            joined.Select(joint => (joint.Row, joint.Column)).ToHashSet()
        );
        Assert.Contains(
            reading.Findings,
            finding => finding is { Code: "xray.joined", Verdict: Verdict.Blocker } && finding.Where == joined[0].Name
        );
    }

    [Fact]
    public void Every_answer_says_what_a_flat_picture_cannot_promise()
    {
        XrayReading reading = XrayReader.Read(XrayScore.Request(Plain.Value));
        Assert.Contains("head-in-pillow", reading.CannotPromise, StringComparison.Ordinal);
        Assert.Contains(reading.Findings, finding => finding.Code == "xray.not-promised");
        Assert.Contains("head-in-pillow", XrayReader.Read(Blank(0.5f)).CannotPromise, StringComparison.Ordinal);
    }

    [Fact]
    public void Each_joint_is_held_against_the_chosen_limit()
    {
        XrayRequest request = XrayScore.Request(XrayMaker.Make(Base with { VoidShare = 0.2 }));
        XrayReading wide = XrayReader.Read(request with { Limit = InspectionFacts.FindVoidLimit("ipc-7095-class-1")! });
        XrayReading strict = XrayReader.Read(
            request with
            {
                Limit = InspectionFacts.FindVoidLimit("ipc-7095-class-3")!,
            }
        );
        Assert.Equal(
            request.Field.Count,
            strict.Findings.Count(finding => finding.Code.StartsWith("xray.void", StringComparison.Ordinal))
        );
        Assert.True(Over(strict) > Over(wide) && Over(strict) > 5, $"{Over(strict)} and {Over(wide)}");
        Assert.Contains("too near to that limit to tell", strict.Answer, StringComparison.Ordinal);
        foreach (Finding finding in strict.Findings.Where(finding => finding.Code == "xray.void"))
        {
            JointReading joint = strict.Joints.Single(one => one.Name == finding.Where);
            (double share, double off) = (joint.VoidPercent!.Value, joint.VoidUncertaintyPercent!.Value);
            Assert.Equal(
                share - off > 9 ? Verdict.FixFirst
                    : share + off > 9 ? Verdict.Unknown
                    : Verdict.Ok,
                finding.Verdict
            );
            Assert.Contains("class 3", finding.Limit, StringComparison.Ordinal);
            Assert.Equal("void-forum", finding.Source);
        }

        static int Over(XrayReading reading) => reading.Findings.Count(finding => finding.Verdict == Verdict.FixFirst);
    }

    [Fact]
    public void A_field_that_looks_the_same_turned_asks_for_its_corner()
    {
        MadeXray made = XrayMaker.Make(Base with { Columns = 6, VoidShare = 0 });
        XrayReading open = XrayReader.Read(XrayScore.Request(made) with { A1 = null });
        Assert.True(open.Judged);
        Assert.False(open.NamesSure);
        Assert.Contains(open.Findings, finding => finding is { Code: "xray.corner", Verdict: Verdict.Unknown });
        XrayReading told = XrayReader.Read(XrayScore.Request(made) with { A1 = PictureCorner.LowerRight });
        Assert.True(told.NamesSure);
        JointReading a1 = told.Joints.Single(joint => joint.Name == "A1");
        Assert.True(a1.XPx > made.WidthPx / 2.0 && a1.YPx > made.HeightPx / 2.0);
    }

    [Fact]
    public void Too_few_pixels_for_voids_are_said_and_nothing_is_guessed()
    {
        XrayReading reading = XrayReader.Read(XrayScore.Request(XrayMaker.Make(Base with { PxPerMm = 22 })));
        Assert.True(reading.Judged, reading.Answer);
        Assert.All(reading.Joints, joint => Assert.Null(joint.VoidPercent));
        Assert.All(reading.Joints, joint => Assert.Contains("too few pixels", joint.WhyNot, StringComparison.Ordinal));
    }

    [Fact]
    public void Blur_that_hides_voids_is_said()
    {
        XrayReading reading = XrayReader.Read(XrayScore.Request(XrayMaker.Make(Base with { BlurPx = 4 })));
        Assert.All(reading.Joints.Where(joint => joint.VoidPercent is null), joint => Assert.NotEmpty(joint.WhyNot!));
        Assert.True(reading.Joints.Count(joint => joint.VoidPercent is null) > 35, reading.Answer);
    }

    [Fact]
    public void A_joint_that_is_black_through_and_through_is_not_judged()
    {
        MadeXray made = XrayMaker.Make(Base with { Hardness = 3, Bits = 8 });
        // Everything under a fifth of the open field is cut off to black.
        float[] cut = [.. made.Grey.Select(value => MathF.Max(0, (value - 0.2f) / 0.8f))];
        XrayReading reading = XrayReader.Read(XrayScore.Request(made with { Grey = cut }));
        Assert.All(reading.Joints, joint => Assert.Null(joint.VoidPercent));
        Assert.Contains(
            reading.Joints,
            joint => joint.WhyNot!.Contains("black there through and through", StringComparison.Ordinal)
        );
    }

    [Fact]
    public void Another_field_is_refused_with_what_was_seen()
    {
        XrayRequest request = XrayScore.Request(Plain.Value);
        XrayReading reading = XrayReader.Read(request with { Field = new BallField(14, 14, 1) });
        Assert.False(reading.Judged);
        Finding finding = Assert.Single(reading.Findings);
        Assert.Equal(Verdict.Unknown, finding.Verdict);
        Assert.NotNull(finding.Todo);
    }

    [Theory]
    [InlineData(0f)]
    [InlineData(0.5f)]
    [InlineData(1f)]
    public void A_blank_picture_is_refused_with_what_to_change(float value)
    {
        XrayReading reading = XrayReader.Read(Blank(value));
        Assert.False(reading.Judged);
        Assert.Empty(reading.Joints);
        Assert.All(reading.Findings, finding => Assert.Equal(Verdict.Unknown, finding.Verdict));
        Assert.All(reading.Findings, finding => Assert.NotEmpty(finding.Todo!));
    }

    [Fact]
    public void Noise_alone_has_no_joints()
    {
        Random random = new(4);
        float[] grey = [.. Enumerable.Range(0, 300 * 260).Select(_ => random.NextSingle())];
        XrayReading reading = XrayReader.Read(Blank(0) with { Picture = new Picture(300, 260, grey) });
        Assert.False(reading.Judged, reading.Answer);
    }

    [Fact]
    public void Any_small_picture_gives_an_answer_and_never_throws() =>
        Gen.Select(Gen.Int[1, 70], Gen.Int[1, 70], Gen.Int[0, 1 << 20], Gen.Int[0, 3])
            .Sample(
                (width, height, seed, kind) =>
                {
                    Random random = new(seed);
                    float[] grey = new float[width * height];
                    for (int i = 0; i < grey.Length; i++)
                    {
                        grey[i] = kind switch
                        {
                            0 => random.NextSingle(),
                            1 => (i % width / 7 + i / width / 7) % 2,
                            2 => i % width % 9 is > 2 and < 7 && i / width % 9 is > 2 and < 7 ? 0.1f : 0.9f,
                            _ => (float)i / grey.Length,
                        };
                    }
                    XrayReading reading = XrayReader.Read(Blank(0) with { Picture = new Picture(width, height, grey) });
                    Assert.NotEmpty(reading.Answer);
                    JsonSerializer.Serialize(reading, PlanJson.Options);
                },
                iter: 25,
                threads: 1
            );

    [Fact]
    public void The_same_picture_gives_the_same_figures_and_light_does_not_count()
    {
        XrayRequest request = XrayScore.Request(XrayMaker.Make(Base with { Rows = 5, Columns = 5 }));
        string once = JsonSerializer.Serialize(XrayReader.Read(request), PlanJson.Options);
        Assert.Equal(once, JsonSerializer.Serialize(XrayReader.Read(request), PlanJson.Options));
        Picture dimmer = new(
            request.Picture.WidthPx,
            request.Picture.HeightPx,
            [.. request.Picture.Grey.Select(value => 0.7f * value)]
        );
        XrayReading a = XrayReader.Read(request);
        XrayReading b = XrayReader.Read(request with { Picture = dimmer });
        foreach ((JointReading one, JointReading other) in a.Joints.Zip(b.Joints))
        {
            Assert.Equal(one.VoidPercent!.Value, other.VoidPercent!.Value, 0.5);
        }
    }

    [Fact]
    public void The_marked_picture_is_a_png_of_the_same_size_and_shows_the_verdicts()
    {
        XrayRequest request = XrayScore.Request(XrayMaker.Make(Base with { MissingNumber = 1, BridgeNumber = 1 }));
        XrayReading reading = XrayReader.Read(request);
        PictureReading marked = PictureReader.Read(XrayMarking.Png(request.Picture, reading), "marked");
        Assert.Equal(
            (request.Picture.WidthPx, request.Picture.HeightPx),
            (marked.Picture!.WidthPx, marked.Picture.HeightPx)
        );
        JointReading missing = reading.Joints.Single(joint => joint.State == JointSight.Missing);
        int k = 3 * ((int)Math.Round(missing.YPx) * marked.Picture.WidthPx + (int)Math.Round(missing.XPx));
        byte[] rgb = marked.Picture.Rgb!;
        Assert.True(rgb[k] > rgb[k + 1] + 60, $"{rgb[k]}, {rgb[k + 1]}, {rgb[k + 2]} is not red");
    }

    [Fact]
    public void Work_can_be_stopped()
    {
        using CancellationTokenSource source = new();
        source.Cancel();
        Assert.ThrowsAny<OperationCanceledException>(() =>
            XrayReader.Read(XrayScore.Request(XrayMaker.Make(Base with { Rows = 4, Columns = 4 })), source.Token)
        );
    }

    private static XrayRequest Blank(float value) =>
        new(
            new Picture(400, 300, [.. Enumerable.Repeat(value, 400 * 300)]),
            "blank",
            new BallField(6, 7, 1),
            BallView.Top,
            InspectionFacts.FindVoidLimit(InspectionFacts.UsualVoidLimit)!
        );
}
