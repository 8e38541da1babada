using Graftbench.Core.Findings;
using Graftbench.Firmware.Reading;
using Graftbench.Firmware.Scanning;
using Graftbench.Firmware.Tree;

namespace Graftbench.Firmware.Volumes;

/// <summary>Walks the files of one volume (UEFI Platform Initialization Specification, volume 3, 2.1.4 and 3.2.3.1).</summary>
internal sealed class FileWalk(
    ReadContext context,
    ByteSpace space,
    ByteRange volume,
    VolumeHeader header,
    int depth,
    Notes volumeNotes
)
{
    private const int SmallHeader = 0x18;
    private const int LargeHeader = 0x20;
    private const byte NotSummed = 0xAA;

    // Fixed byte of bodies without a sum in the first version of the file system (from memory, unconfirmed).
    private const byte NotSummedOld = 0x5A;

    private readonly HashSet<Guid> names = [];

    private ReadOnlySpan<byte> Bytes => space.Bytes[..volume.End];

    /// <summary>Adds files, free space and whatever is broken, up to the end of the volume.</summary>
    public void AddTo(Tiles tiles)
    {
        while (tiles.Left > 0 && !context.IsFull)
        {
            int start = (int)Math.Min(Bits.AlignUp(tiles.Position, volume.Start, 8), volume.End);
            tiles.FillTo(start, SegmentKind.AlignmentGap);
            ReadOnlySpan<byte> rest = Bytes[start..];
            int headLength = Math.Min(rest.Length, SmallHeader);
            if (rest[..headLength].IsAll(header.ErasedByte))
            {
                AddFreeSpace(tiles, start);
                return;
            }
            if (Probe(start) is not { } probe)
            {
                if (!SkipBroken(tiles, start))
                {
                    return;
                }
                continue;
            }
            if (!probe.HeaderOk && !LeadsOn(start + probe.Size) && FindNext(start + 8) is int next)
            {
                Broken(start);
                tiles.AddAll(RawArea.Read(context, space, ByteRange.Between(start, next), depth));
                continue;
            }
            tiles.Add(ReadFile(start, probe));
        }
    }

    /// <summary>What can be said of a file before its size is trusted.</summary>
    private readonly record struct FileProbe(int Size, int HeaderLength, bool HeaderOk);

    // Null when the size cannot be that of a file here.
    private FileProbe? Probe(int start)
    {
        ReadOnlySpan<byte> rest = Bytes[start..];
        if (rest.Length < SmallHeader)
        {
            return null;
        }
        bool large = (rest[0x13] & 1) != 0 && header.FileSystem == VolumeHeader.LargeFiles;
        int length = large ? LargeHeader : SmallHeader;
        if (rest.Length < length)
        {
            return null;
        }
        ulong size = large ? rest.U64(SmallHeader) : (ulong)rest.U24(0x14);
        if (size < (ulong)length || size > (ulong)rest.Length)
        {
            return null;
        }
        byte sum = unchecked((byte)(Sums.Bytes(rest[..length]) - rest[0x17] - rest[0x11]));
        return new FileProbe((int)size, length, sum == 0);
    }

    // Whether the place behind a file is one where the next file, free space or the end of the volume stands.
    private bool LeadsOn(int end)
    {
        long next = Bits.AlignUp(end, volume.Start, 8);
        if (next >= volume.End)
        {
            return true;
        }
        ReadOnlySpan<byte> rest = Bytes[(int)next..];
        return rest[..Math.Min(rest.Length, SmallHeader)].IsAll(header.ErasedByte)
            || Probe((int)next) is { HeaderOk: true };
    }

    // The next place whose header sums up and whose body mark fits: what stands there is a file, not chance.
    private int? FindNext(int from)
    {
        int start = (int)Math.Min(Bits.AlignUp(from, volume.Start, 8), volume.End);
        int at = start;
        while (at <= volume.End - SmallHeader && !LooksLikeFile(at))
        {
            at += 8;
        }
        // Each step looks at a header of 24 bytes.
        bool mayGoOn = context.Spend(3L * (at - start), space, start);
        return mayGoOn && at <= volume.End - SmallHeader ? at : null;
    }

    // The sum of a header fits one place of random bytes in 256; type, state and mark of the body are asked for as well.
    private bool LooksLikeFile(int start)
    {
        ReadOnlySpan<byte> rest = Bytes[start..];
        bool typed = rest[0x12] is (> 0 and <= 0x0F) or VolumeFile.PadType;
        bool summedBody = (rest[0x13] & 0x40) != 0;
        if (
            !typed
            || (!summedBody && rest[0x11] is not NotSummed and not NotSummedOld)
            || rest[..16].IsAll(0)
            || !IsPlainState(rest[0x17])
            || Probe(start) is not { HeaderOk: true } probe
        )
        {
            return false;
        }
        return !summedBody
            || LeadsOn(start + probe.Size)
            || (
                context.Spend(probe.Size, space, start)
                && unchecked((byte)(Sums.Bytes(rest[probe.HeaderLength..probe.Size]) + rest[0x11])) == 0
            );
    }

    // The states that a file goes through when nothing goes wrong, the last three bits being set one after the other.
    private bool IsPlainState(byte value) =>
        (header.ErasedByte == 0xFF ? (byte)~value : value) is 0x07 or 0x0F or 0x17 or 0x1F;

    private bool SkipBroken(Tiles tiles, int start)
    {
        Broken(start);
        int? next = FindNext(start + 8);
        tiles.AddAll(RawArea.Read(context, space, ByteRange.Between(start, next ?? volume.End), depth));
        return next is not null;
    }

    private void Broken(int start) =>
        volumeNotes.Damage(
            "file.header",
            start,
            "The header of a file in a volume is damaged; what follows is not understood up to the next sound header.",
            source: Sources.Volumes
        );

    private void AddFreeSpace(Tiles tiles, int start)
    {
        int used = Bytes[start..].IndexOfAnyExcept(header.ErasedByte);
        if (used < 0)
        {
            tiles.FillTo(volume.End, SegmentKind.FreeSpace);
            return;
        }
        tiles.FillTo(start + used, SegmentKind.FreeSpace);
        volumeNotes.Add(
            Verdict.Warning,
            "volume.data-in-free-space",
            start + used,
            "The free space of a volume is not erased: there are bytes behind the last file.",
            source: Sources.Volumes
        );
        tiles.AddAll(
            RawArea.Read(context, space, ByteRange.Between(tiles.Position, volume.End), depth, SegmentKind.PaddingData)
        );
    }

    private Segment ReadFile(int start, FileProbe probe)
    {
        ByteRange range = new(start, probe.Size);
        ReadOnlySpan<byte> bytes = space.Bytes.Slice(start, probe.Size);
        Notes notes = new(context, space);
        byte attributes = bytes[0x13];
        bool summedBody = (attributes & 0x40) != 0;
        bool bodyOk = summedBody
            ? context.Spend(bytes.Length, space, start)
                && unchecked((byte)(Sums.Bytes(bytes[probe.HeaderLength..]) + bytes[0x11])) == 0
            : bytes[0x11] is NotSummed or NotSummedOld;
        VolumeFile file = new(
            bytes.Guid(0),
            bytes[0x12],
            attributes,
            bytes[0x17],
            StateOf(bytes[0x17]),
            probe.HeaderLength,
            probe.HeaderOk,
            bodyOk,
            summedBody
        );
        Check(file, range, notes);
        ByteRange body = ByteRange.Between(start + probe.HeaderLength, range.End);
        Tiles tiles = new(context, space, range);
        tiles.FillTo(body.Start, SegmentKind.FileHeader);
        if (file.IsPad)
        {
            AddPadding(tiles, body, notes);
        }
        else if (file.HasSections)
        {
            tiles.AddAll(SectionReader.ReadStream(context, space, body, depth));
        }
        else
        {
            tiles.AddAll(RawArea.Read(context, space, body, depth));
        }
        IReadOnlyList<Segment> parts = tiles.Finish();
        return context.Segment(
            space,
            range,
            file.IsPad ? SegmentKind.PadFile : SegmentKind.VolumeFile,
            file.IsPad ? "pad file" : NameIn(parts) ?? $"{file.TypeText} {file.Name}",
            parts,
            file,
            notes
        );
    }

    private void Check(VolumeFile file, ByteRange range, Notes notes)
    {
        if (!file.HeaderChecksumOk)
        {
            notes.Damage(
                "file.header-checksum",
                range.Start,
                "The header of a file in a volume does not sum to 0.",
                source: Sources.Volumes
            );
        }
        if (!file.BodyChecksumOk)
        {
            notes.Damage(
                "file.body-checksum",
                range.Start,
                file.HasBodyChecksum
                    ? "The body of a file in a volume does not sum to 0."
                    : "A file whose body is not summed lacks the byte that says so.",
                source: Sources.Volumes
            );
        }
        if (file.State is not FileState.Valid)
        {
            notes.Add(
                Verdict.Warning,
                "file.state",
                range.Start,
                "A file in a volume is not in plain use: deleted, marked for update, or never finished.",
                FormattableString.Invariant($"state {file.StateByte:X2}h"),
                source: Sources.Volumes
            );
        }
        if (file.Name == VolumeFile.VolumeTop && range.End != volume.End)
        {
            notes.Damage(
                "file.volume-top",
                range.Start,
                "The file with the reset vector does not end at the top of its volume: the machine would not start.",
                FormattableString.Invariant($"ends at {range.End:X}h"),
                FormattableString.Invariant($"{volume.End:X}h"),
                Sources.Volumes
            );
        }
        if (!file.IsPad && file.State is FileState.Valid && !names.Add(file.Name))
        {
            notes.Add(
                Verdict.Warning,
                "file.name-twice",
                range.Start,
                "Two files of one volume have the same name.",
                file.Name.ToString(),
                source: Sources.Volumes
            );
        }
    }

    private void AddPadding(Tiles tiles, ByteRange body, Notes notes)
    {
        ReadOnlySpan<byte> bytes = space.Bytes.Slice(body.Start, body.Length);
        if (bytes.IsAll(header.ErasedByte))
        {
            tiles.FillTo(body.End, SegmentKind.Padding);
            return;
        }
        notes.Add(
            Verdict.Warning,
            "file.data-in-padding",
            body.Start + bytes.IndexOfAnyExcept(header.ErasedByte),
            "A pad file is not erased: makers keep data in such places.",
            source: Sources.Volumes
        );
        tiles.AddAll(RawArea.Read(context, space, body, depth, SegmentKind.PaddingData));
    }

    // The name that a person reads stands in a section of its own.
    private static string? NameIn(IReadOnlyList<Segment> parts)
    {
        foreach (Segment part in parts)
        {
            if (part.Detail is FileSection { Type: SectionReader.NameType } section)
            {
                return SectionReader.NameOf(part, section);
            }
        }
        return null;
    }

    // Bits are set from the bottom up as a file ages; the highest one counts.
    private FileState StateOf(byte value)
    {
        int state = header.ErasedByte == 0xFF ? (byte)~value : value;
        return (state & 0x3F) switch
        {
            >= 0x20 => FileState.HeaderInvalid,
            >= 0x10 => FileState.Deleted,
            >= 0x08 => FileState.MarkedForUpdate,
            >= 0x04 => FileState.Valid,
            > 0 => FileState.Unfinished,
            _ => FileState.Unknown,
        };
    }
}
