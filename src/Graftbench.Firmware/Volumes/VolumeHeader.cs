using Graftbench.Firmware.Tree;

namespace Graftbench.Firmware.Volumes;

/// <summary>What the header of a firmware volume says.</summary>
/// <param name="FileSystem">How the volume is organised.</param>
/// <param name="DeclaredLength">Length of the volume, header included [bytes].</param>
/// <param name="Attributes">Attributes as they stand.</param>
/// <param name="HeaderLength">Length of the header with its block map [bytes].</param>
/// <param name="Checksum">The checksum field.</param>
/// <param name="ChecksumOk">Whether the words of the header sum to 0.</param>
/// <param name="ExtendedHeaderOffset">Offset of the extended header in the volume; 0 for none.</param>
/// <param name="Revision">Revision of the format.</param>
/// <param name="BlockMapLength">Sum over the block map [bytes].</param>
/// <param name="Name">Name from the extended header; null without one.</param>
public sealed record VolumeHeader(
    Guid FileSystem,
    ulong DeclaredLength,
    uint Attributes,
    int HeaderLength,
    ushort Checksum,
    bool ChecksumOk,
    int ExtendedHeaderOffset,
    byte Revision,
    ulong BlockMapLength,
    Guid? Name
) : SegmentDetail
{
    /// <summary>Shortest header: one entry in the block map and its end mark [bytes].</summary>
    public const int ShortestHeader = 0x48;

    /// <summary>File system of volumes with files below 16 MiB.</summary>
    public static readonly Guid SmallFiles = new("8C8CE578-8A3D-4F1C-9935-896185C32DD3");

    /// <summary>File system of volumes that may hold large files.</summary>
    public static readonly Guid LargeFiles = new("5473C07A-3DCB-4DCA-BD6F-1E9689E7349A");

    /// <summary>Volume of variables and what belongs to them.</summary>
    public static readonly Guid VariableData = new("FFF12B8D-7696-4C8B-A985-2747075B4F50");

    /// <summary>Value of an erased byte: FFh, or 00h when the attributes say so.</summary>
    public byte ErasedByte => (Attributes & 0x800) != 0 ? (byte)0xFF : (byte)0;

    /// <summary>Whether the volume holds files that can be walked.</summary>
    public bool HasFiles => FileSystem == SmallFiles || FileSystem == LargeFiles;

    /// <summary>The kind of volume in words.</summary>
    public string KindText =>
        FileSystem == SmallFiles ? "files"
        : FileSystem == LargeFiles ? "large files"
        : FileSystem == VariableData ? "variables"
        : "unknown file system";

    /// <inheritdoc/>
    public override IReadOnlyList<SegmentFact> Facts() =>
        [
            new("holds", KindText),
            new("file system", FileSystem.ToString()),
            new("length", FormattableString.Invariant($"{DeclaredLength:X}h")),
            new("checksum", FormattableString.Invariant($"{Checksum:X4}h, {(ChecksumOk ? "ok" : "wrong")}")),
            new("erased byte", FormattableString.Invariant($"{ErasedByte:X2}h")),
            .. Name is { } name ? [new SegmentFact("name", name.ToString())] : Array.Empty<SegmentFact>(),
        ];
}
