using Graftbench.Core.Findings;
using Graftbench.Firmware.Reading;
using Graftbench.Firmware.Scanning;
using Graftbench.Firmware.Tree;

namespace Graftbench.Firmware.Variables;

/// <summary>Reads the working block of fault-tolerant writing (layout of the EDK II sources).</summary>
internal static class WorkingBlockReader
{
    private const int ChecksumAt = 0x10;
    private const int StateAt = 0x14;
    private const byte Valid = 0xFE;

    public static Segment? TryRead(ReadContext context, ByteSpace space, int start, int limit)
    {
        ReadOnlySpan<byte> bytes = space.Bytes[start..limit];
        if (bytes.Length < WorkingBlock.HeaderBytes || bytes.Guid(0) != WorkingBlock.Signature)
        {
            return null;
        }
        ulong queue = bytes.U64(0x18);
        Span<byte> header = stackalloc byte[WorkingBlock.HeaderBytes];
        bytes[..header.Length].CopyTo(header);
        // The checksum leaves out itself and the state, which changes without it.
        header.Slice(ChecksumAt, 5).Fill(0xFF);
        bool ok = Crc32.Of(header) == bytes.U32(ChecksumAt);
        bool fits = queue <= (ulong)(bytes.Length - WorkingBlock.HeaderBytes);
        if (!ok && !fits)
        {
            // Neither its sum nor its size: the signature alone occurs in code too.
            return null;
        }
        Notes notes = new(context, space);
        if (!ok)
        {
            notes.Damage(
                "working-block.checksum",
                start,
                "The checksum of the working block for fault-tolerant writing is wrong.",
                FormattableString.Invariant($"{bytes.U32(ChecksumAt):X8}h"),
                FormattableString.Invariant($"{Crc32.Of(header):X8}h"),
                Sources.Variables
            );
        }
        if (!fits)
        {
            notes.Damage(
                "working-block.size",
                start,
                "The queue of the working block goes beyond what holds it.",
                FormattableString.Invariant($"{queue:X}h bytes"),
                FormattableString.Invariant($"{bytes.Length - WorkingBlock.HeaderBytes:X}h bytes left"),
                Sources.Variables
            );
        }
        int length = WorkingBlock.HeaderBytes + (fits ? (int)queue : bytes.Length - WorkingBlock.HeaderBytes);
        bool erased = bytes[WorkingBlock.HeaderBytes..length].IsAll(0xFF);
        if (!erased)
        {
            notes.Add(
                Verdict.Warning,
                "working-block.pending",
                start,
                "The queue for fault-tolerant writing is not empty: the power may have gone during a write.",
                source: Sources.Variables
            );
        }
        if (bytes[StateAt] != Valid)
        {
            notes.Add(
                Verdict.Warning,
                "working-block.state",
                start,
                "The working block for fault-tolerant writing is not marked valid.",
                FormattableString.Invariant($"{bytes[StateAt]:X2}h"),
                FormattableString.Invariant($"{Valid:X2}h"),
                Sources.Variables
            );
        }
        WorkingBlock block = new(new ByteRange(start, length), bytes[StateAt], queue, ok, erased);
        Segment segment = context.Segment(
            space,
            block.Range,
            SegmentKind.WorkingBlock,
            Words.Of(SegmentKind.WorkingBlock),
            detail: block,
            notes: notes
        );
        block.Segment = segment;
        context.WorkingBlocks.Add(block);
        return segment;
    }
}
