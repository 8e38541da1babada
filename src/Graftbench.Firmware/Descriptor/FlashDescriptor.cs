using Graftbench.Firmware.Tree;

namespace Graftbench.Firmware.Descriptor;

/// <summary>The map at the bottom of a PC's flash chip: which range is for whom.</summary>
/// <param name="Segment">The four KiB of the descriptor.</param>
/// <param name="SignatureOffset">Where its signature stands: 10h, or 0 in the first family.</param>
/// <param name="ComponentBytes">Size of each chip that it describes [bytes]; empty where that could not be read.</param>
/// <param name="Regions">Regions that are in use, in the order of their numbers.</param>
public sealed record FlashDescriptor(
    Segment Segment,
    int SignatureOffset,
    IReadOnlyList<long> ComponentBytes,
    IReadOnlyList<FlashRegion> Regions
)
{
    /// <summary>The region of a kind, if the descriptor has it and the image reaches it.</summary>
    public FlashRegion? Find(RegionKind kind) => Regions.FirstOrDefault(region => region.Kind == kind);
}

/// <summary>One region of the chip.</summary>
/// <param name="Number">Its place in the descriptor's list.</param>
/// <param name="Declared">First and last byte as the descriptor has them; may go beyond the image.</param>
/// <param name="Range">The part that the image holds; null when it holds none of it, or when regions overlap.</param>
public sealed record FlashRegion(int Number, DeclaredRange Declared, ByteRange? Range)
{
    /// <summary>What the number stands for.</summary>
    public RegionKind Kind => Number <= (int)RegionKind.NetworkB ? (RegionKind)Number : RegionKind.Other;

    /// <summary>Its name in words.</summary>
    public string Name => RegionNames.Of(Kind, Number);

    /// <summary>Segment of the region; null when <see cref="Range"/> is.</summary>
    public Segment? Segment { get; internal set; }
}

/// <summary>A range as a descriptor gives it, both ends included.</summary>
/// <param name="First">Offset of the first byte.</param>
/// <param name="Last">Offset of the last byte.</param>
public readonly record struct DeclaredRange(long First, long Last)
{
    /// <summary>The range as a technician reads it.</summary>
    public override string ToString() => $"0x{First:X8}-0x{Last:X8}";
}

/// <summary>What a region is for, by its number.</summary>
public enum RegionKind
{
    /// <summary>The descriptor itself.</summary>
    Descriptor = 0,

    /// <summary>The firmware that the main processor starts.</summary>
    Firmware = 1,

    /// <summary>The management engine. Bound to the chipset: never moves between machines.</summary>
    ManagementEngine = 2,

    /// <summary>Settings of the network controller.</summary>
    Network = 3,

    /// <summary>The maker's own data about this board.</summary>
    PlatformData = 4,

    /// <summary>Expansion for a device.</summary>
    DeviceExpansion = 5,

    /// <summary>A second firmware.</summary>
    SecondFirmware = 6,

    /// <summary>Updates for the processor.</summary>
    ProcessorUpdates = 7,

    /// <summary>Firmware of the embedded controller.</summary>
    EmbeddedController = 8,

    /// <summary>Second expansion for a device.</summary>
    DeviceExpansionTwo = 9,

    /// <summary>The innovation engine.</summary>
    InnovationEngine = 10,

    /// <summary>First 10-gigabit network controller.</summary>
    NetworkA = 11,

    /// <summary>Second 10-gigabit network controller.</summary>
    NetworkB = 12,

    /// <summary>A number without a published name.</summary>
    Other = 13,
}
