using Graftbench.Core.Jobs;

namespace Graftbench.Core.Facts;

/// <summary>How many heats a chip or a board may have, or what one step spends.</summary>
/// <param name="Name"><c>chip</c>, <c>board</c>, or the step.</param>
/// <param name="Title">What a person reads.</param>
/// <param name="LowNumber">Lower end of the count.</param>
/// <param name="HighNumber">Upper end of the count.</param>
/// <param name="Note">When it holds.</param>
/// <param name="Confidence">Confidence mark.</param>
/// <param name="Source">Source id.</param>
public sealed record HeatCount(
    string Name,
    string Title,
    double LowNumber,
    double HighNumber,
    string Note,
    Confidence Confidence,
    string Source
);

/// <summary>Heats that a chip or board may have, and what each step counts (<c>data/heat-guidelines.csv</c>).</summary>
public static class HeatGuidelines
{
    private static readonly Lazy<CsvTable> LazyTable = new(() => CsvTable.Load("heat-guidelines"));

    private static readonly Lazy<Dictionary<HeatKind, HeatCount>> LazySteps = new(() =>
        LazyTable
            .Value.Rows.Where(row => row["what"] == "step")
            .ToDictionary(row => FactNames<HeatKind>.Parse(row, "name"), Count)
    );

    /// <summary>Passes that makers allow a chip.</summary>
    public static HeatCount Chip => Guideline("chip");

    /// <summary>Convection cycles that a board is usually conditioned with.</summary>
    public static HeatCount Board => Guideline("board");

    /// <summary>What a step counts.</summary>
    public static HeatCount Step(HeatKind kind) => LazySteps.Value[kind];

    // Several sources may set the same guideline: the lowest one counts.
    private static HeatCount Guideline(string name) =>
        LazyTable
            .Value.Rows.Where(row => row["what"] == "guideline" && row["name"] == name)
            .Select(Count)
            .OrderBy(count => count.LowNumber)
            .First();

    private static HeatCount Count(CsvRow row) =>
        new(
            row["name"],
            row["title"],
            row.Number("lowNumber"),
            row.Number("highNumber"),
            row["note"],
            row.Confidence,
            row["source"]
        );
}
