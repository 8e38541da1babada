using Graftbench.Core.Heating;
using Graftbench.Core.Numerics;
using Graftbench.Core.Physics.Heat;
using Graftbench.Core.Watching;

namespace Graftbench.Core.Tests.Watching;

public sealed class ProbeFaultTests
{
    private static readonly HeatSchedule Plan = Bench.Schedule(335, 225, 60);

    private static readonly WatchProbe Twin = Bench.Probe("twin", 182.5, 71.5, 0);

    private static readonly Lazy<WatchModel> Watch = new(() =>
        WatchModel.Build(
            new WatchSetup(Bench.Model(melts: true, 9, 90, 22), [Bench.Board5, Bench.Top, Bench.Underside, Twin])
            {
                Plan = Plan,
                AlignmentChecked = true,
            },
            rough: true
        )
    );

    private static readonly Lazy<SimulatedHeat> Heat = new(() =>
        SimulatedBench.Run(
            Watch.Value.Setup,
            Plan,
            new BenchTruth
            {
                Factors = new HeatFactors
                {
                    TopFactor = 1.15,
                    SpillFactor = 1.15,
                    BottomFactor = 0.88,
                },
            },
            rough: true
        )
    );

    [Fact]
    public void Sound_probes_have_no_fault_and_the_estimate_is_near()
    {
        (List<WatchState> all, _) = Watched((_, read) => read);
        Assert.All(all, state => Assert.All(state.Probes, one => Assert.Equal(ProbeFault.None, one.Fault)));
        Assert.True(LargestErrorDeltaK(all) < 6, $"{LargestErrorDeltaK(all)}");
    }

    [Theory]
    [InlineData("board", ProbeFault.Open)]
    [InlineData("board", ProbeFault.Stuck)]
    [InlineData("board", ProbeFault.Saturated)]
    [InlineData("board", ProbeFault.Loose)]
    [InlineData("top", ProbeFault.Loose)]
    [InlineData("twin", ProbeFault.Drifting)]
    public void A_fault_is_found_left_out_and_said(string channel, ProbeFault fault)
    {
        double stuck = 0;
        (List<WatchState> all, int at) = Watched(
            (reading, read) =>
            {
                if (reading.Channel != channel || reading.TimeS < 150)
                {
                    stuck = reading.Channel == channel ? read!.Value : stuck;
                    return read;
                }
                double gone = reading.TimeS - 150;
                return fault switch
                {
                    ProbeFault.Open => null,
                    ProbeFault.Stuck => stuck,
                    ProbeFault.Saturated => 1372,
                    // It falls off: towards the room within seconds.
                    ProbeFault.Loose => 25 + (read - 25) * Math.Exp(-gone / 4),
                    _ => read + gone / 12,
                };
            },
            channel
        );
        WatchState last = all[^1];
        Assert.Equal(fault, last.Probes[at].Fault);
        Assert.InRange(last.Probes[at].SinceS, 150, 215);
        Assert.StartsWith(channel, last.Probes[at].Words, StringComparison.Ordinal);
        Assert.True(last.Estimate.Probes[at].LeftOut);
        Assert.True(LargestErrorDeltaK(all) < 9, $"{LargestErrorDeltaK(all)}");
        Assert.All(last.Probes.Where((_, p) => p != at), one => Assert.Equal(ProbeFault.None, one.Fault));
    }

    [Fact]
    public void Swapped_wires_are_found_on_the_way_up()
    {
        SimulatedHeat heat = Heat.Value;
        List<WatchState> all = Run([
            .. heat.Readings.Select(one =>
                one.Channel switch
                {
                    "board" => one with { Channel = "top" },
                    "top" => one with { Channel = "board" },
                    _ => one,
                }
            ),
        ]);
        WatchState? found = all.FirstOrDefault(state => state.Probes[0].Fault == ProbeFault.Swapped);
        Assert.NotNull(found);
        Assert.Equal(ProbeFault.Swapped, found.Probes[1].Fault);
        Assert.True(found.Estimate.TimeS < 260, $"{found.Estimate.TimeS}");
        Assert.DoesNotContain(all, state => state.Cue.Kind is CueKind.Lift or CueKind.LetSettle && Truth(state) < 220);
    }

    [Fact]
    public void A_probe_that_comes_back_counts_again()
    {
        (List<WatchState> all, int at) = Watched(
            (reading, read) => reading is { Channel: "board", TimeS: > 100 and < 140 } ? null : read,
            "board"
        );
        Assert.Equal(ProbeFault.Open, all[130].Probes[at].Fault);
        Assert.Equal(ProbeFault.None, all[170].Probes[at].Fault);
        Assert.False(all[170].Estimate.Probes[at].LeftOut);
    }

    [Fact]
    public void Readings_of_any_sort_never_throw_and_never_give_a_number_that_is_none()
    {
        Dice dice = new(99);
        HeatWatch watch = new(Watch.Value, new WatchGoals(HeatTask.Lift, 5));
        string[] channels = ["board", "top", "underside", "twin", "else"];
        double[] odd = [double.NaN, double.PositiveInfinity, -273.15, 1e300, 0, 250];
        double time = 0;
        for (int k = 0; k < 3000; k++)
        {
            time += dice.Between(-1, 1.4);
            double? read =
                dice.Uniform() < 0.2 ? null
                : dice.Uniform() < 0.3 ? odd[k % odd.Length]
                : dice.Between(-60, 700);
            watch.Add(new ProbeReading(dice.Uniform() < 0.02 ? double.NaN : time, channels[k % 5], read));
            if (k % 7 == 0)
            {
                WatchState state = watch.AdvanceTo(time);
                Assert.True(double.IsFinite(state.Estimate.Coldest.Band.EstimateC));
                Assert.True(state.Estimate.Coldest.Band.LowC <= state.Estimate.Coldest.Band.HighC);
                Assert.NotEqual(CueKind.Lift, state.Cue.Kind);
            }
        }
    }

    private static double Truth(WatchState state) => Heat.Value.ColdestC[(int)state.Estimate.TimeS];

    private static double LargestErrorDeltaK(List<WatchState> all) =>
        all.Where(state => state.Estimate.TimeS > 60)
            .Max(state => Math.Abs(state.Estimate.Coldest.Band.EstimateC - Truth(state)));

    private static (List<WatchState> All, int At) Watched(
        Func<ProbeReading, double?, double?> bent,
        string channel = "board"
    )
    {
        List<WatchState> all = Run([
            .. Heat.Value.Readings.Select(one => one with { TemperatureC = bent(one, one.TemperatureC) }),
        ]);
        return (all, Watch.Value.Setup.Probes.ToList().FindIndex(probe => probe.Channel == channel));
    }

    private static List<WatchState> Run(List<ProbeReading> readings)
    {
        HeatWatch watch = new(Watch.Value, new WatchGoals(HeatTask.Lift, 5));
        List<WatchState> all = [];
        int next = 0;
        for (int k = 1; k < Heat.Value.ColdestC.Count; k++)
        {
            while (next < readings.Count && readings[next].TimeS <= k)
            {
                watch.Add(readings[next++]);
            }
            all.Add(watch.AdvanceTo(k));
        }
        return all;
    }
}
