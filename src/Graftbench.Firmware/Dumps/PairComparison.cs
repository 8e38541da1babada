namespace Graftbench.Firmware.Dumps;

/// <summary>Two reads held against each other, block by block.</summary>
/// <remarks>
/// Blocks are first told apart by a plain comparison; only those that differ are counted and classified. A block that
/// differs is looked at in this order: a moved copy of the other read, lone bits, a run of one value, the content of another
/// address, other content. Thresholds are stated beside each test.
/// </remarks>
public sealed class PairComparison
{
    /// <summary>Size of a block [bytes]: the usual smallest erase unit.</summary>
    public const int BlockBytes = 4096;

    // A run of one value this long is no chance: 16 equal bytes.
    private const int RunBytes = 16;

    // "At least 95 % of the differing bytes differ in one bit."
    private const double LoneShareFraction = 0.95;

    // Above this share of bits, reads of unlike content look like noise too.
    private const double NoisiestFraction = 0.2;

    // Bits needed before one line is blamed: 2^-20 by chance if noise picks lines evenly... times 8 lines.
    private const int FewestLineBits = 16;

    private readonly byte[] classes;
    private readonly List<DifferingStretch> stretches = [];
    private int noisyBlocks;

    private PairComparison(int first, int second, long firstBytes, long secondBytes)
    {
        First = first;
        Second = second;
        CommonBytes = Math.Min(firstBytes, secondBytes);
        long longest = Math.Max(firstBytes, secondBytes);
        classes = new byte[(longest + BlockBytes - 1) / BlockBytes];
        LongestBytes = longest;
    }

    /// <summary>Index of the first read.</summary>
    public int First { get; }

    /// <summary>Index of the second read.</summary>
    public int Second { get; }

    /// <summary>Bytes that both reads have.</summary>
    public long CommonBytes { get; }

    /// <summary>Length of the longer read [bytes].</summary>
    public long LongestBytes { get; }

    /// <summary>Everything that differs.</summary>
    public DifferenceCounts All { get; } = new();

    /// <summary>What differs in blocks of lone bits only: what the bit-error rate is estimated from.</summary>
    public DifferenceCounts Noise { get; } = new();

    /// <summary>Equal byte for byte, and as long.</summary>
    public bool AreEqual => All.Bytes == 0 && CommonBytes == LongestBytes;

    /// <summary>Class of each block of the longer read.</summary>
    public IReadOnlyList<BlockClass> Blocks => [.. classes.Select(one => (BlockClass)one)];

    /// <summary>Stretches that differ, in order.</summary>
    public IReadOnlyList<DifferingStretch> Stretches => stretches;

    /// <summary>Data line to which all lone bits point; null where they do not.</summary>
    public int? WeakLine { get; private set; }

    /// <summary>Whether <see cref="WeakLine"/> is 1 in the first read where they differ.</summary>
    public bool WeakLineSetInFirst { get; private set; }

    /// <summary>Address bit on one side of which all differences lie although they are spread; null where there is none.</summary>
    public int? WeakAddressBit { get; private set; }

    internal int BlockCount => classes.Length;

    internal BlockClass ClassOf(long block) => (BlockClass)classes[block];

    /// <summary>Compares two reads.</summary>
    /// <param name="reads">All reads.</param>
    /// <param name="first">Index of the first.</param>
    /// <param name="second">Index of the second.</param>
    public static PairComparison Of(IReadOnlyList<DumpRead> reads, int first, int second)
    {
        ArgumentNullException.ThrowIfNull(reads);
        ReadOnlySpan<byte> a = reads[first].Bytes.Span;
        ReadOnlySpan<byte> b = reads[second].Bytes.Span;
        PairComparison pair = new(first, second, a.Length, b.Length);
        pair.Compare(a, b);
        pair.BlameLine();
        pair.BlameAddress();
        pair.AddMissing();
        return pair;
    }

    private void Compare(ReadOnlySpan<byte> a, ReadOnlySpan<byte> b)
    {
        int length = (int)CommonBytes;
        a = a[..length];
        b = b[..length];
        int at = 0;
        while (at < length)
        {
            int size = Math.Min(BlockBytes, length - at);
            if (a.Slice(at, size).SequenceEqual(b.Slice(at, size)))
            {
                at += size;
                continue;
            }
            if (MovedCopy.Find(a, b, at, at + size) is { } moved)
            {
                // The burst ends where it ends; its blocks are whole ones.
                int end = Math.Min(length, (moved.End + BlockBytes - 1) / BlockBytes * BlockBytes);
                Note(BlockClass.Shifted, at, end, Count(a[at..end], b[at..end], at), shift: moved.ShiftBits);
                at = end;
                continue;
            }
            DifferenceCounts counts = Count(a.Slice(at, size), b.Slice(at, size), at);
            Classify(a, b, at, size, counts);
            at += size;
        }
    }

    private void Classify(ReadOnlySpan<byte> a, ReadOnlySpan<byte> b, int at, int size, DifferenceCounts counts)
    {
        ReadOnlySpan<byte> mine = a.Slice(at, size);
        ReadOnlySpan<byte> other = b.Slice(at, size);
        if (IsNoise(counts, size))
        {
            Noise.Add(counts);
            noisyBlocks++;
            Note(BlockClass.LoneBits, at, at + size, counts);
        }
        else if (LostBy(mine, other, counts.Bytes) is { } bad)
        {
            Note(BlockClass.ContactLost, at, at + size, counts, bad: bad);
        }
        else if (OtherAddress(a, b, at, size) is { } found)
        {
            Note(BlockClass.OtherAddress, at, at + size, counts, bad: found.Bad, bit: found.Bit);
        }
        else
        {
            Note(BlockClass.OtherContent, at, at + size, counts);
        }
    }

    private static DifferenceCounts Count(ReadOnlySpan<byte> a, ReadOnlySpan<byte> b, long at)
    {
        DifferenceCounts counts = new();
        counts.Add(a, b, at);
        return counts;
    }

    /// <summary>The read that has runs of one value where the other has data; null where neither, or both, have.</summary>
    private static int? LostBy(ReadOnlySpan<byte> a, ReadOnlySpan<byte> b, long differing)
    {
        long inFirst = DifferingInRuns(a, b);
        long inSecond = DifferingInRuns(b, a);
        // Half of what differs must lie in such runs, and one read must own them.
        bool first = 2 * inFirst >= differing;
        bool second = 2 * inSecond >= differing;
        return first == second ? null
            : first ? 0
            : 1;
    }

    // Differing bytes inside runs of FFh or 00h of one read; only runs that differ in at least half of their bytes count,
    // so that a lone flipped bit in erased space does not make a run.
    private static long DifferingInRuns(ReadOnlySpan<byte> read, ReadOnlySpan<byte> other)
    {
        long found = 0;
        int i = 0;
        while (i < read.Length)
        {
            byte value = read[i];
            if (value is not (0xFF or 0x00) || read[i] == other[i])
            {
                i++;
                continue;
            }
            int differing = 0;
            int end = i;
            int last = i;
            while (end < read.Length && read[end] == value && end - last < RunBytes)
            {
                if (read[end] != other[end])
                {
                    differing++;
                    last = end;
                }
                end++;
            }
            int length = last + 1 - i;
            if (length >= RunBytes && 2 * differing >= length)
            {
                found += differing;
            }
            i = last + 1;
        }
        return found;
    }

    private static bool IsNoise(DifferenceCounts counts, int size)
    {
        double lone = (double)counts.SingleBitBytes / counts.Bytes;
        if (lone >= LoneShareFraction)
        {
            return true;
        }
        double rate = counts.Bits / (8.0 * size);
        // Bits that fail independently at this rate leave this share of lone ones among the bytes that differ.
        double clean = Math.Pow(1 - rate, 7);
        double expected = 8 * rate * clean / (1 - (clean * (1 - rate)));
        return rate < NoisiestFraction && lone >= LoneShareFraction * expected;
    }

    private static (int Bit, int Bad)? OtherAddress(ReadOnlySpan<byte> a, ReadOnlySpan<byte> b, int at, int size)
    {
        for (int step = BlockBytes; step < a.Length; step *= 2)
        {
            int there = at ^ step;
            if (there + size <= a.Length && there + size > there)
            {
                int bit = System.Numerics.BitOperations.Log2((uint)step);
                if (Holds(a, b, at, there, size))
                {
                    return (bit, 0);
                }
                if (Holds(b, a, at, there, size))
                {
                    return (bit, 1);
                }
            }
            if (step > int.MaxValue / 2)
            {
                break;
            }
        }
        return null;

        // A block of one value says nothing.
        static bool Holds(ReadOnlySpan<byte> read, ReadOnlySpan<byte> other, int at, int there, int size)
        {
            ReadOnlySpan<byte> block = read.Slice(at, size);
            return block.ContainsAnyExcept(block[0]) && block.SequenceEqual(other.Slice(there, size));
        }
    }

    private void Note(
        BlockClass kind,
        long start,
        long end,
        DifferenceCounts counts,
        int? bad = null,
        int shift = 0,
        int? bit = null
    )
    {
        All.Add(counts);
        Mark(kind, start, end);
        if (
            stretches.Count > 0
            && stretches[^1] is { } last
            && last.End == start
            && (last.Class, last.Bad, last.ShiftBits, last.AddressBit) == (kind, bad, shift, bit)
        )
        {
            stretches[^1] = last with
            {
                End = end,
                DifferingBytes = last.DifferingBytes + counts.Bytes,
                DifferingBits = last.DifferingBits + counts.Bits,
            };
            return;
        }
        stretches.Add(new DifferingStretch(kind, start, end, counts.Bytes, counts.Bits, bad, shift, bit));
    }

    private void Mark(BlockClass kind, long start, long end)
    {
        for (long block = start / BlockBytes; block * BlockBytes < end; block++)
        {
            classes[block] = (byte)kind;
        }
    }

    // All lone bits on one line and in one direction: that line, not noise.
    private void BlameLine()
    {
        for (int line = 0; line < 8; line++)
        {
            long most = Math.Max(Noise.SetInFirst[line], Noise.SetInSecond[line]);
            if (Noise.Bits < FewestLineBits || most < LoneShareFraction * Noise.Bits)
            {
                continue;
            }
            WeakLine = line;
            WeakLineSetInFirst = Noise.SetInFirst[line] > Noise.SetInSecond[line];
            for (int i = 0; i < stretches.Count; i++)
            {
                if (stretches[i].Class == BlockClass.LoneBits)
                {
                    stretches[i] = stretches[i] with { Class = BlockClass.OneLine };
                    Mark(BlockClass.OneLine, stretches[i].Start, stretches[i].End);
                }
            }
            return;
        }
    }

    // One side of an address bit holds all differences, while the bits beside it are even: spread, yet never there.
    private void BlameAddress()
    {
        const int FewestBytes = 64;
        const int FewestBlocks = 16;
        // Only spread errors tell: a burst lies on one side of many address bits.
        if (Noise.Bytes < FewestBytes || noisyBlocks < FewestBlocks)
        {
            return;
        }
        int highest = (int)Math.Log2(CommonBytes - 1);
        for (int bit = 0; bit <= highest; bit++)
        {
            bool below = bit == 0 || IsEven(bit - 1);
            bool above = bit == highest || IsEven(bit + 1);
            double share = Share(bit);
            if (below && above && highest > 0 && (share < 0.01 || share > 0.99))
            {
                WeakAddressBit = bit;
                return;
            }
        }

        double Share(int bit) => (double)Noise.AtAddressBit[bit] / Noise.Bytes;
        bool IsEven(int bit) => Share(bit) is > 0.2 and < 0.8;
    }

    private void AddMissing()
    {
        if (LongestBytes > CommonBytes)
        {
            Mark(BlockClass.Missing, CommonBytes, LongestBytes);
            stretches.Add(
                new DifferingStretch(BlockClass.Missing, CommonBytes, LongestBytes, LongestBytes - CommonBytes, 0)
            );
        }
    }
}
