using Graftbench.Core.Heating;
using Graftbench.Core.Physics.Heat;
using Graftbench.Core.Reviewing;
using Graftbench.Core.Tests.Watching;
using Graftbench.Core.Watching;
using Graftbench.Tests.Checks;

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

    [Fact]
    public void Each_second_is_what_the_watch_said_and_the_band_holds_the_truth_over_drawn_benches()
    {
        WatchModel watch = Watch.Value;
        double held = 0;
        double all = 0;
        for (ulong seed = 101; seed <= 106; seed++)
        {
            BenchTruth truth = WatchTrials.Drawn(watch.Setup.Probes, watch.Setup.Model.Nozzle, aligned: true, seed);
            SimulatedHeat heat = SimulatedBench.Run(watch.Setup, Plan, truth, rough: true);
            LiveEstimator estimator = new(watch);
            List<LiveEstimate> live = [];
            Bench.Follow(estimator, heat, (now, _) => live.Add(now));
            RunEstimate estimate = RunEstimator.Of(watch, LogOf(heat, ["board", "top"]), []);
            Assert.Equal(live.Count, estimate.TimesS.Count);
            Assert.Empty(estimate.LeftOut);
            for (int k = 0; k < live.Count; k++)
            {
                TemperatureBand band = live[k].Coldest.Band;
                double low = estimate.Joints.Min(joint => joint.TemperaturesC[k] - joint.BandDeltaK[k]);
                double high = estimate.Joints.Min(joint => joint.TemperaturesC[k] + joint.BandDeltaK[k]);
                Assert.Equal(band.EstimateC, estimate.Joints.Min(joint => joint.TemperaturesC[k]), 6);
                Assert.Equal(band.LowC, low, 6);
                Assert.Equal(live[k].Trust, estimate.Trust[k]);
                double there = heat.ColdestC[k + 1];
                held += k >= 60 && there >= low && there <= high ? 1 : 0;
                all += k >= 60 ? 1 : 0;
            }
        }
        Truth.Note("review.joints", all - held, (int)all);
        Assert.True(held / all > 0.9, $"held {held / all:0.000}");
    }

    [Fact]
    public void An_open_probe_is_left_out_for_its_time_and_a_jump_of_the_clock_ends_the_estimate()
    {
        WatchModel watch = Watch.Value;
        SimulatedHeat heat = SimulatedBench.Run(watch.Setup, Plan, new BenchTruth(), rough: true);
        RunLog log = LogOf(heat, ["board", "top"]);
        double[] open =
        [
            .. log.Channels[1]
                .TemperaturesC.Select((value, i) => log.TimesS[i] is > 100 and < 130 ? double.NaN : value),
        ];
        RunLog faulty = log with { Channels = [log.Channels[0], log.Channels[1] with { TemperaturesC = open }] };
        LeftOutSpan span = Assert.Single(RunEstimator.Of(watch, faulty, []).LeftOut);
        Assert.Equal(("top", ProbeFault.Open), (span.Channel, span.Fault));
        Assert.InRange(span.Span.FromS, 99, 104);
        Assert.InRange(span.Span.ToS, 129, 145);
        RunEstimate broken = RunEstimator.Of(watch, log with { BreaksS = [200.5] }, []);
        Assert.Equal(200, broken.TimesS[^1]);
        RunReview review = RunReviewer.Review(
            new ReviewRequest(log with { BreaksS = [200.5] })
            {
                Estimate = broken,
                MoltenC = 220,
                SolidusC = 217,
            }
        );
        Assert.False(review.Estimated);
        Assert.Contains("cannot tell", review.EstimateWords, StringComparison.OrdinalIgnoreCase);
    }
}
