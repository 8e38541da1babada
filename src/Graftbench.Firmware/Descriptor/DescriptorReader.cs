using Graftbench.Core.Findings;
using Graftbench.Firmware.Network;
using Graftbench.Firmware.Reading;
using Graftbench.Firmware.Scanning;
using Graftbench.Firmware.Tree;

namespace Graftbench.Firmware.Descriptor;

/// <summary>Reads the flash descriptor and the regions that it lists (public chipset data sheets).</summary>
internal static class DescriptorReader
{
    private const int DescriptorBytes = 0x1000;
    private const uint Signature = 0x0FF0A55A;
    private const int MostRegions = 16;
    private const int Block = 0x1000;

    /// <summary>Tiles the file by its regions.</summary>
    /// <returns>The descriptor; null when the file does not start with one, and then nothing was added.</returns>
    public static FlashDescriptor? TryRead(ReadContext context, ByteSpace space, Tiles tiles)
    {
        ReadOnlySpan<byte> bytes = space.Bytes;
        int at =
            bytes.Length >= 0x20 && bytes.U32(0x10) == Signature ? 0x10
            : bytes.Length >= 0x20 && bytes.U32(0) == Signature ? 0
            : -1;
        if (at < 0)
        {
            return null;
        }
        Notes notes = new(context, space);
        ReadOnlySpan<byte> map = bytes[..Math.Min(bytes.Length, DescriptorBytes)];
        int components = (int)(map.U32(at + 4) & 0xFF) << 4;
        int chips = (int)(map.U32(at + 4) >> 8 & 3) + 1;
        int regions = (int)(map.U32(at + 4) >> 16 & 0xFF) << 4;
        int masters = (int)(map.U32(at + 8) & 0xFF) << 4;
        int straps = (int)(map.U32(at + 8) >> 16 & 0xFF) << 4;
        int next = new[] { components, masters, straps, DescriptorBytes }.Where(one => one > regions).Min();
        int count = Math.Min(MostRegions, (next - regions) / 4);
        if (regions < at + 0x10 || count < 2 || regions + 4 * count > map.Length)
        {
            notes.Damage(
                "descriptor.map",
                at,
                "The image starts with the signature of a flash descriptor, but its map makes no sense: no regions are known.",
                FormattableString.Invariant($"regions at {regions:X}h"),
                source: Sources.Descriptor
            );
            return null;
        }
        List<long> sizes = ComponentSizes(map, components, chips);
        List<FlashRegion> list = [];
        for (int number = 0; number < count; number++)
        {
            if (ReadRegion(map.U32(regions + 4 * number), number) is { } declared)
            {
                list.Add(new FlashRegion(number, declared, Clip(declared, bytes.Length)));
            }
        }
        list = DropOverlaps(list, notes);
        Check(list, sizes, bytes.Length, notes);
        return Tile(context, space, tiles, at, sizes, list, notes);
    }

    private static List<long> ComponentSizes(ReadOnlySpan<byte> map, int components, int chips)
    {
        List<long> sizes = [];
        if (components > 0 && components + 4 <= map.Length)
        {
            uint word = map.U32(components);
            // The newer layout: four bits for each chip. In the older one the fields have three bits, and bit 3 belongs to the second.
            for (int chip = 0; chip < Math.Min(chips, 2); chip++)
            {
                int code = (int)(word >> (4 * chip)) & 0xF;
                if (code <= 9)
                {
                    sizes.Add(512L * 1024 << code);
                }
            }
        }
        return sizes;
    }

    private static DeclaredRange? ReadRegion(uint word, int number)
    {
        long first = (word & 0x7FFF) * (long)Block;
        long last = (word >> 16 & 0x7FFF) * (long)Block + Block - 1;
        bool unused = first > last || word == uint.MaxValue || (word == 0 && number > 0);
        return unused ? null : new DeclaredRange(first, last);
    }

    private static ByteRange? Clip(DeclaredRange declared, int length) =>
        declared.First >= length
            ? null
            : ByteRange.Between((int)declared.First, (int)Math.Min(declared.Last + 1, length));

    private static List<FlashRegion> DropOverlaps(List<FlashRegion> regions, Notes notes)
    {
        List<FlashRegion> kept = [];
        foreach (FlashRegion region in regions)
        {
            FlashRegion? other = kept.Find(one =>
                one.Range is { } range && region.Range is { } own && range.Overlaps(own)
            );
            if (other is null)
            {
                kept.Add(region);
                continue;
            }
            notes.Damage(
                "descriptor.overlap",
                0,
                $"The {region.Name} region overlaps the {other.Name} region; it is not read as a region.",
                region.Declared.ToString(),
                other.Declared.ToString(),
                Sources.Descriptor
            );
            kept.Add(region with { Range = null });
        }
        return kept;
    }

    private static void Check(List<FlashRegion> regions, List<long> sizes, int length, Notes notes)
    {
        long chip = sizes.Sum();
        foreach (FlashRegion region in regions)
        {
            if (chip > 0 && region.Declared.Last >= chip)
            {
                notes.Damage(
                    "descriptor.beyond-chip",
                    0,
                    $"The {region.Name} region goes beyond the chips that the descriptor describes.",
                    region.Declared.ToString(),
                    FormattableString.Invariant($"{chip} bytes"),
                    Sources.Descriptor
                );
            }
        }
        long most = regions.Count == 0 ? 0 : regions.Max(region => region.Declared.Last) + 1;
        if (most > length)
        {
            bool firstOfTwo = sizes.Count == 2 && sizes[0] == length;
            notes.Add(
                firstOfTwo ? Verdict.Unknown : Verdict.FixFirst,
                "descriptor.beyond-image",
                length,
                firstOfTwo
                    ? "The descriptor describes two chips and this image is as long as the first: the second one is not in it."
                    : "The image is shorter than the regions of its descriptor: it is cut, or it is one chip of several.",
                FormattableString.Invariant($"{length} bytes"),
                FormattableString.Invariant($"{most} bytes"),
                Sources.Descriptor,
                "Read every chip of the board and keep their order."
            );
        }
        else if (chip > 0 && chip != length)
        {
            notes.Add(
                Verdict.Warning,
                "descriptor.size",
                0,
                "The image is not as long as the chips that the descriptor describes.",
                FormattableString.Invariant($"{length} bytes"),
                FormattableString.Invariant($"{chip} bytes"),
                Sources.Descriptor
            );
        }
        if (regions.Find(region => region.Kind == RegionKind.Firmware) is { } firmware)
        {
            long top = sizes.Count > 0 ? sizes[0] : length;
            if (firmware.Declared.Last + 1 != top && firmware.Declared.Last + 1 != chip)
            {
                notes.Add(
                    Verdict.Warning,
                    "descriptor.firmware-top",
                    (int)Math.Min(firmware.Declared.First, int.MaxValue),
                    "The firmware region does not reach the top of a chip, where a PC processor starts.",
                    firmware.Declared.ToString(),
                    source: Sources.Descriptor
                );
            }
        }
    }

    private static FlashDescriptor Tile(
        ReadContext context,
        ByteSpace space,
        Tiles tiles,
        int at,
        List<long> sizes,
        List<FlashRegion> regions,
        Notes notes
    )
    {
        FlashRegion? own = regions.Find(region => region.Kind == RegionKind.Descriptor && region.Range is not null);
        int length = Math.Min(DescriptorBytes, space.Bytes.Length);
        // Without a region of its own the descriptor still has the first four KiB.
        if (own is not { Range.Start: 0 })
        {
            regions = [.. regions.Select(region => WithoutHead(region, length))];
        }
        RegionMap detail = new(regions, sizes);
        Segment head = context.Segment(
            space,
            new ByteRange(0, own is { Range.Start: 0 } ? own.Range.Value.Length : length),
            SegmentKind.Descriptor,
            "flash descriptor",
            detail: detail,
            notes: notes
        );
        tiles.Add(head);
        foreach (
            FlashRegion region in regions
                .Where(region => region.Range is not null && region.Range.Value.Start >= head.Range.End)
                .OrderBy(region => region.Range!.Value.Start)
        )
        {
            AddGap(context, space, tiles, region.Range!.Value.Start);
            Segment segment = ReadRegion(context, space, region);
            region.Segment = segment;
            tiles.Add(segment);
        }
        if (own is { Range.Start: 0 })
        {
            own.Segment = head;
        }
        AddGap(context, space, tiles, space.Bytes.Length);
        return new FlashDescriptor(head, at, sizes, regions);
    }

    private static FlashRegion WithoutHead(FlashRegion region, int length) =>
        region.Range is { } range && range.Start < length ? region with { Range = null } : region;

    private static void AddGap(ReadContext context, ByteSpace space, Tiles tiles, int end)
    {
        if (end > tiles.Position)
        {
            ByteRange gap = ByteRange.Between(tiles.Position, end);
            tiles.Add(
                context.Segment(
                    space,
                    gap,
                    SegmentKind.Unassigned,
                    Words.Of(SegmentKind.Unassigned),
                    RawArea.Read(context, space, gap, 0)
                )
            );
        }
    }

    private static Segment ReadRegion(ReadContext context, ByteSpace space, FlashRegion region)
    {
        ByteRange range = region.Range!.Value;
        Notes notes = new(context, space);
        IReadOnlyList<Segment>? parts = region.Kind switch
        {
            // Bound to the chipset and not ours to take apart.
            RegionKind.ManagementEngine or RegionKind.InnovationEngine or RegionKind.Descriptor => null,
            RegionKind.Network or RegionKind.NetworkA or RegionKind.NetworkB => NetworkReader.Read(
                context,
                space,
                range,
                notes
            ),
            _ => RawArea.Read(context, space, range, 0),
        };
        return context.Segment(
            space,
            range,
            SegmentKind.Region,
            region.Name,
            parts,
            new RegionDetail(region.Number, region.Kind, region.Declared),
            notes
        );
    }
}
