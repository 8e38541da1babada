namespace Graftbench.Firmware.Dumps;

/// <summary>How often a bit was read wrongly, from what differs between reads.</summary>
/// <remarks>
/// Each of two reads of N bytes errs on about 8·N·p bits, so they differ in about 16·N·p: p = D / (16·N). Range: 95 % for a
/// Poisson count (Wilson and Hilferty's cube-root form of its exact limits). Errors that fall on the same bit of both reads
/// stay unseen; for p below 1 % that is less than 1 % of them.
/// </remarks>
/// <param name="RateFraction">Estimate of p.</param>
/// <param name="LowFraction">Lower end of its 95 % range.</param>
/// <param name="HighFraction">Upper end of its 95 % range; where nothing differs, what would still be missed.</param>
public sealed record BitErrorRate(double RateFraction, double LowFraction, double HighFraction)
{
    private const double Normal95 = 1.959964;

    /// <summary>From two reads.</summary>
    /// <param name="differingBits">Bits that differ for no other reason than noise.</param>
    /// <param name="bytes">Bytes compared, above 0.</param>
    public static BitErrorRate Of(long differingBits, long bytes)
    {
        ArgumentOutOfRangeException.ThrowIfNegative(differingBits);
        ArgumentOutOfRangeException.ThrowIfNegativeOrZero(bytes);
        double scale = 16.0 * bytes;
        double d = differingBits;
        double low = d == 0 ? 0 : d * Cube(1 - (1 / (9 * d)) - (Normal95 / (3 * Math.Sqrt(d))));
        double up = d + 1;
        // Nothing seen: one-sided 95 %, -ln 0.05.
        double high = d == 0 ? -Math.Log(0.05) : up * Cube(1 - (1 / (9 * up)) + (Normal95 / (3 * Math.Sqrt(up))));
        return new BitErrorRate(d / scale, Math.Max(0, low) / scale, high / scale);

        static double Cube(double x) => x * x * x;
    }

    /// <summary>Errors of each read, from the differences of all pairs by least squares.</summary>
    /// <remarks>D(i,j) = e(i) + e(j); for three reads e(1) = (D12 + D13 − D23) / 2.</remarks>
    /// <param name="differingBits">Bits that differ, by pair; symmetric, at least three reads.</param>
    public static IReadOnlyList<double> ByRead(long[,] differingBits)
    {
        ArgumentNullException.ThrowIfNull(differingBits);
        int count = differingBits.GetLength(0);
        ArgumentOutOfRangeException.ThrowIfLessThan(count, 3, nameof(differingBits));
        double[] rows = new double[count];
        double total = 0;
        for (int i = 0; i < count; i++)
        {
            for (int j = 0; j < count; j++)
            {
                rows[i] += i == j ? 0 : differingBits[i, j];
            }
            total += rows[i] / 2;
        }
        return [.. rows.Select(row => (row - (total / (count - 1))) / (count - 2))];
    }

    /// <summary>Wrong bits that a bitwise majority is expected to leave.</summary>
    /// <param name="reads">Number of reads, odd.</param>
    /// <param name="bytes">Length [bytes].</param>
    /// <param name="rateFraction">Bit-error rate of each read, independent.</param>
    public static double WrongAfterVoteNumber(int reads, long bytes, double rateFraction)
    {
        ArgumentOutOfRangeException.ThrowIfLessThan(reads, 1);
        double wrong = 0;
        double ways = 1;
        for (int k = 0; k <= reads; k++)
        {
            if (2 * k > reads)
            {
                wrong += ways * Math.Pow(rateFraction, k) * Math.Pow(1 - rateFraction, reads - k);
            }
            ways = ways * (reads - k) / (k + 1);
        }
        return 8.0 * bytes * wrong;
    }
}

/// <summary>What a vote of the reads would say, bit by bit. A suggestion, never a trusted dump.</summary>
/// <param name="Bytes">The voted bytes.</param>
/// <param name="ChangedBytes">Bytes that differ from the read, by read.</param>
/// <param name="SplitBytes">Bytes of which no value has more than half of the votes: the vote mixes bits there.</param>
/// <param name="WrongBitsNumber">Wrong bits expected in it if all errors are independent noise.</param>
public sealed record MajorityVote(
    ReadOnlyMemory<byte> Bytes,
    IReadOnlyList<long> ChangedBytes,
    long SplitBytes,
    double WrongBitsNumber
)
{
    /// <summary>Votes. Reads of an even number: the last one is left out, so that no bit ties.</summary>
    /// <param name="reads">At least three reads of one length.</param>
    /// <param name="rateFraction">Bit-error rate of a read.</param>
    public static MajorityVote Of(IReadOnlyList<DumpRead> reads, double rateFraction)
    {
        ArgumentNullException.ThrowIfNull(reads);
        ArgumentOutOfRangeException.ThrowIfLessThan(reads.Count, 3, nameof(reads));
        int voters = reads.Count - (1 - (reads.Count % 2));
        int length = reads[0].Bytes.Length;
        if (reads.Any(read => read.Bytes.Length != length))
        {
            throw new ArgumentException("Must all be of one length.", nameof(reads));
        }
        byte[] voted = new byte[length];
        long[] changed = new long[reads.Count];
        long split = 0;
        ReadOnlySpan<byte> first = reads[0].Bytes.Span;
        byte[] votes = new byte[voters];
        for (int at = 0; at < length; at += PairComparison.BlockBytes)
        {
            int size = Math.Min(PairComparison.BlockBytes, length - at);
            first.Slice(at, size).CopyTo(voted.AsSpan(at));
            bool equal = true;
            for (int read = 1; read < reads.Count; read++)
            {
                equal &= first.Slice(at, size).SequenceEqual(reads[read].Bytes.Span.Slice(at, size));
            }
            for (int i = at; !equal && i < at + size; i++)
            {
                split += VoteByte(reads, votes, i, voted) ? 0 : 1;
                for (int read = 0; read < reads.Count; read++)
                {
                    changed[read] += reads[read].Bytes.Span[i] == voted[i] ? 0 : 1;
                }
            }
        }
        return new MajorityVote(voted, changed, split, BitErrorRate.WrongAfterVoteNumber(voters, length, rateFraction));
    }

    private static bool VoteByte(IReadOnlyList<DumpRead> reads, byte[] votes, int at, byte[] voted)
    {
        int result = 0;
        for (int read = 0; read < votes.Length; read++)
        {
            votes[read] = reads[read].Bytes.Span[at];
        }
        for (int line = 0; line < 8; line++)
        {
            int ones = votes.Count(vote => (vote >> line & 1) == 1);
            result |= 2 * ones > votes.Length ? 1 << line : 0;
        }
        voted[at] = (byte)result;
        return 2 * votes.Count(vote => vote == result) > votes.Length;
    }
}
