using Graftbench.Firmware.Descriptor;
using Graftbench.Firmware.Tree;

namespace Graftbench.Firmware.Identity;

/// <summary>What a stretch of an image is to identity.</summary>
internal enum AreaKind
{
    /// <summary>Outside of volumes, firmware programs and machine-bound regions: bytes may be carried.</summary>
    Raw,

    /// <summary>A volume of files: code, often signed or measured.</summary>
    Code,

    /// <summary>A volume of variables: only records move.</summary>
    Variables,

    /// <summary>Bound to the chipset.</summary>
    Engine,

    /// <summary>The descriptor.</summary>
    Descriptor,

    /// <summary>Network settings.</summary>
    Network,

    /// <summary>The maker's data about this board.</summary>
    PlatformData,

    /// <summary>Firmware of another controller.</summary>
    OtherController,
}

/// <summary>The stretches of an image by what they are to identity.</summary>
internal sealed class ImageAreas
{
    private readonly List<(ByteRange Range, AreaKind Kind)> areas = [];

    public ImageAreas(ImageTree tree)
    {
        Walk(tree.Root, AreaKind.Raw);
        areas.Sort((a, b) => a.Range.Start.CompareTo(b.Range.Start));
    }

    public IReadOnlyList<(ByteRange Range, AreaKind Kind)> All => areas;

    /// <summary>What a byte lies in.</summary>
    public AreaKind At(int offset)
    {
        int low = 0;
        int high = areas.Count - 1;
        while (low <= high)
        {
            int middle = (low + high) / 2;
            (ByteRange range, AreaKind kind) = areas[middle];
            if (range.Contains(offset))
            {
                return kind;
            }
            if (range.Start > offset)
            {
                high = middle - 1;
            }
            else
            {
                low = middle + 1;
            }
        }
        return AreaKind.Raw;
    }

    /// <summary>Why bytes of an area are not proposed; null where they may be.</summary>
    public static string? Forbids(AreaKind kind) =>
        kind switch
        {
            AreaKind.Code =>
                "inside a volume of code, which is often signed or measured: altering a byte may stop the board for good",
            AreaKind.Engine =>
                "inside an engine region, which is bound to the chipset: it stays as it is on its own board",
            AreaKind.Descriptor => "inside the flash descriptor: it stays as it is on its own board",
            AreaKind.OtherController => "inside the firmware of another controller: it stays as it is on its own board",
            AreaKind.Variables =>
                "inside a variable volume but in no live record: an old copy or what a write left behind",
            _ => null,
        };

    private void Walk(Segment segment, AreaKind above)
    {
        AreaKind kind = KindOf(segment, above);
        // Whatever lies inside a volume or a machine-bound region has its kind; volumes inside a firmware region have their own.
        if (kind != AreaKind.Raw || segment.IsLeaf)
        {
            Add(segment.Range, kind);
            return;
        }
        foreach (Segment child in segment.Children)
        {
            Walk(child, kind);
        }
    }

    private void Add(ByteRange range, AreaKind kind)
    {
        if (range.IsEmpty)
        {
            return;
        }
        if (areas.Count > 0 && areas[^1].Kind == kind && areas[^1].Range.End == range.Start)
        {
            areas[^1] = (ByteRange.Between(areas[^1].Range.Start, range.End), kind);
            return;
        }
        areas.Add((range, kind));
    }

    private static AreaKind KindOf(Segment segment, AreaKind above) =>
        segment.Kind switch
        {
            SegmentKind.Descriptor => AreaKind.Descriptor,
            SegmentKind.Volume => segment.Detail is Volumes.VolumeHeader { } header
            && header.FileSystem == Volumes.VolumeHeader.VariableData
                ? AreaKind.Variables
                : AreaKind.Code,
            SegmentKind.OptionRom or SegmentKind.ProcessorUpdate or SegmentKind.ResetVector => AreaKind.Code,
            SegmentKind.VariableStore or SegmentKind.WorkingBlock or SegmentKind.EventLog or SegmentKind.Spare =>
                AreaKind.Variables,
            SegmentKind.Region when segment.Detail is RegionDetail region => region.Kind switch
            {
                RegionKind.Descriptor => AreaKind.Descriptor,
                RegionKind.ManagementEngine or RegionKind.InnovationEngine => AreaKind.Engine,
                RegionKind.Network or RegionKind.NetworkA or RegionKind.NetworkB => AreaKind.Network,
                RegionKind.PlatformData => AreaKind.PlatformData,
                RegionKind.Firmware or RegionKind.SecondFirmware => AreaKind.Raw,
                RegionKind.ProcessorUpdates => AreaKind.Code,
                _ => AreaKind.OtherController,
            },
            _ => above,
        };
}
