using Graftbench.Firmware.Tree;

namespace Graftbench.Firmware.Volumes;

/// <summary>What the header of a section says.</summary>
/// <param name="Type">Type of the section.</param>
/// <param name="HeaderLength">Offset of its body [bytes].</param>
/// <param name="DefinedBy">What defines it, in sections of type 02h and 18h.</param>
/// <param name="Attributes">Attributes of a section that a GUID defines.</param>
/// <param name="Packing">How its body is packed; null when it is not.</param>
/// <param name="ChecksumOk">Whether its CRC-32 holds; null where it has none.</param>
public sealed record FileSection(
    byte Type,
    int HeaderLength,
    Guid? DefinedBy,
    ushort Attributes,
    string? Packing,
    bool? ChecksumOk
) : SegmentDetail
{
    /// <summary>The type in words.</summary>
    public string TypeText =>
        Type switch
        {
            0x01 => "compressed",
            0x02 => "defined by a GUID",
            0x03 => "disposable",
            0x10 => "program (PE32)",
            0x11 => "position-independent code",
            0x12 => "program (TE)",
            0x13 => "driver dependencies",
            0x14 => "version",
            0x15 => "name",
            0x16 => "16-bit code",
            0x17 => "volume",
            0x18 => "free form",
            0x19 => "raw",
            0x1B => "PEI dependencies",
            0x1C => "management mode dependencies",
            _ => FormattableString.Invariant($"type {Type:X2}h"),
        };

    /// <inheritdoc/>
    public override IReadOnlyList<SegmentFact> Facts() =>
        [
            new("type", TypeText),
            .. DefinedBy is { } guid ? [new SegmentFact("guid", guid.ToString())] : Array.Empty<SegmentFact>(),
            .. Packing is not null ? [new SegmentFact("packing", Packing)] : Array.Empty<SegmentFact>(),
            .. ChecksumOk is { } ok ? [new SegmentFact("checksum", ok ? "ok" : "wrong")] : Array.Empty<SegmentFact>(),
        ];
}
