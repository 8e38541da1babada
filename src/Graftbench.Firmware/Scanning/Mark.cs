namespace Graftbench.Firmware.Scanning;

/// <summary>What a mark may be the head of.</summary>
internal enum MarkKind : byte
{
    Volume,
    AuthenticatedStore,
    PlainStore,
    WorkingBlock,
    PlugAndPlay,
    Services32,
    InterruptRouting,
    MultiProcessor,
    Smbios2,
    Smbios3,
    AcpiRoot,
    AcpiTable,
    OptionRom,
    Update,
}

/// <summary>A place where the scan saw the signature of a structure.</summary>
/// <param name="Start">Where the structure would start.</param>
/// <param name="Kind">What it may be.</param>
internal readonly record struct Mark(int Start, MarkKind Kind);
