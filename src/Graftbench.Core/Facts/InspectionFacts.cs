namespace Graftbench.Core.Facts;

/// <summary>How much void area a standard allows in a ball.</summary>
/// <param name="Name">Name to choose it by.</param>
/// <param name="Title">What a person reads: standard and class.</param>
/// <param name="Revision">Revision that the figure belongs to.</param>
/// <param name="ProductClass">Class of product, or <c>all</c>.</param>
/// <param name="AreaPercent">Most void area by the joint's area in the picture [%].</param>
/// <param name="DiameterPercent">The void's diameter where the standard gives that [%]; else null.</param>
/// <param name="Note">What it holds for.</param>
/// <param name="Confidence">Confidence mark.</param>
/// <param name="Source">Source id.</param>
public sealed record VoidLimit(
    string Name,
    string Title,
    string Revision,
    string ProductClass,
    double AreaPercent,
    double? DiameterPercent,
    string Note,
    Confidence Confidence,
    string Source
);

/// <summary>A limit for how a package sits.</summary>
/// <param name="Name">Its name in the table.</param>
/// <param name="Title">What a person reads.</param>
/// <param name="AllowedPercent">The limit [%].</param>
/// <param name="Note">What it holds for.</param>
/// <param name="Confidence">Confidence mark.</param>
/// <param name="Source">Source id.</param>
public sealed record SeatLimit(
    string Name,
    string Title,
    double AllowedPercent,
    string Note,
    Confidence Confidence,
    string Source
);

/// <summary>Limits of inspection (<c>data/void-limits.csv</c>, <c>data/joint-inspection.csv</c>).</summary>
public static class InspectionFacts
{
    /// <summary>The limit that counts where nobody chose: the one of the standard's revision that was seen quoted.</summary>
    public const string UsualVoidLimit = "ipc-a-610e";

    private static readonly Lazy<IReadOnlyList<VoidLimit>> LazyVoids = new(() =>
        CsvTable
            .Load("void-limits")
            .Rows.Select(row => new VoidLimit(
                row["name"],
                row["title"],
                row["revision"],
                row["productClass"],
                row.Number("areaPercent"),
                row["diameterPercent"].Length == 0 ? null : row.Number("diameterPercent"),
                row["note"],
                row.Confidence,
                row["source"]
            ))
            .ToList()
    );

    private static readonly Lazy<Dictionary<string, SeatLimit>> LazySeats = new(() =>
        CsvTable
            .Load("joint-inspection")
            .Rows.Where(row => row["unit"] == "%")
            .Select(row => new SeatLimit(
                row["name"],
                row["title"],
                row.Number("value"),
                row["note"],
                row.Confidence,
                row["source"]
            ))
            .ToDictionary(row => row.Name, StringComparer.Ordinal)
    );

    /// <summary>Limits for voids, in the order of the table.</summary>
    public static IReadOnlyList<VoidLimit> VoidLimits => LazyVoids.Value;

    /// <summary>A limit for voids by its name; null where there is none of that name.</summary>
    public static VoidLimit? FindVoidLimit(string name) =>
        VoidLimits.FirstOrDefault(limit => string.Equals(limit.Name, name, StringComparison.OrdinalIgnoreCase));

    /// <summary>Most tilt by the standoff.</summary>
    public static SeatLimit TiltByStandoff => LazySeats.Value["tilt-by-standoff"];

    /// <summary>Most that a corner stands above the mean gap.</summary>
    public static SeatLimit CornerOverMean => LazySeats.Value["corner-over-mean"];

    /// <summary>Most offset of a ball from its land by the land's width.</summary>
    public static SeatLimit OffsetByLand => LazySeats.Value["offset-by-land"];
}
