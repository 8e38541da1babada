using Graftbench.Core.Heating;
using Graftbench.Core.Physics.Heat;
using Graftbench.Core.Watching;
using static System.FormattableString;

namespace Graftbench.Core.Calibrating;

/// <summary>Whether a trial can be used at all; everything that speaks against it, in one go.</summary>
/// <remarks>The limits are estimates (common practice, no source).</remarks>
internal static class TrialChecks
{
    /// <summary>Shortest trial [s].</summary>
    public const double ShortestS = 180;

    /// <summary>Longest trial that is read [s].</summary>
    public const double LongestS = 3600;

    /// <summary>Least rise of the warmest probe [K].</summary>
    public const double LeastRiseDeltaK = 60;

    /// <summary>Most probes.</summary>
    public const int MostProbes = 4;

    private const double LongestGapS = 30;
    private const double RoomDeltaK = 6;
    private const double OpenFraction = 0.1;
    private const double StuckS = 30;
    private const double SameDeltaK = 0.011;
    private const double MovedDeltaK = 8;
    private const double JumpDeltaK = 20;
    private const double FastestKPerS = 8;
    private const double LeastSetDeltaK = 60;

    /// <summary>What speaks against a trial whatever its board is.</summary>
    /// <param name="request">The trial.</param>
    /// <returns>One sentence each, with value, limit and what to do.</returns>
    public static IReadOnlyList<string> Problems(CalibrationRequest request)
    {
        List<string> problems = [];
        if (request.Probes.Count is 0 or > MostProbes)
        {
            problems.Add(
                request.Probes.Count == 0
                    ? "No probe has a place: say where each probe sat, or nothing can be learned from it."
                    : Invariant($"{request.Probes.Count} probes, at most {MostProbes} are used: name the best ones.")
            );
        }
        AddSetPoints(request.SetPoints, problems);
        foreach (WatchProbe probe in request.Probes)
        {
            AddProbe(
                probe.Channel,
                [.. request.Readings.Where(one => string.Equals(one.Channel, probe.Channel, StringComparison.Ordinal))],
                problems
            );
        }
        double[] times = [.. request.Readings.Select(one => one.TimeS).Where(double.IsFinite)];
        double lastS = times.Length == 0 ? 0 : times.Max();
        if (lastS < ShortestS)
        {
            problems.Add(
                Invariant(
                    $"The run lasts {Math.Max(lastS, 0):0} s after the heaters were started, at least {ShortestS:0} s are needed (estimate): let it heat and cool for some minutes."
                )
            );
        }
        if (lastS > LongestS)
        {
            problems.Add(
                Invariant($"The run lasts {lastS:0} s, at most {LongestS:0} s are used: cut the log to the trial.")
            );
        }
        AddRise(request, problems);
        return problems;
    }

    private static void AddSetPoints(HeatSchedule? set, List<string> problems)
    {
        if (set is null || set.Gas.Count + set.Preheater.Count == 0)
        {
            problems.Add(
                "The set points are unknown: without what was set on the heaters nothing can be learned of them."
            );
            return;
        }
        bool bad = set
            .Gas.Concat(set.Preheater)
            .Any(point => !double.IsFinite(point.TimeS) || point.TemperatureC is not (>= -60 and <= 700));
        bool order =
            set.Gas.Zip(set.Gas.Skip(1), (a, b) => b.TimeS >= a.TimeS).All(one => one)
            && set.Preheater.Zip(set.Preheater.Skip(1), (a, b) => b.TimeS >= a.TimeS).All(one => one);
        if (bad || !order)
        {
            problems.Add(
                "A set point is no temperature from -60 to 700 °C, or its time lies before that of the one above it: correct the set points."
            );
            return;
        }
        double risesDeltaK = new[] { set.Gas, set.Preheater }
            .Where(points => points.Count > 0)
            .Max(points => points.Max(one => one.TemperatureC) - points.Min(one => one.TemperatureC));
        if (risesDeltaK < LeastSetDeltaK)
        {
            problems.Add(
                Invariant(
                    $"The set points rise by {risesDeltaK:0} K, at least {LeastSetDeltaK:0} K are needed (estimate): heat the trial in steps up to about the settings of a job."
                )
            );
        }
    }

    private static void AddProbe(string channel, ProbeReading[] readings, List<string> problems)
    {
        if (readings.Length == 0)
        {
            problems.Add($"Channel {channel}: the log has no reading of it; check the channel's name.");
            return;
        }
        int open = readings.Count(one => one.TemperatureC is not { } readC || !double.IsFinite(readC));
        if (open > OpenFraction * readings.Length)
        {
            problems.Add(
                Invariant(
                    $"Channel {channel}: open in {100.0 * open / readings.Length:0} % of the readings, at most {100 * OpenFraction:0} % (estimate): fix its wire and run the trial again, or leave it out."
                )
            );
        }
        ProbeReading[] sound = [.. readings.Where(one => one.TemperatureC is { } c && double.IsFinite(c))];
        double backS = 0;
        double gapS = 0;
        double gapAtS = 0;
        double jumpDeltaK = 0;
        double jumpAtS = 0;
        for (int i = 1; i < sound.Length; i++)
        {
            double stepS = sound[i].TimeS - sound[i - 1].TimeS;
            double stepDeltaK = Math.Abs(sound[i].TemperatureC!.Value - sound[i - 1].TemperatureC!.Value);
            backS = Math.Max(backS, -stepS);
            (gapS, gapAtS) = stepS > gapS ? (stepS, sound[i - 1].TimeS) : (gapS, gapAtS);
            if (stepDeltaK > Math.Max(JumpDeltaK, FastestKPerS * stepS) && stepDeltaK > jumpDeltaK)
            {
                (jumpDeltaK, jumpAtS) = (stepDeltaK, sound[i].TimeS);
            }
        }
        if (backS > 0 || gapS > LongestGapS)
        {
            problems.Add(
                backS > 0
                    ? Invariant(
                        $"Channel {channel}: the clock of the log jumps back by {backS:0.#} s; times must rise. Repair the times or run the trial again."
                    )
                    : Invariant(
                        $"Channel {channel}: no reading for {gapS:0} s after {gapAtS:0} s, at most {LongestGapS:0} s (estimate): the clock jumped or readings are missing; run the trial again."
                    )
            );
        }
        if (jumpDeltaK > 0)
        {
            problems.Add(
                Invariant(
                    $"Channel {channel}: jumps by {jumpDeltaK:0} K at {jumpAtS:0} s, more than a bead on a board can ({FastestKPerS:0} K/s, estimate): it is loose; fix it and run the trial again."
                )
            );
        }
        if (StuckFrom(sound) is { } stuckS)
        {
            problems.Add(
                Invariant(
                    $"Channel {channel}: the same number to a hundredth for more than {StuckS:0} s from {stuckS:0} s on while it must have moved: the logger or its probe is stuck; run the trial again, or leave it out."
                )
            );
        }
    }

    // Stuck only where the same probe moves fast just before or after: a board at rest may read the same for long.
    private static double? StuckFrom(ProbeReading[] sound)
    {
        int from = 0;
        for (int i = 1; i <= sound.Length; i++)
        {
            bool same =
                i < sound.Length
                && Math.Abs(sound[i].TemperatureC!.Value - sound[from].TemperatureC!.Value) <= SameDeltaK;
            if (same)
            {
                continue;
            }
            double lastS = sound[i - 1].TimeS - sound[from].TimeS;
            if (lastS > StuckS)
            {
                double fromS = sound[from].TimeS;
                double toS = sound[i - 1].TimeS;
                double heldC = sound[from].TemperatureC!.Value;
                bool moves = sound.Any(one =>
                    (one.TimeS >= fromS - StuckS && one.TimeS < fromS || one.TimeS > toS && one.TimeS <= toS + StuckS)
                    && Math.Abs(one.TemperatureC!.Value - heldC) > MovedDeltaK
                );
                if (moves || fromS == sound[0].TimeS && i == sound.Length)
                {
                    return fromS;
                }
            }
            from = i;
        }
        return null;
    }

    private static void AddRise(CalibrationRequest request, List<string> problems)
    {
        List<(string Channel, double StartC, double HottestC)> rises = [];
        foreach (WatchProbe probe in request.Probes)
        {
            ProbeReading[] sound =
            [
                .. request.Readings.Where(one =>
                    string.Equals(one.Channel, probe.Channel, StringComparison.Ordinal)
                    && one.TemperatureC is { } readC
                    && double.IsFinite(readC)
                    && one.TimeS >= 0
                ),
            ];
            if (sound.Length > 0)
            {
                double startS = sound[0].TimeS;
                double startC = sound.Where(one => one.TimeS <= startS + 3).Average(one => one.TemperatureC!.Value);
                rises.Add((probe.Channel, startC, sound.Max(one => one.TemperatureC!.Value)));
            }
        }
        if (rises.Count == 0)
        {
            return;
        }
        double riseDeltaK = rises.Max(one => one.HottestC - one.StartC);
        if (riseDeltaK < LeastRiseDeltaK)
        {
            problems.Add(
                Invariant(
                    $"The warmest probe rises by {riseDeltaK:0} K, at least {LeastRiseDeltaK:0} K are needed (estimate): heat the board further."
                )
            );
        }
        double roomC = request.Job.Bench.RoomC ?? rises.Min(one => one.StartC);
        foreach ((string channel, double startC, _) in rises.Where(one => Math.Abs(one.StartC - roomC) > RoomDeltaK))
        {
            problems.Add(
                Invariant(
                    $"Channel {channel}: reads {startC:0.#} °C at the start, the room has {roomC:0.#} °C: the board must be at room temperature within {RoomDeltaK:0} K, and time 0 must be when the heaters were switched on."
                )
            );
        }
    }
}
