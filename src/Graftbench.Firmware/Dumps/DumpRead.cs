using Graftbench.Core.Findings;
using Graftbench.Firmware.Tree;

namespace Graftbench.Firmware.Dumps;

/// <summary>One read of a chip, from its first byte to its last.</summary>
/// <param name="Name">What the person calls it, usually the file's name.</param>
/// <param name="Bytes">What was read.</param>
public sealed record DumpRead(string Name, ReadOnlyMemory<byte> Bytes);

/// <summary>What is known of the chip beside its content.</summary>
/// <param name="CapacityBytes">Capacity by its marking or data sheet [bytes]; null where nobody looked.</param>
/// <param name="Sfdp">The chip's own parameter table as it was read (JESD216); null where it was not.</param>
public sealed record ChipFacts(long? CapacityBytes = null, ReadOnlyMemory<byte>? Sfdp = null);

/// <summary>What a reader of the structures inside says of a dump.</summary>
/// <param name="Found">Whether there is anything that could be checked.</param>
/// <param name="Findings">What it found.</param>
public sealed record DumpStructure(bool Found, IReadOnlyList<Finding> Findings)
{
    /// <summary>From a tree.</summary>
    public static DumpStructure Of(ImageTree tree)
    {
        ArgumentNullException.ThrowIfNull(tree);
        bool found =
            tree.Descriptor is not null
            || tree.VariableStores.Count > 0
            || tree.OptionRoms.Count > 0
            || tree.ResetVector.Starts
            || tree.Root.Walk().Any(segment => segment.Kind == SegmentKind.Volume);
        return new DumpStructure(found, tree.Findings);
    }
}
