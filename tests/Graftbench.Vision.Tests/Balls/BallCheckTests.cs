using System.Diagnostics;
using Graftbench.Core.Findings;
using Graftbench.Core.Inspection;
using Graftbench.Core.Numerics;
using Graftbench.Scenes;
using Graftbench.Tests.Checks;
using Graftbench.Vision.Balls;
using Graftbench.Vision.Pictures;

namespace Graftbench.Vision.Tests.Balls;

/// <summary>A small part of the table in docs/models/pictures.md; the whole is the bench command <c>balls</c>.</summary>
public class BallCheckTests
{
    public static TheoryData<string, char> Difficulties
    {
        get
        {
            TheoryData<string, char> data = [];
            foreach (string name in Difficulty.Names.Where(name => name is not ("crop" or "blur")))
            {
                data.Add(name, data.Count % 2 == 0 ? 'A' : 'B');
            }
            return data;
        }
    }

    [Theory, MemberData(nameof(Difficulties))]
    public void No_missing_ball_passes_and_no_sound_ball_is_called_missing(string name, char renderer)
    {
        BallScore score = new();
        BallScene scene = BallTables.Scene(301, Difficulty.Only(name, 0.8));
        score.Add(scene, BallTables.Jpeg(scene, renderer), name);
        string notes = string.Join('\n', score.Notes);
        Assert.True(score is { Refused: 0, WrongPlace: 0, Passed: 0 }, notes);
        Assert.True(score.FalseMissing.False == 0, notes);
        Truth.Note("pictures.missing", score.Passed);
        // Most sites are decided; strong smears and shadows leave more to the person.
        Assert.True(score.NotJudged < 0.25 * score.Sites, $"{score.NotJudged} of {score.Sites}");
        Assert.True(score.Recall(SiteClass.Present) is var (hit, of) && hit > 0.96 * of, notes);
    }

    [Fact]
    public void In_a_good_picture_every_class_comes_out_with_its_place_and_size()
    {
        BallScore score = new();
        foreach (char renderer in "AB")
        {
            BallScene scene = BallTables.Scene(302, missing: 0.05, side: 16);
            BallReport report = score.Add(scene, BallTables.Jpeg(scene, renderer), "good");
            Assert.True(report.Judged);
            SceneCamera camera = new(scene);
            foreach (SiteFinding site in report.Sites.Where(site => site.Class == SiteClass.Present))
            {
                (double x, double y) = camera.See(
                    BallScene.Seen(scene.Field, site.Column),
                    site.Row,
                    scene.BallSteps * 0.5
                );
                Assert.InRange(
                    Math.Sqrt(Math.Pow(x - site.XPx, 2) + Math.Pow(y - site.YPx, 2)),
                    0,
                    0.12 * scene.PitchPx
                );
                Assert.InRange(site.SizeRatio!.Value, 0.85, 1.15);
                Assert.InRange(site.DiameterMm!.Value, 0.6 * 2 * scene.BallSteps, 1.35 * 2 * scene.BallSteps);
                Assert.InRange(site.ConfidenceFraction, 0.8, 1);
            }
            Assert.Equal(report.Sites.Count, report.Sites.Select(site => site.Name).Distinct().Count());
        }
        Assert.True(score.Recall(SiteClass.Missing) is { Hit: > 10 } missing && missing.Hit == missing.Of);
        Assert.True(score.Recall(SiteClass.Joined) is { Hit: > 3 } joined && joined.Hit == joined.Of);
        Assert.Equal(score.StraysTrue, score.StraysFound);
        Assert.Equal(0, score.StraysFalse);
    }

    [Fact]
    public void Without_faults_all_are_there_and_nothing_else_is_said()
    {
        BallScene scene = BallScene.Make(303, new Difficulty(), 14, 12, faults: false);
        BallReport report = BallTables.Check(scene, 'A');
        Assert.Equal(scene.Field.Count, report.CountOf(SiteClass.Present));
        Assert.Equal("balls.all-present", Assert.Single(report.Findings).Code);
        Assert.True(BallAnswer.Of(scene.Field, [report]).AllThere);
    }

    [Theory]
    [InlineData('A')]
    [InlineData('B')]
    public void Bare_lands_alone_are_never_taken_for_balls(char renderer)
    {
        foreach (string name in new[] { "substrate", "blur", "stencil" })
        {
            BallScene scene = BallTables.Scene(304, Difficulty.Only(name, 1), missing: 1);
            Assert.Equal(0, BallTables.Check(scene, renderer).CountOf(SiteClass.Present));
        }
    }

    [Fact]
    public void The_same_picture_the_other_way_up_gives_the_same_answer()
    {
        BallScene scene = BallTables.Scene(305);
        Picture picture = BallTables.Picture(scene, 'B');
        Picture turned = new(
            picture.WidthPx,
            picture.HeightPx,
            [.. picture.Grey.Reverse()],
            [.. picture.Rgb!.Chunk(3).Reverse().SelectMany(rgb => rgb)]
        );
        BallRequest request = BallScore.Request(scene);
        BallReport one = BallCheck.Check(picture, "p", request);
        BallReport other = BallCheck.Check(turned, "p", request);
        Assert.True(other.Judged);
        int same = one.Sites.Zip(other.Sites).Count(pair => pair.First.Class == pair.Second.Class);
        Assert.InRange(same, one.Sites.Count - 3, one.Sites.Count);
        Assert.Equal(
            one.Sites.Where(site => site.Class == SiteClass.Missing).Select(site => site.Name),
            other.Sites.Where(site => site.Class == SiteClass.Missing).Select(site => site.Name)
        );
    }

    [Fact]
    public void A_list_from_the_other_side_is_said_to_be_mirrored()
    {
        BallScene scene = BallTables.Scene(306);
        BallReport report = BallTables.Check(scene, 'A', view: BallView.Top);
        Assert.False(report.Judged);
        Assert.Equal("balls.mirrored", report.Findings[0].Code);
    }

    [Fact]
    public void Another_package_is_said_to_be_one()
    {
        BallScene scene = BallTables.Scene(307);
        BallReport report = BallTables.Check(scene, 'B', BallTables.Full(9, 8));
        Assert.False(report.Judged);
        Assert.Contains(
            report.Findings,
            finding => finding.Code == "balls.no-fit" && finding.Value!.Contains("12", StringComparison.Ordinal)
        );
    }

    [Fact]
    public void A_field_that_looks_alike_when_turned_asks_for_A1_and_takes_it()
    {
        BallScene scene = BallTables.Scene(308, missing: 0);
        // The person's list knows nothing of the three absent sites.
        BallField field = BallTables.Full(BallTables.Side, BallTables.Side);
        BallReport asked = BallTables.Check(scene, 'B', field);
        Assert.Equal("balls.corner", asked.Findings[0].Code);
        // Seen from below, A1 is upper right.
        BallReport told = BallTables.Check(scene, 'B', field, a1: PictureCorner.UpperRight);
        Assert.True(told.Judged);
        SiteFinding first = told.Sites.Single(site => site.Name == "A1");
        Assert.True(first.XPx > scene.WidthPx / 2.0 && first.YPx < scene.HeightPx / 2.0);
        Assert.NotEqual(SiteClass.Present, first.Class);
    }

    public static TheoryData<string> Hopeless => ["white", "black", "noise", "spots", "ramp", "stripes"];

    [Theory, MemberData(nameof(Hopeless))]
    public void A_picture_without_balls_is_refused_with_advice(string what)
    {
        Dice dice = new(7);
        const int W = 700;
        const int H = 500;
        float[] grey = new float[W * H];
        for (int i = 0; i < grey.Length; i++)
        {
            grey[i] = what switch
            {
                "white" => 1,
                "black" => 0,
                "noise" => (float)dice.Uniform(),
                "ramp" => i % W / (float)W,
                "stripes" => i / W / 12 % 2 * 0.6f + 0.2f,
                _ => 0.3f,
            };
        }
        if (what == "spots")
        {
            for (int k = 0; k < 900; k++)
            {
                int cx = (int)dice.Between(6, W - 6);
                int cy = (int)dice.Between(6, H - 6);
                for (int v = -5; v <= 5; v++)
                {
                    for (int u = -5; u <= 5; u++)
                    {
                        if (u * u + v * v <= 25)
                        {
                            grey[(cy + v) * W + cx + u] = 0.9f - 0.02f * (u * u + v * v);
                        }
                    }
                }
            }
        }
        BallReport report = BallCheck.Check(
            new Picture(W, H, grey),
            "p",
            new BallRequest(BallTables.Full(12, 12), BallView.Bottom, PictureCorner.UpperRight)
        );
        Assert.False(report.Judged);
        Assert.Empty(report.Sites);
        Assert.Contains(report.Findings, finding => finding is { Verdict: Verdict.Unknown, Todo: not null });
    }

    [Theory]
    [InlineData(1, 1)]
    [InlineData(3, 900)]
    [InlineData(160, 160)]
    public void A_picture_of_any_size_ends_in_words(int width, int height)
    {
        BallReport report = BallCheck.Check(
            new Picture(width, height, new float[width * height]),
            "p",
            new BallRequest(BallTables.Full(100, 100), BallView.Top)
        );
        Assert.False(report.Judged);
        Assert.NotEmpty(report.Findings);
    }

    [Fact]
    public void Spots_without_number_take_bounded_time()
    {
        const int Side = 1000;
        float[] grey = new float[Side * Side];
        Dice dice = new(9);
        for (int i = 0; i < grey.Length; i++)
        {
            (int x, int y) = (i % Side, i / Side);
            grey[i] = (float)(0.5 + 0.3 * Math.Sin(x * 0.9) * Math.Sin(y * 0.9) + 0.2 * dice.Uniform());
        }
        Stopwatch watch = Stopwatch.StartNew();
        BallCheck.Check(
            new Picture(Side, Side, grey),
            "p",
            new BallRequest(BallTables.Full(100, 100), BallView.Bottom)
        );
        Assert.InRange(watch.Elapsed.TotalSeconds, 0, 30);
    }
}
