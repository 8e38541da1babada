using System.Security.Cryptography;
using Graftbench.Core.Findings;
using Graftbench.Firmware.Descriptor;
using Graftbench.Firmware.Legacy;
using Graftbench.Firmware.Network;
using Graftbench.Firmware.OptionRoms;
using Graftbench.Firmware.Scanning;
using Graftbench.Firmware.Tables;
using Graftbench.Firmware.Updates;
using Graftbench.Firmware.Variables;

namespace Graftbench.Firmware.Tree;

/// <summary>A flash image as it was read: every byte in exactly one leaf, and what stands in it.</summary>
public sealed class ImageTree
{
    internal ImageTree(IReadOnlyList<ByteSpace> spaces)
    {
        Spaces = spaces;
    }

    /// <summary>The file first, then each unpacked content in the order in which it was met.</summary>
    public IReadOnlyList<ByteSpace> Spaces { get; }

    /// <summary>The bytes of the file.</summary>
    public ByteSpace File => Spaces[0];

    /// <summary>The segment that covers the whole file.</summary>
    public Segment Root => File.Root;

    /// <summary>Everything that is wrong or remarkable, worst first.</summary>
    public required IReadOnlyList<Finding> Findings { get; init; }

    /// <summary>How many findings there were beyond the longest list that is kept.</summary>
    public required int FindingsNotListed { get; init; }

    /// <summary>The flash descriptor; null when the image has none.</summary>
    public required FlashDescriptor? Descriptor { get; init; }

    /// <summary>Variable stores wherever they stand, in rising order.</summary>
    public required IReadOnlyList<VariableStore> VariableStores { get; init; }

    /// <summary>Working blocks of fault-tolerant writing.</summary>
    public required IReadOnlyList<WorkingBlock> WorkingBlocks { get; init; }

    /// <summary>Settings of network controllers, one for each copy in the image.</summary>
    public required IReadOnlyList<NetworkBlock> NetworkBlocks { get; init; }

    /// <summary>Tables with an anchor or a signature.</summary>
    public required IReadOnlyList<FirmwareTable> Tables { get; init; }

    /// <summary>Option ROM images.</summary>
    public required IReadOnlyList<OptionRom> OptionRoms { get; init; }

    /// <summary>Updates for processors, also those in unpacked contents and inside programs.</summary>
    public required IReadOnlyList<ProcessorUpdate> ProcessorUpdates { get; init; }

    /// <summary>What looks like an update but does not sum up; never counted as one.</summary>
    public required IReadOnlyList<ProcessorUpdate> DamagedUpdates { get; init; }

    /// <summary>Updates of the other x86 maker, as far as their layout is public.</summary>
    public required IReadOnlyList<EquivalentUpdate> EquivalentUpdates { get; init; }

    /// <summary>Where the other x86 maker's firmware directories are anchored; empty when they are not.</summary>
    public required IReadOnlyList<ByteRange> EmbeddedFirmwareAnchors { get; init; }

    /// <summary>What stands where a PC processor starts.</summary>
    public required ResetVector ResetVector { get; init; }

    /// <summary>Readable runs of text, ASCII and UTF-16, in all spaces, in rising order within each.</summary>
    public required IReadOnlyList<TextRun> Texts { get; init; }

    /// <summary>Whether there were more readable runs than are kept.</summary>
    public required bool TextsCut { get; init; }

    /// <summary>The leaf of the file that holds a byte.</summary>
    /// <param name="offset">Offset in the file.</param>
    /// <exception cref="ArgumentOutOfRangeException">The byte is not in the file.</exception>
    public Segment LeafAt(int offset) => Root.LeafAt(offset);

    /// <summary>SHA-256 of the file, 64 hexadecimal digits in small letters.</summary>
    public string Sha256() => Convert.ToHexStringLower(SHA256.HashData(File.Bytes));

    /// <summary>The file put together again from the leaves of the tree.</summary>
    /// <returns>The same bytes that were read.</returns>
    public byte[] Write()
    {
        byte[] bytes = new byte[File.Bytes.Length];
        int next = 0;
        foreach (Segment leaf in Root.Walk().Where(segment => segment.IsLeaf))
        {
            leaf.Bytes.CopyTo(bytes.AsSpan(next));
            next += leaf.Range.Length;
        }
        return bytes;
    }
}
