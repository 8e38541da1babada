using Graftbench.Core.Jobs;

namespace Graftbench.Core.Facts;

/// <summary>One row of the table of part kinds: what one source says about a kind.</summary>
/// <param name="Kind">The kind.</param>
/// <param name="Title">What a person reads.</param>
/// <param name="MoistureSensitive">Whether it takes up moisture that soldering heat can burst.</param>
/// <param name="BakeLimitC">Hottest long bake [°C]; null where no figure was found, which is not the same as no limit.</param>
/// <param name="TakeOffBeforeDrying">
/// Yes: before any drying. No: only where the dryer is hotter than the limit. Unknown (<c>ask</c> in the table): nothing is
/// published, so the technician decides.
/// </param>
/// <param name="Why">Reason, one sentence.</param>
/// <param name="Confidence">Confidence mark.</param>
/// <param name="Source">Source id.</param>
public sealed record PartKindRow(
    PartKind Kind,
    string Title,
    YesNo MoistureSensitive,
    double? BakeLimitC,
    YesNo TakeOffBeforeDrying,
    string Why,
    Confidence Confidence,
    string Source
);

/// <summary>What holds for a kind of part: the most cautious of its rows.</summary>
/// <param name="Kind">The kind.</param>
/// <param name="Title">What a person reads: the title of its first row.</param>
/// <param name="MoistureSensitive">Whether it takes up moisture that soldering heat can burst.</param>
/// <param name="BakeLimitC">Hottest long bake [°C]: the lowest of the rows; null where none has a figure.</param>
/// <param name="TakeOffBeforeDrying">Yes where one row says so, else unknown where one row asks, else no.</param>
/// <param name="Deciding">The row that decides; its reason, confidence and source go with the answer.</param>
/// <param name="Rows">All rows of the kind, in file order, the deciding one included.</param>
public sealed record PartKindFacts(
    PartKind Kind,
    string Title,
    YesNo MoistureSensitive,
    double? BakeLimitC,
    YesNo TakeOffBeforeDrying,
    PartKindRow Deciding,
    IReadOnlyList<PartKindRow> Rows
);

/// <summary>Who takes up moisture and who cannot stand the dryer (<c>data/part-kinds.csv</c>).</summary>
public static class PartKinds
{
    private static readonly Lazy<IReadOnlyList<PartKindRow>> LazyRows = new(() =>
        CsvTable.Load("part-kinds").Rows.Select(Row).ToList()
    );

    private static readonly Lazy<Dictionary<PartKind, PartKindFacts>> LazyFacts = new(() =>
        LazyRows.Value.GroupBy(row => row.Kind).ToDictionary(group => group.Key, group => Combine([.. group]))
    );

    /// <summary>All rows, in file order.</summary>
    public static IReadOnlyList<PartKindRow> Rows => LazyRows.Value;

    /// <summary>What holds for a kind.</summary>
    public static PartKindFacts Of(PartKind kind) => LazyFacts.Value[kind];

    private static PartKindRow Row(CsvRow row) =>
        new(
            FactNames<PartKind>.Parse(row, "kind"),
            row["title"],
            FactNames<YesNo>.Parse(row, "moistureSensitive"),
            row.NumberOrNull("bakeLimitC"),
            row["takeOffBeforeDrying"] == "ask" ? YesNo.Unknown : FactNames<YesNo>.Parse(row, "takeOffBeforeDrying"),
            row["why"],
            row.Confidence,
            row["source"]
        );

    private static PartKindFacts Combine(List<PartKindRow> rows)
    {
        PartKindRow deciding = rows.OrderBy(row => row.BakeLimitC ?? double.PositiveInfinity).First();
        return new PartKindFacts(
            deciding.Kind,
            rows[0].Title,
            MostCautious(rows.Select(row => row.MoistureSensitive)),
            deciding.BakeLimitC,
            MostCautious(rows.Select(row => row.TakeOffBeforeDrying)),
            deciding,
            rows
        );
    }

    private static YesNo MostCautious(IEnumerable<YesNo> answers)
    {
        List<YesNo> all = [.. answers];
        if (all.Contains(YesNo.Yes))
        {
            return YesNo.Yes;
        }
        return all.Contains(YesNo.Unknown) ? YesNo.Unknown : YesNo.No;
    }
}
