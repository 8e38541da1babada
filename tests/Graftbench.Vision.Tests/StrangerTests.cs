using Graftbench.Core.Findings;
using Graftbench.Core.Inspection;
using Graftbench.Scenes;
using Graftbench.Shared.Vision;
using Graftbench.Vision.Balls;
using Graftbench.Vision.Pictures;
using Graftbench.Vision.Xray;

namespace Graftbench.Vision.Tests;

/// <summary>What went wrong when pictures of another renderer were tried for the first time.</summary>
public class StrangerTests
{
    private static XrayRequest Asked(MadeXray made, int rows, Func<float[], float[]>? change = null) =>
        XrayScore.Request(made) with
        {
            Picture = new Picture(made.WidthPx, made.HeightPx, change?.Invoke(made.Grey) ?? made.Grey),
            Field = new BallField(rows, made.Joints.Max(joint => joint.Column) + 1, 1),
        };

    [Theory]
    [InlineData(18, 600)]
    [InlineData(20, 300)]
    [InlineData(24, 150)]
    public void Small_and_noisy_joints_are_read_or_refused_and_never_break_the_reader(double pxPerMm, double photons)
    {
        MadeXray made = XrayMaker.Make(
            new XrayLook
            {
                PxPerMm = pxPerMm,
                Photons = photons,
                BlurPx = 1.5,
            }
        );
        XrayReading reading = XrayReader.Read(Asked(made, 10));
        Assert.True(!reading.Judged || reading.Joints.Count == 100);
    }

    [Fact]
    public void A_row_more_than_the_list_has_is_no_field_of_joints()
    {
        XrayReading reading = XrayReader.Read(Asked(XrayMaker.Make(new XrayLook()), 9));
        Assert.False(reading.Judged);
        Assert.All(reading.Findings, finding => Assert.Equal(Verdict.Unknown, finding.Verdict));
    }

    [Fact]
    public void A_row_more_than_the_list_has_is_no_field_of_balls_though_the_row_has_gaps()
    {
        BallScene scene = BallScene.Make(7, new Difficulty(), faults: false);
        Picture picture = PictureReader.Read(PaintRender.Jpeg(scene), "scene").Picture!;
        BallReport report = BallCheck.Check(
            picture,
            "scene",
            new BallRequest(new BallField(15, 16, 1), BallView.Bottom, PictureCorner.UpperRight)
        );
        Assert.False(report.Judged);
        Assert.All(report.Findings, finding => Assert.NotEqual(Verdict.Ok, finding.Verdict));
    }

    [Fact]
    public void What_lies_outside_of_an_X_ray_picture_is_not_missing()
    {
        MadeXray made = XrayMaker.Make(new XrayLook { ExtraMarginMm = 2 });
        int keep = (int)made.Joints.Where(joint => joint.Column == 6).Average(joint => joint.CentreXPx) + 25;
        float[] left = new float[keep * made.HeightPx];
        for (int y = 0; y < made.HeightPx; y++)
        {
            made.Grey.AsSpan(y * made.WidthPx, keep).CopyTo(left.AsSpan(y * keep));
        }
        Picture cut = new(keep, made.HeightPx, left);
        XrayReading reading = XrayReader.Read(Asked(made, 10) with { Picture = cut });
        Assert.True(reading.Judged, string.Join('\n', reading.Findings.Select(finding => finding.Code)));
        Assert.DoesNotContain(reading.Joints, joint => joint.State == JointSight.Missing);
        Assert.Equal(30, reading.Joints.Count(joint => joint.WhyNot == "it lies outside of the picture"));
    }

    [Fact]
    public void A_coloured_photograph_is_no_X_ray_picture()
    {
        BallScene scene = BallScene.Make(7, new Difficulty(), faults: false);
        Picture photo = PictureReader.Read(PaintRender.Jpeg(scene), "scene").Picture!;
        MadeXray made = XrayMaker.Make(new XrayLook());
        XrayReading reading = XrayReader.Read(Asked(made, 10) with { Picture = photo });
        Assert.Contains(reading.Findings, finding => finding.Code == "xray.coloured");
    }
}
