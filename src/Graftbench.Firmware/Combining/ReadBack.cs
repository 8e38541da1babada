using System.Security.Cryptography;
using Graftbench.Core.Findings;
using Graftbench.Firmware.Dumps;

namespace Graftbench.Firmware.Combining;

/// <summary>What a read-back says.</summary>
/// <param name="Exact">Whether the chip holds the intended image, byte for byte.</param>
/// <param name="Summary">The answer in one sentence.</param>
/// <param name="IntendedSha256">SHA-256 of the intended image.</param>
/// <param name="ReadBackSha256">SHA-256 of what was read back.</param>
/// <param name="DifferingBlocks">Blocks of 4 KiB that differ.</param>
/// <param name="Blocks">Blocks that the longer of both has.</param>
/// <param name="Stretches">Stretches that differ, by how they do; the first read is the intended image.</param>
/// <param name="Findings">Findings, worst first.</param>
public sealed record ReadBackAnswer(
    bool Exact,
    string Summary,
    string IntendedSha256,
    string ReadBackSha256,
    int DifferingBlocks,
    int Blocks,
    IReadOnlyList<DifferingStretch> Stretches,
    IReadOnlyList<Finding> Findings
);

/// <summary>Compares a chip's read-back with the image that was written to it.</summary>
public static class ReadBack
{
    private const string Rule = "flash-read-rules";

    /// <summary>Compares.</summary>
    /// <param name="intended">What was to be written.</param>
    /// <param name="readBack">What was read.</param>
    /// <param name="before">The chip's content before writing; null where it is not given.</param>
    public static ReadBackAnswer Check(DumpRead intended, DumpRead readBack, DumpRead? before = null)
    {
        ArgumentNullException.ThrowIfNull(intended);
        ArgumentNullException.ThrowIfNull(readBack);
        PairComparison pair = PairComparison.Of([intended, readBack], 0, 1);
        int differing = pair.Blocks.Count(block => block != BlockClass.Equal);
        List<Finding> findings = [];
        if (pair.AreEqual && intended.Bytes.Length > 0)
        {
            findings.Add(
                new Finding(
                    Verdict.Ok,
                    "readback.exact",
                    readBack.Name,
                    "The chip holds the intended image, byte for byte.",
                    Source: Rule,
                    Todo: "After the first start the variable volume and the engine's state change by themselves: compare before power."
                )
            );
        }
        else if (intended.Bytes.Length == 0)
        {
            findings.Add(
                new Finding(
                    Verdict.Blocker,
                    "readback.empty",
                    intended.Name,
                    "The intended image holds no bytes.",
                    Source: Rule,
                    Todo: "Check the file."
                )
            );
        }
        foreach (DifferingStretch one in pair.Stretches)
        {
            findings.Add(Finding(one, intended, readBack, before));
        }
        if (before is not null && differing > 0 && readBack.Bytes.Span.SequenceEqual(before.Bytes.Span))
        {
            findings.Insert(
                0,
                new Finding(
                    Verdict.FixFirst,
                    "readback.not-written",
                    readBack.Name,
                    "The chip holds what it held before: nothing was written.",
                    Source: Rule,
                    Todo: "Look at the protect bits of the status register and the write-protect pin; set bits make a write do nothing, without an error."
                )
            );
        }
        bool exact = pair.AreEqual && intended.Bytes.Length > 0;
        return new ReadBackAnswer(
            exact,
            exact
                ? "Exact: the chip holds the intended image."
                : $"Not exact: {differing} of {pair.BlockCount} blocks of 4 KiB differ. Do not power the board.",
            Hash(intended),
            Hash(readBack),
            differing,
            pair.BlockCount,
            pair.Stretches,
            Core.Findings.Finding.WorstFirst(findings)
        );
    }

    private static Finding Finding(DifferingStretch one, DumpRead intended, DumpRead readBack, DumpRead? before)
    {
        (string code, string what, string todo) = Words(one, intended, readBack, before);
        return new Finding(
            Verdict.FixFirst,
            "readback." + code,
            $"{one.Start:X}h to {one.End - 1:X}h",
            what,
            $"{one.DifferingBytes} bytes, {one.DifferingBits} bits",
            Source: Rule,
            Todo: todo
        );
    }

    private static (string Code, string What, string Todo) Words(
        DifferingStretch one,
        DumpRead intended,
        DumpRead readBack,
        DumpRead? before
    )
    {
        if (one.Class == BlockClass.Missing)
        {
            return (
                "length",
                readBack.Bytes.Length < intended.Bytes.Length
                    ? "The read-back ends before the intended image."
                    : "The read-back is longer than the intended image.",
                "Read the whole chip with its right size; an image that is not as long as the chip does not belong on it as it is."
            );
        }
        if (before is not null && Same(one, readBack, before))
        {
            return (
                "not-written",
                "The chip holds what it held before writing.",
                "Protect bits of the status register or the write-protect pin: clear them as the data sheet says, then write again."
            );
        }
        ReadOnlySpan<byte> read = Stretch(one, readBack);
        if (!read.ContainsAnyExcept((byte)0xFF))
        {
            return (
                "erased",
                "The chip is erased there and was not programmed.",
                "Write again; hold the supply steady."
            );
        }
        if (OnlyCleared(Stretch(one, intended), read))
        {
            return (
                "not-erased",
                "Bits that should be 1 read 0 and none the other way: not erased before it was programmed, or lone read errors.",
                "Erase and write again, then read back twice."
            );
        }
        return one.Class switch
        {
            BlockClass.LoneBits or BlockClass.OneLine => (
                "lone-bits",
                "Lone bits read differently: noise of the read, or bits that did not take.",
                "Read back once more; where the same bits differ again, write again."
            ),
            BlockClass.ContactLost => (
                "contact-lost",
                "Runs of one value: contact was lost while reading.",
                "Seat the clip again and read back once more."
            ),
            BlockClass.Shifted => (
                "shifted",
                "The read-back is moved against the image: clocks lost or too many.",
                "Slow the clock and read back once more."
            ),
            BlockClass.OtherAddress => (
                "other-address",
                "The content of another address stands there.",
                "Check the address width, then write and read again."
            ),
            _ => (
                "other-content",
                "Other data than was written.",
                "Check that the right file was written to the right chip; has the board been powered since?"
            ),
        };
    }

    private static bool Same(DifferingStretch one, DumpRead readBack, DumpRead before) =>
        one.End <= before.Bytes.Length && Stretch(one, readBack).SequenceEqual(Stretch(one, before));

    private static ReadOnlySpan<byte> Stretch(DifferingStretch one, DumpRead read) =>
        read.Bytes.Span[(int)Math.Min(one.Start, read.Bytes.Length)..(int)Math.Min(one.End, read.Bytes.Length)];

    private static bool OnlyCleared(ReadOnlySpan<byte> intended, ReadOnlySpan<byte> read)
    {
        for (int i = 0; i < Math.Min(intended.Length, read.Length); i++)
        {
            if ((read[i] & ~intended[i]) != 0)
            {
                return false;
            }
        }
        return true;
    }

    private static string Hash(DumpRead read) => Convert.ToHexStringLower(SHA256.HashData(read.Bytes.Span));
}
