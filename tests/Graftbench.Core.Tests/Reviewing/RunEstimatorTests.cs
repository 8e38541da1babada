using Graftbench.Core.Heating;
using Graftbench.Core.Physics.Heat;
using Graftbench.Core.Reviewing;
using Graftbench.Core.Tests.Watching;
using Graftbench.Core.Watching;

namespace Graftbench.Core.Tests.Reviewing;

public sealed class RunEstimatorTests
{
    private static readonly HeatSchedule Plan = Bench.Schedule(335, 225, 100);

    private static readonly Lazy<WatchModel> Watch = new(() =>
        WatchModel.Build(
            new WatchSetup(Bench.Model(melts: true, 9, 90, 22), [Bench.Board5, Bench.Top]) { Plan = Plan },
            rough: true
        )
    );

    internal static RunLog LogOf(SimulatedHeat heat, IReadOnlyList<string> channels)
    {
        double[] times = [.. heat.Readings.Select(reading => reading.TimeS).Distinct()];
        return new RunLog(
            times,
            [
                .. channels.Select(channel => new RunChannel(
                    channel,
                    [
                        .. heat
                            .Readings.Where(one => one.Channel == channel)
                            .Select(one => one.TemperatureC ?? double.NaN),
                    ]
                )),
            ]
        )
        {
            Simulated = true,
        };
    }

    private static (double ForwardRms, double BackRms, double HeldFraction, double LateBand) Trial(ulong seed)
    {
        WatchModel watch = Watch.Value;
        BenchTruth truth = WatchTrials.Drawn(watch.Setup.Probes, watch.Setup.Model.Nozzle, aligned: true, seed);
        SimulatedHeat heat = SimulatedBench.Run(watch.Setup, Plan, truth, rough: true);
        List<double> forward = [];
        LiveEstimator estimator = new(watch);
        Bench.Follow(estimator, heat, (now, _) => forward.Add(now.Coldest.Band.EstimateC));
        RunEstimate estimate = RunEstimator.Of(watch, LogOf(heat, ["board", "top"]), []);
        Assert.True(estimate.Smoothed);
        int held = 0;
        double f2 = 0;
        double b2 = 0;
        int n = 0;
        for (int k = 60; k < estimate.TimesS.Count; k++)
        {
            double back = estimate.Joints.Min(joint => joint.TemperaturesC[k]);
            double low = estimate.Joints.Min(joint => joint.TemperaturesC[k] - joint.BandDeltaK[k]);
            double high = estimate.Joints.Min(joint => joint.TemperaturesC[k] + joint.BandDeltaK[k]);
            double there = heat.ColdestC[k + 1];
            f2 += (forward[k] - there) * (forward[k] - there);
            b2 += (back - there) * (back - there);
            held += there >= low && there <= high ? 1 : 0;
            n++;
        }
        return (Math.Sqrt(f2 / n), Math.Sqrt(b2 / n), held / (double)n, 0);
    }

    [Fact]
    public void Going_back_makes_the_coldest_joint_better_over_drawn_benches_and_the_band_holds_it()
    {
        var trials = Enumerable.Range(1, 10).Select(seed => Trial((ulong)(100 + seed))).ToList();
        string all = string.Join('\n', trials);
        Assert.True(trials.Average(one => one.BackRms) < trials.Average(one => one.ForwardRms), all);
        Assert.True(trials.Count(one => one.BackRms < one.ForwardRms) >= 7, all);
        Assert.True(trials.Average(one => one.HeldFraction) > 0.9, all);
    }

    [Fact]
    public void The_last_step_is_that_of_the_watch_and_no_band_is_wider_than_the_watch_had_it()
    {
        WatchModel watch = Watch.Value;
        SimulatedHeat heat = SimulatedBench.Run(watch.Setup, Plan, new BenchTruth(), rough: true);
        LiveEstimator estimator = new(watch);
        List<LiveEstimate> forward = [];
        Bench.Follow(estimator, heat, (now, _) => forward.Add(now));
        RunEstimate estimate = RunEstimator.Of(watch, LogOf(heat, ["board", "top"]), []);
        EstimatedPlace body = estimate.BodyTop!;
        int last = estimate.TimesS.Count - 1;
        Assert.Equal(forward[last].BodyTop!.Band.EstimateC, body.TemperaturesC[last], 6);
        for (int k = 30; k <= last; k++)
        {
            TemperatureBand band = forward[k].BodyTop!.Band;
            Assert.True(body.BandDeltaK[k] <= (band.HighC - band.EstimateC) * 1.15 + 0.1, $"step {k}");
        }
    }
}
