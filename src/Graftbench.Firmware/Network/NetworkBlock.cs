using Graftbench.Firmware.Tree;

namespace Graftbench.Firmware.Network;

/// <summary>One copy of a network controller's settings.</summary>
/// <param name="Range">The half of the region that holds the copy.</param>
/// <param name="Number">0 for the first half of the region, 1 for the second.</param>
/// <param name="AddressRange">The six bytes of the address.</param>
/// <param name="ChecksumRange">Word 3Fh, which makes the sum of words 0 to 3Fh BABAh.</param>
/// <param name="Checksum">Sum of the words.</param>
/// <param name="HasSignature">Whether bits 15:14 of word 13h are 10b: the controller takes the copy for valid.</param>
/// <param name="IsErased">Whether the first 128 bytes are erased.</param>
public sealed record NetworkBlock(
    ByteRange Range,
    int Number,
    ByteRange AddressRange,
    ByteRange ChecksumRange,
    ushort Checksum,
    bool HasSignature,
    bool IsErased
) : SegmentDetail
{
    /// <summary>Bytes that the checksum covers, itself included.</summary>
    public const int SummedBytes = 0x80;

    /// <summary>What the words sum to.</summary>
    public const ushort WantedSum = 0xBABA;

    /// <summary>Segment of the copy.</summary>
    public Segment Segment { get; internal set; } = null!;

    /// <summary>The address as it is written: <c>02:00:5E:10:20:30</c>.</summary>
    public required string Address { get; init; }

    /// <summary>Why the address is none that was given to this machine; null when it can be one.</summary>
    public required string? AddressFault { get; init; }

    /// <summary>Whether the sum is right.</summary>
    public bool ChecksumOk => Checksum == WantedSum;

    /// <inheritdoc/>
    public override IReadOnlyList<SegmentFact> Facts() =>
        IsErased
            ? [new("copy", "erased")]
            :
            [
                new("address", AddressFault is null ? Address : $"{Address}, {AddressFault}"),
                new("checksum", ChecksumOk ? "ok" : FormattableString.Invariant($"wrong, sum {Checksum:X4}h")),
                new("marked valid", HasSignature ? "yes" : "no"),
            ];
}
