using System.Globalization;
using Graftbench.Firmware.Tree;

namespace Graftbench.Firmware.OptionRoms;

/// <summary>One image of an option ROM.</summary>
/// <param name="Range">Where it stands.</param>
/// <param name="Vendor">PCI vendor; 0 without a device.</param>
/// <param name="Device">PCI device; 0 without one.</param>
/// <param name="ClassCode">PCI class, 24 bits.</param>
/// <param name="CodeType">0 PC code, 3 EFI program; others as they stand.</param>
/// <param name="IsLast">Whether the image says that it is the last of its chain.</param>
/// <param name="ChecksumOk">Whether its bytes sum to 0; null where the code type has no sum.</param>
public sealed record OptionRom(
    ByteRange Range,
    ushort Vendor,
    ushort Device,
    int ClassCode,
    byte CodeType,
    bool IsLast,
    bool? ChecksumOk
) : SegmentDetail
{
    /// <summary>Segment of the image.</summary>
    public Segment Segment { get; internal set; } = null!;

    /// <summary>Whether the image names a PCI device; those of before PCI do not.</summary>
    public bool HasDevice => Vendor != 0 || Device != 0;

    /// <summary>Machine that the program of an EFI image is for; null in other images.</summary>
    public ushort? EfiMachine { get; init; }

    /// <inheritdoc/>
    public override IReadOnlyList<SegmentFact> Facts() =>
        [
            new(
                "device",
                HasDevice
                    ? FormattableString.Invariant($"{Vendor:X4}:{Device:X4}, class {ClassCode:X6}h")
                    : "none named"
            ),
            new(
                "code",
                CodeType switch
                {
                    0 => "PC",
                    3 => FormattableString.Invariant($"EFI, machine {EfiMachine ?? 0:X4}h"),
                    _ => "type " + CodeType.ToString(CultureInfo.InvariantCulture),
                }
            ),
            new(
                "checksum",
                ChecksumOk switch
                {
                    true => "ok",
                    false => "wrong",
                    null => "none specified",
                }
            ),
            new("last of its chain", IsLast ? "yes" : "no"),
        ];
}
