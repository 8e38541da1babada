using CsCheck;
using Graftbench.Core.Heating;
using Graftbench.Core.Jobs;
using Graftbench.Core.Physics.Heat;

namespace Graftbench.Core.Tests.Heating;

public class BenchSettingsTests
{
    public static readonly TheoryData<HeatControl, int?, int> Benches = new()
    {
        // control, stages of the bench, numbers to choose
        { HeatControl.Ramps, null, 15 },
        { HeatControl.Stages, 3, 9 },
        { HeatControl.Stages, 12, 15 },
        { HeatControl.Stages, 1, 3 },
        { HeatControl.Knobs, null, 7 },
    };

    [Theory, MemberData(nameof(Benches))]
    public void Rounded_settings_are_on_the_bench_s_steps_and_inside_its_bounds(
        HeatControl control,
        int? stages,
        int size
    )
    {
        BenchSettings bench = Bench(control, stages);
        Assert.Equal(size, bench.Settings.Count);
        Assert.All(bench.Starts(), start => Check(bench.Rounded(start)));
        Gen.Double[0, 1]
            .Array[size]
            .Sample(
                shares =>
                    Check(
                        bench.Rounded([
                            .. bench.Settings.Select((one, i) => one.Low + shares[i] * (one.High - one.Low)),
                        ])
                    ),
                iter: 200,
                threads: 1
            );

        void Check(double[] values) =>
            Assert.All(
                values.Zip(bench.Settings),
                pair =>
                {
                    Assert.InRange(pair.First, pair.Second.Low, pair.Second.High);
                    Assert.Equal(Math.Round(pair.First / pair.Second.Step) * pair.Second.Step, pair.First, 1e-9);
                }
            );
    }

    [Theory, MemberData(nameof(Benches))]
    public void Schedules_never_run_backwards_and_end_with_heaters_at_room_temperature(
        HeatControl control,
        int? stages,
        int size
    )
    {
        BenchSettings bench = Bench(control, stages);
        foreach (double[] start in bench.Starts())
        {
            Assert.Equal(size, start.Length);
            HeatSchedule schedule = bench.Schedule(start, 90);
            Assert.Equal(bench.HeatingS(start) + 90, schedule.DurationS, 1e-9);
            foreach (
                IReadOnlyList<SignalPoint> points in (IReadOnlyList<SignalPoint>[])[schedule.Gas, schedule.Preheater]
            )
            {
                Assert.Equal(
                    points.OrderBy(point => point.TimeS).Select(point => point.TimeS),
                    points.Select(point => point.TimeS)
                );
                Assert.Equal(25, points[^1].TemperatureC);
                Assert.Equal(bench.HeatingS(start), points[^1].TimeS, 1e-9);
            }
        }
    }

    [Fact]
    public void A_held_stage_rises_no_faster_than_the_device()
    {
        BenchSettings bench = BenchSettings.Of(
            ScheduleOptimiserTests.Tools(HeatControl.Stages, 3) with
            {
                Gas = new GasTool { MaxC = 400, MaxRampKPerS = 4 },
            },
            HeatTask.Place,
            25,
            220
        );
        IReadOnlyList<SignalPoint> gas = bench.Schedule([100, 100, 100, 125, 225, 325, 100, 150, 200], 60).Gas;
        Assert.Equal(75, SetPoints.AtC(gas, 12.5), 1e-9); // 25 + 4·12.5
        Assert.Equal(125, SetPoints.AtC(gas, 25), 1e-9);
        Assert.Equal(125, SetPoints.AtC(gas, 99), 1e-9);
        Assert.Equal(225, SetPoints.AtC(gas, 125), 1e-9);
        Assert.Equal(25, SetPoints.AtC(gas, 300), 1e-9);
    }

    [Fact]
    public void A_hand_turns_each_knob_at_most_twice_and_has_20_s_between_turns()
    {
        BenchSettings bench = Bench(HeatControl.Knobs, null);
        double[] quickest = [.. bench.Settings.Select(one => one.Kind == SettingKind.Duration ? one.Low : one.High)];
        quickest[3] = bench.Settings[3].Low;
        quickest[5] = bench.Settings[5].Low;
        foreach (double[] start in bench.Starts().Append(quickest))
        {
            HeatSchedule schedule = bench.Schedule(bench.Rounded(start), 60);
            double[] turns = [.. Turns(schedule.Gas).Concat(Turns(schedule.Preheater)).Distinct().Order()];
            Assert.True(Turns(schedule.Gas).Length <= 3, "two settings and off");
            Assert.True(Turns(schedule.Preheater).Length <= 3, "two settings and off");
            Assert.All(turns.Zip(turns.Skip(1)), pair => Assert.True(pair.Second - pair.First >= 20));
        }

        static double[] Turns(IReadOnlyList<SignalPoint> points) =>
            [
                .. points
                    .Zip(points.Skip(1))
                    .Where(pair =>
                        pair.First.TimeS == pair.Second.TimeS && pair.First.TemperatureC != pair.Second.TemperatureC
                    )
                    .Select(pair => pair.First.TimeS),
            ];
    }

    // T = a + s(t − τ) + (T₀ − a + sτ)e^(−t/τ) on a line; e^(−t/τ) towards a constant.
    [Fact]
    public void A_lag_follows_lines_and_jumps_exactly()
    {
        SignalPoint[] points = [new(0, 25), new(100, 125), new(100, 60), new(200, 60)];
        double[] found = SetPoints.LaggedC(points, 25, 20, [0, 50, 100, 130]);
        double at100 = 25 + 1 * (100 - 20) + 20 * Math.Exp(-5);
        Assert.Equal(25 + (50 - 20) + 20 * Math.Exp(-2.5), found[1], 1e-9);
        Assert.Equal(at100, found[2], 1e-9);
        Assert.Equal(60 + (at100 - 60) * Math.Exp(-1.5), found[3], 1e-9);
    }

    [Theory]
    [InlineData(HeatTask.Lift, "then lift")]
    [InlineData(HeatTask.AttachBalls, "balls")]
    [InlineData(HeatTask.Place, "joints, then hold")]
    public void Each_task_has_stages_of_its_own(HeatTask task, string words)
    {
        BenchSettings bench = BenchSettings.Of(ScheduleOptimiserTests.Tools(HeatControl.Ramps, null), task, 25, 220);
        double[] start = bench.Starts()[0];
        HeatMoment molten = new(bench.HeatingS(start) - 10, HeatMoments.AllMolten, "", null);
        IReadOnlyList<HeatStage> stages = bench.Stages(start, 60, [molten]);
        Assert.Equal(6, stages.Count);
        Assert.Contains(words, stages[4].Title, StringComparison.Ordinal);
        Assert.Null(stages[5].GasC);
    }

    private static BenchSettings Bench(HeatControl control, int? stages) =>
        BenchSettings.Of(ScheduleOptimiserTests.Tools(control, stages), HeatTask.Place, 25, 220);
}
