using Graftbench.Firmware.Descriptor;
using Graftbench.Firmware.Tree;

namespace Graftbench.Firmware.Identity;

/// <summary>How the newer image lies over the board's own dump.</summary>
public enum LayoutKind
{
    /// <summary>Same length, no flash descriptor in either: places correspond.</summary>
    Plain,

    /// <summary>Both have a flash descriptor with the same regions: places correspond, regions of the machine stay its own.</summary>
    SameRegions,

    /// <summary>The newer image is the firmware region alone: it corresponds to that region of the dump.</summary>
    FirmwareRegion,

    /// <summary>Another length, no flash descriptor: only variables can move.</summary>
    OtherLength,

    /// <summary>Two flash descriptors that do not agree, or one where it must not be: the images do not belong together.</summary>
    Conflict,
}

/// <summary>How two images lie over each other.</summary>
/// <param name="Kind">The kind.</param>
/// <param name="Shift">Offset in the own dump minus offset in the newer image; null where places do not correspond.</param>
/// <param name="Words">The same in words.</param>
public sealed record ImageLayout(LayoutKind Kind, int? Shift, string Words)
{
    // Regions whose content is firmware for the main processor: they come with the newer image.
    private static readonly RegionKind[] FirmwareKinds =
    [
        RegionKind.Firmware,
        RegionKind.SecondFirmware,
        RegionKind.ProcessorUpdates,
    ];

    /// <summary>Compares the layouts of two images.</summary>
    public static ImageLayout Of(ImageTree own, ImageTree newer)
    {
        ArgumentNullException.ThrowIfNull(own);
        ArgumentNullException.ThrowIfNull(newer);
        int ownLength = own.File.Bytes.Length;
        int newerLength = newer.File.Bytes.Length;
        switch (own.Descriptor, newer.Descriptor)
        {
            case (null, null):
                return ownLength == newerLength
                    ? new ImageLayout(LayoutKind.Plain, 0, "same length, no flash descriptor")
                    : new ImageLayout(
                        LayoutKind.OtherLength,
                        null,
                        $"the dump has {ownLength} bytes, the newer image {newerLength}; no flash descriptor"
                    );
            case (null, not null):
                return new ImageLayout(
                    LayoutKind.Conflict,
                    null,
                    "the newer image has a flash descriptor and the board's dump has none: descriptor, engine and network settings would come from elsewhere"
                );
            case ({ } mine, null):
                return mine.Find(RegionKind.Firmware)?.Range is { } firmware && firmware.Length == newerLength
                    ? new ImageLayout(
                        LayoutKind.FirmwareRegion,
                        firmware.Start,
                        $"the newer image is the firmware region, {firmware} of the chip"
                    )
                    : new ImageLayout(
                        LayoutKind.Conflict,
                        null,
                        "the newer image has no flash descriptor and not the length of the board's firmware region"
                    );
            case ({ } mine, { } theirs):
                return ownLength == newerLength && SameRegions(mine, theirs)
                    ? new ImageLayout(LayoutKind.SameRegions, 0, "same length, same regions of the flash descriptor")
                    : new ImageLayout(
                        LayoutKind.Conflict,
                        null,
                        "the flash descriptors have other regions: another variant of the board, or another chip"
                    );
        }
    }

    /// <summary>Stretches of the result that stay the board's own: everything but firmware, where both have the same regions.</summary>
    public IReadOnlyList<(ByteRange Range, string What)> KeptOwn(ImageTree own)
    {
        ArgumentNullException.ThrowIfNull(own);
        if (Kind != LayoutKind.SameRegions || own.Descriptor is not { } descriptor)
        {
            return [];
        }
        List<(ByteRange, string)> kept = [];
        foreach (Segment part in own.Root.Children)
        {
            string what = part.Kind switch
            {
                SegmentKind.Descriptor => "flash descriptor",
                SegmentKind.Unassigned => "part of the chip that no region claims",
                SegmentKind.Region => part.Name,
                _ => "part of the chip outside of regions",
            };
            FlashRegion? region = descriptor.Regions.FirstOrDefault(one => one.Range == part.Range);
            bool firmware =
                part.Kind == SegmentKind.Region && region is not null && FirmwareKinds.Contains(region.Kind);
            if (!firmware)
            {
                kept.Add((part.Range, what));
            }
        }
        return kept;
    }

    private static bool SameRegions(FlashDescriptor mine, FlashDescriptor theirs) =>
        mine
            .Regions.Select(region => (region.Number, region.Declared, region.Range))
            .SequenceEqual(theirs.Regions.Select(region => (region.Number, region.Declared, region.Range)));
}
