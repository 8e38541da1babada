using Graftbench.Core.Findings;
using Graftbench.Firmware.Reading;
using Graftbench.Firmware.Scanning;
using Graftbench.Firmware.Tree;
using Graftbench.Firmware.Volumes;

namespace Graftbench.Firmware.Variables;

/// <summary>Reads a volume of variables: store, event log, working block, spare area.</summary>
internal static class VariableVolumeReader
{
    public static void AddParts(
        ReadContext context,
        ByteSpace space,
        ByteRange volume,
        VolumeHeader header,
        Tiles tiles,
        int depth,
        Notes notes
    )
    {
        int start = tiles.Position;
        ReadOnlySpan<byte> body = space.Bytes[start..volume.End];
        if (body.IsAll(header.ErasedByte))
        {
            notes.Damage(
                "variables.erased",
                start,
                "A volume of variables is erased: there is no store in it. An erased store is no safe default, the board may not start.",
                source: Sources.Variables
            );
            tiles.FillTo(volume.End, SegmentKind.FreeSpace);
            return;
        }
        if (
            body.Length >= VariableStore.HeaderBytes
            && VariableStoreReader.TryRead(context, space, start, volume.End, StoreRole.Main) is { } store
        )
        {
            tiles.Add(store);
        }
        else
        {
            notes.Damage(
                "variables.no-store",
                start,
                "A volume of variables does not start with a store that can be read.",
                source: Sources.Variables
            );
        }
        Segment? block = context
            .ScanOf(space)
            .In(ByteRange.Between(tiles.Position, volume.End))
            .Where(mark => mark.Kind == MarkKind.WorkingBlock)
            .Select(mark => WorkingBlockReader.TryRead(context, space, mark.Start, volume.End))
            .FirstOrDefault(found => found is not null);
        if (block is null)
        {
            if (tiles.Left > 0)
            {
                notes.Add(
                    Verdict.Warning,
                    "variables.no-working-block",
                    tiles.Position,
                    "A volume of variables has no working block for fault-tolerant writing.",
                    source: Sources.Variables
                );
                tiles.AddAll(RawArea.Read(context, space, ByteRange.Between(tiles.Position, volume.End), depth));
            }
            return;
        }
        tiles.FillTo(block.Range.Start, SegmentKind.EventLog);
        tiles.Add(block);
        if (tiles.Left > 0)
        {
            tiles.Add(ReadSpare(context, space, ByteRange.Between(tiles.Position, volume.End), header));
        }
    }

    private static Segment ReadSpare(ReadContext context, ByteSpace space, ByteRange range, VolumeHeader header)
    {
        Notes notes = new(context, space);
        Tiles tiles = new(context, space, range);
        ReadOnlySpan<byte> bytes = space.Bytes.Slice(range.Start, range.Length);
        if (bytes.IsAll(header.ErasedByte))
        {
            return context.Segment(space, range, SegmentKind.Spare, "spare area, erased");
        }
        notes.Add(
            Verdict.Warning,
            "variables.spare-in-use",
            range.Start + bytes.IndexOfAnyExcept(header.ErasedByte),
            "The spare area of a volume of variables is not erased: it may hold an old copy of the store.",
            source: Sources.Variables
        );
        foreach (Mark mark in context.ScanOf(space).In(range))
        {
            if (
                mark.Kind is MarkKind.AuthenticatedStore or MarkKind.PlainStore
                && mark.Start >= tiles.Position
                && !context.IsFull
                && VariableStoreReader.TryRead(context, space, mark.Start, range.End, StoreRole.SpareCopy) is { } copy
            )
            {
                RawArea.Between(context, space, tiles, copy.Range.Start, SegmentKind.Opaque);
                tiles.Add(copy);
            }
        }
        RawArea.Between(context, space, tiles, range.End, SegmentKind.Opaque);
        return context.Segment(
            space,
            range,
            SegmentKind.Spare,
            Words.Of(SegmentKind.Spare),
            tiles.Finish(),
            notes: notes
        );
    }
}
