using Graftbench.Core.Findings;
using Graftbench.Core.Inspection;
using Graftbench.Core.Planning;
using Graftbench.Vision.Answering;
using Graftbench.Vision.Balls;

namespace Graftbench.Vision.Tests;

/// <summary>What counts once persons have spoken, and when question 6 may say "ok". Own rules: unknown is never ok.</summary>
public class InspectionQuestionTests
{
    private static readonly Dictionary<string, string> Nobody = [];

    private static SiteFinding Site(string name, int row, int column, SiteClass one) =>
        new(name, row, column, 20 * column, 20 * row, one, 0.99, 0.6, 1, 0.01, [], null);

    private static BallReport Report(params SiteClass[] classes) =>
        new(
            "picture.jpg",
            400,
            300,
            BallView.Bottom,
            true,
            [],
            [.. classes.Select((one, i) => Site($"A{i + 1}", 0, i, one))],
            [],
            new FieldPose(20, 0.3, 0, 5, [])
        );

    private static SeenPicture Balls(BallReport report, Dictionary<string, string>? said = null) =>
        SeenPictures.Of(PictureKind.Balls, "chip U1", report, said ?? Nobody);

    private static SeenPicture Side(bool judged, Verdict verdict) =>
        new(
            PictureKind.Side,
            "front.jpg",
            "chip U1, front",
            judged,
            "Gap.",
            400,
            300,
            [],
            [new Finding(verdict, "side.gap", "front", "Gap.")]
        );

    public static readonly TheoryData<SiteClass, Verdict> Classes = new()
    {
        { SiteClass.Present, Verdict.Ok },
        { SiteClass.Missing, Verdict.FixFirst },
        { SiteClass.Undersized, Verdict.FixFirst },
        { SiteClass.OffCentre, Verdict.FixFirst },
        { SiteClass.Joined, Verdict.FixFirst },
        { SiteClass.CannotJudge, Verdict.Unknown },
    };

    [Theory, MemberData(nameof(Classes))]
    public void A_site_weighs_what_its_class_weighs(SiteClass one, Verdict verdict) =>
        Assert.Equal(verdict, Balls(Report(SiteClass.Present, one)).Verdict);

    [Fact]
    public void A_persons_word_counts_and_what_was_found_stays()
    {
        SeenPicture seen = Balls(Report(SiteClass.Present, SiteClass.Missing), new() { ["A2"] = "present" });
        Assert.Equal(
            ("missing", "present", "present"),
            (seen.Sites[1].Found.Id, seen.Sites[1].Said?.Id, seen.Sites[1].Counts.Id)
        );
        Assert.StartsWith("2 of 2 balls", seen.Answer, StringComparison.Ordinal);
        Assert.Contains(
            seen.Findings,
            finding => finding.Code == "picture.person" && finding.Verdict == Verdict.Warning
        );
        Assert.Equal(Verdict.FixFirst, Balls(Report(SiteClass.Present), new() { ["A1"] = "missing" }).Verdict);
        // A word that such a picture does not know counts for nothing.
        Assert.Null(Balls(Report(SiteClass.Missing), new() { ["A1"] = "purple" }).Sites[0].Said);
    }

    [Fact]
    public void A_picture_that_does_not_tell_is_unknown_whatever_its_findings_say()
    {
        BallReport refused = Report() with
        {
            Judged = false,
            Findings = [new Finding(Verdict.Ok, "x", "picture", "Blurred.")],
        };
        Assert.Equal(Verdict.Unknown, Balls(refused).Verdict);
    }

    [Fact]
    public void Without_pictures_there_is_no_answer_and_half_of_them_is_unknown()
    {
        Assert.Null(InspectionQuestion.Answer([]));
        QuestionSummary balls = InspectionQuestion.Answer([Balls(Report(SiteClass.Present))])!;
        Assert.Equal(Verdict.Unknown, balls.Verdict);
        Assert.Contains(balls.Findings, finding => finding.Code == "picture.no-joints");
        Assert.Equal(
            Verdict.Ok,
            InspectionQuestion.Answer([Balls(Report(SiteClass.Present)), Side(true, Verdict.Ok)])!.Verdict
        );
        Assert.Equal(
            Verdict.Unknown,
            InspectionQuestion.Answer([Balls(Report(SiteClass.Present)), Side(false, Verdict.Unknown)])!.Verdict
        );
    }

    [Fact]
    public void The_newest_picture_that_could_be_judged_counts()
    {
        SeenPicture bad = Balls(Report(SiteClass.Missing));
        SeenPicture good = Balls(Report(SiteClass.Present));
        SeenPicture refused = Balls(Report() with { Judged = false });
        Assert.DoesNotContain(
            InspectionQuestion.Answer([bad, good])!.Findings,
            finding => finding.Code == "picture.missing"
        );
        Assert.Contains(InspectionQuestion.Answer([good, bad])!.Findings, finding => finding.Code == "picture.missing");
        Assert.DoesNotContain(
            InspectionQuestion.Answer([bad, good, refused])!.Findings,
            finding => finding.Code == "picture.missing"
        );
    }
}
