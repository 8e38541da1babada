namespace Graftbench.Core.Facts;

/// <summary>A film, share, lag, emissivity or default size of the heat model.</summary>
/// <param name="Id">Short name.</param>
/// <param name="Title">What a person reads.</param>
/// <param name="Value">Its value, in <paramref name="Unit"/>.</param>
/// <param name="Unit">Unit; empty for a pure number.</param>
/// <param name="Low">Lower end of what was seen or is thought possible; null where none is stated.</param>
/// <param name="High">Upper end.</param>
/// <param name="LogSd">Standard deviation of the value's natural logarithm while nothing was measured.</param>
/// <param name="MeasuredLogSd">The same where the bench gives the value from a trial run.</param>
/// <param name="Factor">Name of the uncertain factor that carries it; null where none does.</param>
/// <param name="Note">When it holds.</param>
/// <param name="Confidence">Confidence mark.</param>
/// <param name="Source">Source id.</param>
public sealed record HeatInput(
    string Id,
    string Title,
    double Value,
    string Unit,
    double? Low,
    double? High,
    double LogSd,
    double MeasuredLogSd,
    string? Factor,
    string Note,
    Confidence Confidence,
    string Source
);

/// <summary>Films, shares, lags, emissivities and default sizes of the heat model (<c>data/heat-films.csv</c>).</summary>
public static class HeatFilms
{
    private static readonly Lazy<Dictionary<string, HeatInput>> LazyInputs = new(() =>
        CsvTable.Load("heat-films").Rows.Select(Input).ToDictionary(one => one.Id, StringComparer.Ordinal)
    );

    /// <summary>All rows, in file order.</summary>
    public static IReadOnlyCollection<HeatInput> All => LazyInputs.Value.Values;

    /// <summary>The row of an id.</summary>
    /// <exception cref="KeyNotFoundException">No such row.</exception>
    public static HeatInput Of(string id) => LazyInputs.Value[id];

    private static HeatInput Input(CsvRow row) =>
        new(
            row["id"],
            row["title"],
            row.Number("value"),
            row["unit"],
            row.NumberOrNull("low"),
            row.NumberOrNull("high"),
            row.NumberOrNull("logSd") ?? 0,
            row.NumberOrNull("measuredLogSd") ?? 0,
            row["factor"].Length == 0 ? null : row["factor"],
            row["note"],
            row.Confidence,
            row["source"]
        );
}
