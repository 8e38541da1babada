using System.Globalization;
using Graftbench.Firmware.Tree;

namespace Graftbench.Firmware.Descriptor;

/// <summary>What the descriptor says of a region.</summary>
/// <param name="Number">Its place in the descriptor's list.</param>
/// <param name="Kind">What the number stands for.</param>
/// <param name="Declared">First and last byte as the descriptor has them.</param>
public sealed record RegionDetail(int Number, RegionKind Kind, DeclaredRange Declared) : SegmentDetail
{
    /// <inheritdoc/>
    public override IReadOnlyList<SegmentFact> Facts() =>
        [new("region", Number.ToString(CultureInfo.InvariantCulture)), new("declared", Declared.ToString())];
}

/// <summary>The map that a descriptor holds.</summary>
/// <param name="Regions">Regions that are in use.</param>
/// <param name="ComponentBytes">Sizes of the chips [bytes].</param>
public sealed record RegionMap(IReadOnlyList<FlashRegion> Regions, IReadOnlyList<long> ComponentBytes) : SegmentDetail
{
    /// <inheritdoc/>
    public override IReadOnlyList<SegmentFact> Facts() =>
        [
            new(
                "chips",
                ComponentBytes.Count == 0
                    ? "size unknown"
                    : string.Join(
                        " + ",
                        ComponentBytes.Select(size => FormattableString.Invariant($"{size / 1024} KiB"))
                    )
            ),
            .. Regions.Select(region => new SegmentFact(region.Name, region.Declared.ToString())),
        ];
}
