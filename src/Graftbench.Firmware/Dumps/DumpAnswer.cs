using Graftbench.Core.Findings;

namespace Graftbench.Firmware.Dumps;

/// <summary>Whether the reads of a chip may be worked with.</summary>
public enum DumpState
{
    /// <summary>Two or more full reads, all equal, and nothing speaks against them.</summary>
    Trusted,

    /// <summary>One read, or nothing to hold its structure against: not known.</summary>
    Unknown,

    /// <summary>Something speaks against them.</summary>
    NotTrusted,
}

/// <summary>One read in the answer.</summary>
/// <param name="Name">Its name.</param>
/// <param name="Bytes">Its length [bytes].</param>
/// <param name="Sha256">SHA-256 of its bytes.</param>
/// <param name="Shape">What it shows by itself.</param>
/// <param name="WrongBitsNumber">Bits that it read wrongly by the differences of all pairs; null for fewer than three unlike reads.</param>
/// <param name="OddBlocks">Blocks in which it alone differs from the others, which agree.</param>
public sealed record ReadAnswer(
    string Name,
    long Bytes,
    string Sha256,
    ReadShape Shape,
    double? WrongBitsNumber,
    long OddBlocks
);

/// <summary>Every block of 4 KiB as one sign, for a picture.</summary>
/// <param name="BlockBytes">Bytes of a block.</param>
/// <param name="Signs">
/// One sign a block: <c>=</c> equal, <c>F</c> and <c>0</c> equal and blank, <c>n</c> lone bits, <c>l</c> one data line,
/// <c>c</c> contact lost, <c>s</c> moved, <c>a</c> other address, <c>d</c> other content, <c>-</c> missing in a read.
/// </param>
/// <param name="Odd">For each block that differs, the read that stands alone against the others; -1 where none does.</param>
public sealed record DumpMap(int BlockBytes, string Signs, IReadOnlyList<int> Odd);

/// <summary>The answer about a chip's reads.</summary>
public sealed record DumpAnswer
{
    /// <summary>Whether they may be worked with.</summary>
    public required DumpState State { get; init; }

    /// <summary>The answer in one sentence.</summary>
    public required string Summary { get; init; }

    /// <summary>The reads.</summary>
    public required IReadOnlyList<ReadAnswer> Reads { get; init; }

    /// <summary>Pairs of unlike reads; equal reads are compared once for all of them.</summary>
    public required IReadOnlyList<PairComparison> Pairs { get; init; }

    /// <summary>Bit-error rate from the pair that differs most by noise; from equal reads an upper limit; null for one read.</summary>
    public required BitErrorRate? ErrorRate { get; init; }

    /// <summary>What a vote would say; null where reads are equal, fewer than three, or of unlike length.</summary>
    public required MajorityVote? Vote { get; init; }

    /// <summary>The blocks.</summary>
    public required DumpMap Map { get; init; }

    /// <summary>Everything that was found, worst first.</summary>
    public required IReadOnlyList<Finding> Findings { get; init; }
}
