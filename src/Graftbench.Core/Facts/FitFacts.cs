namespace Graftbench.Core.Facts;

/// <summary>A limit of the fit sheet.</summary>
/// <param name="Title">What a person reads.</param>
/// <param name="Value">The limit, in <paramref name="Unit"/>.</param>
/// <param name="Unit">Its unit.</param>
/// <param name="Confidence">Confidence mark.</param>
/// <param name="Source">Source id.</param>
internal sealed record FitLimit(string Title, double Value, string Unit, Confidence Confidence, string Source);

/// <summary>Limits of the fit sheet (<c>data/fit-limits.csv</c>).</summary>
internal static class FitFacts
{
    private static readonly Lazy<Dictionary<string, FitLimit>> LazyLimits = new(() =>
        CsvTable
            .Load("fit-limits")
            .Rows.ToDictionary(
                row => row["name"],
                row => new FitLimit(row["title"], row.Number("value"), row["unit"], row.Confidence, row["source"]),
                StringComparer.Ordinal
            )
    );

    /// <summary>A limit by its name.</summary>
    public static FitLimit Limit(string name) => LazyLimits.Value[name];
}
