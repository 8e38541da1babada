using CsCheck;
using Graftbench.Core.Heating;
using Graftbench.Core.Jobs;
using Graftbench.Core.Physics.Heat;

namespace Graftbench.Core.Tests.Heating;

public class ScheduleOptimiserTests
{
    private const double RoomC = LumpedBoard.RoomC;

    // One lump, one held stage: T = room + (gas − room)(1 − e^(−d/τ)). Joint and clock pull against each other, hotter gas
    // helps both: at the optimum the gas is at its highest and (T(d) − 230)/5 = (limit − d)/15, one equation for d.
    [Theory]
    [InlineData(30, 300, 60)]
    [InlineData(60, 350, 70)]
    [InlineData(100, 300, 160)]
    public void A_single_held_stage_takes_the_hottest_gas_and_the_time_of_equal_margins(
        double tauS,
        double gasMaxC,
        double limitS
    )
    {
        HeatLimit[] limits =
        [
            LumpedBoard.Limit(HeatLimitKind.ColdestJointPeak, 230, 5),
            LumpedBoard.Limit(HeatLimitKind.HeatingTime, limitS, 15),
        ];
        double expectedS = Root(
            d => (RoomC + (gasMaxC - RoomC) * (1 - Math.Exp(-d / tauS)) - 230) / 5 - (limitS - d) / 15,
            1,
            limitS * 2
        );
        double expected = (limitS - expectedS) / 15;
        Assert.True(expected < ScheduleOptimiser.MarginCap, $"the test's own margin {expected}");
        ScheduleAnswer answer = Solve(LumpedBoard.OneNode(tauS), OneStage(gasMaxC), limits);
        Assert.Equal(expected >= 0, answer.Possible);
        Assert.Equal(gasMaxC, answer.Values[1], 1.0);
        Assert.Equal(expectedS, answer.Values[0], 1.0);
    }

    // The rise over the first 10 s caps the gas: (gas − room)(1 − e^(−10/τ))/10; three limits in balance, two settings.
    [Theory]
    [InlineData(40, 6, 70)]
    [InlineData(80, 3.6, 110)]
    [InlineData(80, 3.6, 106)]
    public void Rise_time_and_peak_in_balance_set_gas_and_time(double tauS, double riseKPerS, double limitS)
    {
        HeatLimit[] limits =
        [
            LumpedBoard.Limit(HeatLimitKind.ColdestJointPeak, 230, 5),
            LumpedBoard.Limit(HeatLimitKind.HottestJointPeak, 260, 5),
            LumpedBoard.Limit(HeatLimitKind.BodyRise, riseKPerS, 0.5),
            LumpedBoard.Limit(HeatLimitKind.HeatingTime, limitS, 15),
        ];
        double margin = Root(r => 230 + 5 * r - Peak(r), -3, 3);
        Assert.True(margin >= 0, $"the test's own margin {margin}");
        ScheduleAnswer answer = Solve(LumpedBoard.OneNode(tauS), OneStage(450), limits);
        Assert.True(answer.Possible, Spell(answer));
        Assert.Equal(Gas(margin), answer.Values[1], 2.0);
        Assert.Equal(limitS - 15 * margin, answer.Values[0], 1.5);

        double Gas(double r) => RoomC + 10 * (riseKPerS - 0.5 * r) / (1 - Math.Exp(-10 / tauS));
        double Peak(double r) => RoomC + (Gas(r) - RoomC) * (1 - Math.Exp(-(limitS - 15 * r) / tauS));
    }

    [Theory]
    [InlineData(HeatControl.Ramps, null)]
    [InlineData(HeatControl.Stages, 5)]
    [InlineData(HeatControl.Stages, 4)]
    [InlineData(HeatControl.Knobs, null)]
    public void A_chip_on_a_board_gets_settings_that_keep_every_limit(HeatControl control, int? stages)
    {
        LumpedRunner runner = LumpedBoard.Chip();
        ScheduleAnswer answer = Solve(runner, Tools(control, stages), LumpedBoard.Limits());
        Assert.True(answer.Possible, Spell(answer));
        Assert.All(
            answer.Figures.Zip(LumpedBoard.Limits()),
            pair => Assert.True(RunFigures.Margin(pair.Second, pair.First) > 0, Spell(answer))
        );
        Assert.InRange(runner.Runs, 1, 800);
    }

    [Fact]
    public void The_same_input_gives_the_same_bits()
    {
        ScheduleAnswer one = Solve(LumpedBoard.Chip(), Tools(HeatControl.Ramps, null), LumpedBoard.Limits());
        ScheduleAnswer two = Solve(LumpedBoard.Chip(), Tools(HeatControl.Ramps, null), LumpedBoard.Limits());
        Assert.Equal(one.Values, two.Values);
        Assert.Equal(one.Figures, two.Figures);
    }

    [Fact]
    public void Settings_found_are_no_worse_than_any_random_neighbour_by_more_than_rounding()
    {
        LumpedRunner runner = LumpedBoard.Chip();
        IReadOnlyList<HeatLimit> limits = LumpedBoard.Limits();
        HeatTools tools = Tools(HeatControl.Ramps, null);
        BenchSettings bench = BenchSettings.Of(tools, HeatTask.Place, RoomC, 220);
        ScheduleAnswer answer = Solve(runner, tools, limits);
        double best = Smallest(answer.Values);
        Gen.Double[-1, 1]
            .Array[answer.Values.Length]
            .Sample(
                moves =>
                {
                    double[] moved = new double[moves.Length];
                    for (int j = 0; j < moved.Length; j++)
                    {
                        Setting one = bench.Settings[j];
                        moved[j] = Math.Clamp(
                            answer.Values[j] + moves[j] * 0.06 * (one.High - one.Low),
                            one.Low,
                            one.High
                        );
                    }
                    double[] sides = new double[bench.SideCount];
                    bench.Sides(moved, sides);
                    return sides.Min() < 0 || Smallest(moved) < best + 0.05;
                },
                iter: 300,
                threads: 1
            );

        double Smallest(double[] values)
        {
            double[] figures = new double[limits.Count];
            HeatTrace trace = runner.Run(bench.Schedule(values, ScheduleOptimiser.CoolingS), HeatFactors.Nominal);
            new RunFigures(runner.Places, limits, 220).Compute(trace, bench.HeatingS(values), false, figures);
            return figures.Select((figure, i) => RunFigures.Margin(limits[i], figure) / limits[i].Scale).Min();
        }
    }

    [Fact]
    public void A_body_that_stands_less_than_its_joints_need_is_named_as_what_blocks()
    {
        IReadOnlyList<HeatLimit> limits = LumpedBoard.Limits(bodyC: 215);
        ScheduleAnswer answer = Solve(LumpedBoard.Chip(), Tools(HeatControl.Ramps, null), limits);
        Assert.False(answer.Possible);
        Assert.Contains(answer.Blocking, limit => limit.Kind == HeatLimitKind.BodyPeak);
        Assert.Contains(
            answer.Blocking,
            limit => limit.Kind is HeatLimitKind.ColdestJointPeak or HeatLimitKind.MoltenTimeLeast
        );
        Assert.True(answer.Converged);
    }

    [Fact]
    public void A_model_that_gives_no_numbers_gives_no_plan()
    {
        ScheduleAnswer answer = Solve(new BrokenRunner(), Tools(HeatControl.Ramps, null), LumpedBoard.Limits());
        Assert.False(answer.Converged);
        Assert.False(answer.Possible);
    }

    [Fact]
    public void A_cancelled_search_stops()
    {
        using CancellationTokenSource source = new();
        source.Cancel();
        Assert.ThrowsAny<OperationCanceledException>(() =>
            Solve(LumpedBoard.Chip(), Tools(HeatControl.Ramps, null), LumpedBoard.Limits(), source.Token)
        );
    }

    internal static HeatTools Tools(HeatControl control, int? stages) =>
        new()
        {
            Control = control,
            MaxStages = stages,
            Gas = new GasTool { MinC = 50, MaxC = 400 },
            Preheater = new BottomHeater { MinC = 50, MaxC = 260 },
        };

    // Root of a rising function by halving.
    private static double Root(Func<double, double> rising, double low, double high)
    {
        for (int i = 0; i < 60; i++)
        {
            double middle = (low + high) / 2;
            (low, high) = rising(middle) < 0 ? (middle, high) : (low, middle);
        }
        return (low + high) / 2;
    }

    private static HeatTools OneStage(double gasMaxC) =>
        new()
        {
            Control = HeatControl.Stages,
            MaxStages = 1,
            Gas = new GasTool { MinC = 50, MaxC = gasMaxC },
        };

    private static ScheduleAnswer Solve(
        IHeatRunner runner,
        HeatTools tools,
        IReadOnlyList<HeatLimit> limits,
        CancellationToken cancel = default
    ) =>
        new ScheduleOptimiser(
            runner,
            BenchSettings.Of(tools, HeatTask.Place, RoomC, 220),
            limits,
            220,
            2,
            cancel
        ).Solve(400);

    private static string Spell(ScheduleAnswer answer) =>
        $"{string.Join(", ", answer.Values.Select(v => $"{v:0.#}"))} -> {string.Join(", ", answer.Figures.Select(v => $"{v:0.##}"))} in {answer.Runs} runs";

    private sealed class BrokenRunner : IHeatRunner
    {
        public IReadOnlyList<HeatPlace> Places { get; } = LumpedBoard.Chip().Places;

        public HeatTrace Run(HeatSchedule schedule, HeatFactors factors) =>
            new(1, [.. Places.Select(_ => Enumerable.Repeat(double.NaN, 100).ToArray())]);
    }
}
