namespace Graftbench.Firmware.Tree;

/// <summary>What a segment of an image is.</summary>
public enum SegmentKind
{
    /// <summary>The whole file, or the whole of what a packed part holds.</summary>
    Image,

    /// <summary>Bytes of unknown meaning; kept as they are.</summary>
    Opaque,

    /// <summary>One byte value throughout, outside of any volume.</summary>
    Padding,

    /// <summary>Bytes that are not erased where padding or free space should be.</summary>
    PaddingData,

    /// <summary>Erased bytes behind the last file of a volume or the last record of a variable store.</summary>
    FreeSpace,

    /// <summary>The few bytes that bring the next part to its boundary.</summary>
    AlignmentGap,

    /// <summary>The flash descriptor at the bottom of the chip.</summary>
    Descriptor,

    /// <summary>A region that the flash descriptor lists.</summary>
    Region,

    /// <summary>A part of the chip that no region claims.</summary>
    Unassigned,

    /// <summary>A firmware volume.</summary>
    Volume,

    /// <summary>Header of a firmware volume, with its block map.</summary>
    VolumeHeader,

    /// <summary>Extended header of a firmware volume: its name.</summary>
    VolumeExtension,

    /// <summary>A file in a firmware volume.</summary>
    VolumeFile,

    /// <summary>A pad file in a firmware volume.</summary>
    PadFile,

    /// <summary>Header of a file.</summary>
    FileHeader,

    /// <summary>A section of a file.</summary>
    Section,

    /// <summary>Header of a section.</summary>
    SectionHeader,

    /// <summary>What a leaf section holds.</summary>
    SectionBody,

    /// <summary>Packed bytes; what they hold is a space of its own, <see cref="Segment.Unpacked"/>.</summary>
    Packed,

    /// <summary>A store of variables.</summary>
    VariableStore,

    /// <summary>Header of a variable store.</summary>
    VariableStoreHeader,

    /// <summary>One record of a variable store: header, name, data.</summary>
    Variable,

    /// <summary>The event log of a variable volume.</summary>
    EventLog,

    /// <summary>The working block of fault-tolerant writing: what was to be written when the power went.</summary>
    WorkingBlock,

    /// <summary>The spare half of a variable volume; may hold an old copy of the store.</summary>
    Spare,

    /// <summary>A table that an anchor text or a signature marks.</summary>
    Table,

    /// <summary>Settings of the network controller with its address.</summary>
    NetworkBlock,

    /// <summary>An option ROM image.</summary>
    OptionRom,

    /// <summary>An update for a processor.</summary>
    ProcessorUpdate,

    /// <summary>The sixteen bytes at which a PC processor starts.</summary>
    ResetVector,
}
