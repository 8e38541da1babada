namespace Graftbench.Core.Facts;

/// <summary>The constants of the models by name, from <c>data/diffusion-constants.csv</c>. Material numbers never stand in a formula.</summary>
public static class Constants
{
    private sealed record Row(double Number, double Deviation, string Source);

    private static readonly Dictionary<string, Row> ByName = CsvTable
        .Load("diffusion-constants")
        .Rows.ToDictionary(
            row => row["name"],
            row => new Row(row.Number("value"), row.NumberOrNull("uncertainty") ?? 0, row["source"]),
            StringComparer.Ordinal
        );

    /// <summary>The number of a constant, in the unit of its row.</summary>
    /// <exception cref="KeyNotFoundException">No such constant.</exception>
    public static double Value(string name) => ByName[name].Number;

    /// <summary>One standard deviation of a constant, in the unit of its row; 0 where the source gives none.</summary>
    /// <exception cref="KeyNotFoundException">No such constant.</exception>
    public static double Deviation(string name) => ByName[name].Deviation;

    /// <summary>Source id of a constant.</summary>
    /// <exception cref="KeyNotFoundException">No such constant.</exception>
    public static string Source(string name) => ByName[name].Source;
}
