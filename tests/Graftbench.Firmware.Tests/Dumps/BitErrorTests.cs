using Graftbench.Firmware.Dumps;

namespace Graftbench.Firmware.Tests.Dumps;

/// <summary>Bit-error rate, the bad read and the vote, against published limits and worked numbers.</summary>
public sealed class BitErrorTests
{
    // Exact 95 % limits of a Poisson count, as tables of the chi-square distribution give them (Garwood 1936).
    public static readonly TheoryData<long, double, double> PoissonLimits = new()
    {
        { 1, 0.0253, 5.572 },
        { 5, 1.623, 11.668 },
        { 10, 4.795, 18.390 },
        { 100, 81.36, 121.63 },
    };

    [Theory, MemberData(nameof(PoissonLimits))]
    public void The_range_is_that_of_a_Poisson_count(long count, double low, double high)
    {
        BitErrorRate rate = BitErrorRate.Of(count, 1 << 20);
        double scale = 16.0 * (1 << 20);
        Assert.Equal(count, rate.RateFraction * scale, 1e-9);
        // The cube-root form is good to a few per cent for the smallest counts.
        Assert.InRange(rate.HighFraction * scale, 0.995 * high, 1.005 * high);
        Assert.InRange(rate.LowFraction * scale, Math.Min(0.9 * low, low - 0.02), low + 0.01);
    }

    [Fact]
    public void Nothing_seen_leaves_three_errors_possible()
    {
        BitErrorRate rate = BitErrorRate.Of(0, 1 << 24);
        Assert.Equal(0, rate.RateFraction);
        Assert.Equal(2.9957, rate.HighFraction * 16 * (1 << 24), 1e-3);
    }

    [Fact]
    public void Sixteen_mebibytes_at_one_in_ten_million()
    {
        // N = 16 MiB, p = 1e-7: 13.4 wrong bits a read, 26.8 between two reads, 4.0e-6 after a vote of three.
        const int N = 16 << 20;
        Assert.Equal(13.4, 8.0 * N * 1e-7, 0.05);
        Assert.Equal(1e-7, BitErrorRate.Of(27, N).RateFraction, 0.01e-7);
        Assert.Equal(4.0e-6, BitErrorRate.WrongAfterVoteNumber(3, N, 1e-7), 0.05e-6);
    }

    [Fact]
    public void Errors_of_three_reads_come_from_their_differences()
    {
        // 10, 20 and 200 wrong bits on places of their own: D12 = 30, D13 = 210, D23 = 220.
        long[,] differing =
        {
            { 0, 30, 210 },
            { 30, 0, 220 },
            { 210, 220, 0 },
        };
        Assert.Equal([10, 20, 200], BitErrorRate.ByRead(differing).Select(one => Math.Round(one, 9)));
    }

    [Fact]
    public void Errors_of_five_reads_come_from_their_differences()
    {
        double[] wrong = [3, 8, 1, 40, 12];
        long[,] differing = new long[5, 5];
        for (int i = 0; i < 5; i++)
        {
            for (int j = 0; j < 5; j++)
            {
                differing[i, j] = i == j ? 0 : (long)(wrong[i] + wrong[j]);
            }
        }
        Assert.Equal(wrong, BitErrorRate.ByRead(differing).Select(one => Math.Round(one, 9)));
    }

    [Fact]
    public void A_simulated_rate_comes_back_within_its_range_as_often_as_it_says()
    {
        byte[] truth = MadeDump.Image(5, 1 << 16);
        int inside = 0;
        const int Trials = 300;
        for (int trial = 0; trial < Trials; trial++)
        {
            (byte[] a, long flipsA) = Flipped(truth, 4e-5, (2 * trial) + 1);
            (byte[] b, long flipsB) = Flipped(truth, 4e-5, (2 * trial) + 2);
            DifferenceCounts counts = new();
            counts.Add(a, b, 0);
            Assert.InRange(counts.Bits, 0, flipsA + flipsB);
            BitErrorRate rate = BitErrorRate.Of(counts.Bits, truth.Length);
            inside += rate.LowFraction <= 4e-5 && 4e-5 <= rate.HighFraction ? 1 : 0;
        }
        // 95 % of 300 with four standard errors.
        Assert.InRange(inside / (double)Trials, 0.90, 1.0);
    }

    [Fact]
    public void A_vote_of_three_mends_lone_errors_and_counts_what_it_changed()
    {
        byte[] truth = MadeDump.Image(6);
        DumpRead[] reads =
        [
            MadeDump.Read(MadeDump.Noisy(truth, 10, 1), "a"),
            MadeDump.Read(MadeDump.Noisy(truth, 20, 2), "b"),
            MadeDump.Read(MadeDump.Noisy(truth, 30, 3), "c"),
        ];
        MajorityVote vote = MajorityVote.Of(reads, 2e-6);
        Assert.True(vote.Bytes.Span.SequenceEqual(truth));
        Assert.Equal([10, 20, 30], vote.ChangedBytes);
        Assert.Equal(0, vote.SplitBytes);
    }

    [Fact]
    public void Where_no_value_has_a_majority_the_vote_says_so()
    {
        byte[] truth = MadeDump.Image(6);
        byte[] a = [.. truth];
        byte[] b = [.. truth];
        byte[] c = [.. truth];
        a[5000] = 0x01;
        b[5000] = 0x02;
        c[5000] = 0x04;
        MajorityVote vote = MajorityVote.Of([MadeDump.Read(a), MadeDump.Read(b), MadeDump.Read(c)], 1e-7);
        Assert.Equal(1, vote.SplitBytes);
        Assert.Equal(0, vote.Bytes.Span[5000]);
    }

    private static (byte[] Bytes, long Flips) Flipped(byte[] truth, double rate, int seed)
    {
        byte[] flipped = [.. truth];
        Random random = new(seed);
        long flips = 0;
        // Gaps between errors of a fixed rate are geometric.
        for (long bit = Gap(); bit < 8L * truth.Length; bit += 1 + Gap())
        {
            flipped[bit / 8] ^= (byte)(1 << (int)(bit % 8));
            flips++;
        }
        return (flipped, flips);

        long Gap() => (long)Math.Floor(Math.Log(1 - random.NextDouble()) / Math.Log(1 - rate));
    }
}
