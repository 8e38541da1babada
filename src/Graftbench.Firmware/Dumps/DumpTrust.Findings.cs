using System.Globalization;
using System.Numerics;
using Graftbench.Core.Findings;

namespace Graftbench.Firmware.Dumps;

public static partial class DumpTrust
{
    private const string Rule = "flash-read-rules";
    private const string Descriptors = "flash-descriptor";
    private const string Parameters = "jesd216";
    private const long SmallestChip = 64 << 10;
    private const string AgainTodo = "Seat the clip again and read the whole chip twice more.";

    private static void AddShape(List<Finding> findings, string where, ReadShape shape)
    {
        if (shape.Bytes == 0)
        {
            findings.Add(
                new Finding(
                    Verdict.Blocker,
                    "dump.empty",
                    where,
                    "The read holds no bytes.",
                    Source: Rule,
                    Todo: AgainTodo
                )
            );
            return;
        }
        if (shape.OneValue is { } value)
        {
            findings.Add(
                new Finding(
                    Verdict.Blocker,
                    "dump.blank",
                    where,
                    $"Every byte reads {value:X2}h.",
                    Source: Rule,
                    Todo: "No chip, no contact, no supply, the wrong voltage, or the board fights for the bus: check them, then read again. Only a new chip is truly blank."
                )
            );
            return;
        }
        if (shape.EqualParts > 1)
        {
            findings.Add(
                new Finding(
                    Verdict.FixFirst,
                    "dump.repeated",
                    where,
                    $"The same {Size(shape.Bytes / shape.EqualParts)} stand in it {shape.EqualParts} times.",
                    Size(shape.Bytes),
                    Source: Rule,
                    Todo: "The chip is smaller than was set, or larger than 16 MiB and read with 3-byte addresses: look up the marking, set the size, read again. If the board keeps two copies on purpose, compare with the chip's capacity."
                )
            );
        }
        if (shape.DeadAddressBits.Count > 0)
        {
            findings.Add(
                new Finding(
                    Verdict.FixFirst,
                    "dump.address-line",
                    where,
                    $"Address bit {Listed(shape.DeadAddressBits)} makes no difference: blocks {Size(1L << shape.DeadAddressBits[0])} apart are equal everywhere.",
                    Source: Rule,
                    Todo: "Check contact and address width of the programmer, then read again."
                )
            );
        }
        foreach ((IReadOnlyList<int> lines, string never, string level) in Stuck(shape))
        {
            findings.Add(
                new Finding(
                    Verdict.FixFirst,
                    "dump.data-line",
                    where,
                    $"Data bit {Listed(lines)} is never {never} in {Size(shape.Bytes)}.",
                    Source: Rule,
                    Todo: $"The line sticks {level}: check contact and level, then read again."
                )
            );
        }
        AddMoved(findings, where, shape.Marks);
    }

    private static (IReadOnlyList<int> Lines, string Never, string Level)[] Stuck(ReadShape shape) =>
        [.. new[] { (shape.NeverSet, "1", "low"), (shape.NeverClear, "0", "high") }.Where(one => one.Item1.Count > 0)];

    private static void AddMoved(List<Finding> findings, string where, ImageMarks marks)
    {
        if (marks.AreMovedByBits != 0)
        {
            findings.Add(
                new Finding(
                    Verdict.FixFirst,
                    "dump.moved-bits",
                    where,
                    $"Structures are there, but moved by {Count(marks.AreMovedByBits, "bit")}: a clock was lost.",
                    Source: Rule,
                    Todo: "Slow the clock or shorten the leads, then read again."
                )
            );
        }
        else if (marks.LostBits != 0)
        {
            long bytes = Math.Abs(marks.LostBits) / 8;
            findings.Add(
                new Finding(
                    Verdict.FixFirst,
                    "dump.late-start",
                    where,
                    marks.LostBits > 0
                        ? $"{Count(bytes, "byte")} are missing in front: structures start too early."
                        : $"{Count(bytes, "byte")} too many in front: structures start too late.",
                    Source: marks.DescriptorAt is null ? Rule : Descriptors,
                    Todo: "The first bytes were lost, or an answer of the programmer is in the file: read again, whole chip from address 0."
                )
            );
        }
    }

    private static void AddSizes(List<Finding> findings, IReadOnlyList<DumpRead> reads, ChipFacts chip)
    {
        long[] sizes = [.. reads.Select(read => (long)read.Bytes.Length).Distinct()];
        foreach (long size in sizes.Where(size => size > 0 && !IsChipSize(size)))
        {
            findings.Add(
                new Finding(
                    Verdict.Warning,
                    "dump.odd-size",
                    Where(size),
                    "The length is no power of two and no sum of two chips.",
                    $"{size} bytes",
                    $"64 KiB or more, power of two",
                    Rule,
                    "A cut read, or a file that is part of an image: check it against the chip's capacity."
                )
            );
        }
        long? stated = chip.CapacityBytes;
        if (chip.Sfdp is { } table)
        {
            ChipParameters own = ChipParameters.Read(table.Span);
            if (own.DensityBytes is not { } density)
            {
                findings.Add(
                    new Finding(
                        Verdict.Warning,
                        "dump.sfdp",
                        "chip",
                        $"Its parameter table cannot be used: {own.Problem}.",
                        Source: Parameters,
                        Todo: "Read the table again, or go by the marking."
                    )
                );
            }
            else if (stated is { } marking && marking != density)
            {
                findings.Add(
                    new Finding(
                        Verdict.FixFirst,
                        "dump.capacity-conflict",
                        "chip",
                        "The chip's parameter table gives another capacity than its marking.",
                        Size(density),
                        Size(marking),
                        Parameters,
                        "Look at the marking again; a remarked part has happened."
                    )
                );
            }
            stated = own.DensityBytes ?? stated;
        }
        if (stated is not { } capacity)
        {
            findings.Add(
                new Finding(
                    Verdict.Unknown,
                    "dump.capacity-not-given",
                    "chip",
                    "The chip's capacity was not given, so a read of part of it cannot be told.",
                    Source: Rule,
                    Todo: "Look up the marking and give the capacity."
                )
            );
            return;
        }
        foreach (long size in sizes.Where(size => size > 0 && size != capacity))
        {
            findings.Add(
                new Finding(
                    Verdict.FixFirst,
                    "dump.size",
                    Where(size),
                    size < capacity ? "The read is shorter than the chip." : "The read is longer than the chip.",
                    $"{size} bytes",
                    $"{capacity} bytes",
                    chip.Sfdp is null ? Rule : Parameters,
                    "Set the size of the chip and read it whole."
                )
            );
        }

        string Where(long size) =>
            sizes.Length == 1 && reads.Count > 1
                ? "all reads"
                : string.Join(", ", reads.Where(read => read.Bytes.Length == size).Select(read => read.Name));
    }

    private static bool IsChipSize(long size)
    {
        if (size < SmallestChip)
        {
            return false;
        }
        // One chip, or two of them one after the other.
        ulong whole = (ulong)size;
        return BitOperations.PopCount(whole) == 1
            || (BitOperations.PopCount(whole) == 2 && (whole & (~whole + 1)) >= (ulong)SmallestChip);
    }

    private static void AddStructure(List<Finding> findings, ReadShape[] shapes, DumpStructure? structure)
    {
        ImageMarks marks = shapes[0].Marks;
        if (shapes[0].Bytes == 0 || shapes[0].OneValue is not null)
        {
            return;
        }
        foreach (Finding finding in structure?.Findings ?? [])
        {
            if (finding.Verdict is Verdict.Blocker or Verdict.FixFirst)
            {
                findings.Add(finding);
            }
        }
        if (marks.BrokenVolumes.Count > 0 && structure is null)
        {
            findings.Add(
                new Finding(
                    Verdict.FixFirst,
                    "dump.volume-sum",
                    $"at {marks.BrokenVolumes[0]:X}h",
                    $"{Count(marks.BrokenVolumes.Count, "volume header")} with a wrong sum.",
                    Source: "uefi-pi-volumes",
                    Todo: "Read again; if it stays the same the chip's content is damaged."
                )
            );
        }
        if (!marks.Any && structure is not { Found: true })
        {
            findings.Add(
                new Finding(
                    Verdict.Unknown,
                    "dump.no-structure",
                    "all reads",
                    "Nothing was found in it that could be checked: no flash descriptor, no firmware volume, no start of a PC.",
                    Source: Rule,
                    Todo: "Make sure that it is the boot memory of this board; nothing more can be said of it here."
                )
            );
        }
    }

    private static void AddBadRead(
        List<Finding> findings,
        IReadOnlyList<DumpRead> reads,
        int[] groups,
        List<PairComparison> pairs,
        double?[] wrong
    )
    {
        if (pairs.Count == 0 || reads.Count < 3)
        {
            return;
        }
        IGrouping<int, int>? most = groups.GroupBy(one => one).MaxBy(one => one.Count());
        if (most is not null && 2 * most.Count() > groups.Length)
        {
            string others = string.Join(
                ", ",
                Enumerable.Range(0, reads.Count).Where(i => groups[i] != most.Key).Select(i => reads[i].Name)
            );
            findings.Add(
                new Finding(
                    Verdict.Warning,
                    "dump.bad-read",
                    others,
                    $"{most.Count()} of {groups.Length} reads are equal, not this one.",
                    Source: Rule,
                    Todo: "Find out why, then give the equal reads alone, or read once more."
                )
            );
            return;
        }
        int worst = Enumerable.Range(0, reads.Count).MaxBy(i => wrong[groups[i]] ?? 0);
        double most_ = wrong[groups[worst]] ?? 0;
        double rest = Enumerable.Range(0, reads.Count).Where(i => i != worst).Max(i => wrong[groups[i]] ?? 0);
        // Two standard errors of a Poisson count above the next one.
        if (most_ - rest > 2 * Math.Sqrt(most_ + rest))
        {
            findings.Add(
                new Finding(
                    Verdict.Warning,
                    "dump.bad-read",
                    reads[worst].Name,
                    $"By the differences of all pairs this read has most errors: about {most_:0} bits.",
                    $"the next about {rest:0}",
                    Source: Rule,
                    Todo: "Leave it out and read again."
                )
            );
        }
    }

    private static void AddVote(List<Finding> findings, MajorityVote? vote)
    {
        if (vote is not null)
        {
            findings.Add(
                new Finding(
                    Verdict.Warning,
                    "dump.vote",
                    "all reads",
                    $"A vote of the reads is a suggestion, no dump: it leaves about {Small(vote.WrongBitsNumber)} wrong bits if all errors are independent noise, and any number if not.",
                    $"{Count(vote.SplitBytes, "byte")} without a majority",
                    Source: Rule,
                    Todo: "Read until two reads are equal; never write a voted image to the board."
                )
            );
        }
    }

    private static void AddCount(
        List<Finding> findings,
        IReadOnlyList<DumpRead> reads,
        List<PairComparison> pairs,
        BitErrorRate? rate
    )
    {
        if (reads.Count == 1)
        {
            findings.Add(
                new Finding(
                    Verdict.Unknown,
                    "dump.one-read",
                    reads[0].Name,
                    "One read is never trusted.",
                    "1 read",
                    "2 equal reads",
                    Rule,
                    "Seat the clip again and read the whole chip once more."
                )
            );
        }
        else if (pairs.Count == 0 && rate is not null)
        {
            findings.Add(
                new Finding(
                    Verdict.Ok,
                    "dump.equal",
                    "all reads",
                    $"{reads.Count} reads are equal byte for byte.",
                    $"wrong bits: fewer than {Small(8.0 * reads[0].Bytes.Length * rate.HighFraction)} a read (95 %), if errors are independent",
                    Source: Rule,
                    Todo: "Equal reads say nothing if the clip stayed on: seat it again in between. Keep them in two places."
                )
            );
        }
    }

    internal static string Size(long bytes) =>
        bytes switch
        {
            >= 1 << 20 when bytes % (1 << 20) == 0 => $"{bytes >> 20} MiB",
            >= 1 << 10 when bytes % (1 << 10) == 0 => $"{bytes >> 10} KiB",
            _ => Count(bytes, "byte"),
        };

    private static string Count(long count, string what) => count == 1 ? $"1 {what}" : $"{count} {what}s";

    private static string Listed(IReadOnlyList<int> numbers) => string.Join(", ", numbers);

    private static string Small(double number) => number.ToString("G2", CultureInfo.InvariantCulture);

    private static string Moves(List<DifferingStretch> all) =>
        string.Join(
            " and ",
            all.Select(stretch => stretch.ShiftBits)
                .Distinct()
                .Order()
                .Select(bits =>
                    (Math.Abs(bits) % 8 == 0 ? Count(Math.Abs(bits) / 8, "byte") : Count(Math.Abs(bits), "bit"))
                    + (bits > 0 ? " ahead of" : " behind")
                )
        );

    private static string Places(List<DifferingStretch> all)
    {
        const int Shown = 4;
        string listed = string.Join(", ", all.Take(Shown).Select(one => $"{one.Start:X}h to {one.End - 1:X}h"));
        return all.Count > Shown ? $"{listed} and {all.Count - Shown} more" : listed;
    }
}
