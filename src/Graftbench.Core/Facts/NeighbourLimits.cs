using Graftbench.Core.Jobs;

namespace Graftbench.Core.Facts;

/// <summary>What one source says that a kind of part stands in a heat.</summary>
/// <param name="Kind">The kind.</param>
/// <param name="Title">What a person reads.</param>
/// <param name="PeakC">Highest peak at the body [°C]; null where no figure was found, which is not the same as no limit.</param>
/// <param name="PeakS">How long that peak may last [s]; null where the source gives no time.</param>
/// <param name="RiseKPerS">Steepest rise that the maker asks for [K/s].</param>
/// <param name="RiseMostKPerS">Steepest rise that is allowed [K/s].</param>
/// <param name="StaySolid">Whether its own joints are kept solid where the job does not say.</param>
/// <param name="Off">Whether it must be off the board before any heat.</param>
/// <param name="Note">When it holds.</param>
/// <param name="Confidence">Confidence mark.</param>
/// <param name="Source">Source id.</param>
public sealed record NeighbourLimit(
    PartKind Kind,
    string Title,
    double? PeakC,
    double? PeakS,
    double? RiseKPerS,
    double? RiseMostKPerS,
    bool StaySolid,
    bool Off,
    string Note,
    Confidence Confidence,
    string Source
);

/// <summary>What neighbours of the chip stand in a heat (<c>data/neighbour-limits.csv</c>).</summary>
public static class NeighbourLimits
{
    private static readonly Lazy<IReadOnlyList<NeighbourLimit>> LazyRows = new(() =>
        CsvTable.Load("neighbour-limits").Rows.Select(Row).ToList()
    );

    private static readonly Lazy<Dictionary<PartKind, NeighbourLimit>> LazyKinds = new(() =>
        LazyRows
            .Value.GroupBy(row => row.Kind)
            .ToDictionary(
                group => group.Key,
                group => group.OrderBy(row => row.PeakC ?? double.PositiveInfinity).First()
            )
    );

    /// <summary>All rows, in file order.</summary>
    public static IReadOnlyList<NeighbourLimit> Rows => LazyRows.Value;

    /// <summary>The row of a kind that counts: the one with the lowest peak.</summary>
    public static NeighbourLimit Of(PartKind kind) => LazyKinds.Value[kind];

    /// <summary>The row of a kind with the gentlest allowed rise; null where none has a figure.</summary>
    public static NeighbourLimit? RiseOf(PartKind kind) =>
        Rows.Where(row => row.Kind == kind && row.RiseMostKPerS is not null).MinBy(row => row.RiseMostKPerS);

    private static NeighbourLimit Row(CsvRow row) =>
        new(
            FactNames<PartKind>.Parse(row, "kind"),
            row["title"],
            row.NumberOrNull("peakC"),
            row.NumberOrNull("peakS"),
            row.NumberOrNull("riseKPerS"),
            row.NumberOrNull("riseMostKPerS"),
            FactNames<YesNo>.Parse(row, "staySolid") == YesNo.Yes,
            FactNames<YesNo>.Parse(row, "off") == YesNo.Yes,
            row["note"],
            row.Confidence,
            row["source"]
        );
}
