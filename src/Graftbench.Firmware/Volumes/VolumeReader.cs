using Graftbench.Firmware.Reading;
using Graftbench.Firmware.Scanning;
using Graftbench.Firmware.Tree;
using Graftbench.Firmware.Variables;

namespace Graftbench.Firmware.Volumes;

/// <summary>Reads firmware volumes (UEFI Platform Initialization Specification, volume 3, 3.2.1.1).</summary>
internal static class VolumeReader
{
    private const int SignatureAt = 0x28;
    private const int BlockMapAt = 0x38;
    private const int ExtendedHeaderBytes = 0x14;

    /// <summary>The volume at a place; null when the bytes are none.</summary>
    /// <param name="context">The reading.</param>
    /// <param name="space">The space.</param>
    /// <param name="start">Where it would start.</param>
    /// <param name="limit">Offset behind the last byte that it may have.</param>
    /// <param name="depth">How deep it is nested.</param>
    public static Segment? TryRead(ReadContext context, ByteSpace space, int start, int limit, int depth)
    {
        ReadOnlySpan<byte> bytes = space.Bytes[start..limit];
        if (bytes.Length < VolumeHeader.ShortestHeader || bytes.U32(SignatureAt) != 0x4856465F)
        {
            return null;
        }
        Notes notes = new(context, space);
        if (ReadHeader(context, space, start, limit, notes) is not { } header)
        {
            return null;
        }
        long length = (long)header.DeclaredLength;
        if (length > bytes.Length)
        {
            notes.Damage(
                "volume.cut",
                start,
                "A firmware volume goes beyond what holds it: the image is cut, or its header is damaged.",
                FormattableString.Invariant($"{length:X}h bytes"),
                FormattableString.Invariant($"{bytes.Length:X}h bytes left"),
                Sources.Volumes
            );
            length = bytes.Length;
        }
        ByteRange range = new(start, (int)length);
        CheckBlockMap(header, start, notes);
        Tiles tiles = new(context, space, range);
        tiles.Add(
            context.Segment(
                space,
                new ByteRange(start, Math.Min(header.HeaderLength, range.Length)),
                SegmentKind.VolumeHeader,
                Words.Of(SegmentKind.VolumeHeader)
            )
        );
        if (!RawArea.TooDeep(context, space, range, depth) && !context.IsFull)
        {
            if (header.HasFiles)
            {
                AddFiles(context, space, range, header, tiles, depth + 1, notes);
            }
            else if (header.FileSystem == VolumeHeader.VariableData)
            {
                VariableVolumeReader.AddParts(context, space, range, header, tiles, depth + 1, notes);
            }
            else
            {
                // How an unknown file system is laid out is its own affair: kept whole.
                tiles.FillTo(range.End, SegmentKind.Opaque);
            }
        }
        string name = header.Name is { } id ? $"volume {id}" : $"volume, {header.KindText}";
        return context.Segment(space, range, SegmentKind.Volume, name, tiles.Finish(), header, notes);
    }

    private static VolumeHeader? ReadHeader(ReadContext context, ByteSpace space, int start, int limit, Notes notes)
    {
        ReadOnlySpan<byte> bytes = space.Bytes[start..limit];
        Guid fileSystem = bytes.Guid(0x10);
        ulong declared = bytes.U64(0x20);
        int headerLength = bytes.U16(0x30);
        byte revision = bytes[0x37];
        bool known =
            fileSystem == VolumeHeader.SmallFiles
            || fileSystem == VolumeHeader.LargeFiles
            || fileSystem == VolumeHeader.VariableData;
        bool shaped =
            headerLength >= VolumeHeader.ShortestHeader
            && headerLength % 2 == 0
            && headerLength <= bytes.Length
            && declared >= (ulong)headerLength
            && declared <= long.MaxValue;
        bool summed = shaped && context.Spend(headerLength, space, start) && Sums.Words(bytes[..headerLength]) == 0;
        ulong mapped = 0;
        bool ended = shaped && ReadBlockMap(bytes[..headerLength], out mapped);
        bool sound = summed && ended && revision is 1 or 2;
        if (!sound && !known)
        {
            // Code that looks for volumes holds the signature too; nothing else here says "volume".
            return null;
        }
        if (!shaped)
        {
            notes.Damage(
                "volume.header",
                start,
                "The header of a firmware volume is damaged: its lengths make no sense, so the volume cannot be read.",
                FormattableString.Invariant($"header {headerLength:X}h, volume {declared:X}h bytes"),
                FormattableString.Invariant($"header at least {VolumeHeader.ShortestHeader:X}h, even"),
                Sources.Volumes
            );
            return null;
        }
        if (!summed)
        {
            notes.Damage(
                "volume.checksum",
                start,
                "The header of a firmware volume does not sum to 0.",
                FormattableString.Invariant($"field {bytes.U16(0x32):X4}h"),
                FormattableString.Invariant($"field {Repaired(bytes[..headerLength]):X4}h"),
                Sources.Volumes
            );
        }
        if (!ended || revision is not 1 and not 2)
        {
            notes.Damage(
                "volume.header",
                start,
                "The header of a firmware volume has no end of its block map, or an unknown revision.",
                FormattableString.Invariant($"revision {revision}"),
                "revision 1 or 2",
                Sources.Volumes
            );
        }
        int extended = bytes.U16(0x34);
        Guid? name = null;
        if (extended != 0)
        {
            if (extended >= headerLength && extended <= Math.Min(bytes.Length, (long)declared) - ExtendedHeaderBytes)
            {
                name = bytes.Guid(extended);
            }
            else
            {
                notes.Damage(
                    "volume.extended-header",
                    start,
                    "The extended header of a firmware volume lies outside of it.",
                    FormattableString.Invariant($"{extended:X}h"),
                    FormattableString.Invariant($"{headerLength:X}h to {declared:X}h"),
                    Sources.Volumes
                );
                extended = 0;
            }
        }
        return new VolumeHeader(
            fileSystem,
            declared,
            bytes.U32(0x2C),
            headerLength,
            bytes.U16(0x32),
            summed,
            extended,
            revision,
            mapped,
            name
        );
    }

    /// <summary>What the checksum field has to be.</summary>
    private static ushort Repaired(ReadOnlySpan<byte> header) =>
        unchecked((ushort)(header.U16(0x32) - Sums.Words(header)));

    private static bool ReadBlockMap(ReadOnlySpan<byte> header, out ulong mapped)
    {
        mapped = 0;
        for (int at = BlockMapAt; at + 8 <= header.Length; at += 8)
        {
            uint count = header.U32(at);
            uint length = header.U32(at + 4);
            if (count == 0 && length == 0)
            {
                return true;
            }
            mapped = unchecked(mapped + (ulong)count * length);
        }
        return false;
    }

    private static void CheckBlockMap(VolumeHeader header, int start, Notes notes)
    {
        if (header.BlockMapLength != header.DeclaredLength)
        {
            notes.Add(
                Core.Findings.Verdict.Warning,
                "volume.block-map",
                start,
                "The block map of a firmware volume does not add up to its length. Seen in sound images too.",
                FormattableString.Invariant($"map {header.BlockMapLength:X}h"),
                FormattableString.Invariant($"length {header.DeclaredLength:X}h"),
                Sources.Volumes
            );
        }
    }

    private static void AddFiles(
        ReadContext context,
        ByteSpace space,
        ByteRange range,
        VolumeHeader header,
        Tiles tiles,
        int depth,
        Notes notes
    )
    {
        long first = Bits.AlignUp(tiles.Position, range.Start, 8);
        if (header.ExtendedHeaderOffset != 0)
        {
            int extended = range.Start + header.ExtendedHeaderOffset;
            uint size = space.Bytes.U32(extended + 0x10);
            long end = Bits.AlignUp(extended + (long)size, range.Start, 8);
            if (size < ExtendedHeaderBytes || end > range.End)
            {
                notes.Damage(
                    "volume.extended-header",
                    extended,
                    "The size of a volume's extended header makes no sense; files are looked for behind the fixed header.",
                    FormattableString.Invariant($"{size:X}h"),
                    FormattableString.Invariant($"{ExtendedHeaderBytes:X}h to {range.End - extended:X}h"),
                    Sources.Volumes
                );
            }
            else
            {
                first = end;
            }
        }
        if (first < range.End)
        {
            tiles.FillTo(
                (int)first,
                header.ExtendedHeaderOffset == 0 ? SegmentKind.AlignmentGap : SegmentKind.VolumeExtension
            );
            new FileWalk(context, space, range, header, depth, notes).AddTo(tiles);
        }
    }
}
