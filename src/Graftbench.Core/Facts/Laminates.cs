using Graftbench.Core.Jobs;

namespace Graftbench.Core.Facts;

/// <summary>A class of board laminate.</summary>
/// <param name="Kind">The class.</param>
/// <param name="Title">What a person reads.</param>
/// <param name="GlassTransitionMinC">Lowest glass transition of the class [°C].</param>
/// <param name="DecompositionC">Temperature of 5 % weight loss [°C]; null where no figure was found.</param>
/// <param name="T260Min">Time until it comes apart at 260 °C [min]; null where no figure was found.</param>
/// <param name="T288Min">The same at 288 °C [min].</param>
/// <param name="T300Min">The same at 300 °C [min].</param>
/// <param name="Why">Where the figures come from, one sentence.</param>
/// <param name="Confidence">Confidence mark.</param>
/// <param name="Source">Source id.</param>
public sealed record LaminateClass(
    LaminateKind Kind,
    string Title,
    double GlassTransitionMinC,
    double? DecompositionC,
    double? T260Min,
    double? T288Min,
    double? T300Min,
    string Why,
    Confidence Confidence,
    string Source
);

/// <summary>Classes of board laminate (<c>data/laminates.csv</c>).</summary>
public static class Laminates
{
    private static readonly Lazy<IReadOnlyList<LaminateClass>> LazyClasses = new(() =>
        CsvTable.Load("laminates").Rows.Select(Class).ToList()
    );

    /// <summary>All classes, in file order.</summary>
    public static IReadOnlyList<LaminateClass> Classes => LazyClasses.Value;

    /// <summary>The class of a kind.</summary>
    public static LaminateClass Of(LaminateKind kind) => Classes.Single(laminate => laminate.Kind == kind);

    private static LaminateClass Class(CsvRow row) =>
        new(
            FactNames<LaminateKind>.Parse(row, "kind"),
            row["title"],
            row.Number("glassTransitionMinC"),
            row.NumberOrNull("decompositionC"),
            row.NumberOrNull("t260Min"),
            row.NumberOrNull("t288Min"),
            row.NumberOrNull("t300Min"),
            row["why"],
            row.Confidence,
            row["source"]
        );
}
