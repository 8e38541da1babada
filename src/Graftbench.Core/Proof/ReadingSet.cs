namespace Graftbench.Core.Proof;

/// <summary>Readings that may be averaged: one net in one state, of one kind, polarity and meter.</summary>
/// <param name="State">State.</param>
/// <param name="Net">Net, as it was first written.</param>
/// <param name="To">Net at the other end; null for ground.</param>
/// <param name="Kind">Kind.</param>
/// <param name="Polarity">Polarity; null where nobody said.</param>
/// <param name="Meter">Meter; null where nobody said.</param>
/// <param name="Readings">The readings, in the order given, at least one.</param>
public sealed record ReadingGroup(
    ReadingState State,
    string Net,
    string? To,
    ReadingKind Kind,
    ProbePolarity? Polarity,
    string? Meter,
    IReadOnlyList<Reading> Readings
)
{
    private readonly double[] numbers = [.. Readings.Select(one => one.Value.Number).OfType<double>()];

    /// <summary>How often it was measured, overload included.</summary>
    public int Count => Readings.Count;

    /// <summary>How many of them were overload.</summary>
    public int OverloadCount => Readings.Count - numbers.Length;

    /// <summary>Whether some were a number and some overload: no mean stands for both.</summary>
    public bool Mixed => numbers.Length > 0 && OverloadCount > 0;

    /// <summary>What the group says: the mean, overload where all were, null where it is mixed.</summary>
    public MeterValue? Value =>
        Mixed ? null
        : OverloadCount > 0 ? MeterValue.Overload
        : MeterValue.Of(MeanNumber!.Value);

    /// <summary>Mean of the numbers in the unit of the kind; null where there is none.</summary>
    public double? MeanNumber => numbers.Length == 0 ? null : numbers.Average();

    /// <summary>Standard deviation of the repeats in the unit of the kind; null below two numbers.</summary>
    public double? SpreadNumber => Deviation(numbers);

    /// <summary>
    /// The same on the scale on which repeats scatter alike: volts and amperes as they are, resistances by their logarithm,
    /// so that 0.02 is 2 %. Null below two numbers, or where a resistance is 0.
    /// </summary>
    public double? ScaledSpreadNumber =>
        Kind != ReadingKind.Resistance ? SpreadNumber
        : numbers.Any(number => number <= 0) ? null
        : Deviation([.. numbers.Select(number => Math.Log(number))]);

    /// <summary>Mean temperature of the board [°C]; null where any reading lacks it.</summary>
    public double? BoardC =>
        Readings.Any(one => one.BoardC is null) ? null : Readings.Average(one => one.BoardC!.Value);

    /// <summary>Fewest like junctions that a reading tells for the net; null where none does.</summary>
    public int? Junctions => Readings.Min(one => one.Junctions);

    private static double? Deviation(double[] numbers)
    {
        if (numbers.Length < 2)
        {
            return null;
        }
        double mean = numbers.Average();
        return Math.Sqrt(numbers.Sum(number => (number - mean) * (number - mean)) / (numbers.Length - 1));
    }
}

/// <summary>All readings of a job, grouped.</summary>
public sealed class ReadingSet
{
    /// <summary>Pause after which the same net measured again is a new sitting [h] (an estimate).</summary>
    public const double SittingPauseH = 1;

    private ReadingSet(IReadOnlyList<Reading> readings, int replaced)
    {
        Readings = readings;
        Replaced = replaced;
        Groups =
        [
            .. readings
                .GroupBy(one =>
                    (
                        one.State,
                        Net: NetNames.Key(one.Net),
                        To: one.To is null ? null : NetNames.Key(one.To),
                        one.Kind,
                        one.Polarity,
                        Meter: one.Meter?.Trim().ToUpperInvariant()
                    )
                )
                .Select(group => GroupOf([.. group])),
        ];
    }

    /// <summary>Readings that count, in the order given.</summary>
    public IReadOnlyList<Reading> Readings { get; }

    /// <summary>Readings that a later sitting has replaced.</summary>
    public int Replaced { get; }

    /// <summary>The groups, in the order in which they first came.</summary>
    public IReadOnlyList<ReadingGroup> Groups { get; }

    /// <summary>Takes all readings as they are.</summary>
    public static ReadingSet Of(IReadOnlyList<Reading> readings)
    {
        ArgumentNullException.ThrowIfNull(readings);
        return new ReadingSet(readings, 0);
    }

    /// <summary>
    /// Takes of each net, state, kind and polarity the newest sitting: a board that was repaired is measured anew, and what
    /// was measured before no longer holds. Readings without a time are of one sitting with all others.
    /// </summary>
    public static ReadingSet Newest(IReadOnlyList<Reading> readings)
    {
        ArgumentNullException.ThrowIfNull(readings);
        HashSet<Reading> gone = new(ReferenceEqualityComparer.Instance);
        foreach (
            IGrouping<object, Reading> group in readings.GroupBy(one =>
                (object)
                    (
                        one.State,
                        NetNames.Key(one.Net),
                        one.To is null ? null : NetNames.Key(one.To),
                        one.Kind,
                        one.Polarity
                    )
            )
        )
        {
            List<Reading> dated = [.. group.Where(one => one.At is not null).OrderBy(one => one.At)];
            for (int i = dated.Count - 1; i > 0; i--)
            {
                if ((dated[i].At!.Value - dated[i - 1].At!.Value).TotalHours > SittingPauseH)
                {
                    gone.UnionWith(dated.Take(i));
                    break;
                }
            }
        }
        return new ReadingSet([.. readings.Where(one => !gone.Contains(one))], gone.Count);
    }

    private static ReadingGroup GroupOf(List<Reading> group) =>
        new(
            group[0].State,
            group[0].Net.Trim(),
            group[0].To?.Trim(),
            group[0].Kind,
            group[0].Polarity,
            group[0].Meter,
            group
        );
}

/// <summary>Names of nets: case and blanks around them do not count.</summary>
internal static class NetNames
{
    /// <summary>What two names of one net have alike.</summary>
    public static string Key(string name) => name.Trim().ToUpperInvariant();

    /// <summary>Whether two names mean one net.</summary>
    public static bool Same(string? one, string? other) =>
        one is not null
        && other is not null
        && string.Equals(one.Trim(), other.Trim(), StringComparison.OrdinalIgnoreCase);
}
