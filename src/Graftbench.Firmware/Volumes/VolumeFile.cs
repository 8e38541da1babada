using Graftbench.Firmware.Tree;

namespace Graftbench.Firmware.Volumes;

/// <summary>What the header of a file in a volume says.</summary>
/// <param name="Name">Name of the file.</param>
/// <param name="Type">Type of the file.</param>
/// <param name="Attributes">Attributes as they stand.</param>
/// <param name="StateByte">State byte as it stands, inverted where erased bytes are FFh.</param>
/// <param name="State">What the state byte says.</param>
/// <param name="HeaderLength">Length of the header [bytes].</param>
/// <param name="HeaderChecksumOk">Whether the header sums to 0.</param>
/// <param name="BodyChecksumOk">Whether the body's sum or its fixed byte holds.</param>
/// <param name="HasBodyChecksum">Whether the body is summed; otherwise a fixed byte stands there.</param>
public sealed record VolumeFile(
    Guid Name,
    byte Type,
    byte Attributes,
    byte StateByte,
    FileState State,
    int HeaderLength,
    bool HeaderChecksumOk,
    bool BodyChecksumOk,
    bool HasBodyChecksum
) : SegmentDetail
{
    /// <summary>Type of a pad file.</summary>
    public const byte PadType = 0xF0;

    /// <summary>Name of the file that ends at the top of a volume and holds the reset vector.</summary>
    public static readonly Guid VolumeTop = new("1BA0062E-C779-4582-8566-336AE8F78F09");

    /// <summary>Whether it is a pad file.</summary>
    public bool IsPad => Type == PadType;

    /// <summary>Whether its body is a stream of sections.</summary>
    public bool HasSections => Type is >= 0x02 and <= 0x0F;

    /// <summary>The type in words.</summary>
    public string TypeText =>
        Type switch
        {
            0x01 => "raw",
            0x02 => "free form",
            0x03 => "security core",
            0x04 => "PEI core",
            0x05 => "DXE core",
            0x06 => "PEI module",
            0x07 => "driver",
            0x08 => "PEI module and driver",
            0x09 => "application",
            0x0A or 0x0C or 0x0D or 0x0E or 0x0F => "management mode",
            0x0B => "volume image",
            PadType => "pad",
            >= 0xC0 and <= 0xDF => "maker's own",
            >= 0xE0 and <= 0xEF => "debug",
            _ => FormattableString.Invariant($"type {Type:X2}h"),
        };

    /// <inheritdoc/>
    public override IReadOnlyList<SegmentFact> Facts() =>
        [
            new("type", TypeText),
            new("file name", Name.ToString()),
            new(
                "state",
                State switch
                {
                    FileState.Valid => "valid",
                    FileState.MarkedForUpdate => "valid, marked for update",
                    FileState.Deleted => "deleted",
                    FileState.HeaderInvalid => "header invalid",
                    FileState.Unfinished => "unfinished",
                    _ => "unknown",
                } + FormattableString.Invariant($" ({StateByte:X2}h)")
            ),
            new("header checksum", HeaderChecksumOk ? "ok" : "wrong"),
            new(
                "body",
                HasBodyChecksum ? (BodyChecksumOk ? "checksum ok" : "checksum wrong")
                    : BodyChecksumOk ? "not summed"
                    : "not summed, wrong mark"
            ),
        ];
}

/// <summary>Where a file is in its life.</summary>
public enum FileState
{
    /// <summary>In use.</summary>
    Valid,

    /// <summary>In use unless a newer file of its name is there.</summary>
    MarkedForUpdate,

    /// <summary>Deleted; its bytes are still there.</summary>
    Deleted,

    /// <summary>The header was given up.</summary>
    HeaderInvalid,

    /// <summary>Writing it was not finished.</summary>
    Unfinished,

    /// <summary>No bit that makes sense.</summary>
    Unknown,
}
