namespace Graftbench.Core.Facts;

/// <summary>A table as the reference screen shows it.</summary>
/// <param name="Id">File name in <c>data/</c> without its ending.</param>
/// <param name="Title">What the table holds.</param>
/// <param name="About">Units, revision, and what it must not be used for.</param>
/// <param name="Columns">Column heads; the last ones are confidence and source.</param>
/// <param name="Rows">Cells, one list a row, as long as <paramref name="Columns"/>.</param>
public sealed record ReferenceTable(string Id, string Title, string About, IReadOnlyList<string> Columns, IReadOnlyList<IReadOnlyList<string>> Rows);

/// <summary>Every table and constant in use, with its source and confidence.</summary>
public static class ReferenceShelf
{
    /// <summary>All tables, in the order in which a reader would look for them.</summary>
    public static IReadOnlyList<ReferenceTable> Tables { get; } = [];

    /// <summary>Finds a source by its id.</summary>
    /// <param name="id">Id as used in tables and findings.</param>
    /// <returns>The source, or null for an unknown id.</returns>
    public static SourceRow? FindSource(string id) => null;
}
