using Graftbench.Firmware.Tree;

namespace Graftbench.Firmware.Legacy;

/// <summary>What the last sixteen bytes of an image are.</summary>
public enum ResetKind
{
    /// <summary>The image is too short to have them.</summary>
    None,

    /// <summary>All erased or all zero: no PC firmware, the wrong half, or data only.</summary>
    Blank,

    /// <summary>A far jump, as legacy PC firmware has.</summary>
    FarJump,

    /// <summary>A near or short jump, after nothing or a switch of mode, as most EFI firmware has.</summary>
    NearJump,

    /// <summary>Something else.</summary>
    Unknown,
}

/// <summary>Where a PC processor starts: the last sixteen bytes of the firmware.</summary>
/// <param name="Range">The bytes in the file; empty for <see cref="ResetKind.None"/>.</param>
/// <param name="Kind">What stands there.</param>
/// <param name="BuildDate">Date as text, mm/dd/yy, when there is one.</param>
/// <param name="ModelByte">The model byte behind the date; null without a date.</param>
public sealed record ResetVector(ByteRange Range, ResetKind Kind, string? BuildDate, byte? ModelByte) : SegmentDetail
{
    /// <summary>Whether a PC processor could start here.</summary>
    public bool Starts => Kind is ResetKind.FarJump or ResetKind.NearJump;

    /// <inheritdoc/>
    public override IReadOnlyList<SegmentFact> Facts() =>
        [
            new(
                "start",
                Kind switch
                {
                    ResetKind.FarJump => "far jump",
                    ResetKind.NearJump => "near jump",
                    ResetKind.Blank => "blank",
                    ResetKind.None => "none",
                    _ => "not understood",
                }
            ),
            .. BuildDate is null ? Array.Empty<SegmentFact>() : [new SegmentFact("date", BuildDate)],
        ];
}
