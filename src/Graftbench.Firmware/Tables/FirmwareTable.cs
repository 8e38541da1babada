using Graftbench.Firmware.Tree;

namespace Graftbench.Firmware.Tables;

/// <summary>A table that an anchor text or a signature marks.</summary>
/// <param name="Range">Where it stands.</param>
/// <param name="Signature">Its signature as text: <c>_SM_</c>, <c>DSDT</c>.</param>
/// <param name="Family">The standard that it belongs to.</param>
/// <param name="ChecksumOk">Whether its sums hold; null where none is specified.</param>
/// <param name="HoldsIdentity">Whether such a table is tied to one machine, as a licence is.</param>
public sealed record FirmwareTable(
    ByteRange Range,
    string Signature,
    TableFamily Family,
    bool? ChecksumOk,
    bool HoldsIdentity
) : SegmentDetail
{
    /// <summary>Segment of the table.</summary>
    public Segment Segment { get; internal set; } = null!;

    /// <summary>More that was read from it.</summary>
    public IReadOnlyList<SegmentFact> More { get; init; } = [];

    /// <inheritdoc/>
    public override IReadOnlyList<SegmentFact> Facts() =>
        [
            new(
                "checksum",
                ChecksumOk switch
                {
                    true => "ok",
                    false => "wrong",
                    null => "none specified",
                }
            ),
            .. HoldsIdentity ? [new SegmentFact("identity", "tied to this machine")] : Array.Empty<SegmentFact>(),
            .. More,
        ];
}

/// <summary>The standard that a table belongs to.</summary>
public enum TableFamily
{
    /// <summary>Entry points and structures of the system management BIOS.</summary>
    Smbios,

    /// <summary>ACPI tables and their root pointer.</summary>
    Acpi,

    /// <summary>Anchors of legacy PC firmware: <c>$PnP</c>, <c>_32_</c>, <c>$PIR</c>, <c>_MP_</c>.</summary>
    Legacy,
}
