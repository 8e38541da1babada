using Graftbench.Core.Findings;
using Graftbench.Core.Heating;
using Graftbench.Core.Jobs;
using Graftbench.Core.Physics.Heat;

namespace Graftbench.Core.Tests.Heating;

/// <summary>A bench with a hot-gas tool and nothing below the board.</summary>
public class NoPreheaterTests
{
    private static readonly BottomHeater None = new() { Kind = PreheaterKind.None };

    private static Job Without(Job job) =>
        job with
        {
            Bench = job.Bench with { Heat = job.Bench.Heat with { Preheater = None } },
        };

    [Theory]
    [InlineData(HeatControl.Ramps)]
    [InlineData(HeatControl.Stages)]
    [InlineData(HeatControl.Knobs)]
    public void Nothing_below_is_set_and_the_schedule_leaves_it_at_the_room(HeatControl control)
    {
        HeatTools tools = ScheduleOptimiserTests.Tools(control, null) with { Preheater = None };
        BenchSettings bench = BenchSettings.Of(tools, HeatTask.Place, 25, 220);
        double[] start = bench.Starts()[0];
        Assert.DoesNotContain(bench.Settings, one => one.Kind == SettingKind.Preheater);
        Assert.All(bench.Schedule(start, 60).Preheater, point => Assert.Equal(25, point.TemperatureC));
        Assert.All(bench.Stages(start, 60, []), stage => Assert.Null(stage.PreheaterC));
        Assert.DoesNotContain(bench.Assumptions, one => one.Contains("bottom heater", StringComparison.Ordinal));
        double[] sides = new double[bench.SideCount];
        bench.Sides(start, sides);
        Assert.All(sides, side => Assert.True(double.IsFinite(side)));
    }

    [Fact]
    public void The_underside_gives_heat_to_the_room_alone()
    {
        BoardHeatModel model = BoardModelBuilder.Build(Without(HeatJob.Job()), HeatTask.Place, "G1", null, null);
        ModelChecks.Whole(model);
        Assert.DoesNotContain(model.Case.Films, film => film.Group == FilmGroup.Bottom);
        HeatFilm below = model.Case.Films.Single(film => film.Faces == Faces.Bottom);
        Assert.Equal(HeatSignals.Room, below.Sink.Single().Signal);
        Assert.DoesNotContain(
            model.Findings,
            one => one.Code is "heat.heater-without-limit" or "heat.heater-beside-board"
        );
        Assert.DoesNotContain(model.Assumptions, one => one.Code.Contains("preheater", StringComparison.Ordinal));
    }

    [Fact]
    public void A_large_board_is_not_melted_from_above_and_a_heater_below_is_what_helps()
    {
        HeatRequest request = new(Without(HeatJob.Job()), HeatTask.Place, "G1")
        {
            Samples = 20,
            SearchRuns = 60,
            MostRemedies = 3,
            Workers = 2,
        };
        HeatPlan plan = HeatPlanner.Plan(request, new RoughModels(4), null, TestContext.Current.CancellationToken);
        Assert.Equal(HeatPlanState.NotPossible, plan.State);
        Assert.All(plan.Stages, stage => Assert.Null(stage.PreheaterC));
        Assert.DoesNotContain(
            plan.Curves!.Curves,
            curve => curve.Name.StartsWith("preheater", StringComparison.Ordinal)
        );
        HeatRemedy below = plan.Remedies.Single(one => one.Code == "preheat");
        Assert.Contains("from below", below.What, StringComparison.Ordinal);
    }

    [Fact]
    public void A_heater_that_is_not_there_cannot_have_a_hottest_setting()
    {
        Job job = HeatJob.Job();
        Job wrong = Without(job) with
        {
            Bench = job.Bench with { Heat = job.Bench.Heat with { Preheater = None with { MaxC = 300 } } },
        };
        JobReading reading = JobReader.Read(
            JobFormat.Write(wrong),
            new DateTimeOffset(2026, 3, 10, 12, 0, 0, TimeSpan.Zero)
        );
        Assert.Contains(reading.Problems, one => one.Path == "bench.heat.preheater.kind");
    }

    [Fact]
    public void What_is_missing_is_said_at_once_and_the_answer_names_what_ends_the_attempt()
    {
        Job job = HeatJob.Job() with
        {
            Materials = new Materials(),
            Chips = [HeatJob.Chip with { XMm = null, YMm = null, BallAlloy = null }],
        };
        job = job with { Bench = job.Bench with { Heat = new HeatTools() } };
        HeatPlan plan = HeatPlanner.Plan(new HeatRequest(job, HeatTask.Place, "G1"), new HeatModels());
        Assert.Equal(HeatPlanState.NoAnswer, plan.State);
        Assert.Equal("heat.chip-without-place", plan.Model!.Lacks!.Code);
        Assert.Contains("position", plan.Answer, StringComparison.Ordinal);
        Assert.Equal(
            ["heat.alloy-unknown", "heat.chip-without-place", "heat.no-heater"],
            plan.Findings.Where(one => one.Verdict != Verdict.Ok).Select(one => one.Code).Order()
        );
    }
}
