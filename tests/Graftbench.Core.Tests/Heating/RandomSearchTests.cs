using Graftbench.Core.Facts;
using Graftbench.Core.Heating;
using Graftbench.Core.Jobs;
using Graftbench.Core.Numerics;
using Graftbench.Core.Physics.Heat;

namespace Graftbench.Core.Tests.Heating;

public class RandomSearchTests
{
    private static readonly Job Wished = HeatJob.Job(HeatJob.Part("U7", PartKind.BallGridPackage, 150, 70)) with
    {
        Wishes = new Wishes
        {
            Heat = new HeatWishes
            {
                MoltenS = 20,
                JointMarginDeltaK = 3,
                MaxHeatingS = 420,
            },
        },
    };

    private static readonly Lazy<(BoardHeatModel Model, IHeatRunner Runner)> Real = new(() =>
    {
        Nozzle nozzle = new() { Name = "square", LengthMm = 47 };
        BoardHeatModel model = BoardModelBuilder.Build(Wished, HeatTask.Place, "G1", nozzle, null);
        return (model, new RoughModels().Reduced(model, rough: true));
    });

    // An independent search: settings drawn evenly within the bench's bounds, set points sorted so that they rise, the best
    // of 400 kept; then 100 steps of random size from the settings that the planner found.
    [Theory]
    [InlineData(HeatControl.Knobs)]
    [InlineData(HeatControl.Ramps)]
    public void Settings_found_are_no_worse_than_those_of_a_random_search_on_the_real_model(HeatControl control)
    {
        Job job = Wished;
        HeatTools tools = job.Bench.Heat with { Control = control };
        (BoardHeatModel model, IHeatRunner runner) = Real.Value;
        IReadOnlyList<HeatLimit> limits = HeatLimitsOf.Of(job, HeatTask.Place, model);
        BenchSettings bench = BenchSettings.Of(tools, HeatTask.Place, model.RoomC, model.MoltenC);
        RunFigures figures = new(runner.Places, limits, model.MoltenC);
        ScheduleAnswer ours = new ScheduleOptimiser(runner, bench, limits, model.MoltenC, 2, default).Solve(400);
        double best = Worth(ours.Values);
        double[][] draws = LatinHypercube.Normal(500, bench.Settings.Count, 7);
        for (int k = 0; k < draws.Length; k++)
        {
            double[] drawn = k < 400 ? Drawn(draws[k]) : Near(draws[k], 0.05 * (1 + k % 4) / 4);
            double[] sides = new double[bench.SideCount];
            bench.Sides(drawn, sides);
            if (sides.Min() >= 0)
            {
                double worth = Worth(drawn);
                // The search also weighs the time that settings take, and stops when little is gained.
                Assert.True(worth <= best + 0.05, $"{worth:0.00} against {best:0.00} in draw {k}");
            }
        }

        // Passed limits first, the hard ones above all; then the smallest margin.
        double Worth(double[] values)
        {
            HeatTrace trace = runner.Run(bench.Schedule(values, ScheduleOptimiser.CoolingS), HeatFactors.Nominal);
            double[] there = new double[limits.Count];
            figures.Compute(trace, bench.HeatingS(values), smooth: false, there);
            double[] margins = [.. there.Select((one, i) => RunFigures.Margin(limits[i], one) / limits[i].Scale)];
            double passed = margins.Select((one, i) => Math.Min(one, 0) * (limits[i].Hard ? 30 : 2)).Sum();
            return passed + Math.Clamp(margins.Min(), 0, 3);
        }

        double[] Drawn(double[] normal)
        {
            double[] values = new double[normal.Length];
            for (int j = 0; j < values.Length; j++)
            {
                Setting one = bench.Settings[j];
                double high = one.Kind == SettingKind.Duration ? Math.Min(one.High, 200) : one.High;
                values[j] = one.Low + (high - one.Low) / (1 + Math.Exp(-1.7 * normal[j]));
            }
            foreach (SettingKind kind in (SettingKind[])[SettingKind.Gas, SettingKind.Preheater])
            {
                int[] at = [.. Enumerable.Range(0, values.Length).Where(j => bench.Settings[j].Kind == kind)];
                double[] sorted = [.. at.Select(j => values[j]).Order()];
                for (int q = 0; q < at.Length; q++)
                {
                    values[at[q]] = sorted[q];
                }
            }
            return values;
        }

        double[] Near(double[] normal, double share) =>
            bench.Within([
                .. ours.Values.Select(
                    (one, j) => one + share * normal[j] * (bench.Settings[j].High - bench.Settings[j].Low)
                ),
            ]);
    }

    [Fact]
    public void More_chance_is_not_bought_with_a_limit_or_a_goal_that_was_kept()
    {
        Job job = Wished;
        (BoardHeatModel model, IHeatRunner runner) = Real.Value;
        IReadOnlyList<HeatLimit> limits = HeatLimitsOf.Of(job, HeatTask.Place, model);
        BenchSettings bench = BenchSettings.Of(job.Bench.Heat, HeatTask.Place, model.RoomC, model.MoltenC);
        ScheduleOptimiser search = new(runner, bench, limits, model.MoltenC, 2, default);
        ScheduleAnswer first = search.Solve(200);
        Assert.True(first.Possible);
        ParallelOptions two = new() { MaxDegreeOfParallelism = 2 };
        ChanceSearch sure = new(search, bench, runner, model, limits, 0.999, two);
        (ScheduleAnswer better, HeatSamples samples) = sure.From(first, 100);
        HeatSamples before = HeatSamples.Of(
            runner,
            model,
            bench.Schedule(first.Values, ScheduleOptimiser.CoolingS),
            bench.HeatingS(first.Values),
            limits,
            100,
            two
        );
        Assert.True(samples.Chance(0).AllKeptFraction >= before.Chance(0).AllKeptFraction);
        Assert.True(better.Possible);
        for (int i = 0; i < limits.Count; i++)
        {
            if (RunFigures.Margin(limits[i], first.Figures[i]) >= 0)
            {
                Assert.True(RunFigures.Margin(limits[i], better.Figures[i]) >= -0.1 * limits[i].Scale, limits[i].Title);
            }
        }
    }

    [Theory]
    [InlineData("SAC305", "SAC305", true)]
    [InlineData("SAC305", "Sn63Pb37", false)]
    [InlineData("SAC305", null, false)]
    [InlineData("Sn63Pb37", "SAC305", false)]
    public void Bismuth_is_offered_only_where_lead_is_known_never_to_have_been(string ball, string? land, bool offered)
    {
        Job job = HeatJob.Job();
        job = job with { Materials = job.Materials with { BallAlloy = ball, LandAlloy = land } };
        BoardHeatModel model = BoardModelBuilder.Build(job, HeatTask.Place, "G1", null, null);
        Nozzle nozzle = new() { Name = "square", LengthMm = 45 };
        Assert.Equal(offered, Codes(HeatTask.Place).Contains("low-melt-alloy"));
        Assert.DoesNotContain(Codes(HeatTask.Lift), code => code is "low-melt-alloy" or "other-alloy");

        List<string> Codes(HeatTask task) =>
            [.. Remedies.Candidates(job, task, "G1", model, [nozzle], [], null, []).Select(one => one.Code)];
    }

    [Fact]
    public void A_nozzle_that_a_part_bars_is_offered_without_that_part_and_one_that_was_planned_is_not_offered_again()
    {
        Nozzle small = new() { Name = "small", LengthMm = 45 };
        Nozzle wide = new() { Name = "wide", LengthMm = 60 };
        Job job = HeatJob.Job();
        job = job with
        {
            Bench = job.Bench with
            {
                Heat = job.Bench.Heat with { Gas = job.Bench.Heat.Gas with { Nozzles = [small, wide] } },
            },
        };
        Part connector = new() { Ref = "J9", Kind = PartKind.ConnectorOther };
        job = job with { Host = job.Host with { Parts = [connector] } };
        BoardHeatModel model = BoardModelBuilder.Build(job, HeatTask.Place, "G1", small, null);
        Assert.Contains("nozzle-larger", Offered([small], []).Select(one => one.Code));
        IReadOnlyList<RemedyChange> offered = Offered([small, wide], [(wide, "J9")]);
        Assert.DoesNotContain(offered, one => one.Code == "nozzle-larger");
        RemedyChange without = offered.Single(one => one.Code == "part-off-nozzle");
        Assert.Equal((wide, true), (without.Nozzle, without.Job.Host.Parts[0].TakenOff));
        RemedyChange shielded = offered.Single(one => one.Code == "shield-nozzle");
        Assert.NotEqual(HeatShield.None, shielded.Job.Host.Parts[0].Shield);
        Assert.True(shielded.CostMin < without.CostMin);

        IReadOnlyList<RemedyChange> Offered(IReadOnlyList<Nozzle> planned, IReadOnlyList<(Nozzle, string)> barred) =>
            Remedies.Candidates(job, HeatTask.Place, "G1", model, planned, barred, null, []);
    }

    [Theory]
    [InlineData(35 + 4, 2.83)]
    [InlineData(35 + 16, 1.70)]
    [InlineData(35 + 30, 1.70)]
    public void A_nozzle_set_by_eye_costs_a_corner_joint_less_the_further_it_reaches(double edgeMm, double deltaK)
    {
        // 7 K at the coldest joint for (2; -1.5) mm off with 2 mm overhang, so 2 K for each mm in x and in y.
        Nozzle nozzle = new() { Name = "square", LengthMm = edgeMm };
        BoardHeatModel model = BoardModelBuilder.Build(HeatJob.Job(), HeatTask.Place, "G1", nozzle, null);
        Assert.Equal(deltaK, NozzleLayout.TiltDeltaK(model), 0.01);
        Assert.Contains(model.Assumptions, one => one is { Code: "nozzle.align", Measured: false });
        Assert.Equal(Confidence.CommonPractice, HeatFilms.Of("nozzle.align").Confidence);
    }
}
