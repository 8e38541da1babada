namespace Graftbench.Core.Facts;

/// <summary>What a job must have or do for a caution to be shown.</summary>
public enum CautionWhen
{
    /// <summary>Every job.</summary>
    Always,

    /// <summary>A lithium cell, pack or double-layer capacitor is on one of its boards.</summary>
    Lithium,

    /// <summary>An alloy on record holds lead, or is unknown.</summary>
    Leaded,

    /// <summary>Something is to be dried.</summary>
    Drying,

    /// <summary>Something is to be heated to soldering temperature.</summary>
    Heating,

    /// <summary>Something is to be cleaned with solvent.</summary>
    Solvent,

    /// <summary>The board is to be powered.</summary>
    Power,

    /// <summary>Firmware or identity data is touched.</summary>
    Identity,
}

/// <summary>A caution as the table holds it.</summary>
/// <param name="Id">Name of the row.</param>
/// <param name="Hazard">What can hurt.</param>
/// <param name="When">Jobs that it belongs to.</param>
/// <param name="Text">What to do, with its figure.</param>
/// <param name="Confidence">Confidence mark.</param>
/// <param name="Source">Source id.</param>
public sealed record CautionText(
    string Id,
    string Hazard,
    CautionWhen When,
    string Text,
    Confidence Confidence,
    string Source
);

/// <summary>Cautions, most urgent first (<c>data/cautions.csv</c>).</summary>
public static class CautionTexts
{
    private static readonly Lazy<IReadOnlyList<CautionText>> LazyAll = new(() =>
        CsvTable.Load("cautions").Rows.Select(Row).ToList()
    );

    /// <summary>All cautions, most urgent first.</summary>
    public static IReadOnlyList<CautionText> All => LazyAll.Value;

    private static CautionText Row(CsvRow row) =>
        new(
            row["id"],
            row["hazard"],
            FactNames<CautionWhen>.Parse(row, "when"),
            row["text"],
            row.Confidence,
            row["source"]
        );
}
