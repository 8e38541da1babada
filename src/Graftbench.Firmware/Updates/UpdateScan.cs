using System.Runtime.InteropServices;
using Graftbench.Firmware.Reading;
using Graftbench.Firmware.Scanning;
using Graftbench.Firmware.Tree;

namespace Graftbench.Firmware.Updates;

/// <summary>Finds updates for processors by their header and their sum.</summary>
/// <remarks>
/// Layout and sums: processor maker's Software Developer's Manual, volume 3A, "Microcode Update Facilities", tables 9-6 to
/// 9-10. Headers stand on 4-byte steps. The bare version word occurs dozens of times in any image; sizes and the sum of all
/// double words tell an update from it.
/// </remarks>
internal static class UpdateScan
{
    private const int HeaderBytes = 0x30;
    private const int DefaultDataBytes = 2000;
    private const int TableHeaderBytes = 20;
    private const int EntryBytes = 12;

    // Far above any update and any table that was published; bounds what a hostile header can claim.
    private const int MaxUpdateBytes = 16 * 1024 * 1024;
    private const int MaxEntries = 4096;
    private const int MaxUpdates = 10_000;

    // The first updates of this kind are of the nineties; a date beyond is no date of ours.
    private const int FirstYear = 1993;
    private const int LastYear = 2099;

    /// <summary>All updates of a space whose sum is right, in rising order; those inside another one are left out.</summary>
    public static List<ProcessorUpdate> Find(ReadContext context, ByteSpace space)
    {
        List<ProcessorUpdate> found = [];
        ReadOnlySpan<byte> bytes = space.Bytes;
        ReadOnlySpan<uint> words = MemoryMarshal.Cast<byte, uint>(bytes);
        int next = 0;
        while (next < words.Length && found.Count < MaxUpdates)
        {
            int step = words[next..].IndexOf(1u);
            if (step < 0)
            {
                break;
            }
            int start = 4 * (next + step);
            ProcessorUpdate? update = Read(context, space, start);
            if (update is not null)
            {
                found.Add(update);
            }
            next = update is null ? next + step + 1 : (update.Range.End + 3) / 4;
        }
        return found;
    }

    private static ProcessorUpdate? Read(ReadContext context, ByteSpace space, int start)
    {
        ReadOnlySpan<byte> rest = space.Bytes[start..];
        if (rest.Length < HeaderBytes || rest.U32(0x14) != 1)
        {
            return null;
        }
        uint data = rest.U32(0x1C);
        uint total = rest.U32(0x20);
        if (data == 0)
        {
            data = DefaultDataBytes;
            total = DefaultDataBytes + HeaderBytes;
        }
        if (
            data % 4 != 0
            || total % 4 != 0
            || total > MaxUpdateBytes
            || total > rest.Length
            || (ulong)data + HeaderBytes > total
            || !context.Spend(total, space, start)
        )
        {
            return null;
        }
        ReadOnlySpan<byte> whole = rest[..(int)total];
        uint signature = whole.U32(0x0C);
        // A header of zeros but for the two ones sums up by accident; no processor has signature 0.
        if (signature == 0)
        {
            return null;
        }
        List<UpdateTarget> targets = [new(new ProcessorSignature(signature), whole.U32(0x18), ChecksumOk: true)];
        if (Sums.DoubleWords(whole) != 0)
        {
            NoteDamaged(context, space, new ByteRange(start, (int)total), targets);
            return null;
        }
        bool? tableOk = ReadTable(whole, HeaderBytes + (int)data, targets);
        return new ProcessorUpdate(space, new ByteRange(start, (int)total), (int)whole.U32(4), whole.U32(8), targets)
        {
            TableChecksumOk = tableOk,
        };
    }

    // Two ones and two sizes are no update yet; a date in range, a whole number of KiB and blank reserved bytes make it one.
    private static void NoteDamaged(ReadContext context, ByteSpace space, ByteRange range, List<UpdateTarget> targets)
    {
        ReadOnlySpan<byte> whole = space.Bytes.Slice(range.Start, range.Length);
        if (
            range.Length % 1024 == 0
            && whole.Slice(0x24, 12).IsAll(0)
            && BcdDate.Read(whole.U32(8)) is { Year: >= FirstYear and <= LastYear }
            && context.DamagedUpdates.Count < MaxUpdates
        )
        {
            context.DamagedUpdates.Add(new ProcessorUpdate(space, range, (int)whole.U32(4), whole.U32(8), targets));
            new Notes(context, space).Damage(
                "update.checksum",
                range.Start,
                $"What looks like an update for processor {targets[0].Signature} does not sum to 0.",
                FormattableString.Invariant($"sum {Sums.DoubleWords(whole):X8}h"),
                "sum 0",
                Sources.Updates
            );
        }
    }

    // Whether the table's own sum holds; null without a table.
    private static bool? ReadTable(ReadOnlySpan<byte> whole, int at, List<UpdateTarget> targets)
    {
        if (whole.Length - at < TableHeaderBytes)
        {
            return null;
        }
        uint count = whole.U32(at);
        // What is left over after the data may be filled with zeros up to the next KiB.
        if (count == 0)
        {
            return null;
        }
        if (count > MaxEntries || TableHeaderBytes + EntryBytes * (long)count > whole.Length - at)
        {
            return false;
        }
        int end = at + TableHeaderBytes + EntryBytes * (int)count;
        uint wanted = unchecked(whole.U32(0x10) + whole.U32(0x0C) + whole.U32(0x18));
        for (int entry = at + TableHeaderBytes; entry < end; entry += EntryBytes)
        {
            uint signature = whole.U32(entry);
            uint flags = whole.U32(entry + 4);
            bool ok = whole.U32(entry + 8) == unchecked(wanted - signature - flags);
            targets.Add(new UpdateTarget(new ProcessorSignature(signature), flags, ok));
        }
        return Sums.DoubleWords(whole[at..end]) == 0;
    }
}
