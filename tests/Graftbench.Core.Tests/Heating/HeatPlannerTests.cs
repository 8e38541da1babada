using System.Text.Json;
using Graftbench.Core.Findings;
using Graftbench.Core.Heating;
using Graftbench.Core.Jobs;
using Graftbench.Core.Physics.Heat;
using Graftbench.Core.Tests.Drying;

namespace Graftbench.Core.Tests.Heating;

public class HeatPlannerTests
{
    [Theory]
    [InlineData(HeatTask.Place, HeatControl.Ramps)]
    [InlineData(HeatTask.Lift, HeatControl.Stages)]
    [InlineData(HeatTask.AttachBalls, HeatControl.Knobs)]
    public void A_job_that_says_enough_gets_settings_that_keep_every_hard_limit(HeatTask task, HeatControl control)
    {
        HeatPlan plan = HeatPlanner.Plan(Request(control, task), new LumpedModels());
        Assert.Equal(HeatPlanState.Planned, plan.State);
        Assert.All(plan.Figures.Where(one => one.Limit.Hard), one => Assert.True(one.Margin >= 0, one.ToString()));
        Assert.Equal(plan.Figures.OrderBy(one => one.Margin / one.Limit.Scale), plan.Figures);
        Assert.NotNull(plan.Chance);
        Assert.Equal(100, plan.Chance.Samples);
        Assert.Contains("molten", plan.Answer, StringComparison.Ordinal);
        Assert.Equal(
            ["first-joint-melts", "all-joints-molten", "switch-off", "last-joint-solid"],
            plan.Moments.Select(one => one.Name).Where(name => name != "body-peak")
        );
        double lastSolidS = plan.Moments.Single(one => one.Name == "last-joint-solid").TimeS;
        Assert.InRange(lastSolidS, 0, plan.Schedule!.DurationS);
        Assert.Equal(plan.Schedule.DurationS, plan.Stages.Sum(stage => stage.DurationS), 1e-9);
        Assert.NotEmpty(plan.Probes);
        Assert.Equal(2, plan.Sensitivities.Count);
        Assert.Contains(plan.Findings, one => one.Code is "heat.limits-kept" or "heat.goal-missed");
        // A margin is a difference: shown in °F it must not be shifted by 32.
        Assert.DoesNotContain(plan.Findings, one => one.What.Contains("°C left", StringComparison.Ordinal));
    }

    [Fact]
    public void Solders_that_must_not_meet_come_before_the_settings()
    {
        HeatPlan plan = HeatPlanner.Plan(Request(HeatControl.Ramps, HeatTask.Place), new LumpedModels());
        Finding against = new(
            Verdict.Blocker,
            "heat.lead-meets-bismuth",
            "chip U1",
            "Lead meets bismuth.",
            Todo: "Clean."
        );
        plan = HeatAnswers.Finished(plan with { Model = plan.Model! with { Findings = [against] } }, [], [], null);
        Assert.StartsWith("Do not heat it: ", plan.Answer, StringComparison.Ordinal);
        Assert.Equal(Verdict.Blocker, plan.Findings[0].Verdict);
    }

    [Theory]
    [InlineData(0.965)]
    [InlineData(1.03)]
    public void Where_the_reduced_model_is_off_the_full_one_the_search_is_repeated_until_they_agree(double ratio)
    {
        HeatPlan close = HeatPlanner.Plan(Request(HeatControl.Ramps, HeatTask.Place), new LumpedModels());
        Assert.Null(close.Trust!.CorrectedErrorDeltaK);
        LumpedModels models = new() { FullJointsRatio = ratio };
        HeatPlan plan = HeatPlanner.Plan(Request(HeatControl.Ramps, HeatTask.Place), models);
        Assert.Equal(HeatPlanState.Planned, plan.State);
        Assert.InRange(models.FullRuns, 2, 3);
        Assert.InRange(plan.Trust!.CorrectedErrorDeltaK!.Value, 0, 2);
        Assert.InRange(plan.Trust.FirstErrorDeltaK!.Value, 3, 15);
        Assert.Contains(plan.Findings, one => one.Code == "heat.reduced-model-corrected");
        // Chances are counted as the full model has them: about as many melt as where the two agree.
        Assert.InRange(plan.Chance!.AllMoltenFraction, close.Chance!.AllMoltenFraction - 0.05, 1);
    }

    [Fact]
    public void The_smallest_nozzle_that_keeps_the_spread_is_chosen()
    {
        HeatPlan plan = HeatPlanner.Plan(Request(HeatControl.Ramps, HeatTask.Place), new LumpedModels());
        // 36 mm leaves the corners cold, 45 mm is enough, 60 mm is larger than needed.
        Assert.Equal("wide", plan.Nozzle!.Name);
        Assert.Equal(5, plan.Nozzle.OverhangMm, 1e-9);
    }

    [Fact]
    public void Without_a_nozzle_on_the_list_a_usual_one_is_proposed_and_said_to_be_unknown()
    {
        HeatRequest request = Request(HeatControl.Ramps, HeatTask.Place);
        Job job = request.Job with
        {
            Bench = request.Job.Bench with
            {
                Heat = request.Job.Bench.Heat with { Gas = request.Job.Bench.Heat.Gas with { Nozzles = [] } },
            },
        };
        HeatPlan plan = HeatPlanner.Plan(request with { Job = job }, new LumpedModels());
        Assert.Null(plan.Nozzle!.Name);
        Assert.Contains(plan.Findings, one => one is { Code: "heat.nozzle-not-listed", Verdict: Verdict.Unknown });
    }

    [Fact]
    public void A_limit_that_cannot_be_kept_blocks_and_remedies_say_what_would_help()
    {
        // U7 may not pass 60 °C with the parts as they are; taken off, it does not count.
        LumpedModels models = new()
        {
            LimitsOf = job =>
                job.Host.Parts.Single(part => part.Ref == "U7").TakenOff
                    ? [.. LumpedBoard.Limits().Where(limit => limit.Place != "U7")]
                    : LumpedBoard.Limits(neighbourC: 60),
        };
        HeatPlan plan = HeatPlanner.Plan(Request(HeatControl.Ramps, HeatTask.Place), models);
        Assert.Equal(HeatPlanState.NotPossible, plan.State);
        Assert.Contains("Not possible", plan.Answer, StringComparison.Ordinal);
        Assert.True(plan.Deciding is { Margin: < 0, Limit.Hard: true });
        // A wish that is missed by more does not decide.
        HeatFigure wish = plan.Figures.First(one => !one.Limit.Hard) with
        {
            Margin = -1000,
        };
        Assert.Equal(plan.Deciding, (plan with { Figures = [wish, .. plan.Figures] }).Deciding);
        Assert.Contains(
            plan.Findings,
            one => one is { Verdict: Verdict.Blocker, Code: "heat.limit-passed", Where: "host board, U7" }
        );
        HeatRemedy off = plan.Remedies.Single(one => one.Code == "part-off");
        Assert.True(off.Enough, off.Effect);
        Assert.Contains("no longer counts", off.Effect, StringComparison.Ordinal);
        Assert.False(plan.Remedies.Single(one => one.Code == "shield").Enough);
        Assert.Contains(plan.Remedies, one => one is { Code: "limit-confirmed", Enough: false });
        Assert.Equal(Enumerable.Range(1, plan.Remedies.Count), plan.Remedies.Select(one => one.Rank));
        Assert.Equal(plan.Remedies.OrderByDescending(one => one.Enough).ThenBy(one => one.CostMin), plan.Remedies);
    }

    [Theory]
    [InlineData(true, false, true)]
    [InlineData(false, true, true)]
    [InlineData(false, false, false)]
    public void A_model_that_fails_gives_no_settings(bool reducedThrows, bool fullThrows, bool converges)
    {
        HeatPlan plan = HeatPlanner.Plan(
            Request(HeatControl.Ramps, HeatTask.Place),
            new LumpedModels
            {
                ReducedThrows = reducedThrows,
                FullThrows = fullThrows,
                FullConverges = converges,
            }
        );
        Assert.Equal(HeatPlanState.NoAnswer, plan.State);
        Assert.Empty(plan.Stages);
        Assert.Null(plan.Schedule);
        Assert.Null(plan.Chance);
        Assert.Equal(Verdict.Blocker, plan.Findings[0].Verdict);
    }

    [Theory]
    [InlineData(260.0, null)]
    [InlineData(null, null)]
    [InlineData(201.0, Verdict.Warning)]
    [InlineData(200.0, Verdict.FixFirst)]
    public void A_body_hotter_than_the_drying_counts_on_is_said(double? plannedC, Verdict? verdict)
    {
        // Up to 200 °C the rework table of J-STD-033 asks for no board bake; SAC305 cannot be molten below it.
        HeatRequest request = Request(HeatControl.Ramps, HeatTask.Place);
        Job job = request.Job with { Wishes = request.Job.Wishes with { HottestBodyC = plannedC } };
        HeatPlan plan = HeatPlanner.Plan(request with { Job = job }, new LumpedModels());
        Assert.Equal(verdict, plan.Findings.SingleOrDefault(one => one.Code == "heat.hotter-than-planned")?.Verdict);
    }

    [Fact]
    public void An_unknown_chip_gives_no_settings()
    {
        HeatPlan plan = HeatPlanner.Plan(
            Request(HeatControl.Ramps, HeatTask.Place) with
            {
                ChipId = "nobody",
            },
            new LumpedModels()
        );
        Assert.Equal(HeatPlanState.NoAnswer, plan.State);
        Assert.Equal("heat.no-such-chip", plan.Findings[0].Code);
    }

    [Fact]
    public void A_bench_without_a_trial_run_and_a_low_chance_are_said()
    {
        LumpedModels models = new()
        {
            Assumptions =
            [
                new("film.top", "Film under the nozzle.", nameof(HeatFactors.TopFactor), 0.4, false, "t"),
                new("film.bottom", "Film below.", nameof(HeatFactors.BottomFactor), 0.4, false, "t"),
            ],
        };
        HeatRequest request = Request(HeatControl.Ramps, HeatTask.Place);
        Job job = request.Job with { Wishes = new Wishes { Heat = new HeatWishes { ChancePercent = 99 } } };
        HeatPlan plan = HeatPlanner.Plan(request with { Job = job, MostRemedies = 1 }, models);
        Assert.Contains(plan.Findings, one => one is { Code: "heat.not-calibrated", Verdict: Verdict.Warning });
        Assert.Contains(plan.Findings, one => one is { Code: "heat.chance-low", Verdict: Verdict.FixFirst });
        Assert.True(plan.Chance!.AllKeptFraction < plan.Chance.WantedFraction);
        Assert.True(plan.Chance.AllKeptFraction <= plan.Chance.AllMoltenFraction);
    }

    [Fact]
    public void The_answer_can_be_written_as_JSON_and_is_the_same_each_time()
    {
        string one = HeatPlanJson.Write(
            HeatPlanner.Plan(Request(HeatControl.Stages, HeatTask.Place), new LumpedModels())
        );
        string two = HeatPlanJson.Write(
            HeatPlanner.Plan(Request(HeatControl.Stages, HeatTask.Place), new LumpedModels())
        );
        Assert.Equal(one, two);
        using JsonDocument document = JsonDocument.Parse(one);
        Assert.Equal("planned", document.RootElement.GetProperty("state").GetString());
    }

    [Fact]
    public void A_cancelled_plan_stops()
    {
        using CancellationTokenSource source = new();
        source.Cancel();
        Assert.ThrowsAny<OperationCanceledException>(() =>
            HeatPlanner.Plan(Request(HeatControl.Ramps, HeatTask.Place), new LumpedModels(), null, source.Token)
        );
    }

    [Fact]
    public void Progress_rises_to_one()
    {
        List<double> told = [];
        HeatPlanner.Plan(Request(HeatControl.Ramps, HeatTask.Place), new LumpedModels(), new Told(told));
        Assert.Equal(told.Order(), told);
        Assert.Equal(1, told[^1]);
    }

    [Fact]
    public void Progress_falls_back_for_no_further_nozzle()
    {
        List<double> told = [];
        HeatRequest request = Request(HeatControl.Stages, HeatTask.Place);
        request = request with
        {
            Job = request.Job with { Wishes = new Wishes { Heat = new HeatWishes { ChancePercent = 99.9 } } },
        };
        HeatPlan plan = HeatPlanner.Plan(request, new LumpedModels(), new Told(told));
        Assert.Contains("Planned in full", plan.Nozzle!.Why, StringComparison.Ordinal);
        Assert.Equal(told.Order(), told);
        Assert.Equal(1, told[^1]);
    }

    private sealed class Told(List<double> told) : IProgress<PlanProgress>
    {
        public void Report(PlanProgress value) => told.Add(value.DoneFraction);
    }

    private static HeatRequest Request(HeatControl control, HeatTask task)
    {
        Board host = SampleJob.Board(SampleJob.Body("U7"));
        Chip chip = SampleJob.Chip() with { BodyLengthMm = 35, BodyWidthMm = 35 };
        Job job = SampleJob.Job(host, chip) with
        {
            Bench = new Bench
            {
                Heat = ScheduleOptimiserTests.Tools(control, null) with
                {
                    Gas = new GasTool
                    {
                        MinC = 50,
                        MaxC = 400,
                        MaxRampKPerS = 5,
                        Nozzles =
                        [
                            new Nozzle { Name = "narrow", LengthMm = 36 },
                            new Nozzle { Name = "wide", LengthMm = 45 },
                            new Nozzle { Name = "huge", LengthMm = 60 },
                        ],
                    },
                },
            },
            Wishes = new Wishes { Heat = new HeatWishes { ChancePercent = 60 } },
        };
        return new HeatRequest(job, task, "U1") { Samples = 100, Workers = 2 };
    }
}
