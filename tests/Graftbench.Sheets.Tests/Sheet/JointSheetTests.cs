using System.Net;
using Graftbench.Core.Jobs;
using Graftbench.Core.Joints;
using Graftbench.Core.Planning;
using Graftbench.Tests.Shared;
using UglyToad.PdfPig;
using UglyToad.PdfPig.Content;

namespace Graftbench.Sheets.Tests.Sheet;

/// <summary>The joints on the plan sheet: what is said on the screen is on paper too, HTML and PDF.</summary>
public class JointSheetTests
{
    private static readonly DateTimeOffset Now = new(2026, 11, 26, 12, 0, 0, TimeSpan.Zero);

    // Parts hold the package up and the corners stand up: solder is needed, levers are computed, sources are cited.
    private static readonly Lazy<JobPlan> Lifted = new(() =>
    {
        JointCaseDocument document = new()
        {
            Format = "graftbench-joints-1",
            Name = "chip U1",
            PitchMm = 1.27,
            Rows = 8,
            Columns = 8,
            BallDiameterMm = 0.76,
            BallAlloy = "SAC305",
            Seat = new Seat
            {
                PackagePadMm = 0.6,
                BoardPadMm = 0.6,
                PackageG = 0.8,
                HotWarpageMm = 0.1,
                Parts =
                [
                    new SeatPart
                    {
                        Name = "K1",
                        XMm = 0,
                        YMm = 0,
                        HeightMm = 0.57,
                    },
                ],
            },
            Trials = 100,
        };
        JointRequestMade made = JointRequests.Of(document);
        JobPlan plan = Plans.Typical();
        return Planner.Plan(
            plan.Job,
            Now,
            new ApartAnswers { Joints = JointPlanner.Plan(made.Request!, made.Assumptions) }
        );
    });

    [Fact]
    public void The_sheet_carries_answer_margin_pictures_assumptions_and_sources()
    {
        JobPlan plan = Lifted.Value;
        JointPlan joints = plan.Joints!;
        string html = WebUtility.HtmlDecode(PlanSheet.Html(plan));
        Assert.Contains("Balls, solder on the lands, joints: chip U1", html, StringComparison.Ordinal);
        Assert.Contains(joints.Answer, html, StringComparison.Ordinal);
        Assert.Contains("the neediest joint misses its land by", html, StringComparison.Ordinal);
        Assert.Contains("100 drawn packages", html, StringComparison.Ordinal);
        Assert.Contains("Cut through a row of joints, to scale", html, StringComparison.Ordinal);
        Assert.Contains("Ball field from above", html, StringComparison.Ordinal);
        Assert.Contains("Least solder on the lands for the wanted chance", html, StringComparison.Ordinal);
        Assert.Contains("What helps, each alone, best first", html, StringComparison.Ordinal);
        Assert.Contains("Parts on the underside", html, StringComparison.Ordinal);
        Assert.All(joints.Assumptions, one => Assert.Contains("Assumed: " + one.What, html, StringComparison.Ordinal));
        Assert.All(
            joints.Request.Solder.Figures,
            one => Assert.Contains($"Used: {one.What} {one.Figure}", html, StringComparison.Ordinal)
        );
        Assert.DoesNotContain("not in the source table", html, StringComparison.Ordinal);
        Assert.Contains("(solder-tension-values)", html, StringComparison.Ordinal);
    }

    [Fact]
    public void The_pdf_says_the_same_and_nothing_leaves_the_page()
    {
        using PdfDocument pdf = PdfDocument.Open(PlanSheetPdf.Write(Lifted.Value));
        string text = "";
        foreach (Page page in pdf.GetPages())
        {
            text += string.Concat(page.Letters.Select(letter => letter.Value));
            Assert.All(
                page.Letters,
                letter =>
                {
                    Assert.InRange(letter.BoundingBox.Left, 8, page.Width - 8);
                    Assert.InRange(letter.BoundingBox.Right, 8, page.Width - 8);
                    Assert.InRange(letter.BoundingBox.Bottom, 8, page.Height - 8);
                }
            );
        }
        string plain = text.Replace(" ", "", StringComparison.Ordinal);
        string answer = Lifted.Value.Joints!.Answer.Replace(" ", "", StringComparison.Ordinal);
        Assert.Contains(answer, plain, StringComparison.Ordinal);
        Assert.Contains("Whathelps,eachalone,bestfirst", plain, StringComparison.Ordinal);
    }

    [Fact]
    public void Without_an_answer_the_sheet_says_what_is_missing()
    {
        JobPlan typical = Plans.Typical();
        Chip chip = Boards.Chip() with { Seat = new Seat { BoardPadMm = 0.6 } };
        Job job = typical.Job with { Chips = [chip] };
        string html = WebUtility.HtmlDecode(
            PlanSheet.Html(Planner.Plan(job, Now, new ApartAnswers { Joints = JobJoints.Plan(job, chip.Id) }))
        );
        Assert.Contains("No answer yet", html, StringComparison.Ordinal);
        Assert.Contains("Chance", html, StringComparison.Ordinal);
        Assert.Contains("not computed", html, StringComparison.Ordinal);
    }

    [Fact]
    public void A_plan_without_joints_has_no_section_of_them() =>
        Assert.DoesNotContain("Balls, solder on the lands", PlanSheet.Html(Plans.Typical()), StringComparison.Ordinal);
}
