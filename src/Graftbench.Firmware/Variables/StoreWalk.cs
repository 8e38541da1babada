using System.Text;
using Graftbench.Core.Findings;
using Graftbench.Firmware.Reading;
using Graftbench.Firmware.Scanning;
using Graftbench.Firmware.Tree;

namespace Graftbench.Firmware.Variables;

/// <summary>Walks the records of one store.</summary>
internal sealed class StoreWalk(ReadContext context, ByteSpace space, ByteRange store, bool authenticated, Notes notes)
{
    private const ushort StartId = 0x55AA;
    private const byte Erased = 0xFF;
    private const uint Unwritten = uint.MaxValue;

    // What a record behind the end of the list must look like to be taken for one.
    private const int LongestLostName = 1024;
    private const uint KnownAttributes = 0xFF;

    private readonly int headerBytes = authenticated
        ? VariableStore.AuthenticatedHeaderBytes
        : VariableStore.PlainHeaderBytes;

    private readonly List<VariableRecord> records = [];

    private ReadOnlySpan<byte> Bytes => space.Bytes[..store.End];

    public Segment Read(uint declaredSize, StoreRole role)
    {
        Tiles tiles = new(context, space, store);
        tiles.FillTo(store.Start + VariableStore.HeaderBytes, SegmentKind.VariableStoreHeader);
        int end = WalkReachable(tiles, out bool damaged);
        ByteRange free = ByteRange.Between(end, store.End);
        int used = Bytes[end..].IndexOfAnyExcept(Erased);
        if (used >= 0)
        {
            AddUnreachable(tiles, end, end + used, damaged);
        }
        tiles.FillTo(store.End, SegmentKind.FreeSpace);
        if (role != StoreRole.SpareCopy)
        {
            MarkLive();
        }
        VariableStore detail = new(store, authenticated, declaredSize, role, records, free, used < 0);
        Segment segment = context.Segment(
            space,
            store,
            SegmentKind.VariableStore,
            role == StoreRole.SpareCopy ? "variable store, old copy" : "variable store",
            tiles.Finish(),
            detail,
            notes
        );
        detail.Segment = segment;
        context.Stores.Add(detail);
        return segment;
    }

    // The walk that the firmware does, from record to record.
    private int WalkReachable(Tiles tiles, out bool damaged)
    {
        damaged = false;
        while (!context.IsFull)
        {
            int start = (int)Bits.AlignUp(tiles.Position, store.Start, 4);
            if (start > store.End - headerBytes || Bytes.U16(start) != StartId)
            {
                return Math.Min(tiles.Position, store.End);
            }
            if (ReadRecord(start, reachable: true) is not { } record)
            {
                damaged = true;
                notes.Damage(
                    "variables.record-size",
                    start,
                    "A record of the store goes beyond its end: the firmware loses this variable and all behind it.",
                    FormattableString.Invariant(
                        $"name {Bytes.U32(start + NameSizeAt):X}h, data {Bytes.U32(start + NameSizeAt + 4):X}h bytes"
                    ),
                    FormattableString.Invariant($"{store.End - start:X}h bytes left"),
                    Sources.Variables
                );
                return Math.Min(tiles.Position, store.End);
            }
            Add(tiles, record);
        }
        return Math.Min(tiles.Position, store.End);
    }

    private int NameSizeAt => authenticated ? 0x24 : 0x08;

    private VariableRecord? ReadRecord(int start, bool reachable)
    {
        ReadOnlySpan<byte> bytes = Bytes;
        uint nameSize = bytes.U32(start + NameSizeAt);
        uint dataSize = bytes.U32(start + NameSizeAt + 4);
        // Power lost while the header was written: no name and no data then.
        long name = nameSize == Unwritten ? 0 : nameSize;
        long data = dataSize == Unwritten ? 0 : dataSize;
        if (headerBytes + name + data > store.End - start)
        {
            return null;
        }
        ByteRange nameRange = new(start + headerBytes, (int)name);
        ByteRange dataRange = new(nameRange.End, (int)data);
        ReadOnlySpan<byte> text = bytes.Slice(nameRange.Start, nameRange.Length & ~1);
        int end = 0;
        while (end < text.Length && text.U16(end) != 0)
        {
            end += 2;
        }
        return new VariableRecord(
            ByteRange.Between(start, dataRange.End),
            new ByteRange(start, headerBytes),
            nameRange,
            dataRange,
            bytes[start + 2],
            bytes.U32(start + 4),
            bytes.Guid(start + NameSizeAt + 8),
            Encoding.Unicode.GetString(text[..end]),
            reachable
        )
        {
            MonotonicCount = authenticated ? bytes.U64(start + 8) : 0,
            TimeStampRange = authenticated ? new ByteRange(start + 0x10, 0x10) : default,
            PublicKeyIndex = authenticated ? bytes.U32(start + 0x20) : 0,
        };
    }

    private void Add(Tiles tiles, VariableRecord record)
    {
        tiles.FillTo(record.Range.Start, SegmentKind.AlignmentGap);
        Notes own = new(context, space);
        if (
            record.Reachable
            && record.State != VariableState.HeaderOnly
            && (
                record.NameRange.Length % 2 != 0
                || record.NameRange.Length < 2
                || space.Bytes.Slice(record.NameRange.End - 2, 2).U16(0) != 0
            )
        )
        {
            own.Add(
                Verdict.Warning,
                "variables.name",
                record.Range.Start,
                "The name of a variable does not end as a name does.",
                FormattableString.Invariant($"{record.NameRange.Length} bytes"),
                source: Sources.Variables
            );
        }
        records.Add(record);
        tiles.Add(
            context.Segment(
                space,
                record.Range,
                SegmentKind.Variable,
                record.Name.Length == 0 ? "variable without a name" : record.Name,
                detail: record,
                notes: own
            )
        );
    }

    // Records that a damaged one cuts off are still worth reading; the firmware does not see them.
    private void AddUnreachable(Tiles tiles, int end, int firstUsed, bool damaged)
    {
        if (!damaged)
        {
            notes.Add(
                Verdict.Warning,
                "variables.data-behind-records",
                firstUsed,
                "Behind the last record of the store the bytes are not erased.",
                source: Sources.Variables
            );
        }
        int start = (int)Bits.AlignUp(end, store.Start, 4);
        for (; start <= store.End - headerBytes && !context.IsFull; start += 4)
        {
            int step = Bytes[start..].IndexOf((ReadOnlySpan<byte>)[0xAA, 0x55]);
            if (step < 0)
            {
                break;
            }
            start += step & ~3;
            if (
                step % 4 == 0
                && start <= store.End - headerBytes
                && LooksLikeRecord(start)
                && ReadRecord(start, reachable: false) is { } record
            )
            {
                FillUnknown(tiles, start);
                Add(tiles, record);
                start = (int)Bits.AlignUp(record.Range.End, store.Start, 4) - 4;
            }
        }
        FillUnknown(tiles, store.End);
    }

    private bool LooksLikeRecord(int start)
    {
        ReadOnlySpan<byte> bytes = Bytes[start..];
        uint name = bytes.U32(NameSizeAt);
        return bytes[2] is 0x3F or 0x3E or 0x3D or 0x3C or 0x7F
            && bytes.U32(4) is > 0 and <= KnownAttributes
            && name is >= 4 and <= LongestLostName
            && name % 2 == 0
            && headerBytes + (long)name <= bytes.Length
            && bytes.U16(headerBytes + (int)name - 2) == 0;
    }

    // Erased bytes stay free space, the others are unknown.
    private void FillUnknown(Tiles tiles, int end)
    {
        if (tiles.Position >= end)
        {
            return;
        }
        int used = Bytes[tiles.Position..end].IndexOfAnyExcept(Erased);
        if (used < 0)
        {
            tiles.FillTo(end, SegmentKind.FreeSpace);
            return;
        }
        tiles.FillTo(tiles.Position + used, SegmentKind.FreeSpace);
        int last = Bytes[tiles.Position..end].LastIndexOfAnyExcept(Erased);
        tiles.FillTo(tiles.Position + last + 1, SegmentKind.Opaque);
        tiles.FillTo(end, SegmentKind.FreeSpace);
    }

    // A record that is being replaced counts as long as the new one is not there; the last such record is the one that is used.
    private void MarkLive()
    {
        Dictionary<(Guid, string), VariableRecord> live = [];
        foreach (VariableRecord record in records.Where(one => one.Reachable))
        {
            (Guid, string) key = (record.Vendor, record.Name);
            bool has = live.TryGetValue(key, out VariableRecord? old);
            if (record.State == VariableState.Added)
            {
                if (has && old!.State == VariableState.Added)
                {
                    notes.Add(
                        Verdict.Warning,
                        "variables.twice",
                        record.Range.Start,
                        "A variable stands twice in the store, both records added; the first one counts.",
                        Shown(record.Name),
                        source: Sources.Variables
                    );
                }
                else
                {
                    live[key] = record;
                }
            }
            else if (record.State == VariableState.InDeletion && !(has && old!.State == VariableState.Added))
            {
                live[key] = record;
            }
        }
        foreach (VariableRecord record in live.Values)
        {
            record.IsLive = true;
        }
    }

    private static string Shown(string name) => name.Length <= 64 ? name : name[..64] + "...";
}
