namespace Graftbench.Core.Facts;

/// <summary>A table as the reference screen shows it.</summary>
/// <param name="Id">File name in <c>data/</c> without its ending.</param>
/// <param name="Title">What the table holds.</param>
/// <param name="About">Units, revision, and what it must not be used for.</param>
/// <param name="Columns">Column heads; the last ones are confidence and source.</param>
/// <param name="Rows">Cells, one list a row, as long as <paramref name="Columns"/>.</param>
public sealed record ReferenceTable(
    string Id,
    string Title,
    string About,
    IReadOnlyList<string> Columns,
    IReadOnlyList<IReadOnlyList<string>> Rows
)
{
    /// <summary>The column heads in plain words, units after a comma.</summary>
    public IReadOnlyList<string> Headings { get; } = [.. Columns.Select(ColumnHeading.Of)];
}

/// <summary>Every table and constant in use, with its source and confidence.</summary>
public static class ReferenceShelf
{
    // How far off first, then drying, the board, the heats and the bench; sources close. A table not named here comes before the sources.
    private static readonly string[] Order =
    [
        TruthTable.Name,
        "floor-life",
        "floor-life-derating",
        "bake-table",
        "diffusion-constants",
        "part-kinds",
        "laminates",
        "board-limits",
        "heat-guidelines",
        "reflow-classes",
        "reflow-profile",
        "rework-temperatures",
        "neighbour-limits",
        "alloys",
        "heat-films",
        "heat-materials",
        "package-classes",
        "ball-lands",
        "ball-tolerances",
        "package-warpage-limits",
        "solder-amounts",
        "joint-figures",
        "void-limits",
        "joint-inspection",
        "reading-limits",
        "proof-thresholds",
        "bench-minutes",
        "cautions",
    ];

    private static readonly Lazy<IReadOnlyList<ReferenceTable>> LazyTables = new(() =>
        CsvTable
            .Names.OrderBy(Place)
            .ThenBy(name => name, StringComparer.Ordinal)
            .Select(name => Table(CsvTable.Load(name)))
            .ToList()
    );

    private static readonly Lazy<Dictionary<string, SourceRow>> LazySources = new(() =>
        CsvTable
            .Load(SourceTableName)
            .Rows.Select(row => new SourceRow(row["id"], row["title"], row["note"]))
            .ToDictionary(row => row.Id, StringComparer.Ordinal)
    );

    /// <summary>Name of the table that holds the sources themselves.</summary>
    public const string SourceTableName = "sources";

    /// <summary>All tables, in the order in which a reader would look for them; the sources come last.</summary>
    public static IReadOnlyList<ReferenceTable> Tables => LazyTables.Value;

    /// <summary>All sources, by id.</summary>
    public static IReadOnlyCollection<SourceRow> Sources => LazySources.Value.Values;

    /// <summary>Finds a source by its id.</summary>
    /// <param name="id">Id as used in tables and findings.</param>
    /// <returns>The source, or null for an unknown id.</returns>
    public static SourceRow? FindSource(string id) => LazySources.Value.GetValueOrDefault(id);

    private static int Place(string name)
    {
        if (name == SourceTableName)
        {
            return Order.Length + 1;
        }
        int place = Array.IndexOf(Order, name);
        return place < 0 ? Order.Length : place;
    }

    private static ReferenceTable Table(CsvTable table) =>
        new(
            table.Name,
            table.Title,
            ColumnHeading.InWords(table.About, table.Columns),
            table.Columns,
            table.Rows.Select(row => row.Cells).ToList()
        );
}
