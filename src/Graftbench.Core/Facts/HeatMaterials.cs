using Graftbench.Core.Jobs;

namespace Graftbench.Core.Facts;

/// <summary>A material of the heat model.</summary>
/// <param name="Id">Short name.</param>
/// <param name="Title">What a person reads.</param>
/// <param name="InPlaneWPerMK">Conductivity along the board [W/(m K)].</param>
/// <param name="ThroughWPerMK">Conductivity through it [W/(m K)].</param>
/// <param name="DensityKgPerM3">Density [kg/m³].</param>
/// <param name="SpecificHeatJPerKgK">Specific heat [J/(kg K)].</param>
/// <param name="LogSdRatio">Standard deviation of the conductivity's natural logarithm.</param>
/// <param name="Parts">Kinds of parts that are drawn as one block of it.</param>
/// <param name="Note">What is left out.</param>
/// <param name="Confidence">Confidence mark.</param>
/// <param name="Source">Source id.</param>
public sealed record HeatMaterial(
    string Id,
    string Title,
    double InPlaneWPerMK,
    double ThroughWPerMK,
    double DensityKgPerM3,
    double SpecificHeatJPerKgK,
    double LogSdRatio,
    IReadOnlyList<string> Parts,
    string Note,
    Confidence Confidence,
    string Source
);

/// <summary>Materials of boards, chips and neighbours (<c>data/heat-materials.csv</c>).</summary>
public static class HeatMaterials
{
    private static readonly Lazy<Dictionary<string, HeatMaterial>> LazyMaterials = new(() =>
        CsvTable.Load("heat-materials").Rows.Select(Material).ToDictionary(one => one.Id, StringComparer.Ordinal)
    );

    private static readonly Lazy<Dictionary<PartKind, HeatMaterial>> LazyKinds = new(() =>
        Enum.GetValues<PartKind>()
            .ToDictionary(kind => kind, kind => All.Single(one => one.Parts.Contains(FactNames<PartKind>.NameOf(kind))))
    );

    /// <summary>All materials, in file order.</summary>
    public static IReadOnlyCollection<HeatMaterial> All => LazyMaterials.Value.Values;

    /// <summary>The material of an id.</summary>
    /// <exception cref="KeyNotFoundException">No such material.</exception>
    public static HeatMaterial Of(string id) => LazyMaterials.Value[id];

    /// <summary>The material that a kind of part is drawn of.</summary>
    public static HeatMaterial Of(PartKind kind) => LazyKinds.Value[kind];

    private static HeatMaterial Material(CsvRow row) =>
        new(
            row["id"],
            row["title"],
            row.Number("inPlaneWPerMK"),
            row.Number("throughWPerMK"),
            row.Number("densityKgPerM3"),
            row.Number("specificHeatJPerKgK"),
            row.Number("logSd"),
            row["parts"].Split(' ', StringSplitOptions.RemoveEmptyEntries),
            row["note"],
            row.Confidence,
            row["source"]
        );
}
