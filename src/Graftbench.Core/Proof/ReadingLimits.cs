using Graftbench.Core.Facts;

namespace Graftbench.Core.Proof;

/// <summary>What a meter can have shown for a kind of reading (<c>data/reading-limits.csv</c>).</summary>
/// <param name="Kind">The kind.</param>
/// <param name="LeastNumber">Smallest value, in <paramref name="Unit"/>.</param>
/// <param name="MostNumber">Largest value, in <paramref name="Unit"/>.</param>
/// <param name="Unit">Unit of the kind: Ω, V or A.</param>
/// <param name="Title">Whose limit it is, in words.</param>
/// <param name="Source">Source id.</param>
public sealed record ReadingLimit(
    ReadingKind Kind,
    double LeastNumber,
    double MostNumber,
    string Unit,
    string Title,
    string Source
);

/// <summary>Limits of what is taken for a reading.</summary>
public static class ReadingLimits
{
    /// <summary>Coldest and hottest board that is taken [°C]: our own limit.</summary>
    public const double LeastBoardC = -40;

    /// <summary>Hottest board that is taken [°C]: our own limit.</summary>
    public const double MostBoardC = 150;

    /// <summary>Farthest place on a board that is taken [mm]: our own limit.</summary>
    public const double MostPlaceMm = 1000;

    private static readonly Lazy<Dictionary<ReadingKind, ReadingLimit>> LazyAll = new(() =>
        CsvTable
            .Load("reading-limits")
            .Rows.Select(row => new ReadingLimit(
                FactNames<ReadingKind>.Parse(row, "kind"),
                row.Number("least"),
                row.Number("most"),
                row["unit"],
                row["title"],
                row["source"]
            ))
            .ToDictionary(row => row.Kind)
    );

    /// <summary>The limit of a kind.</summary>
    public static ReadingLimit Of(ReadingKind kind) => LazyAll.Value[kind];

    /// <summary>What is wrong with a value of that kind; null where it may stand.</summary>
    /// <param name="kind">The kind.</param>
    /// <param name="number">The value in the unit of the kind.</param>
    public static string? Problem(ReadingKind kind, double number)
    {
        ReadingLimit limit = Of(kind);
        if (number >= limit.LeastNumber && number <= limit.MostNumber)
        {
            return null;
        }
        string value = double.IsFinite(number) ? ReadingText.Of(kind, number) : "no number";
        return $"{value} lies outside {ReadingText.Of(kind, limit.LeastNumber)} to {ReadingText.Of(kind, limit.MostNumber)} ({limit.Title}).";
    }
}
