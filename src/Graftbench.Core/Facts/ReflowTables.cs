using System.Globalization;
using Graftbench.Core.Jobs;

namespace Graftbench.Core.Facts;

/// <summary>Which solder a body was classed for.</summary>
public enum SolderProcess
{
    /// <summary>Tin-lead.</summary>
    TinLead,

    /// <summary>Lead-free.</summary>
    LeadFree,
}

/// <summary>A range of a number as a table prints it: <c>&lt;1.6</c>, <c>>=2.5</c>, <c>1.6-2.5</c>, <c>1.6-&lt;2.5</c>.</summary>
/// <param name="Text">As printed.</param>
public sealed record TableRange(string Text)
{
    /// <summary>Whether a number lies in the range.</summary>
    /// <param name="number">The number, in the table's unit.</param>
    public bool Holds(double number)
    {
        int dash = Text.IndexOf('-', StringComparison.Ordinal);
        if (dash > 0)
        {
            string upper = Text[(dash + 1)..];
            return number >= At(Text[..dash]) && (upper[0] == '<' ? number < At(upper[1..]) : number <= At(upper));
        }
        return Text switch
        {
            ['<', '=', .. string rest] => number <= At(rest),
            ['>', '=', .. string rest] => number >= At(rest),
            ['<', .. string rest] => number < At(rest),
            ['>', .. string rest] => number > At(rest),
            _ => number == At(Text),
        };
    }

    private static double At(string text) => double.Parse(text, CultureInfo.InvariantCulture);
}

/// <summary>A cell of the classification tables.</summary>
/// <param name="Process">Which solder.</param>
/// <param name="Revision">Revision of J-STD-020: <c>C</c> or <c>D</c>.</param>
/// <param name="Thickness">Body thickness [mm].</param>
/// <param name="Volume">Body volume [mm³].</param>
/// <param name="ClassTemperatureC">Classification temperature [°C].</param>
/// <param name="Note">Tolerance.</param>
/// <param name="Confidence">Confidence mark.</param>
/// <param name="Source">Source id.</param>
public sealed record ReflowClassRow(
    SolderProcess Process,
    string Revision,
    TableRange Thickness,
    TableRange Volume,
    double ClassTemperatureC,
    string Note,
    Confidence Confidence,
    string Source
);

/// <summary>A limit of the profile table.</summary>
/// <param name="Item">Stable name: <c>molten-most</c>.</param>
/// <param name="Process">Which solder.</param>
/// <param name="Title">What a person reads.</param>
/// <param name="Value">The limit, in <paramref name="Unit"/>.</param>
/// <param name="Unit">Unit.</param>
/// <param name="Note">What other revisions say.</param>
/// <param name="Confidence">Confidence mark.</param>
/// <param name="Source">Source id.</param>
public sealed record ReflowProfileRow(
    string Item,
    SolderProcess Process,
    string Title,
    double Value,
    string Unit,
    string Note,
    Confidence Confidence,
    string Source
);

/// <summary>A temperature or time of a rework heat.</summary>
/// <param name="Id">Short name.</param>
/// <param name="Process">Which solder; null for any.</param>
/// <param name="Title">What a person reads.</param>
/// <param name="Low">Lower end, in <paramref name="Unit"/>; null where none is given.</param>
/// <param name="High">Upper end.</param>
/// <param name="Unit">Unit.</param>
/// <param name="Hard">Whether it must not be passed, or is only wished for.</param>
/// <param name="Note">When it holds.</param>
/// <param name="Confidence">Confidence mark.</param>
/// <param name="Source">Source id.</param>
public sealed record ReworkTemperature(
    string Id,
    SolderProcess? Process,
    string Title,
    double? Low,
    double? High,
    string Unit,
    bool Hard,
    string Note,
    Confidence Confidence,
    string Source
);

/// <summary>Classification, profile limits and rework temperatures (<c>data/reflow-*.csv</c>, <c>data/rework-temperatures.csv</c>).</summary>
public static class ReflowTables
{
    private static readonly Lazy<IReadOnlyList<ReflowClassRow>> LazyClasses = new(() =>
        CsvTable.Load("reflow-classes").Rows.Select(Class).ToList()
    );

    private static readonly Lazy<IReadOnlyList<ReflowProfileRow>> LazyProfile = new(() =>
        CsvTable.Load("reflow-profile").Rows.Select(Profile).ToList()
    );

    private static readonly Lazy<IReadOnlyList<ReworkTemperature>> LazyRework = new(() =>
        CsvTable.Load("rework-temperatures").Rows.Select(Temperature).ToList()
    );

    /// <summary>Cells of the classification tables.</summary>
    public static IReadOnlyList<ReflowClassRow> Classes => LazyClasses.Value;

    /// <summary>Rows of the profile table.</summary>
    public static IReadOnlyList<ReflowProfileRow> ProfileRows => LazyProfile.Value;

    /// <summary>Rework temperatures.</summary>
    public static IReadOnlyList<ReworkTemperature> ReworkRows => LazyRework.Value;

    /// <summary>A row of the profile table.</summary>
    /// <exception cref="InvalidOperationException">No such row.</exception>
    public static ReflowProfileRow Profiled(string item, SolderProcess process) =>
        ProfileRows.Single(row => row.Item == item && row.Process == process);

    /// <summary>A rework temperature; the row of the process goes before that of any.</summary>
    /// <exception cref="InvalidOperationException">No such row.</exception>
    public static ReworkTemperature Rework(string id, SolderProcess? process = null) =>
        ReworkRows
            .Where(row => row.Id == id && (row.Process is null || row.Process == process))
            .OrderBy(row => row.Process is null)
            .First();

    private static ReflowClassRow Class(CsvRow row) =>
        new(
            FactNames<SolderProcess>.Parse(row, "process"),
            row["revision"],
            new TableRange(row["thicknessMm"]),
            new TableRange(row["volumeMm3"]),
            row.Number("classTemperatureC"),
            row["note"],
            row.Confidence,
            row["source"]
        );

    private static ReflowProfileRow Profile(CsvRow row) =>
        new(
            row["item"],
            FactNames<SolderProcess>.Parse(row, "process"),
            row["title"],
            row.Number("value"),
            row["unit"],
            row["note"],
            row.Confidence,
            row["source"]
        );

    private static ReworkTemperature Temperature(CsvRow row) =>
        new(
            row["id"],
            row["process"] == "any" ? null : FactNames<SolderProcess>.Parse(row, "process"),
            row["title"],
            row.NumberOrNull("low"),
            row.NumberOrNull("high"),
            row["unit"],
            FactNames<YesNo>.Parse(row, "hard") == YesNo.Yes,
            row["note"],
            row.Confidence,
            row["source"]
        );
}
