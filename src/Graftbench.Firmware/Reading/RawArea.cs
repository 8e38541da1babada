using Graftbench.Core.Findings;
using Graftbench.Firmware.Legacy;
using Graftbench.Firmware.OptionRoms;
using Graftbench.Firmware.Scanning;
using Graftbench.Firmware.Tables;
using Graftbench.Firmware.Tree;
using Graftbench.Firmware.Variables;
using Graftbench.Firmware.Volumes;

namespace Graftbench.Firmware.Reading;

/// <summary>Reads bytes that no structure around them explains: looks for whatever announces itself in them.</summary>
internal static class RawArea
{
    // Shorter runs of one value are part of the data around them.
    private const int LeastPadding = 256;

    /// <summary>The parts of a range.</summary>
    /// <param name="context">The reading.</param>
    /// <param name="space">The space.</param>
    /// <param name="range">The range.</param>
    /// <param name="depth">How deep the range is nested.</param>
    /// <param name="rest">What bytes are called that nothing explains.</param>
    public static IReadOnlyList<Segment> Read(
        ReadContext context,
        ByteSpace space,
        ByteRange range,
        int depth,
        SegmentKind rest = SegmentKind.Opaque
    )
    {
        Tiles tiles = new(context, space, range);
        if (TooDeep(context, space, range, depth) || context.IsFull)
        {
            return tiles.Finish(rest);
        }
        // Images of option ROMs may start with the range, off every boundary.
        Chain(context, space, tiles, range.End, rest, tiles.Position);
        foreach (Mark mark in context.ScanOf(space).In(range))
        {
            if (context.IsFull)
            {
                break;
            }
            if (mark.Start < tiles.Position)
            {
                continue;
            }
            if (mark.Kind == MarkKind.OptionRom)
            {
                Chain(context, space, tiles, range.End, rest, mark.Start);
                continue;
            }
            Segment? part = TryRead(context, space, mark, range.End, depth);
            if (part is not null)
            {
                Between(context, space, tiles, part.Range.Start, rest);
                tiles.Add(part);
            }
        }
        int end = range.End;
        Segment? reset =
            space.IsFile && end == space.Bytes.Length && tiles.Left >= ResetReader.Length
                ? ResetReader.Segment(context, space)
                : null;
        Between(context, space, tiles, reset?.Range.Start ?? end, rest);
        if (reset is not null)
        {
            tiles.Add(reset);
        }
        return tiles.Finish(rest);
    }

    /// <summary>Says once for a range that what is in it is nested too deep.</summary>
    public static bool TooDeep(ReadContext context, ByteSpace space, ByteRange range, int depth)
    {
        if (depth < context.Limits.MaxDepth)
        {
            return false;
        }
        context.Report(
            new Finding(
                Verdict.Unknown,
                "image.too-deep",
                ReadContext.Where(space, range.Start),
                "Volumes, files and packed parts are nested deeper than is read; what is in here stays unread.",
                Limit: FormattableString.Invariant($"{context.Limits.MaxDepth} levels"),
                Source: Sources.Ours
            )
        );
        return true;
    }

    private static Segment? TryRead(ReadContext context, ByteSpace space, Mark mark, int limit, int depth) =>
        mark.Kind switch
        {
            MarkKind.Volume => VolumeReader.TryRead(context, space, mark.Start, limit, depth),
            MarkKind.AuthenticatedStore or MarkKind.PlainStore => VariableStoreReader.TryRead(
                context,
                space,
                mark.Start,
                limit,
                StoreRole.Elsewhere
            ),
            MarkKind.WorkingBlock => WorkingBlockReader.TryRead(context, space, mark.Start, limit),
            MarkKind.Update => UpdateSegment(context, space, mark.Start, limit),
            _ => TableReader.TryRead(context, space, mark, limit),
        };

    private static Segment? UpdateSegment(ReadContext context, ByteSpace space, int start, int limit)
    {
        Updates.ProcessorUpdate? update = context.ScanOf(space).UpdateAt(start);
        if (update is null || update.Range.End > limit)
        {
            return null;
        }
        Notes notes = new(context, space);
        if (update.TableChecksumOk == false || update.Targets.Any(target => !target.ChecksumOk))
        {
            notes.Add(
                Verdict.Warning,
                "update.table-checksum",
                start,
                "The table of further processors in an update does not sum up; only its first processor counts.",
                source: Sources.Updates
            );
        }
        if (update.Date is null)
        {
            notes.Add(
                Verdict.Warning,
                "update.date",
                start,
                "The date of an update is no date.",
                Updates.BcdDate.Text(update.DateCode),
                source: Sources.Updates
            );
        }
        return context.Segment(
            space,
            update.Range,
            SegmentKind.ProcessorUpdate,
            $"update for {update.Targets[0].Signature}",
            detail: update,
            notes: notes
        );
    }

    // Option ROM images follow each other without a gap.
    private static void Chain(ReadContext context, ByteSpace space, Tiles tiles, int limit, SegmentKind rest, int start)
    {
        while (!context.IsFull && OptionRomReader.TryRead(context, space, start, limit) is { } rom)
        {
            Between(context, space, tiles, rom.Range.Start, rest);
            tiles.Add(rom);
            start = rom.Range.End;
        }
    }

    /// <summary>Covers the bytes up to an offset: long runs of FFh or 00h are padding, the rest is what it is.</summary>
    public static void Between(ReadContext context, ByteSpace space, Tiles tiles, int end, SegmentKind rest)
    {
        ReadOnlySpan<byte> bytes = space.Bytes;
        while (tiles.Position < end && !context.IsFull)
        {
            int start = tiles.Position;
            int runEnd = RunEnd(bytes[..end], start);
            if (runEnd - start >= LeastPadding || runEnd == end)
            {
                tiles.FillTo(runEnd, SegmentKind.Padding, PaddingName(bytes[start]));
                continue;
            }
            tiles.FillTo(NextRun(bytes[..end], runEnd), rest);
        }
        tiles.FillTo(end, rest);
    }

    private static int RunEnd(ReadOnlySpan<byte> bytes, int start)
    {
        byte value = bytes[start];
        if (value is not 0 and not 0xFF)
        {
            return start;
        }
        int length = bytes[start..].IndexOfAnyExcept(value);
        return length < 0 ? bytes.Length : start + length;
    }

    // Looks at one byte in each window: a run of that length cannot slip between two of them.
    private static int NextRun(ReadOnlySpan<byte> bytes, int from)
    {
        for (int at = from + LeastPadding - 1; at < bytes.Length; at += LeastPadding)
        {
            byte value = bytes[at];
            if (value is not 0 and not 0xFF)
            {
                continue;
            }
            int first = bytes[from..at].LastIndexOfAnyExcept(value);
            int start = first < 0 ? from : from + first + 1;
            int end = RunEnd(bytes, start);
            if (end - start >= LeastPadding)
            {
                return start;
            }
        }
        return bytes.Length;
    }

    private static string PaddingName(byte value) => value == 0 ? "padding 00" : "padding FF";
}
