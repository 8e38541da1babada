using Graftbench.Core.Calibrating;
using Graftbench.Core.Heating;
using Graftbench.Core.Jobs;
using Graftbench.Core.Physics.Heat;
using Graftbench.Core.Tests.Heating;
using Graftbench.Core.Watching;

namespace Graftbench.Core.Tests.Calibrating;

/// <summary>An invented bench with one nozzle, its scrap board, and trials that the simulated bench ran on it.</summary>
internal static class CalibrationBench
{
    public static DateTimeOffset Then { get; } = new(2026, 3, 2, 14, 0, 0, TimeSpan.Zero);

    public static Job Job { get; } = Nozzled(HeatJob.Job());

    public static HeatSchedule Set { get; } = TrialPlan.Proposed(22, 400, 300);

    public static BenchTruth Truth { get; } =
        new()
        {
            Factors = new HeatFactors
            {
                TopFactor = 1.22,
                SpillFactor = 1.15,
                BottomFactor = 0.85,
                AmbientFactor = 1.15,
                GasExcessFactor = 0.99,
                BoardConductivityFactor = 0.9,
            },
            Seed = 5,
        };

    private static readonly Lazy<(WatchModel Watch, SimulatedHeat Heat)> Run = new(() =>
    {
        WatchSetup setup = new(
            Calibrator.ModelOf(new CalibrationRequest(Job, HeatTask.Place, "G1", [], [], null, Then), Nozzle, 100),
            Probes!
        );
        return (WatchModel.Build(setup, rough: true), SimulatedBench.Run(setup, Set, Truth, rough: true));
    });

    private static readonly Lazy<CalibrationResult> Fitted = new(() =>
        Calibrator.Calibrate(Request, null, TestContext.Current.CancellationToken)
    );

    public static Nozzle Nozzle => Job.Bench.Heat.Gas.Nozzles[0];

    public static IReadOnlyList<WatchProbe> Probes { get; } =
    [Probe("board", 178, 70, 0), Probe("top", 205, 70, 2.55 + 0.2), Probe("far", 30, 170, 0)];

    public static WatchModel Watch => Run.Value.Watch;

    public static SimulatedHeat Heat => Run.Value.Heat;

    public static CalibrationRequest Request =>
        new(Job, HeatTask.Place, "G1", Probes, Heat.Readings, Set, Then)
        {
            AlignmentChecked = true,
            FlowPercent = 100,
            Rough = true,
        };

    public static CalibrationResult Result => Fitted.Value;

    public static Job Nozzled(Job job) =>
        job with
        {
            Bench = job.Bench with
            {
                Name = "Left bench",
                Heat = job.Bench.Heat with
                {
                    Gas = job.Bench.Heat.Gas with { Nozzles = [new Nozzle { Name = "45 square", LengthMm = 45 }] },
                },
            },
        };

    public static WatchProbe Probe(string channel, double xMm, double yMm, double zMm) =>
        new(channel, new HeatPlace(channel, HeatPlaceKind.Probe, null, xMm, yMm, zMm));
}
