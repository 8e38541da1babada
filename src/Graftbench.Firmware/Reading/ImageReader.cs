using Graftbench.Core.Findings;
using Graftbench.Firmware.Descriptor;
using Graftbench.Firmware.Legacy;
using Graftbench.Firmware.Scanning;
using Graftbench.Firmware.Tree;
using Graftbench.Firmware.Updates;

namespace Graftbench.Firmware.Reading;

/// <summary>Reads a flash image into a tree in which every byte lies in exactly one leaf.</summary>
/// <remarks>
/// Never throws on what the bytes say: damage gives findings, and what is not understood stays as it is. The bytes must not
/// change while the tree is in use; they are not copied.
/// </remarks>
public static class ImageReader
{
    /// <summary>Reads an image within the usual limits.</summary>
    /// <param name="image">The bytes of the image, at most <see cref="ImageLimits.MaxImageBytes"/>.</param>
    public static ImageTree Read(ReadOnlyMemory<byte> image) => Read(image, ImageLimits.Default);

    /// <summary>Reads an image within given limits.</summary>
    /// <param name="image">The bytes of the image, at most <see cref="ImageLimits.MaxImageBytes"/>.</param>
    /// <param name="limits">How far to go with bytes that nobody vouches for.</param>
    /// <exception cref="ArgumentOutOfRangeException">The image is longer than any that is read.</exception>
    public static ImageTree Read(ReadOnlyMemory<byte> image, ImageLimits limits)
    {
        ArgumentNullException.ThrowIfNull(limits);
        if (image.Length > ImageLimits.MaxImageBytes)
        {
            throw new ArgumentOutOfRangeException(
                nameof(image),
                image.Length,
                $"An image has at most {ImageLimits.MaxImageBytes} bytes."
            );
        }
        ReadContext context = new(limits, image.Length);
        ByteSpace file = context.Open("the file", image, origin: null);
        ByteRange whole = new(0, image.Length);
        Notes notes = new(context, file);
        CheckWhole(file, notes);
        Tiles tiles = new(context, file, whole);
        FlashDescriptor? descriptor = DescriptorReader.TryRead(context, file, tiles);
        if (descriptor is null && !whole.IsEmpty)
        {
            tiles.AddAll(RawArea.Read(context, file, whole, 0));
        }
        file.Root = context.Segment(file, whole, SegmentKind.Image, "image", tiles.Finish(), notes: notes);
        List<TextRun> texts = [];
        bool allTexts = true;
        foreach (ByteSpace space in context.Spaces)
        {
            allTexts = allTexts && TextScan.Find(space, texts, limits.MaxTexts);
        }
        return new ImageTree(context.Spaces)
        {
            Findings = Finding.WorstFirst(context.Findings),
            FindingsNotListed = context.NotListed,
            Descriptor = descriptor,
            VariableStores = context.Stores,
            WorkingBlocks = context.WorkingBlocks,
            NetworkBlocks = context.NetworkBlocks,
            Tables = context.Tables,
            OptionRoms = context.Roms,
            ProcessorUpdates = context.Updates,
            DamagedUpdates = context.DamagedUpdates,
            EquivalentUpdates = context.Equivalents,
            EmbeddedFirmwareAnchors = EmbeddedFirmware.Find(file),
            ResetVector = ResetReader.Read(file.Bytes),
            Texts = texts,
            TextsCut = !allTexts,
        };
    }

    private static void CheckWhole(ByteSpace file, Notes notes)
    {
        ReadOnlySpan<byte> bytes = file.Bytes;
        if (bytes.IsEmpty)
        {
            notes.Damage("image.empty", 0, "The image has no bytes.", source: Sources.Ours);
        }
        else if (!bytes.ContainsAnyExcept(bytes[0]))
        {
            notes.Add(
                Verdict.Warning,
                "image.blank",
                0,
                "All bytes of the image are the same. Lawful for an empty store, else: no chip, no power, or a wrong voltage.",
                FormattableString.Invariant($"{bytes[0]:X2}h"),
                source: Sources.Ours
            );
        }
    }
}
