namespace Graftbench.Core.Proof;

/// <summary>Two groups of readings that are held against each other.</summary>
/// <param name="Now">The later one.</param>
/// <param name="Before">The earlier one.</param>
/// <param name="SameMeter">Whether the meter is the same, or not noted on either side.</param>
/// <param name="SamePolarity">Whether the polarity is the same, or not noted on either side.</param>
internal sealed record ReadingPair(ReadingGroup Now, ReadingGroup Before, bool SameMeter, bool SamePolarity);

/// <summary>Finds what may be compared.</summary>
internal static class ReadingPairs
{
    /// <summary>The best pair: same meter and polarity first, then most repeats; null where one side is missing.</summary>
    public static ReadingPair? Best(IEnumerable<ReadingGroup> now, IReadOnlyList<ReadingGroup> before) =>
        now.SelectMany(later =>
                before.Select(earlier => new ReadingPair(
                    later,
                    earlier,
                    SameOrBothNull(later.Meter, earlier.Meter),
                    later.Polarity == earlier.Polarity
                ))
            )
            .OrderByDescending(pair => pair.SamePolarity)
            .ThenByDescending(pair => pair.SameMeter)
            .ThenByDescending(pair => Math.Min(pair.Now.Count, pair.Before.Count))
            .FirstOrDefault();

    private static bool SameOrBothNull(string? one, string? other) =>
        one is null ? other is null : NetNames.Same(one, other);
}
