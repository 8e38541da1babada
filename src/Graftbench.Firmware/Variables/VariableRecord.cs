using System.Globalization;
using Graftbench.Firmware.Tree;

namespace Graftbench.Firmware.Variables;

/// <summary>One record of a variable store, live or dead.</summary>
/// <param name="Range">Header, name and data, without the gap up to the next record.</param>
/// <param name="HeaderRange">The header.</param>
/// <param name="NameRange">The name in UTF-16 with its end mark.</param>
/// <param name="DataRange">The data.</param>
/// <param name="StateByte">The state byte as it stands.</param>
/// <param name="Attributes">Attributes of the variable.</param>
/// <param name="Vendor">Name space of the variable.</param>
/// <param name="Name">Name without its end mark; may hold whatever an image holds.</param>
/// <param name="Reachable">
/// Whether the firmware finds the record: false behind a damaged record, where the walk from record to record ends.
/// </param>
public sealed record VariableRecord(
    ByteRange Range,
    ByteRange HeaderRange,
    ByteRange NameRange,
    ByteRange DataRange,
    byte StateByte,
    uint Attributes,
    Guid Vendor,
    string Name,
    bool Reachable
) : SegmentDetail
{
    /// <summary>Count against replay; 0 in plain records.</summary>
    public ulong MonotonicCount { get; init; }

    /// <summary>Where the time stamp stands (16 bytes); empty in plain records.</summary>
    public ByteRange TimeStampRange { get; init; }

    /// <summary>Index of the public key; 0 in plain records.</summary>
    public uint PublicKeyIndex { get; init; }

    /// <summary>Where the record is in its life.</summary>
    public VariableState State =>
        StateByte switch
        {
            0x3F => VariableState.Added,
            0x3E => VariableState.InDeletion,
            0x3D => VariableState.Deleted,
            0x3C => VariableState.DeletedAfterReplacement,
            0x7F => VariableState.HeaderOnly,
            _ => VariableState.Other,
        };

    /// <summary>
    /// Whether the firmware uses this record: added, or being replaced while no added record of that name is there. False for
    /// a record that the firmware does not reach, and in the old copy of a spare area.
    /// </summary>
    public bool IsLive { get; internal set; }

    /// <summary>Whether the variable is protected by a signature or a count (attributes 10h, 20h, 80h).</summary>
    public bool IsAuthenticated => (Attributes & 0xB0) != 0;

    /// <inheritdoc/>
    public override IReadOnlyList<SegmentFact> Facts() =>
        [
            new("vendor", Vendor.ToString()),
            new("state", StateText),
            new("attributes", Attributes.ToString("X", CultureInfo.InvariantCulture) + "h"),
            new("data", FormattableString.Invariant($"{DataRange.Length} bytes at 0x{DataRange.Start:X8}")),
        ];

    private string StateText
    {
        get
        {
            string word = State switch
            {
                VariableState.Added => "added",
                VariableState.InDeletion => "being replaced",
                VariableState.Deleted => "deleted",
                VariableState.DeletedAfterReplacement => "deleted after replacement",
                VariableState.HeaderOnly => "header only",
                _ => "unknown state",
            };
            string live =
                IsLive ? "live"
                : Reachable ? "not live"
                : "out of reach";
            return FormattableString.Invariant($"{live}, {word} ({StateByte:X2}h)");
        }
    }
}
