using System.Diagnostics;
using System.Globalization;
using System.Runtime.CompilerServices;
using Graftbench.Core.Heating;
using Graftbench.Core.Jobs;
using Graftbench.Core.Watching;

namespace Graftbench.Bench;

/// <summary>
/// Closed-loop trials of the heat watch on the demo job, and what a second of watching costs.
/// <c>dotnet run -c Release --project bench/Graftbench.Bench -- watch [trials]</c>
/// </summary>
internal static class WatchFigures
{
    private const ulong Seed = 20261126;

    /// <summary>Prints the tables.</summary>
    /// <param name="count">Number of trials.</param>
    public static void Print(int count)
    {
        HeatPlan plan = Plan();
        BoardHeatModel model = plan.Model!;
        WatchProbe Probe(string channel, string place) => new(channel, model.Places.First(one => one.Name == place));
        WatchProbe board = Probe("board", "left of the chip");
        WatchProbe other = Probe("other side", "right of the chip");
        WatchProbe top = Probe("top", "body top");
        WatchProbe under = Probe("underside", "underside");
        IReadOnlyList<WatchProbe>[] sets =
        [
            [board],
            [top],
            [board, under],
            [board, top],
            [board, other, top, under],
        ];
        HeatSchedule schedule = plan.Schedule!;
        double heatingS = plan.Moments.First(one => one.Name == HeatMoments.SwitchOff).TimeS;
        Say($"demo job, {model.Places.Count} places, plan heats for {heatingS:0} s");
        Cost(model, schedule, [board, other, top, under]);
        Stopwatch clock = Stopwatch.StartNew();
        IReadOnlyList<WatchTrial> trials = WatchTrials.Run(
            model,
            schedule,
            heatingS,
            sets,
            count,
            Seed,
            rough: false,
            new Dots()
        );
        Say($"");
        Say($"{count} trials in {clock.Elapsed.TotalSeconds:0} s");
        Say(
            $"| trials | n | error: median, 95 % K | at the melt: median, 95 % K | naive at the melt K | band holds | lift early | naive early | no lift | delay: median, 95 % s |"
        );
        Say($"| --- | --- | --- | --- | --- | --- | --- | --- | --- | --- |");
        Line("all", trials, model.MoltenC);
        Line("alignment checked", [.. trials.Where(one => one.AlignmentChecked)], model.MoltenC);
        Line("not checked", [.. trials.Where(one => !one.AlignmentChecked)], model.MoltenC);
        foreach (IGrouping<string, WatchTrial> group in trials.GroupBy(one => one.Channels))
        {
            Line(group.Key, [.. group], model.MoltenC);
        }
        Say($"");
        foreach (WatchTrial none in trials.Where(one => one.LiftS is null))
        {
            Say($"no lift, {none.Channels}: {none.TrustAtEnd}. {string.Join(" ", none.Reasons)}");
        }
    }

    private static void Line(string name, IReadOnlyList<WatchTrial> trials, double moltenC)
    {
        double[] errors = [.. trials.SelectMany(one => one.ErrorsDeltaK).Select(Math.Abs).Order()];
        double[] atMelt = [.. trials.Select(one => one.AtMeltDeltaK).OfType<double>().Select(Math.Abs).Order()];
        double[] naive = [.. trials.Select(one => one.NaiveAtMeltDeltaK).OfType<double>().Order()];
        double[] delays =
        [
            .. trials
                .Where(one => one is { LiftS: not null, MoltenS: not null } && !one.TooEarly(moltenC))
                .Select(one => one.LiftS!.Value - one.MoltenS!.Value)
                .Order(),
        ];
        int early = trials.Count(one => one.TooEarly(moltenC));
        int naiveEarly = trials.Count(one => one.NaiveS is double n && !(one.MoltenS <= n));
        int none = trials.Count(one => one.LiftS is null);
        int cold = trials.Count(one => one.LiftS is null && one.MoltenS is null);
        int doubted = trials.Count(one =>
            one is { LiftS: null, MoltenS: not null, TrustAtEnd: not WatchTrust.Trusted }
        );
        double held = trials.Average(one => one.HeldFraction);
        Say(
            $"| {name} | {trials.Count} | {At(errors, 0.5):0.0}, {At(errors, 0.95):0.0} | {At(atMelt, 0.5):0.0}, {At(atMelt, 0.95):0.0} | {At(naive, 0.05):0} to {At(naive, 0.95):0} | {100 * held:0.0} % | {early} | {naiveEarly} | {none}: {cold} never molten, {doubted} not trusted | {At(delays, 0.5):0}, {At(delays, 0.95):0} |"
        );
    }

    private static double At(double[] sorted, double share) =>
        sorted.Length == 0 ? double.NaN : sorted[(int)Math.Round(share * (sorted.Length - 1))];

    // A long run at one reading a second and probe: time by step, and what the process holds after it.
    private static void Cost(BoardHeatModel model, HeatSchedule schedule, IReadOnlyList<WatchProbe> probes)
    {
        Stopwatch clock = Stopwatch.StartNew();
        WatchModel watch = WatchModel.Build(new WatchSetup(model, probes) { Plan = schedule });
        Say($"reduced model for the watch built in {clock.Elapsed.TotalSeconds:0.0} s");
        const int Steps = 20_000;
        LiveEstimator estimator = new(watch);
        HeatWatch whole = new(watch, new WatchGoals(HeatTask.Lift, 5));
        double[] times = new double[Steps];
        double[] wholes = new double[2000];
        long early = 0;
        for (int k = 1; k <= Steps; k++)
        {
            double read = 25 + 205 * (1 - Math.Exp(-k / 150.0));
            long from = Stopwatch.GetTimestamp();
            foreach (WatchProbe probe in probes)
            {
                estimator.Add(new ProbeReading(k, probe.Channel, read));
            }
            estimator.AdvanceTo(k);
            times[k - 1] = Stopwatch.GetElapsedTime(from).TotalMilliseconds;
            if (k <= wholes.Length)
            {
                from = Stopwatch.GetTimestamp();
                foreach (WatchProbe probe in probes)
                {
                    whole.Add(new ProbeReading(k, probe.Channel, read));
                }
                whole.AdvanceTo(k);
                wholes[k - 1] = Stopwatch.GetElapsedTime(from).TotalMilliseconds;
            }
            if (k == 3000)
            {
                early = GC.GetTotalMemory(forceFullCollection: true);
            }
        }
        long late = GC.GetTotalMemory(forceFullCollection: true);
        GC.KeepAlive(estimator);
        Array.Sort(times);
        Array.Sort(wholes);
        Say($"estimator, {probes.Count} probes: step {At(times, 0.5):0.00} ms, 99 % {At(times, 0.99):0.00} ms");
        Say($"with look ahead, faults and cue: {At(wholes, 0.5):0.00} ms, 99 % {At(wholes, 0.99):0.00} ms");
        Say($"held after 3,000 steps {early / 1e6:0.00} MB, after {Steps:N0} steps {late / 1e6:0.00} MB");
    }

    private static HeatPlan Plan()
    {
        string path = Path.Combine(Folder(), "../../demo/arcade-graphics-chip.json");
        Job job =
            JobReader.Read(File.ReadAllBytes(path), DateTimeOffset.UtcNow).Job
            ?? throw new InvalidOperationException($"{path} does not read as a job.");
        HeatPlan plan = HeatPlanner.Plan(
            new HeatRequest(job, HeatTask.Place, "GFX") { MostRemedies = 0, Samples = 200 },
            new HeatModels(),
            null,
            CancellationToken.None
        );
        return plan is { Schedule: not null, Model: not null }
            ? plan
            : throw new InvalidOperationException("The demo job has no plan.");
    }

    private static void Say(FormattableString text) => Console.WriteLine(text.ToString(CultureInfo.InvariantCulture));

    private static string Folder([CallerFilePath] string file = "") => Path.GetDirectoryName(file)!;

    private sealed class Dots : IProgress<int>
    {
        public void Report(int value)
        {
            if (value % 10 == 0)
            {
                Console.Error.Write('.');
            }
        }
    }
}
