using System.Text;
using Graftbench.Core.Findings;
using Graftbench.Firmware.Reading;
using Graftbench.Firmware.Scanning;
using Graftbench.Firmware.Tree;
using Graftbench.Firmware.Unpacking;

namespace Graftbench.Firmware.Volumes;

/// <summary>Reads streams of sections (UEFI Platform Initialization Specification, volume 3, 3.2.4 and 3.2.5).</summary>
internal static class SectionReader
{
    /// <summary>Type of a section that holds the name of a file.</summary>
    public const byte NameType = 0x15;

    private const byte Compressed = 0x01;
    private const byte GuidDefined = 0x02;
    private const byte Disposable = 0x03;
    private const byte VolumeImage = 0x17;
    private const byte FreeForm = 0x18;
    private const byte Raw = 0x19;
    private const int ShortestHeader = 4;
    private const int LongHeader = 8;
    private const int NeedsProcessing = 1;

    // A name longer than this is no name.
    private const int LongestName = 256;

    /// <summary>The sections of a range.</summary>
    public static IReadOnlyList<Segment> ReadStream(ReadContext context, ByteSpace space, ByteRange range, int depth)
    {
        Tiles tiles = new(context, space, range);
        if (RawArea.TooDeep(context, space, range, depth))
        {
            return tiles.Finish();
        }
        while (tiles.Left > 0 && !context.IsFull)
        {
            int start = (int)Math.Min(Bits.AlignUp(tiles.Position, range.Start, 4), range.End);
            tiles.FillTo(start, SegmentKind.AlignmentGap);
            if (start == range.End)
            {
                break;
            }
            if (Probe(space.Bytes[start..range.End]) is not { } probe)
            {
                AddRest(context, space, tiles, range, depth);
                break;
            }
            tiles.Add(ReadSection(context, space, new ByteRange(start, probe.Size), probe.HeaderLength, depth));
        }
        return tiles.Finish();
    }

    /// <summary>The text of a name section.</summary>
    public static string? NameOf(Segment section, FileSection detail)
    {
        ReadOnlySpan<byte> bytes = section.Bytes[detail.HeaderLength..];
        string text = Encoding.Unicode.GetString(bytes[..Math.Min(bytes.Length & ~1, 2 * LongestName)]).TrimEnd('\0');
        return text.Length == 0 ? null : text;
    }

    private readonly record struct SectionProbe(int Size, int HeaderLength);

    private static SectionProbe? Probe(ReadOnlySpan<byte> rest)
    {
        if (rest.Length < ShortestHeader)
        {
            return null;
        }
        long size = rest.U24(0);
        int length = ShortestHeader;
        if (size == 0xFFFFFF)
        {
            if (rest.Length < LongHeader)
            {
                return null;
            }
            size = rest.U32(4);
            length = LongHeader;
        }
        return size < length || size > rest.Length ? null : new SectionProbe((int)size, length);
    }

    private static void AddRest(ReadContext context, ByteSpace space, Tiles tiles, ByteRange range, int depth)
    {
        int start = tiles.Position;
        ReadOnlySpan<byte> rest = space.Bytes[start..range.End];
        if (rest.IsAll(0xFF) || rest.IsAll(0))
        {
            tiles.FillTo(range.End, SegmentKind.Padding);
            return;
        }
        Notes notes = new(context, space);
        notes.Damage(
            "section.size",
            start,
            "The size of a section makes no sense; what follows in this file is not understood.",
            rest.Length < ShortestHeader ? null : FormattableString.Invariant($"{rest.U24(0):X}h"),
            FormattableString.Invariant($"{ShortestHeader:X}h to {rest.Length:X}h"),
            Sources.Volumes
        );
        IReadOnlyList<Segment> parts = RawArea.Read(context, space, ByteRange.Between(start, range.End), depth + 1);
        tiles.Add(
            context.Segment(
                space,
                ByteRange.Between(start, range.End),
                SegmentKind.Opaque,
                Words.Of(SegmentKind.Opaque),
                parts.Count == 1 && parts[0].IsLeaf ? null : parts,
                notes: notes
            )
        );
    }

    private static Segment ReadSection(ReadContext context, ByteSpace space, ByteRange range, int length, int depth)
    {
        ReadOnlySpan<byte> bytes = space.Bytes.Slice(range.Start, range.Length);
        byte type = bytes[3];
        Notes notes = new(context, space);
        int bodyAt = length;
        Guid? guid = null;
        ushort attributes = 0;
        string? packing = null;
        bool? sumOk = null;
        Packing method = Packing.None;
        int packedAt = 0;
        if (type == GuidDefined && bytes.Length >= length + 20)
        {
            guid = bytes.Guid(length);
            attributes = bytes.U16(length + 18);
            int offset = bytes.U16(length + 16);
            if (offset < length + 20 || offset > bytes.Length)
            {
                notes.Damage(
                    "section.data-offset",
                    range.Start,
                    "The body of a section lies outside of it.",
                    FormattableString.Invariant($"{offset:X}h"),
                    FormattableString.Invariant($"{length + 20:X}h to {bytes.Length:X}h"),
                    Sources.Volumes
                );
                method = Packing.Unknown;
                bodyAt = length + 20;
            }
            else
            {
                bodyAt = offset;
                method = Unpacker.MethodOf(guid.Value);
                if (method == Packing.None && guid == Unpacker.Crc32Guid)
                {
                    sumOk = CheckCrc(context, space, range, length, bodyAt, notes);
                }
                else if (method == Packing.None && (attributes & NeedsProcessing) != 0)
                {
                    method = Packing.Unknown;
                }
            }
        }
        else if (type == Compressed && bytes.Length >= length + 5)
        {
            bodyAt = length + 5;
            method = bytes[length + 4] switch
            {
                0 => Packing.None,
                1 => Packing.Standard,
                _ => Packing.Unknown,
            };
            packedAt = length;
        }
        else if (type == FreeForm && bytes.Length >= length + 16)
        {
            guid = bytes.Guid(length);
            bodyAt = length + 16;
        }
        else if (type is GuidDefined or Compressed or FreeForm)
        {
            notes.Damage(
                "section.size",
                range.Start,
                "A section is too short for its own header.",
                FormattableString.Invariant($"{bytes.Length:X}h"),
                source: Sources.Volumes
            );
            method = Packing.Unknown;
        }
        if (method != Packing.None)
        {
            packing = Unpacker.NameOf(method);
        }
        ByteRange body = ByteRange.Between(range.Start + bodyAt, range.End);
        Tiles tiles = new(context, space, range);
        tiles.FillTo(body.Start, SegmentKind.SectionHeader);
        bool encapsulates = type is GuidDefined or Compressed or Disposable;
        if (body.IsEmpty)
        {
            // Nothing to read.
        }
        else if (encapsulates && method != Packing.None)
        {
            uint? announced = packedAt == 0 ? null : bytes.U32(packedAt);
            tiles.Add(ReadPacked(context, space, body, method, announced, depth + 1, notes));
        }
        else if (encapsulates)
        {
            tiles.AddAll(ReadStream(context, space, body, depth + 1));
        }
        else if (type == VolumeImage)
        {
            Segment? volume = VolumeReader.TryRead(context, space, body.Start, body.End, depth + 1);
            if (volume is null)
            {
                notes.Damage(
                    "section.no-volume",
                    body.Start,
                    "A section that should hold a firmware volume does not start with one that can be read.",
                    source: Sources.Volumes
                );
                tiles.AddAll(RawArea.Read(context, space, body, depth + 1));
            }
            else
            {
                tiles.Add(volume);
                if (tiles.Left > 0)
                {
                    tiles.AddAll(RawArea.Read(context, space, ByteRange.Between(tiles.Position, body.End), depth + 1));
                }
            }
        }
        else if (type is Raw or FreeForm)
        {
            tiles.AddAll(RawArea.Read(context, space, body, depth + 1));
        }
        else
        {
            tiles.FillTo(body.End, SegmentKind.SectionBody);
        }
        FileSection detail = new(type, bodyAt, guid, attributes, packing, sumOk);
        string name = packing is null ? detail.TypeText : $"{detail.TypeText}, {packing}";
        return context.Segment(space, range, SegmentKind.Section, name, tiles.Finish(), detail, notes);
    }

    private static bool? CheckCrc(
        ReadContext context,
        ByteSpace space,
        ByteRange range,
        int length,
        int bodyAt,
        Notes notes
    )
    {
        ReadOnlySpan<byte> bytes = space.Bytes.Slice(range.Start, range.Length);
        if (bodyAt < length + 24 || !context.Spend(8L * bytes.Length, space, range.Start))
        {
            return null;
        }
        bool ok = Crc32.Of(bytes[bodyAt..]) == bytes.U32(length + 20);
        if (!ok)
        {
            notes.Damage(
                "section.crc",
                range.Start,
                "The CRC-32 of a section does not fit its body.",
                source: Sources.Volumes
            );
        }
        return ok;
    }

    private static Segment ReadPacked(
        ReadContext context,
        ByteSpace space,
        ByteRange body,
        Packing method,
        uint? announced,
        int depth,
        Notes notes
    )
    {
        Unpacked result = Unpacker.Unpack(context, space.Memory.Slice(body.Start, body.Length), method, announced);
        if (result.Trouble is not null)
        {
            notes.Add(
                result.IsDamage ? Verdict.FixFirst : Verdict.Unknown,
                result.IsDamage ? "section.unpack" : "section.packed",
                body.Start,
                result.Trouble,
                limit: result.Limit,
                source: result.Limit is null ? Sources.Volumes : Sources.Ours,
                todo: result.IsDamage ? Sources.ReadAgain : null
            );
        }
        Segment packed = context.Segment(
            space,
            body,
            SegmentKind.Packed,
            $"{Words.Of(SegmentKind.Packed)}, {Unpacker.NameOf(method)}"
        );
        if (result.Content is { } content)
        {
            string name = space.IsFile
                ? FormattableString.Invariant($"what is packed at 0x{body.Start:X8}")
                : FormattableString.Invariant($"what is packed at 0x{body.Start:X8} of {space.Name}");
            ByteSpace inner = context.Open(name, content, packed);
            ByteRange whole = new(0, content.Length);
            IReadOnlyList<Segment> parts = ReadStream(context, inner, whole, depth);
            inner.Root = context.Segment(inner, whole, SegmentKind.Image, name, parts);
            packed.Unpacked = inner;
        }
        return packed;
    }
}
