using System.Text.Json;
using Graftbench.Core.Inspection;
using Graftbench.Scenes;
using Graftbench.Vision.Balls;
using Graftbench.Vision.Marking;
using Graftbench.Vision.Pictures;

namespace Graftbench.Vision.Tests.Balls;

public class BallAnswerTests
{
    private static readonly BallField Field = new(2, 2, 1.0);
    private static readonly DateTimeOffset Noon = new(2026, 11, 20, 12, 0, 0, TimeSpan.Zero);

    private static BallReport Seen(params SiteClass[] classes) =>
        new(
            "p",
            10,
            10,
            BallView.Bottom,
            true,
            [],
            [
                .. Field
                    .Sites()
                    .Select(
                        (site, at) =>
                            new SiteFinding(
                                Field.NameOf(site.Row, site.Column),
                                site.Row,
                                site.Column,
                                1,
                                1,
                                classes[at],
                                classes[at] == SiteClass.CannotJudge ? 0.5 : 0.9,
                                null,
                                null,
                                null,
                                [],
                                classes[at] == SiteClass.CannotJudge ? "dark" : null
                            )
                    ),
            ],
            [],
            null
        );

    private const SiteClass P = SiteClass.Present;
    private const SiteClass M = SiteClass.Missing;
    private const SiteClass Q = SiteClass.CannotJudge;

    [Fact]
    public void Pictures_that_agree_make_it_surer_and_fill_each_others_gaps()
    {
        BallAnswer answer = BallAnswer.Of(Field, [Seen(P, P, M, Q), Seen(P, Q, M, Q)]);
        Assert.Equal([P, P, M, Q], answer.Sites.Select(site => site.Class));
        Assert.Equal(0.99, answer.Sites[0].ConfidenceFraction, 1e-9);
        Assert.Equal(0.9, answer.Sites[1].ConfidenceFraction, 1e-9);
        Assert.Equal("dark", answer.Sites[3].Why);
        Assert.False(answer.AllThere);
        Assert.Contains(answer.Findings, finding => finding.Code == "balls.missing");
    }

    [Fact]
    public void Pictures_that_contradict_each_other_decide_nothing()
    {
        SiteAnswer site = BallAnswer.Of(Field, [Seen(P, P, P, P), Seen(M, P, P, P)]).Sites[0];
        Assert.Equal(Q, site.Class);
        Assert.Contains("contradict", site.Why, StringComparison.Ordinal);
        Assert.Equal(0, site.ConfidenceFraction);
    }

    [Fact]
    public void A_persons_word_counts_and_the_machines_stays()
    {
        BallAnswer answer = BallAnswer.Of(
            Field,
            [Seen(P, P, P, Q)],
            [
                new SiteCorrection("B2", P, "Ada", Noon),
                new SiteCorrection("a1", P, "Ada", Noon.AddHours(2), "looked again"),
                new SiteCorrection("A1", M, "Ada", Noon.AddHours(1)),
                new SiteCorrection("Z9", M, "Ada", Noon),
            ]
        );
        Assert.True(answer.AllThere);
        Assert.Equal((P, Q), (answer.Sites[3].Class, answer.Sites[3].MachineClass));
        Assert.Equal([M, P], answer.Sites[0].Corrections.Select(one => one.Class));
        Assert.Contains(answer.Findings, finding => finding.Code == "balls.correction-name");
    }

    [Fact]
    public void No_picture_and_no_word_is_no_answer()
    {
        BallAnswer answer = BallAnswer.Of(Field, []);
        Assert.Empty(answer.Sites);
        Assert.False(answer.AllThere);
    }

    [Fact]
    public void As_JSON_it_has_names_places_classes_and_confidence()
    {
        using JsonDocument json = JsonDocument.Parse(BallAnswerJson.Write(BallAnswer.Of(Field, [Seen(P, M, P, Q)])));
        JsonElement site = json.RootElement.GetProperty("sites")[1];
        Assert.Equal("A2", site.GetProperty("name").GetString());
        Assert.Equal("missing", site.GetProperty("class").GetString());
        Assert.Equal(0.9, site.GetProperty("confidenceFraction").GetDouble(), 1e-9);
        Assert.Equal(1, site.GetProperty("seen")[0].GetProperty("xPx").GetDouble());
    }

    [Fact]
    public void Two_halves_of_a_field_make_a_whole()
    {
        BallScene left = BallTables.Scene(311, missing: 0);
        Picture whole = BallTables.Picture(left, 'B');
        BallRequest request = BallScore.Request(left) with { A1 = PictureCorner.UpperRight };
        BallReport[] reports =
        [
            BallCheck.Check(Part(whole, 0, whole.WidthPx * 6 / 10), "left", request),
            BallCheck.Check(Part(whole, whole.WidthPx * 4 / 10, whole.WidthPx), "right", request),
        ];
        Assert.All(reports, report => Assert.True(report.Judged, report.Findings[0].What));
        Assert.All(reports, report => Assert.Contains(report.Findings, finding => finding.Code == "balls.cropped"));
        BallAnswer answer = BallAnswer.Of(request.Field, reports);
        Assert.InRange(answer.CountOf(SiteClass.CannotJudge), 0, 8);
    }

    private static Picture Part(Picture picture, int from, int to)
    {
        int w = to - from;
        float[] grey = new float[w * picture.HeightPx];
        byte[] rgb = new byte[3 * grey.Length];
        for (int y = 0; y < picture.HeightPx; y++)
        {
            picture.Grey.AsSpan(y * picture.WidthPx + from, w).CopyTo(grey.AsSpan(y * w));
            picture.Rgb.AsSpan(3 * (y * picture.WidthPx + from), 3 * w).CopyTo(rgb.AsSpan(3 * y * w));
        }
        return new Picture(w, picture.HeightPx, grey, rgb);
    }

    [Fact]
    public void The_marked_picture_differs_at_the_sites_and_nowhere_far_from_them()
    {
        BallScene scene = BallTables.Scene(312, missing: 0.1);
        Picture picture = BallTables.Picture(scene, 'A');
        BallReport report = BallCheck.Check(picture, "p", BallScore.Request(scene));
        Picture marked = PictureReader.Read(BallMarking.Png(picture, report), "marked").Picture!;
        Assert.Equal((picture.WidthPx, picture.HeightPx), (marked.WidthPx, marked.HeightPx));
        SiteFinding missing = report.Sites.First(site => site.Class == SiteClass.Missing);
        Assert.True(Changed(picture, marked, missing.XPx, missing.YPx) > 20);
        Assert.Equal(0, Changed(picture, marked, 6, 6));
    }

    private static int Changed(Picture a, Picture b, double x, double y)
    {
        int count = 0;
        for (int v = -5; v <= 5; v++)
        {
            for (int u = -5; u <= 5; u++)
            {
                int at = ((int)y + v) * a.WidthPx + (int)x + u;
                count += Math.Abs(a.Grey[at] - b.Grey[at]) > 0.02f ? 1 : 0;
            }
        }
        return count;
    }
}
