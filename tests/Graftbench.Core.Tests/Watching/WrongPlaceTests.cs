using Graftbench.Core.Heating;
using Graftbench.Core.Physics.Heat;
using Graftbench.Core.Watching;

namespace Graftbench.Core.Tests.Watching;

/// <summary>Probes that are not where the watch was told, and benches beyond what the trials draw.</summary>
public sealed class WrongPlaceTests
{
    private static readonly HeatSchedule Plan = Bench.Schedule(300, 215, 160);

    [Theory]
    [InlineData("on the chip", 22.5, 0, 2.55)]
    [InlineData("under the chip", 22.5, 0, -1.6)]
    [InlineData("at the chip's edge", 4.5, 0, 0)]
    [InlineData("15 mm away", -10, 0, 0)]
    [InlineData("far away", -120, 40, 0)]
    public void A_single_probe_elsewhere_gives_no_wrong_lift(string where, double offXMm, double offYMm, double zMm)
    {
        foreach (double film in new[] { 0.75, 1.0 })
        {
            BoardHeatModel model = Bench.Model(melts: true, 9, 90, 22);
            WatchModel watch = Watches.Value;
            // The truth has a probe of the same channel elsewhere.
            WatchProbe really = Bench.Probe("board", 182.5 + offXMm, 70 + offYMm, zMm);
            SimulatedHeat heat = SimulatedBench.Run(
                new WatchSetup(watch.Setup.Model, [really]),
                Plan,
                new BenchTruth
                {
                    Factors = new HeatFactors { TopFactor = film, SpillFactor = film },
                },
                rough: true
            );
            HeatWatch live = new(watch, new WatchGoals(HeatTask.Lift, 5));
            WatchState? lift = null;
            for (int k = 1; k < heat.ColdestC.Count && lift is null; k++)
            {
                live.Add(heat.Readings[k]);
                WatchState state = live.AdvanceTo(k);
                lift = state.Cue.Kind == CueKind.Lift ? state : null;
            }
            double? thereC = lift is null ? null : heat.ColdestC[(int)lift.Estimate.TimeS];
            TestContext.Current.SendDiagnosticMessage(
                FormattableString.Invariant(
                    $"{where}, film {film}: molten {heat.AllMoltenS} s, lift {lift?.Estimate.TimeS} s at {thereC:0.0}; {live.State.Estimate.Trust} top {live.State.Estimate.Factors.TopFactor:0.00} est {live.State.Estimate.Coldest.Band.EstimateC:0} true {heat.ColdestC[^1]:0} {string.Join(" ", live.State.Estimate.Reasons)}"
                )
            );
            Assert.False(thereC < model.MoltenC);
        }
    }

    private static readonly Lazy<WatchModel> Watches = new(() =>
        WatchModel.Build(
            new WatchSetup(Bench.Model(melts: true, 9, 90, 22), [Bench.Board5])
            {
                Plan = Plan,
                AlignmentChecked = true,
            },
            rough: true
        )
    );
}
