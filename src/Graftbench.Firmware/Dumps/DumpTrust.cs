using System.Security.Cryptography;
using Graftbench.Core.Findings;

namespace Graftbench.Firmware.Dumps;

/// <summary>Says whether reads of one chip may be trusted.</summary>
/// <remarks>
/// Two reads that are equal exclude random noise only. They do not exclude a wrong size, a stuck line, another chip or a
/// protected region: so each read is also looked at by itself, and where structures of a boot image are found, their sums must
/// hold. One read is never trusted.
/// </remarks>
public static partial class DumpTrust
{
    /// <summary>Most reads that are compared at once.</summary>
    public const int MaxReads = 16;

    /// <summary>Largest read [bytes]; above any boot memory of a board today.</summary>
    public const long MaxBytes = 256L << 20;

    /// <summary>Judges the reads.</summary>
    /// <param name="reads">One to <see cref="MaxReads"/> reads of one chip.</param>
    /// <param name="chip">What is known of the chip.</param>
    /// <param name="structure">
    /// What a reader of the structures inside says of the first read: worse than a warning speaks against it. Null where none looked.
    /// </param>
    /// <exception cref="ArgumentException">No read, too many, or one too large.</exception>
    public static DumpAnswer Judge(
        IReadOnlyList<DumpRead> reads,
        ChipFacts? chip = null,
        DumpStructure? structure = null
    )
    {
        ArgumentNullException.ThrowIfNull(reads);
        if (reads.Count is 0 or > MaxReads)
        {
            throw new ArgumentException($"Must be 1 to {MaxReads} reads.", nameof(reads));
        }
        if (reads.Any(read => read.Bytes.Length > MaxBytes))
        {
            throw new ArgumentException($"A read is larger than {MaxBytes} bytes.", nameof(reads));
        }
        ReadShape[] shapes = [.. reads.Select(read => ReadShape.Of(read.Bytes.Span))];
        string[] hashes = [.. reads.Select(read => Convert.ToHexStringLower(SHA256.HashData(read.Bytes.Span)))];
        int[] groups = Groups(reads);
        List<PairComparison> pairs = Pairs(reads, groups);
        int lengths = reads.Select(read => read.Bytes.Length).Distinct().Count();
        BitErrorRate? rate = Rate(reads, pairs);
        double?[] wrong = WrongBits(groups, pairs);
        MajorityVote? vote =
            pairs.Count > 0 && lengths == 1 && reads.Count > 2 ? MajorityVote.Of(reads, rate!.RateFraction) : null;
        int[] alone = Alone(reads, groups, pairs);
        DumpMap map = new(PairComparison.BlockBytes, Signs(reads, pairs), alone);

        List<Finding> findings = [];
        for (int i = 0; i < reads.Count; i++)
        {
            // The same words once for equal reads.
            if (groups[i] == i)
            {
                string where =
                    pairs.Count == 0 && reads.Count > 1
                        ? "all reads"
                        : string.Join(
                            ", ",
                            Enumerable.Range(i, reads.Count - i).Where(j => groups[j] == i).Select(j => reads[j].Name)
                        );
                AddShape(findings, where, shapes[i]);
            }
        }
        AddSizes(findings, reads, chip ?? new ChipFacts());
        AddStructure(findings, shapes, structure);
        foreach (PairComparison pair in pairs)
        {
            AddPair(findings, reads, pair, shapes);
        }
        AddBadRead(findings, reads, groups, pairs, wrong);
        AddVote(findings, vote);
        AddCount(findings, reads, pairs, rate);
        IReadOnlyList<Finding> sorted = Finding.WorstFirst(findings);
        DumpState state = State(reads, pairs, sorted);
        return new DumpAnswer
        {
            State = state,
            Summary = Summary(state, reads, pairs, sorted),
            Reads =
            [
                .. reads.Select(
                    (read, i) =>
                        new ReadAnswer(
                            read.Name,
                            read.Bytes.Length,
                            hashes[i],
                            shapes[i],
                            wrong[groups[i]],
                            alone.LongCount(one => one == i)
                        )
                ),
            ],
            Pairs = pairs,
            ErrorRate = rate,
            Vote = vote,
            Map = map,
            Findings = sorted,
        };
    }

    private static DumpState State(
        IReadOnlyList<DumpRead> reads,
        List<PairComparison> pairs,
        IReadOnlyList<Finding> findings
    )
    {
        Verdict worst = Finding.Worst(findings);
        if (worst is Verdict.Blocker or Verdict.FixFirst || pairs.Count > 0)
        {
            return DumpState.NotTrusted;
        }
        return reads.Count < 2 || worst == Verdict.Unknown || findings.Any(one => one.Verdict == Verdict.Unknown)
            ? DumpState.Unknown
            : DumpState.Trusted;
    }

    private static string Summary(
        DumpState state,
        IReadOnlyList<DumpRead> reads,
        List<PairComparison> pairs,
        IReadOnlyList<Finding> findings
    ) =>
        state switch
        {
            DumpState.Trusted => $"Trusted: {reads.Count} reads of {Size(reads[0].Bytes.Length)} are equal.",
            DumpState.Unknown when reads.Count < 2 => "Not known: one read proves nothing, read the chip again.",
            DumpState.Unknown => $"Not known: {findings.First(one => one.Verdict == Verdict.Unknown).What}",
            _ when pairs.Count > 0 => $"Not trusted: the reads differ. {findings[0].What}",
            _ => $"Not trusted: {findings[0].What}",
        };

    // Equal reads get the index of the first of them.
    private static int[] Groups(IReadOnlyList<DumpRead> reads)
    {
        int[] groups = new int[reads.Count];
        for (int i = 0; i < reads.Count; i++)
        {
            groups[i] = i;
            for (int j = 0; j < i; j++)
            {
                if (groups[j] == j && reads[i].Bytes.Span.SequenceEqual(reads[j].Bytes.Span))
                {
                    groups[i] = j;
                    break;
                }
            }
        }
        return groups;
    }

    private static List<PairComparison> Pairs(IReadOnlyList<DumpRead> reads, int[] groups)
    {
        int[] unlike = [.. groups.Distinct()];
        List<PairComparison> pairs = [];
        for (int i = 0; i < unlike.Length; i++)
        {
            for (int j = i + 1; j < unlike.Length; j++)
            {
                pairs.Add(PairComparison.Of(reads, unlike[i], unlike[j]));
            }
        }
        return pairs;
    }

    private static BitErrorRate? Rate(IReadOnlyList<DumpRead> reads, List<PairComparison> pairs)
    {
        long shortest = reads.Min(read => (long)read.Bytes.Length);
        if (reads.Count < 2 || shortest == 0)
        {
            return null;
        }
        return BitErrorRate.Of(pairs.Count == 0 ? 0 : pairs.Max(pair => pair.Noise.Bits), shortest);
    }

    // By index of read; only those that stand for their group are filled.
    private static double?[] WrongBits(int[] groups, List<PairComparison> pairs)
    {
        double?[] wrong = new double?[groups.Length];
        if (pairs.Count == 0 || groups.Length < 3)
        {
            return wrong;
        }
        long[,] differing = new long[groups.Length, groups.Length];
        for (int i = 0; i < groups.Length; i++)
        {
            for (int j = 0; j < groups.Length; j++)
            {
                int low = Math.Min(groups[i], groups[j]);
                int high = Math.Max(groups[i], groups[j]);
                differing[i, j] =
                    low == high ? 0 : pairs.First(pair => pair.First == low && pair.Second == high).All.Bits;
            }
        }
        IReadOnlyList<double> errors = BitErrorRate.ByRead(differing);
        for (int i = 0; i < groups.Length; i++)
        {
            wrong[groups[i]] = Math.Max(0, errors[groups[i]]);
        }
        return wrong;
    }

    // For each block: the one read that differs from the others while those agree; -1 where there is none.
    private static int[] Alone(IReadOnlyList<DumpRead> reads, int[] groups, List<PairComparison> pairs)
    {
        long longest = reads.Max(read => (long)read.Bytes.Length);
        int[] alone = new int[(longest + PairComparison.BlockBytes - 1) / PairComparison.BlockBytes];
        Array.Fill(alone, -1);
        if (reads.Count < 3 || pairs.Count == 0)
        {
            return alone;
        }
        for (int block = 0; block < alone.Length; block++)
        {
            int start = block * PairComparison.BlockBytes;
            for (int read = 0; read < reads.Count && alone[block] < 0; read++)
            {
                int[] others = [.. Enumerable.Range(0, reads.Count).Where(one => one != read)];
                ReadOnlySpan<byte> theirs = Block(reads[others[0]], start);
                bool agree = !theirs.SequenceEqual(Block(reads[read], start));
                for (int i = 1; i < others.Length && agree; i++)
                {
                    agree =
                        groups[others[i]] == groups[others[0]] || theirs.SequenceEqual(Block(reads[others[i]], start));
                }
                if (agree)
                {
                    alone[block] = read;
                }
            }
        }
        return alone;
    }

    private static ReadOnlySpan<byte> Block(DumpRead read, int start)
    {
        ReadOnlySpan<byte> bytes = read.Bytes.Span;
        return start >= bytes.Length
            ? []
            : bytes.Slice(start, Math.Min(PairComparison.BlockBytes, bytes.Length - start));
    }

    private static string Signs(IReadOnlyList<DumpRead> reads, List<PairComparison> pairs)
    {
        DumpRead longest = reads.MaxBy(read => read.Bytes.Length)!;
        int count = (longest.Bytes.Length + PairComparison.BlockBytes - 1) / PairComparison.BlockBytes;
        return string.Create(
            count,
            (longest, pairs),
            static (signs, given) =>
            {
                for (int block = 0; block < signs.Length; block++)
                {
                    BlockClass worst = BlockClass.Equal;
                    foreach (PairComparison pair in given.pairs)
                    {
                        BlockClass here = block < pair.BlockCount ? pair.ClassOf(block) : BlockClass.Equal;
                        worst = here > worst ? here : worst;
                    }
                    ReadOnlySpan<byte> bytes = Block(given.longest, block * PairComparison.BlockBytes);
                    signs[block] = worst switch
                    {
                        BlockClass.LoneBits => 'n',
                        BlockClass.OneLine => 'l',
                        BlockClass.ContactLost => 'c',
                        BlockClass.Shifted => 's',
                        BlockClass.OtherAddress => 'a',
                        BlockClass.OtherContent => 'd',
                        BlockClass.Missing => '-',
                        _ when bytes.ContainsAnyExcept(bytes[0]) => '=',
                        _ => bytes[0] switch
                        {
                            0xFF => 'F',
                            0x00 => '0',
                            _ => '=',
                        },
                    };
                }
            }
        );
    }
}
