using Graftbench.Firmware.Tree;

namespace Graftbench.Firmware.Variables;

/// <summary>The working block of fault-tolerant writing.</summary>
/// <param name="Range">Header and write queue, cut at the end of what holds it.</param>
/// <param name="StateByte">State of the header; FEh is valid.</param>
/// <param name="QueueBytes">Size of the write queue that the header gives [bytes].</param>
/// <param name="ChecksumOk">Whether the CRC-32 of the header holds.</param>
/// <param name="QueueIsErased">Whether nothing is pending in the queue.</param>
public sealed record WorkingBlock(
    ByteRange Range,
    byte StateByte,
    ulong QueueBytes,
    bool ChecksumOk,
    bool QueueIsErased
) : SegmentDetail
{
    /// <summary>Size of the header [bytes].</summary>
    public const int HeaderBytes = 0x20;

    /// <summary>Signature of a working block.</summary>
    public static readonly Guid Signature = new("9E58292B-7C68-497D-A0CE-6500FD9F1B95");

    /// <summary>Segment of the block.</summary>
    public Segment Segment { get; internal set; } = null!;

    /// <inheritdoc/>
    public override IReadOnlyList<SegmentFact> Facts() =>
        [new("checksum", ChecksumOk ? "ok" : "wrong"), new("queue", QueueIsErased ? "empty" : "not empty")];
}
