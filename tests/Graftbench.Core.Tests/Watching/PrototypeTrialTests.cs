using System.Globalization;
using Graftbench.Core.Heating;
using Graftbench.Core.Numerics;
using Graftbench.Core.Physics.Heat;
using Graftbench.Core.Watching;

namespace Graftbench.Core.Tests.Watching;

/// <summary>
/// Error of the estimated coldest joint beside the figures of the prototype that the method comes from: other program, other
/// board of the same kind, nothing melts, computed beforehand and never published. Its figures are means of four repeats: rms from 60 s on / largest in the 100 s
/// before the peak [K]. So the order of error is compared, not the digits.
/// </summary>
public sealed class PrototypeTrialTests
{
    private static readonly string[][] Sets =
    [
        ["board"],
        ["top"],
        ["board", "underside"],
        ["board", "top"],
        ["board", "diagonal", "top"],
    ];

    // Truth, then the prototype rms and largest error for each set of probes, then the naive reading of board and top.
    private static readonly (string Name, BenchTruth Truth, string Prototype, int BoardOff, int TopOff)[] Rows =
    [
        ("film +20 %", Films(1.2), "1.6/3.1 0.5/1.5 2.1/3.0 1.4/2.8 0.5/1.5", -23, 34),
        ("film -20 %", Films(0.8), "2.1/3.7 1.0/2.0 0.9/1.7 1.0/2.1 0.4/1.1", -19, 30),
        (
            "film -20 %, bottom +15 %, room +20 %",
            new BenchTruth { Factors = Films(0.8).Factors with { BottomFactor = 1.15, AmbientFactor = 1.2 } },
            "1.8/3.4 1.0/2.3 1.5/2.4 1.3/2.7 0.7/1.4",
            -19,
            30
        ),
        (
            "film -20 %, board and substrate wrong, gas -3 %",
            new BenchTruth
            {
                Factors = Films(0.8).Factors with
                {
                    BoardConductivityFactor = 1.25,
                    BoardCapacityFactor = 1.08,
                    SubstrateConductivityFactor = 0.7,
                    GasExcessFactor = 0.97,
                },
            },
            "1.7/2.8 5.5/7.9 2.6/3.7 3.7/6.2 4.4/6.7",
            -15,
            34
        ),
        (
            "film +20 %, nozzle off",
            Films(1.2) with
            {
                NozzleOffXMm = 2,
                NozzleOffYMm = -1.5,
            },
            "1.7/3.9 7.7/10.9 5.9/9.1 5.2/8.4 6.1/8.7",
            -19,
            42
        ),
    ];

    [Fact]
    public void Errors_are_of_the_prototypes_order_and_the_band_holds_the_truth()
    {
        BoardHeatModel model = Bench.Model(melts: false, 2, 115, 18);
        WatchProbe[] probes = [Bench.Board5, Bench.Top, Bench.Underside, Bench.Diagonal];
        HeatSchedule schedule = Bench.Schedule(295, 220, 60);
        WatchSetup setup = new(model, probes) { Plan = schedule };
        WatchModel watch = WatchModel.Build(setup, rough: true);
        List<string> wrong = [];
        for (int r = 0; r < Rows.Length; r++)
        {
            (string name, BenchTruth truth, string prototype, int boardOff, int topOff) = Rows[r];
            Dice dice = new(7);
            BenchTruth one = truth with
            {
                Probes = [.. probes.Select(_ => new ProbeTruth { BiasDeltaK = 0.8 * dice.Normal() })],
            };
            SimulatedHeat heat = SimulatedBench.Run(setup, schedule, one, rough: true);
            (double Rms, double Largest)[] theirs = [.. prototype.Split(' ').Select(Pair)];
            for (int s = 0; s < Sets.Length; s++)
            {
                (double rms, double largest, double held) = Seen(watch, heat, Sets[s]);
                // With the right structure twice the prototype figure; where the structure is wrong the error hangs on
                // which side a probe happens to sit, so that the worst set of the row is what binds.
                bool structure = r >= 3;
                double mostRms = structure ? 1.35 * theirs.Max(two => two.Rms) : 2 * theirs[s].Rms + 0.7;
                double most = structure ? 1.35 * theirs.Max(two => two.Largest) : 2 * theirs[s].Largest + 0.7;
                string line = FormattableString.Invariant(
                    $"{name}, {string.Join("+", Sets[s])}: {rms:0.0} / {largest:0.0} K, prototype {theirs[s].Rms:0.0} / {theirs[s].Largest:0.0}; band holds {held:0.00}"
                );
                TestContext.Current.SendDiagnosticMessage(line);
                if (rms > mostRms || largest > most || held < 0.97)
                {
                    wrong.Add(line);
                }
            }
            int peak = heat.ColdestC.ToList().IndexOf(heat.ColdestC.Max());
            double Naive(int probe) =>
                heat.Readings[peak * probes.Length + probe].TemperatureC!.Value - heat.ColdestC[peak];
            // A board probe reads tens of kelvin low and one on the body's top tens high: prototype -15 to -23, +30 to +42.
            Assert.InRange(Naive(0), boardOff - 12, boardOff + 12);
            Assert.InRange(Naive(1), topOff - 15, topOff + 15);
        }
        Assert.True(wrong.Count == 0, string.Join('\n', wrong));
    }

    private static (double Rms, double Largest, double Held) Seen(
        WatchModel watch,
        SimulatedHeat heat,
        string[] channels
    )
    {
        LiveEstimator estimator = new(watch);
        foreach (WatchProbe probe in watch.Setup.Probes)
        {
            estimator.LeaveOut(probe.Channel, !channels.Contains(probe.Channel));
        }
        int peak = heat.ColdestC.ToList().IndexOf(heat.ColdestC.Max());
        (double squares, double largest, int count, int held) = (0, 0, 0, 0);
        Bench.Follow(
            estimator,
            heat,
            (now, k) =>
            {
                TemperatureBand band = now.Coldest.Band;
                double error = band.EstimateC - heat.ColdestC[k];
                if (k >= 60)
                {
                    squares += error * error;
                    count++;
                    held += heat.ColdestC[k] >= band.LowC && heat.ColdestC[k] <= band.HighC ? 1 : 0;
                }
                if (k <= peak && k > peak - 100)
                {
                    largest = Math.Max(largest, Math.Abs(error));
                }
            }
        );
        return (Math.Sqrt(squares / count), largest, (double)held / count);
    }

    private static BenchTruth Films(double factor) =>
        new()
        {
            Factors = new HeatFactors { TopFactor = factor, SpillFactor = factor },
        };

    private static (double, double) Pair(string text)
    {
        string[] two = text.Split('/');
        return (double.Parse(two[0], CultureInfo.InvariantCulture), double.Parse(two[1], CultureInfo.InvariantCulture));
    }
}
