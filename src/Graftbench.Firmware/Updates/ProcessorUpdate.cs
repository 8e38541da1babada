using Graftbench.Firmware.Tree;

namespace Graftbench.Firmware.Updates;

/// <summary>An update for processors, with a valid checksum.</summary>
/// <param name="Space">The space it was found in.</param>
/// <param name="Range">Header, data and extended table.</param>
/// <param name="Revision">Revision of the update.</param>
/// <param name="DateCode">The date as it stands, mmddyyyy in decimal-coded digits.</param>
/// <param name="Targets">Processors that the update is for: the header's first, then those of the extended table.</param>
public sealed record ProcessorUpdate(
    ByteSpace Space,
    ByteRange Range,
    int Revision,
    uint DateCode,
    IReadOnlyList<UpdateTarget> Targets
) : SegmentDetail
{
    /// <summary>Whether the sum of the extended table holds; null without such a table.</summary>
    public bool? TableChecksumOk { get; init; }

    /// <summary>The date; null when the digits are none.</summary>
    public DateOnly? Date => BcdDate.Read(DateCode);

    /// <inheritdoc/>
    public override IReadOnlyList<SegmentFact> Facts() =>
        [
            new("processor", string.Join(", ", Targets.Select(target => target.Signature.ToString()))),
            new("revision", FormattableString.Invariant($"{Revision:X}h")),
            new("date", BcdDate.Text(DateCode)),
            new("platforms", Targets[0].PlatformsText),
        ];
}

/// <summary>A processor that an update is for.</summary>
/// <param name="Signature">The processor.</param>
/// <param name="PlatformFlags">Bit n stands for platform n.</param>
/// <param name="ChecksumOk">Whether the entry's own checksum holds; true for the header itself.</param>
public sealed record UpdateTarget(ProcessorSignature Signature, uint PlatformFlags, bool ChecksumOk)
{
    /// <summary>Numbers of the platforms.</summary>
    public IEnumerable<int> Platforms
    {
        get
        {
            for (int bit = 0; bit < 32; bit++)
            {
                if ((PlatformFlags >> bit & 1) != 0)
                {
                    yield return bit;
                }
            }
        }
    }

    /// <summary>Numbers of the platforms as words.</summary>
    public string PlatformsText => PlatformFlags == 0 ? "none named" : string.Join(", ", Platforms);
}

/// <summary>An update of the other x86 maker, as far as its layout is public.</summary>
/// <param name="Space">The space it was found in.</param>
/// <param name="Start">Offset of its header.</param>
/// <param name="DateCode">The date as it stands, mmddyyyy in decimal-coded digits.</param>
/// <param name="PatchId">Id of the update.</param>
/// <param name="EquivalenceId">
/// Stands for a group of processors. The table that says which is not in flash: nothing follows from it here.
/// </param>
public sealed record EquivalentUpdate(ByteSpace Space, int Start, uint DateCode, uint PatchId, ushort EquivalenceId)
{
    /// <summary>The date; null when the digits are none.</summary>
    public DateOnly? Date => BcdDate.Read(DateCode);
}
