using Graftbench.Core.Watching;

namespace Graftbench.Core.Calibrating;

/// <summary>Readings of a trial as means over a few seconds, by probe.</summary>
/// <param name="TimesS">Mean times, by probe [s].</param>
/// <param name="MeansC">Mean readings, by probe [°C].</param>
internal sealed record TrialReadings(double[][] TimesS, double[][] MeansC)
{
    /// <summary>Length of a mean [s].</summary>
    public const double MeanS = 5;

    /// <summary>Means over all probes.</summary>
    public int Count => TimesS.Sum(times => times.Length);

    /// <summary>Takes means of what is a number and lies at or after time 0.</summary>
    public static TrialReadings Of(IReadOnlyList<WatchProbe> probes, IReadOnlyList<ProbeReading> readings)
    {
        double[][] times = new double[probes.Count][];
        double[][] means = new double[probes.Count][];
        ILookup<string, ProbeReading> byChannel = readings
            .Where(one => one.TemperatureC is { } readC && double.IsFinite(readC) && one.TimeS >= 0)
            .ToLookup(one => one.Channel, StringComparer.Ordinal);
        for (int p = 0; p < probes.Count; p++)
        {
            var spans = byChannel[probes[p].Channel]
                .GroupBy(one => (int)(one.TimeS / MeanS))
                .OrderBy(group => group.Key)
                .Select(group =>
                    (TimeS: group.Average(one => one.TimeS), MeanC: group.Average(one => one.TemperatureC!.Value))
                )
                .ToList();
            times[p] = [.. spans.Select(span => span.TimeS)];
            means[p] = [.. spans.Select(span => span.MeanC)];
        }
        return new TrialReadings(times, means);
    }

    /// <summary>Only some of it.</summary>
    /// <param name="keep">Asked with probe and time.</param>
    public TrialReadings Where(Func<int, double, bool> keep)
    {
        int[][] kept =
        [
            .. TimesS.Select((times, p) => Enumerable.Range(0, times.Length).Where(i => keep(p, times[i])).ToArray()),
        ];
        return new TrialReadings(
            [.. kept.Select((rows, p) => rows.Select(i => TimesS[p][i]).ToArray())],
            [.. kept.Select((rows, p) => rows.Select(i => MeansC[p][i]).ToArray())]
        );
    }
}
