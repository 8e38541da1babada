using Graftbench.Core.Jobs;

namespace Graftbench.Web.NewJob;

/// <summary>A line of the quick list of parts that cannot stand heat.</summary>
/// <param name="Kind">The kind.</param>
/// <param name="Label">What a person looks for on the board.</param>
/// <param name="Ref">Begin of the references that the parts get until they are placed on the picture.</param>
internal sealed record SensitivePart(PartKind Kind, string Label, string Ref)
{
    /// <summary>Most parts of one kind that the quick list takes.</summary>
    public const int Most = 99;

    /// <summary>The quick list.</summary>
    public static IReadOnlyList<SensitivePart> All { get; } =
    [
        new(PartKind.CoinCell, "Coin cells", "cell"),
        new(PartKind.LithiumPack, "Lithium packs", "pack"),
        new(PartKind.Supercapacitor, "Supercapacitors", "supercap"),
        new(PartKind.AluminiumElectrolytic, "Electrolytic capacitors", "electrolytic"),
        new(PartKind.PolymerCapacitor, "Polymer capacitors", "polymer"),
        new(PartKind.FilmCapacitorPolypropylene, "Film capacitors", "film"),
        new(PartKind.ConnectorOther, "Plastic connectors", "connector"),
        new(PartKind.PlasticPart, "Plastic parts (holders, clips, fans)", "plastic"),
        new(PartKind.LabelOrTape, "Labels and tapes", "label"),
        new(PartKind.Crystal, "Crystals", "crystal"),
        new(PartKind.MouldedPackage, "Other moulded plastic chips", "body"),
        new(PartKind.BallGridPackage, "Other ball-grid chips", "bga"),
    ];

    /// <summary>Name of the count in the form.</summary>
    /// <param name="board"><c>host</c> or <c>donor</c>.</param>
    public string FieldOn(string board) =>
        (board == "donor" ? "x.donor-count." : "x.count.") + Forms.FieldWords.NameOf(Kind);
}
