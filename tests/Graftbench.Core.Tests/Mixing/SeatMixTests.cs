using System.Text;
using Graftbench.Core.Findings;
using Graftbench.Core.Jobs;
using Graftbench.Core.Joints;
using Graftbench.Core.Mixing;
using Graftbench.Core.Tests.Heating;

namespace Graftbench.Core.Tests.Mixing;

/// <summary>The solders of a joint as a job says them, and where the answer of question 5 carries them.</summary>
public class SeatMixTests
{
    private static readonly Seat Seat = new()
    {
        PackagePadMm = 0.5,
        BoardPadMm = 0.5,
        DomeHeightMm = 0.02,
        HasParts = YesNo.No,
        PackageG = 1,
        HotWarpageMm = 0,
    };

    private static Job Job(string? ball, string? land, Seat seat, string? old = null, double? ballMm = 0.6)
    {
        Job job = HeatJob.Job();
        return job with
        {
            Materials = new Materials
            {
                BallAlloy = ball,
                LandAlloy = land,
                BallDiameterMm = ballMm,
            },
            Chips =
            [
                HeatJob.Chip with
                {
                    BallAlloy = old ?? ball,
                    BallDiameterMm = ballMm,
                    Rows = 6,
                    Columns = 6,
                    Seat = seat,
                },
            ],
        };
    }

    private static SeatMixMade Made(Job job) => SeatMix.Of(job, job.Chips[0]);

    [Fact]
    public void Ball_and_dome_are_mixed_by_their_volumes()
    {
        SeatMixMade made = Made(Job("Sn63Pb37", "SAC305", Seat));
        Assert.True(made.AmountsKnown);
        Assert.Empty(made.Findings);
        Assert.Empty(made.Assumptions);
        // 0.9500 mg of the fact sheet's joint A, and a cap πh(3a² + h²)/6 of 7.38 g/cm³.
        Assert.Equal(0.9500, made.Request!.Parts[0].MassMg, 0.0005);
        double capMm3 = Math.PI * 0.02 * (3 * 0.25 * 0.25 + 0.02 * 0.02) / 6;
        Assert.Equal(7.38 * capMm3, made.Request.Parts[1].MassMg, 1e-9);
    }

    [Fact]
    public void Lands_wicked_flat_keep_an_assumed_layer_of_the_other_alloy()
    {
        foreach (double? dome in new double?[] { null, 0 })
        {
            SeatMixMade made = Made(Job("SAC305", "Sn63Pb37", Seat with { DomeHeightMm = dome }));
            Assert.False(made.AmountsKnown);
            Assert.Equal("common-practice", Assert.Single(made.Assumptions).Source);
            Assert.Equal(8.4 * Math.PI * 0.0625 * 0.015, made.Request!.Parts[1].MassMg, 1e-9);
        }
    }

    [Fact]
    public void The_former_balls_of_the_chip_stay_on_its_pads()
    {
        SeatMixMade made = Made(Job("SAC305", "SAC305", Seat, old: "Sn63Pb37"));
        Assert.Equal(["ball", "chip's pad"], made.Request!.Parts.Select(part => part.Name));
        Assert.False(made.AmountsKnown);
        MixAnswer answer = MixPlanner.Plan(made.Request with { WithCurves = false });
        Assert.Contains(answer.Findings, one => one.Code == "alloy.lead");
    }

    [Theory]
    [InlineData(null, "SAC305", "alloy.ball-unknown")]
    [InlineData("SAC305", null, "alloy.land-unknown")]
    [InlineData("SAC305", "Sn95Sb5", "alloy.land-unknown")]
    [InlineData("nothing", "SAC305", "alloy.ball-unknown")]
    public void What_is_not_known_is_unknown_with_what_to_do(string? ball, string? land, string code)
    {
        Finding finding = Assert.Single(Made(Job(ball, land, Seat)).Findings);
        Assert.Equal((Verdict.Unknown, code), (finding.Verdict, finding.Code));
        Assert.NotNull(finding.Todo);
    }

    [Fact]
    public void Without_amounts_lead_with_bismuth_is_refused_all_the_same()
    {
        SeatMixMade made = Made(Job("Sn42Bi58", "Sn63Pb37", Seat with { BoardPadMm = null }));
        Assert.Null(made.Request);
        Assert.Contains(made.Findings, one => one.Code == "alloy.sizes-unknown" && one.Verdict == Verdict.Unknown);
        Assert.Contains(made.Findings, one => one.Code == "alloy.lead-meets-bismuth" && one.Verdict == Verdict.Blocker);
    }

    [Fact]
    public void One_alloy_needs_no_amounts()
    {
        SeatMixMade made = Made(Job("SAC305", "SAC305", Seat with { BoardPadMm = null }, ballMm: null));
        Assert.Empty(made.Findings);
        Assert.Equal(219.75, MixPlanner.Plan(made.Request!).FullMelt!.ValueC, 0.05);
    }

    [Fact]
    public void Joints_listed_one_by_one_count_by_their_mean()
    {
        Seat listed = Seat with
        {
            Sites =
            [
                new SeatSite
                {
                    XMm = 0,
                    YMm = 0,
                    DomeHeightMm = 0.01,
                },
                new SeatSite
                {
                    XMm = 1,
                    YMm = 0,
                    DomeHeightMm = 0.05,
                },
            ],
        };
        Assert.Contains(
            "0.03 mm",
            Made(Job("SAC305", "Sn63Pb37", listed)).Request!.Parts[1].Size,
            StringComparison.Ordinal
        );
    }

    [Fact]
    public void The_answer_of_question_five_carries_the_mixture_and_refuses_with_it()
    {
        Job job = Job("Sn42Bi58", "Sn63Pb37", Seat);
        JointPlan plan = JobJoints.Plan(job, job.Chips[0].Id, cancel: TestContext.Current.CancellationToken);
        Assert.Equal(MixState.Computed, plan.Mixture!.State);
        Assert.True(plan.Mixture.Heating.Count > 10);
        Assert.Equal("alloy.lead-meets-bismuth", plan.Findings[0].Code);
        Assert.Contains("\"mixture\"", JointPlanJson.Write(plan), StringComparison.Ordinal);
        JointPlan glance = JobJoints.Glance(job, job.Chips[0].Id, cancel: TestContext.Current.CancellationToken);
        Assert.Equal("alloy.lead-meets-bismuth", glance.Findings[0].Code);
        Assert.Null(glance.Mixture);
        Job clean = Job("Sn63Pb37", "Sn63Pb37", Seat);
        JointPlan same = JobJoints.Plan(clean, clean.Chips[0].Id, cancel: TestContext.Current.CancellationToken);
        Assert.DoesNotContain(same.Findings, one => one.Verdict == Verdict.Blocker);
        Assert.Equal(182.8, same.Mixture!.FullMelt!.ValueC, 0.1);
    }

    [Fact]
    public void A_joint_case_names_its_alloys()
    {
        JointCaseReading reading = JointCaseReader.Read(
            Encoding.UTF8.GetBytes(
                """
                {
                  "format": "graftbench-joints-1", "pitchMm": 1.27, "rows": 4, "columns": 4, "ballDiameterMm": 0.76,
                  "ballAlloy": "SAC305", "landAlloy": "Sn63Pb37",
                  "seat": { "packagePadMm": 0.6, "boardPadMm": 0.6, "domeHeightMm": 0.03 }
                }
                """
            )
        );
        Assert.Empty(reading.Problems);
        Assert.Equal(["SAC305", "Sn63Pb37"], reading.Mix!.Request!.Parts.Select(part => part.Alloy.Name));
    }
}
