using Graftbench.Firmware.Descriptor;
using Graftbench.Firmware.Identity;
using Graftbench.Firmware.Tree;
using Graftbench.Firmware.Volumes;

namespace Graftbench.Firmware.Showing;

/// <summary>What a part of an image is, coarsely, for a picture.</summary>
public enum PartClass
{
    /// <summary>The flash descriptor.</summary>
    Descriptor,

    /// <summary>Bound to the machine: engine, network, platform data, other controllers.</summary>
    Machine,

    /// <summary>A volume with files of the firmware.</summary>
    Code,

    /// <summary>Variables and what belongs to them.</summary>
    Variables,

    /// <summary>Tables, option ROMs, processor updates, the reset vector.</summary>
    Table,

    /// <summary>Erased bytes.</summary>
    Free,

    /// <summary>Bytes where erased ones should be.</summary>
    PaddingData,

    /// <summary>Bytes of unknown meaning.</summary>
    Opaque,
}

/// <summary>A part of an image.</summary>
/// <param name="Range">Where it lies in the file.</param>
/// <param name="Class">What it is.</param>
/// <param name="Name">What it is called, fit to be shown.</param>
public sealed record ImagePart(ByteRange Range, PartClass Class, string Name);

/// <summary>An image as coarse parts that cover the file from its first byte to its last, each byte once.</summary>
public static class ImageParts
{
    private const int MostParts = 3000;

    private static readonly RegionKind[] FirmwareKinds =
    [
        RegionKind.Firmware,
        RegionKind.SecondFirmware,
        RegionKind.ProcessorUpdates,
    ];

    /// <summary>The parts of an image.</summary>
    public static IReadOnlyList<ImagePart> Of(ImageTree image)
    {
        ArgumentNullException.ThrowIfNull(image);
        List<ImagePart> parts = [];
        Add(parts, image.Root, null, null);
        if (parts.Count > MostParts)
        {
            // Too fine to be drawn: one part for each child of the file.
            parts.Clear();
            foreach (Segment child in image.Root.Children)
            {
                Put(parts, child.Range, ClassOf(child) ?? PartClass.Opaque, Shown(child));
            }
        }
        return parts;
    }

    /// <summary>The class in words.</summary>
    public static string Words(PartClass part) =>
        part switch
        {
            PartClass.Descriptor => "flash descriptor",
            PartClass.Machine => "bound to the machine",
            PartClass.Code => "firmware",
            PartClass.Variables => "variables",
            PartClass.Table => "table, ROM, update",
            PartClass.Free => "erased",
            PartClass.PaddingData => "data where erased should be",
            _ => "not understood",
        };

    private static void Add(List<ImagePart> parts, Segment segment, PartClass? above, string? name)
    {
        PartClass? own = ClassOf(segment);
        PartClass? now = own ?? above;
        // Erased parts and foreign data inside of anything keep their own class; all else is what it lies in.
        bool splits =
            segment.Kind is SegmentKind.Image or SegmentKind.Volume or SegmentKind.VariableStore or SegmentKind.Region;
        if (own is not null && above is null or PartClass.Opaque && segment.Kind != SegmentKind.Image)
        {
            name = Shown(segment);
        }
        if (segment.IsLeaf || !splits || now == PartClass.Machine || now == PartClass.Descriptor)
        {
            Put(parts, segment.Range, now ?? PartClass.Opaque, name ?? Shown(segment));
            return;
        }
        foreach (Segment child in segment.Children)
        {
            Add(parts, child, now, name);
        }
    }

    private static void Put(List<ImagePart> parts, ByteRange range, PartClass part, string name)
    {
        if (range.IsEmpty)
        {
            return;
        }
        if (parts.Count > 0 && parts[^1].Class == part && parts[^1].Name == name && parts[^1].Range.End == range.Start)
        {
            parts[^1] = parts[^1] with { Range = ByteRange.Between(parts[^1].Range.Start, range.End) };
            return;
        }
        parts.Add(new ImagePart(range, part, name));
    }

    private static string Shown(Segment segment) => IdentityShapes.Shown(segment.Name);

    private static PartClass? ClassOf(Segment segment) =>
        segment.Kind switch
        {
            SegmentKind.Descriptor => PartClass.Descriptor,
            SegmentKind.Region when segment.Detail is RegionDetail region => region.Kind switch
            {
                RegionKind.Descriptor => PartClass.Descriptor,
                _ when FirmwareKinds.Contains(region.Kind) => null,
                _ => PartClass.Machine,
            },
            SegmentKind.NetworkBlock => PartClass.Machine,
            SegmentKind.Volume => segment.Detail is VolumeHeader header
            && header.FileSystem == VolumeHeader.VariableData
                ? PartClass.Variables
                : PartClass.Code,
            SegmentKind.VariableStore
            or SegmentKind.Variable
            or SegmentKind.EventLog
            or SegmentKind.WorkingBlock
            or SegmentKind.Spare => PartClass.Variables,
            SegmentKind.Table or SegmentKind.OptionRom or SegmentKind.ProcessorUpdate or SegmentKind.ResetVector =>
                PartClass.Table,
            SegmentKind.Padding or SegmentKind.FreeSpace => PartClass.Free,
            SegmentKind.PaddingData => PartClass.PaddingData,
            SegmentKind.Unassigned or SegmentKind.Opaque => PartClass.Opaque,
            _ => null,
        };
}
