using System.Collections.Concurrent;
using Graftbench.Core.Physics.Heat;

namespace Graftbench.Core.Tests.Physics.Heat;

/// <summary>
/// The reduced model against the full one that it was made from, on schedules and factors that it has not seen. Both are
/// ours, so these bounds say how much the reduction loses and nothing about the board.
/// </summary>
public sealed class ReducedModelTests
{
    private const int Runs = 6;
    private const double StepS = 1;

    private static readonly HeatMesh Mesh = HeatMesh.Plan.Scaled(1.5);

    private static readonly ConcurrentDictionary<(string, bool), Lazy<(HeatCase Heat, ReducedModel Model)>> Models =
        new();

    [Theory, InlineData(HeatCases.Neighbours), InlineData(HeatCases.Misaligned)]
    public void Films_off_by_a_third_cost_little(string name)
    {
        (double joints, _, _) = Worst(name, melts: false, conductivities: false);
        Assert.True(joints < Pinned.FilmsJointDeltaK, $"{joints}");
    }

    [Theory, InlineData(HeatCases.Neighbours), InlineData(HeatCases.Misaligned)]
    public void Melting_and_other_conductivities_still_give_peaks_and_melt_times(string name)
    {
        (double joints, double peaks, double melts) = Worst(name, melts: true, conductivities: true);
        Assert.True(joints < Pinned.AllJointDeltaK, $"{joints}");
        Assert.True(peaks < 0.4, $"{peaks}");
        Assert.True(melts < 5, $"{melts}");
    }

    /// <summary>
    /// What was seen (0.16 and 2.6 K), with a little room: pins, no evidence. The second is a joint on the melting or the
    /// freezing front, where a tile of the layer stands for a fifth of the chip: it lasts for seconds.
    /// </summary>
    private static class Pinned
    {
        public const double FilmsJointDeltaK = 0.2;
        public const double AllJointDeltaK = 3.5;
    }

    [Fact]
    public void The_same_input_gives_the_same_bits_alone_and_beside_others()
    {
        (HeatCase heat, ReducedModel model) = Model(HeatCases.Misaligned, melts: true);
        double[][][] alone = [.. Enumerable.Range(0, 8).Select(r => Run(model, heat, r))];
        double[][][] beside = new double[32][][];
        Parallel.For(0, beside.Length, r => beside[r] = Run(model, heat, r % 8));
        for (int r = 0; r < beside.Length; r++)
        {
            Assert.Equal(alone[r % 8], beside[r]);
        }
        (HeatCase again, ReducedModel second) = Build(HeatCases.Misaligned, melts: true);
        Assert.Equal(alone[3], Run(second, again, 3));
    }

    [Fact]
    public void A_room_that_is_the_start_leaves_everything_at_rest()
    {
        (HeatCase heat, ReducedModel model) = Model(HeatCases.Neighbours, melts: true);
        double[][] curves = model.Run(
            [
                HeatCases.Steady(HeatSignals.Gas, heat.StartC),
                HeatCases.Steady(HeatSignals.Preheater, heat.StartC),
                HeatCases.Steady(HeatSignals.Room, heat.StartC),
            ],
            100,
            HeatFactors.Nominal
        );
        // Radiation is interpolated, so that it balances at rest to some hundredths of a kelvin.
        double apart = curves.Max(curve => curve.Max(value => Math.Abs(value - heat.StartC)));
        Assert.True(apart < 0.1, $"{apart}");
    }

    private static double[][] Run(ReducedModel model, HeatCase heat, int seed)
    {
        (HeatCase driven, HeatFactors factors) = Drawn(heat, seed, conductivities: true);
        return model.Run(driven.Signals, driven.DurationS, factors);
    }

    private static (double JointDeltaK, double PeakDeltaK, double MeltDeltaS) Worst(
        string name,
        bool melts,
        bool conductivities
    )
    {
        (HeatCase heat, ReducedModel model) = Model(name, melts);
        (double joints, double peaks, double times) = (0, 0, 0);
        int molten = 0;
        for (int seed = 0; seed < Runs; seed++)
        {
            (HeatCase driven, HeatFactors factors) = Drawn(heat, seed, conductivities);
            FullRun full = HeatCases.Run(driven, Mesh with { StepS = StepS }, factors);
            double[][] reduced = model.Run(driven.Signals, driven.DurationS, factors);
            Assert.True(full.Converged);
            for (int p = 0; p < heat.Probes.Count; p++)
            {
                if (!heat.Probes[p].Name.StartsWith("J_", StringComparison.Ordinal))
                {
                    continue;
                }
                double[] a = full.ProbesC[p];
                double[] b = reduced[p];
                joints = Math.Max(joints, a.Zip(b, (x, y) => Math.Abs(x - y)).Max());
                // A peak that stalls between solidus and liquidus says how much has melted, and is no peak yet.
                if (!melts || a.Max() is < 217 or > 220.5)
                {
                    peaks = Math.Max(peaks, Math.Abs(a.Max() - b.Max()));
                }
                molten += a.Max() > 220 ? 1 : 0;
                double? slow = HeatCases.ReachedS(a, StepS, 220);
                double? quick = HeatCases.ReachedS(b, StepS, 220);
                // A joint whose peak just touches 220 °C may reach it in one of them only.
                if (slow is { } s && quick is { } q)
                {
                    times = Math.Max(times, Math.Abs(s - q));
                }
                else if (slow is not null || quick is not null)
                {
                    Assert.InRange(Math.Max(a.Max(), b.Max()), 220, 220.4);
                }
            }
        }
        TestContext.Current.SendDiagnosticMessage(
            FormattableString.Invariant(
                $"{name}, melts {melts}: {model.States} states, joints {joints:0.000} K, peaks {peaks:0.000} K, melt {times:0.00} s, {molten} joints molten"
            )
        );
        Assert.True(molten >= 20, $"only {molten} joints melted");
        return (joints, peaks, times);
    }

    // Eight points each for gas and bottom heater; factors to either side by up to 30 %, conductivities by 25 %.
    private static (HeatCase Driven, HeatFactors Factors) Drawn(HeatCase heat, int seed, bool conductivities)
    {
        Random random = new(1000 + seed);
        double Between(double low, double high) => low + (high - low) * random.NextDouble();
        const double DurationS = 420;
        List<SignalPoint> gas = [new(0, 25)];
        List<SignalPoint> preheater = [new(0, 25)];
        for (int p = 1; p <= 7; p++)
        {
            // Climbing on the whole, hot enough that joints melt near the end, then falling.
            double time = DurationS * p / 7;
            gas.Add(new SignalPoint(time, p == 7 ? 60 : Between(0.8, 1) * (120 + 52 * p)));
            preheater.Add(new SignalPoint(time, p == 7 ? 100 : Between(0.75, 1) * Math.Min(250, 110 + 35 * p)));
        }
        HeatFactors factors = new()
        {
            TopFactor = Between(0.7, 1.3),
            SpillFactor = Between(0.7, 1.3),
            BottomFactor = Between(0.7, 1.3),
            AmbientFactor = Between(0.7, 1.3),
            BoardConductivityFactor = conductivities ? Between(0.75, 1.25) : 1,
            SubstrateConductivityFactor = conductivities ? Between(0.75, 1.25) : 1,
        };
        HeatCase driven = heat with
        {
            DurationS = DurationS,
            Signals =
            [
                new HeatSignal(HeatSignals.Gas, gas, 8),
                new HeatSignal(HeatSignals.Preheater, preheater, 25),
                HeatCases.Steady(HeatSignals.Room, heat.StartC),
            ],
        };
        return (driven, factors);
    }

    private static (HeatCase Heat, ReducedModel Model) Model(string name, bool melts) =>
        Models.GetOrAdd((name, melts), _ => new(() => Build(name, melts))).Value;

    private static (HeatCase Heat, ReducedModel Model) Build(string name, bool melts)
    {
        HeatCase heat = HeatCases.Planned(name, melts);
        ReducedModel? model = ReducedBuilder.Build(
            heat,
            Mesh,
            new ReducedLevels(300, 220),
            [.. heat.Probes.Select(p => (p.XMm, p.YMm, p.ZMm))],
            StepS,
            null,
            CancellationToken.None
        );
        return (heat, model ?? throw new InvalidOperationException("a test run did not converge."));
    }
}
