namespace Graftbench.Firmware.Dumps;

/// <summary>How two reads differ in one block of 4 KiB.</summary>
public enum BlockClass
{
    /// <summary>Byte for byte equal.</summary>
    Equal,

    /// <summary>Lone bits: noise, a marginal supply or clock.</summary>
    LoneBits,

    /// <summary>Lone bits, all on one data line and in one direction: that line sticks or is weak.</summary>
    OneLine,

    /// <summary>Runs of FFh or 00h in one read where the other has data: contact lost.</summary>
    ContactLost,

    /// <summary>One read equals the other moved by some bits or bytes: a clock lost or one too many.</summary>
    Shifted,

    /// <summary>One read holds here what the other holds at an address that differs in one bit.</summary>
    OtherAddress,

    /// <summary>Plausible data in both, and different: written in between, or another chip.</summary>
    OtherContent,

    /// <summary>One read ends before it.</summary>
    Missing,
}

/// <summary>A stretch of blocks that differ in the same way.</summary>
/// <param name="Class">How they differ.</param>
/// <param name="Start">First byte.</param>
/// <param name="End">Byte behind the last.</param>
/// <param name="DifferingBytes">Bytes that differ in it.</param>
/// <param name="DifferingBits">Bits that differ in it.</param>
/// <param name="Bad">Which of the two reads is the bad one: 0 or 1; null where two reads alone cannot say.</param>
/// <param name="ShiftBits">Bits that the first read is ahead of the second (behind: below 0); 0 where it is not moved.</param>
/// <param name="AddressBit">The address bit that differs; null for other classes.</param>
public sealed record DifferingStretch(
    BlockClass Class,
    long Start,
    long End,
    long DifferingBytes,
    long DifferingBits,
    int? Bad = null,
    int ShiftBits = 0,
    int? AddressBit = null
);
