using Graftbench.Core.Heating;
using Graftbench.Core.Physics.Heat;

namespace Graftbench.Core.Tests.Physics.Heat;

/// <summary>
/// The step that a live estimate goes by against the reduced model's own run, and its linearisation against differences.
/// Both sides are ours: the bounds say that the two schemes solve the same equations, nothing about a board.
/// </summary>
public sealed class LiveStepTests
{
    private const double DurationS = 420;

    private static readonly Lazy<(HeatCase Heat, ReducedModel Model)> Melting = new(() =>
    {
        HeatCase heat = HeatCases.Planned(HeatCases.Misaligned, melts: true);
        ReducedModel? model = ReducedBuilder.Build(
            heat,
            HeatMesh.Plan.Scaled(1.7),
            new ReducedLevels(300, 220),
            [.. heat.Probes.Select(p => (p.XMm, p.YMm, p.ZMm))],
            1,
            null,
            CancellationToken.None
        );
        return (heat, model ?? throw new InvalidOperationException("a test run did not converge."));
    });

    private static readonly SignalPoint[] Gas =
    [
        new(0, 25),
        new(60, 120),
        new(150, 190),
        new(240, 330),
        new(330, 420),
        new(330, 60),
        new(420, 60),
    ];

    private static readonly SignalPoint[] Preheater =
    [
        new(0, 25),
        new(60, 160),
        new(200, 220),
        new(330, 230),
        new(420, 80),
    ];

    [Fact]
    public void Its_steps_follow_the_reduced_model_through_melting_and_freezing()
    {
        (HeatCase heat, ReducedModel model) = Melting.Value;
        HeatFactors factors = new()
        {
            TopFactor = 1.15,
            BottomFactor = 1.2,
            BoardCapacityFactor = 0.95,
        };
        double[][] run = model.Run(Signals(heat), DurationS, factors);
        double[][] steps = March(model, heat, factors, 1);
        double[][] fine = March(model, heat, factors, 0.25);
        int[] joints =
        [
            .. Enumerable
                .Range(0, heat.Probes.Count)
                .Where(p => heat.Probes[p].Name.StartsWith("J_", StringComparison.Ordinal)),
        ];
        Assert.True(joints.All(p => run[p].Max() > 221), "the run does not melt its joints");
        double apart = 0;
        double ownApart = 0;
        for (int p = 0; p < run.Length; p++)
        {
            for (int k = 0; k < run[p].Length; k++)
            {
                // On the melting front a second is a kelvin: its moment is compared below. Where the gas jumps down, the
                // reduced model's own run is the rougher of the two for some seconds.
                bool front = run[p][k] is > 214 and < 223 || k is > 330 and < 352;
                apart = front ? apart : Math.Max(apart, Math.Abs(run[p][k] - steps[p][k]));
                ownApart = front ? ownApart : Math.Max(ownApart, Math.Abs(fine[p][4 * k] - steps[p][k]));
            }
        }
        double melt = joints.Max(p =>
            Math.Abs(HeatCases.ReachedS(run[p], 1, 220)!.Value - HeatCases.ReachedS(steps[p], 1, 220)!.Value)
        );
        TestContext.Current.SendDiagnosticMessage(
            FormattableString.Invariant($"apart {apart:0.000} K, own step {ownApart:0.000} K, melt {melt:0.00} s")
        );
        Assert.True(apart < 0.5, $"{apart}");
        Assert.True(ownApart < 0.5, $"{ownApart}");
        Assert.True(melt < 1.5, $"{melt}");
    }

    [Theory, InlineData(120), InlineData(290)]
    public void Its_linearisation_is_that_of_the_step(int second)
    {
        (HeatCase heat, ReducedModel model) = Melting.Value;
        LiveStep step = new(model, 1);
        HeatFactors now = new() { TopFactor = 1.1 };
        step.Use(now);
        double[] state = new double[model.States];
        double[] gain = new double[model.States];
        for (int k = 0; k < second; k++)
        {
            Assert.True(step.Step(state, gain, Drive(heat, k + LiveStep.FirstStageFraction), Drive(heat, k + 1)));
        }
        // The linearisation is of first order in the step, and some shapes die away in hundredths of a second, so a short one shows whether it is right.
        const double ShortS = 0.01;
        for (int i = 0; i < gain.Length; i++)
        {
            gain[i] *= ShortS;
        }
        LiveDrive first = Drive(heat, second + LiveStep.FirstStageFraction * ShortS);
        LiveDrive end = Drive(heat, second + ShortS);
        step = new LiveStep(model, ShortS);
        step.Use(now);
        double[] Ahead(HeatFactors factors, double gasDeltaK, int moved)
        {
            LiveStep own = new(model, ShortS);
            own.Use(factors);
            double[] from = (double[])state.Clone();
            double[] carry = (double[])gain.Clone();
            if (moved >= 0)
            {
                from[moved] += 0.01;
            }
            own.Settle(from);
            own.Step(
                from,
                carry,
                first with
                {
                    GasC = first.GasC + gasDeltaK,
                },
                end with
                {
                    GasC = end.GasC + gasDeltaK,
                }
            );
            return from;
        }
        double[] after = Ahead(now, 0, -1);
        int n = model.States;
        double[] transition = new double[n * n];
        double[][] byFactor = [new double[n], new double[n], new double[n]];
        double[] byGas = new double[n];
        double[] byPreheater = new double[n];
        step.Linearise(
            state,
            after,
            end,
            [
                now with
                {
                    TopFactor = 2 * now.TopFactor,
                    SpillFactor = 2,
                },
                now with
                {
                    BoardCapacityFactor = 2,
                },
                now with
                {
                    BoardConductivityFactor = 2,
                },
            ],
            transition,
            byFactor,
            byGas,
            byPreheater
        );
        double[] hotter = Ahead(now, 1, -1);
        double[] stronger = Ahead(
            now with
            {
                TopFactor = now.TopFactor * Math.Exp(0.01),
                SpillFactor = Math.Exp(0.01),
            },
            0,
            -1
        );
        // Shapes are orthonormal by heat capacity: lengths of states are comparable.
        Close([.. hotter.Zip(after, (a, b) => a - b)], byGas);
        Close([.. stronger.Zip(after, (a, b) => (a - b) / 0.01)], byFactor[0]);
        double[] heavier = Ahead(now with { BoardCapacityFactor = Math.Exp(0.01) }, 0, -1);
        double[] leading = Ahead(now with { BoardConductivityFactor = Math.Exp(0.01) }, 0, -1);
        Close([.. heavier.Zip(after, (a, b) => (a - b) / 0.01)], byFactor[1]);
        Close([.. leading.Zip(after, (a, b) => (a - b) / 0.01)], byFactor[2]);
        for (int moved = 0; moved < 6; moved++)
        {
            double[] other = [.. Ahead(now, 0, moved).Zip(after, (a, b) => (a - b) / 0.01)];
            Close(other, [.. Enumerable.Range(0, n).Select(i => transition[i * n + moved])]);
        }
    }

    private static void Close(double[] seen, double[] said)
    {
        double size = Math.Sqrt(seen.Sum(value => value * value));
        double apart = Math.Sqrt(seen.Zip(said, (a, b) => (a - b) * (a - b)).Sum());
        Assert.True(apart <= 0.08 * size, $"{apart} of {size}");
    }

    private static double[] Outputs(ReducedModel model, double[] state)
    {
        double[] read = new double[model.OutputCount];
        Core.Numerics.Dense.AddColumns(model.Matrices.Outputs, state, read);
        return read;
    }

    private static double[][] March(ReducedModel model, HeatCase heat, HeatFactors factors, double stepS)
    {
        LiveStep step = new(model, stepS);
        step.Use(factors);
        double[] state = new double[model.States];
        double[] gain = new double[model.States];
        int steps = (int)Math.Round(DurationS / stepS);
        double[][] read = [.. Enumerable.Range(0, model.OutputCount).Select(_ => new double[steps + 1])];
        for (int k = 0; k <= steps; k++)
        {
            double[] now = Outputs(model, state);
            for (int p = 0; p < now.Length; p++)
            {
                read[p][k] = heat.StartC + now[p];
            }
            if (k < steps)
            {
                double first = (k + LiveStep.FirstStageFraction) * stepS;
                Assert.True(step.Step(state, gain, Drive(heat, first), Drive(heat, (k + 1) * stepS)));
            }
        }
        return read;
    }

    private static LiveDrive Drive(HeatCase heat, double timeS) =>
        new(
            SetPoints.LaggedC(Gas, heat.StartC, 8, [timeS])[0],
            SetPoints.LaggedC(Preheater, heat.StartC, 25, [timeS])[0],
            heat.StartC
        );

    private static HeatSignal[] Signals(HeatCase heat) =>
        [
            new HeatSignal(HeatSignals.Gas, Gas, 8),
            new HeatSignal(HeatSignals.Preheater, Preheater, 25),
            HeatCases.Steady(HeatSignals.Room, heat.StartC),
        ];
}
