namespace Graftbench.Core.Facts;

/// <summary>One published figure about the board itself; its unit stands beside it because the rows differ.</summary>
/// <param name="Id">Name of the row.</param>
/// <param name="Title">What a person reads.</param>
/// <param name="LowNumber">Lower end of the range, in <paramref name="Unit"/>.</param>
/// <param name="HighNumber">Upper end of the range; equal to the lower one where the source gives one figure.</param>
/// <param name="Unit">Unit of both.</param>
/// <param name="Note">When it holds.</param>
/// <param name="Confidence">Confidence mark.</param>
/// <param name="Source">Source id.</param>
public sealed record BoardLimit(
    string Id,
    string Title,
    double LowNumber,
    double HighNumber,
    string Unit,
    string Note,
    Confidence Confidence,
    string Source
);

/// <summary>Moisture ceilings, uptake and published bakes of boards (<c>data/board-limits.csv</c>).</summary>
public static class BoardLimits
{
    private static readonly Lazy<IReadOnlyList<BoardLimit>> LazyRows = new(() =>
        CsvTable.Load("board-limits").Rows.Select(Row).ToList()
    );

    /// <summary>All rows, in file order.</summary>
    public static IReadOnlyList<BoardLimit> Rows => LazyRows.Value;

    /// <summary>The row of an id.</summary>
    /// <exception cref="InvalidOperationException">No row has that id.</exception>
    public static BoardLimit Of(string id) => Rows.Single(row => row.Id == id);

    private static BoardLimit Row(CsvRow row) =>
        new(
            row["id"],
            row["title"],
            row.Number("low"),
            row.Number("high"),
            row["unit"],
            row["note"],
            row.Confidence,
            row["source"]
        );
}
