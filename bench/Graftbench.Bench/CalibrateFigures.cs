using System.Diagnostics;
using System.Globalization;
using System.Runtime.CompilerServices;
using Graftbench.Core.Calibrating;
using Graftbench.Core.Heating;
using Graftbench.Core.Jobs;
using Graftbench.Core.Physics.Heat;
using Graftbench.Core.Watching;

namespace Graftbench.Bench;

/// <summary>
/// Closed-loop trials of the calibration on the demo job's board, and what one calibration costs.
/// <c>dotnet run -c Release --project bench/Graftbench.Bench -- calibrate [trials]</c>
/// </summary>
internal static class CalibrateFigures
{
    private const ulong Seed = 20261126;

    /// <summary>Prints the tables.</summary>
    /// <param name="count">Number of trials with a centred nozzle; a quarter of it with one that is off.</param>
    public static void Print(int count)
    {
        string path = Path.Combine(Folder(), "../../demo/arcade-graphics-chip.json");
        Job job = JobReader.Read(File.ReadAllBytes(path), DateTimeOffset.UtcNow).Job!;
        HeatSchedule fresh = new(
            [new(0, 25), new(60, 60), new(150, 170), new(260, 300), new(360, 300), new(360, 25)],
            [new(0, 25), new(90, 150), new(200, 190), new(360, 190), new(360, 25)],
            420
        );
        Stopwatch clock = Stopwatch.StartNew();
        IReadOnlyList<CalibrationTrial> trials = CalibrationTrials.Run(
            job,
            HeatTask.Place,
            "GFX",
            Sets,
            fresh,
            count,
            0.5,
            Seed,
            rough: false
        );
        Say($"{count} trials in {clock.Elapsed.TotalSeconds:0} s, nozzle at most 0.5 mm off");
        Tables(trials);
        IReadOnlyList<CalibrationTrial> off = CalibrationTrials.Run(
            job,
            HeatTask.Place,
            "GFX",
            Sets,
            fresh,
            Math.Max(count / 4, 4),
            2.5,
            Seed + 5000,
            rough: false
        );
        Say($"");
        Say($"nozzle up to 2.5 mm off");
        Tables(off);
        Cost(job);
    }

    private static IReadOnlyList<IReadOnlyList<WatchProbe>> Sets(BoardHeatModel model)
    {
        WatchProbe Probe(string channel, string place) => new(channel, model.Places.First(one => one.Name == place));
        WatchProbe board = Probe("board", "left of the chip");
        WatchProbe other = Probe("other side", "right of the chip");
        WatchProbe top = Probe("top", "body top");
        WatchProbe under = Probe("underside", "underside");
        WatchProbe far = new("far", new HeatPlace("far", HeatPlaceKind.Probe, null, 15, 15, 0));
        return
        [
            [board],
            [board, top],
            [board, other, far],
            [board, top, under, far],
        ];
    }

    private static void Tables(IReadOnlyList<CalibrationTrial> trials)
    {
        Say(
            $"| probes | n | trusted | not explained | refused | residual K | peak before: mean abs, worst K | after | joints rms before K | after K | inside 2 sd | stated sd before, after K |"
        );
        Say($"| --- | --- | --- | --- | --- | --- | --- | --- | --- | --- | --- | --- |");
        Line("all", trials);
        foreach (IGrouping<string, CalibrationTrial> group in trials.GroupBy(one => one.Channels))
        {
            Line(group.Key, [.. group]);
        }
        Say($"");
        Say($"| number | n | within 1 sd | within 2 sd | prior sd | stated sd, median |");
        Say($"| --- | --- | --- | --- | --- | --- |");
        foreach (
            var factor in trials
                .Where(one => one.Result.State == CalibrationState.Trusted)
                .SelectMany(one => one.Offs.Zip(one.Result.Numbers))
                .GroupBy(one => one.Second.Factor)
        )
        {
            double[] sds = [.. factor.Select(one => one.Second.LogSdRatio).Order()];
            Say(
                $"| {factor.Key} | {factor.Count()} | {100.0 * factor.Count(one => Math.Abs(one.First.OffSds) <= 1) / factor.Count():0} % | {100.0 * factor.Count(one => Math.Abs(one.First.OffSds) <= 2) / factor.Count():0} % | {factor.First().Second.PriorLogSdRatio:0.000} | {sds[sds.Length / 2]:0.000} |"
            );
        }
        foreach (CalibrationTrial bad in trials.Where(one => one.Result.State != CalibrationState.Trusted).Take(8))
        {
            Say($"{bad.Channels}, {bad.NozzleOffMm:0.0} mm: {string.Join(" ", bad.Result.Problems)}");
        }
    }

    private static void Line(string name, IReadOnlyList<CalibrationTrial> all)
    {
        CalibrationTrial[] good = [.. all.Where(one => one.Result.State == CalibrationState.Trusted)];
        if (good.Length == 0)
        {
            Say($"| {name} | {all.Count} | 0 |");
            return;
        }
        int not = all.Count(one => one.Result.State == CalibrationState.NotExplained);
        int inside = good.Count(one => Math.Abs(one.AfterDeltaK) <= 2 * one.AfterSdDeltaK);
        Say(
            $"| {name} | {all.Count} | {good.Length} | {not} | {all.Count - good.Length - not} | {good.Average(one => one.Result.ResidualDeltaK):0.00} | {good.Average(one => Math.Abs(one.BeforeDeltaK)):0.0}, {good.Max(one => Math.Abs(one.BeforeDeltaK)):0.0} | {good.Average(one => Math.Abs(one.AfterDeltaK)):0.0}, {good.Max(one => Math.Abs(one.AfterDeltaK)):0.0} | {good.Average(one => one.BeforeRmsDeltaK):0.0} | {good.Average(one => one.AfterRmsDeltaK):0.0} | {100.0 * inside / good.Length:0} % | {good.Average(one => one.Result.Gain!.ColdestBeforeDeltaK):0.0}, {good.Average(one => one.AfterSdDeltaK):0.0} |"
        );
    }

    private static void Cost(Job job)
    {
        Nozzle nozzle = job.Bench.Heat.Gas.Nozzles[0];
        CalibrationRequest request = new(job, HeatTask.Place, "GFX", [], [], null, DateTimeOffset.UnixEpoch)
        {
            Nozzle = nozzle,
            FlowPercent = 100,
        };
        BoardHeatModel model = Calibrator.ModelOf(request, nozzle, 100);
        IReadOnlyList<WatchProbe> probes = Sets(model)[^1];
        HeatSchedule schedule = TrialPlan.Proposed(model.RoomC, null, null);
        SimulatedHeat heat = SimulatedBench.Run(new WatchSetup(model, probes), schedule, new BenchTruth());
        for (int round = 0; round < 3; round++)
        {
            double builtS = 0;
            Stopwatch clock = Stopwatch.StartNew();
            CalibrationResult result = Calibrator.Calibrate(
                request with
                {
                    Probes = probes,
                    Readings = heat.Readings,
                    SetPoints = schedule,
                },
                new Last(share => builtS = share >= 1 ? clock.Elapsed.TotalSeconds : builtS)
            );
            Say(
                $"4 probes, 10 min at 1 Hz: {clock.Elapsed.TotalSeconds:0.0} s, of that {builtS:0.0} s for the reduced model; {result.State}"
            );
        }
    }

    private static void Say(FormattableString text) => Console.WriteLine(text.ToString(CultureInfo.InvariantCulture));

    private static string Folder([CallerFilePath] string file = "") => Path.GetDirectoryName(file)!;

    private sealed class Last(Action<double> told) : IProgress<double>
    {
        public void Report(double value) => told(value);
    }
}
