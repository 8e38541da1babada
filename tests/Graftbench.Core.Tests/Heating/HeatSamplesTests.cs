using Graftbench.Core.Heating;
using Graftbench.Core.Numerics;
using Graftbench.Core.Physics.Heat;

namespace Graftbench.Core.Tests.Heating;

public class HeatSamplesTests
{
    private const double RoomC = LumpedBoard.RoomC;

    // Quantiles of the normal law as any table prints them.
    [Theory]
    [InlineData(0.5, 0)]
    [InlineData(0.975, 1.959963985)]
    [InlineData(0.99, 2.326347874)]
    [InlineData(0.9999, 3.719016485)]
    [InlineData(0.01, -2.326347874)]
    [InlineData(0.84134474607, 1)]
    public void Normal_quantiles_match_the_table(double chance, double expected) =>
        Assert.Equal(expected, LatinHypercube.NormalQuantile(chance), 2e-8);

    [Fact]
    public void Samples_cover_every_slice_once_and_numbers_are_not_tied_to_each_other()
    {
        double[][] drawn = LatinHypercube.Normal(1000, 6, 7);
        for (int j = 0; j < 6; j++)
        {
            double[] column = [.. drawn.Select(row => row[j]).Order()];
            for (int k = 0; k < 1000; k++)
            {
                Assert.InRange(
                    column[k],
                    k == 0 ? -9 : LatinHypercube.NormalQuantile(k / 1000.0),
                    k == 999 ? 9 : LatinHypercube.NormalQuantile((k + 1) / 1000.0)
                );
            }
            for (int i = 0; i < j; i++)
            {
                // Four standard errors of a correlation of independent numbers.
                Assert.InRange(drawn.Average(row => row[i] * row[j]), -4 / Math.Sqrt(1000), 4 / Math.Sqrt(1000));
            }
        }
        Assert.Equal(drawn[17], LatinHypercube.Normal(1000, 6, 7)[17]);
    }

    // One lump long in gas of a constant temperature stands at it: the peak is room + (gas − room)·excess, and full melt
    // adds the structure's error in proportion to the rise. Both are normal enough for Φ.
    [Theory]
    [InlineData(240, 0.03)]
    [InlineData(228, 0.02)]
    [InlineData(222, 0.04)]
    public void The_chance_of_a_melt_is_that_of_the_normal_law(double gasC, double logSd)
    {
        HeatSamples samples = Draw(gasC, logSd, 4000);
        double rise = gasC - RoomC;
        // ln of the needed excess, and of the structure's share, both with mean 0.
        double needed = Math.Log((220 - RoomC) / rise);
        double spread = Math.Sqrt(logSd * logSd + Math.Pow(HeatSamples.StructureDeltaK / (220 - RoomC), 2));
        HeatChance chance = samples.Chance(0.9);
        Assert.Equal(1 - Phi(needed / spread), chance.AllMoltenFraction, 4 * chance.AllMoltenErrorFraction + 0.002);
        Assert.True(chance.AllMoltenErrorFraction > 0);
    }

    [Fact]
    public void None_of_all_samples_still_has_an_error() =>
        Assert.True(Draw(150, 0.01, 100).Chance(0.9) is { AllMoltenFraction: 0, AllMoltenErrorFraction: > 0 });

    [Fact]
    public void A_chance_for_each_limit_counts_the_samples_that_pass_it()
    {
        HeatSamples samples = Draw(240, 0.03, 2000);
        HeatFigure body = samples.WithChances(samples.Nominal).Single(one => one.Limit.Kind == HeatLimitKind.BodyPeak);
        // The body's limit lies 10 K above a rise of 215 K.
        double spread = Math.Sqrt(0.03 * 0.03 + Math.Pow(HeatSamples.StructureDeltaK / (220 - RoomC), 2));
        Assert.Equal(
            1 - Phi(Math.Log(225.0 / 215) / spread),
            body.PassedChanceFraction,
            4 * body.PassedChanceErrorFraction
        );
    }

    // Two normal numbers X = a + e, Y = b·a: var(X | Y + n) = σₑ² + σₐ² n²/(b²σₐ² + n²).
    [Fact]
    public void A_probe_leaves_the_doubt_that_the_normal_law_says_and_the_better_place_comes_first()
    {
        HeatSamples samples = Draw(240, 0.03, 4000);
        LumpedRunner runner = Lumps();
        IReadOnlyList<ProbeAdvice> probes = ProbePlacer.Rank(samples, Model(0.03), runner.Places);
        // The nominal run is molten (220 °C) from 8 s on: 25 + 215(1 − e^(−8/3)).
        double rise = 215 * (1 - Math.Exp(-8.0 / 3));
        double own = HeatSamples.StructureDeltaK * rise / (220 - RoomC);
        double shared = rise * 0.03;
        Assert.Equal(Math.Sqrt(own * own + shared * shared), probes[0].WithoutDeltaK, 0.35);
        Assert.Equal("beside", probes[0].Place);
        double reading = shared * 0.8;
        double left = Math.Sqrt(own * own + shared * shared / (reading * reading + 1));
        Assert.Equal(left, probes[0].UncertaintyDeltaK, 0.3);
        Assert.Equal("cold", probes[^1].Place);
        Assert.Equal(probes[^1].WithoutDeltaK, probes[^1].UncertaintyDeltaK, 0.2);
        Assert.Equal(-0.2 * rise, probes[0].OffsetDeltaK, 1.5);
        Assert.Contains("5 mm off the chip's left side, at mid-side", probes[0].Where, StringComparison.Ordinal);
    }

    [Fact]
    public void What_moves_the_answer_is_the_size_of_the_rise_times_the_spread()
    {
        BoardHeatModel model = Model(0.03);
        HeatSensitivity one = Assert.Single(
            Sensitivity.Of(Lumps(), model, Constant(240), new ParallelOptions { MaxDegreeOfParallelism = 2 })
        );
        Assert.Equal(215 * Math.Sinh(0.03), one.ColdestJointDeltaK, 1e-3);
        Assert.Equal("excess.gas", one.Code);
    }

    private static HeatSamples Draw(double gasC, double logSd, int count) =>
        HeatSamples.Of(
            Lumps(),
            Model(logSd),
            Constant(gasC),
            100,
            [
                LumpedBoard.Limit(HeatLimitKind.ColdestJointPeak, 230, 5),
                LumpedBoard.Limit(HeatLimitKind.BodyPeak, 250, 5),
            ],
            count,
            new ParallelOptions { MaxDegreeOfParallelism = 2 }
        );

    private static HeatSchedule Constant(double gasC) => new([new(0, gasC)], [new(0, RoomC)], 60);

    private static BoardHeatModel Model(double logSd) =>
        LumpedModels.Model(
            [],
            new RectMm(80, 120, 55, 95),
            [],
            [
                new("excess.gas", "Gas over the room.", nameof(HeatFactors.GasExcessFactor), logSd, false, "t"),
                new("joint.alloy", "Balls of SAC305.", null, 0, true, "t"),
            ]
        );

    // Fast lumps: after 60 s all stand still. The place beside takes 0.8 of the gas, the cold one nothing.
    private static LumpedRunner Lumps() =>
        new(
            [
                new(new("joint 1,1", HeatPlaceKind.Joint, "U1", 100, 75, 0.2), 3, 1, 0, 0),
                new(new("body top", HeatPlaceKind.BodyTop, "U1", 100, 75, 2), 3, 1, 0, 0),
                new(new("beside", HeatPlaceKind.Probe, null, 77.5, 75, 0), 3, 0.8, 0, 0.2),
                new(new("cold", HeatPlaceKind.Probe, null, 5, 5, 0), 3, 0, 0, 1),
            ],
            [],
            RoomC,
            0,
            0
        );

    // Abramowitz and Stegun 26.2.17, error below 7.5e-8.
    private static double Phi(double x)
    {
        double t = 1 / (1 + 0.2316419 * Math.Abs(x));
        double tail =
            Math.Exp(-x * x / 2)
            / Math.Sqrt(2 * Math.PI)
            * t
            * (0.319381530 + t * (-0.356563782 + t * (1.781477937 + t * (-1.821255978 + t * 1.330274429))));
        return x >= 0 ? 1 - tail : tail;
    }
}
