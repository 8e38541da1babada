namespace Graftbench.Core.Facts;

/// <summary>Usual time of one step of the work.</summary>
/// <param name="Step">Name of the step.</param>
/// <param name="Title">What a person reads.</param>
/// <param name="LowMin">Shorter end [min].</param>
/// <param name="HighMin">Longer end [min].</param>
/// <param name="HandsOn">False where it runs by itself.</param>
/// <param name="Note">When it holds.</param>
/// <param name="Confidence">Confidence mark.</param>
/// <param name="Source">Source id.</param>
public sealed record BenchStep(
    string Step,
    string Title,
    double LowMin,
    double HighMin,
    bool HandsOn,
    string Note,
    Confidence Confidence,
    string Source
);

/// <summary>Usual times of the steps of the work (<c>data/bench-minutes.csv</c>).</summary>
public static class BenchMinutes
{
    private static readonly Lazy<IReadOnlyList<BenchStep>> LazySteps = new(() =>
        CsvTable.Load("bench-minutes").Rows.Select(Row).ToList()
    );

    /// <summary>All steps, in the order of the work.</summary>
    public static IReadOnlyList<BenchStep> Steps => LazySteps.Value;

    /// <summary>The step of a name.</summary>
    /// <exception cref="InvalidOperationException">No step has that name.</exception>
    public static BenchStep Of(string step) => Steps.Single(row => row.Step == step);

    private static BenchStep Row(CsvRow row) =>
        new(
            row["step"],
            row["title"],
            row.Number("lowMin"),
            row.Number("highMin"),
            row["handsOn"] == "yes",
            row["note"],
            row.Confidence,
            row["source"]
        );
}
