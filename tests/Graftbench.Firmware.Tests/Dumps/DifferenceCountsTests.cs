using System.Numerics;
using CsCheck;
using Graftbench.Firmware.Dumps;

namespace Graftbench.Firmware.Tests.Dumps;

/// <summary>The counting of differences, held against one written out bit by bit.</summary>
public sealed class DifferenceCountsTests
{
    [Fact]
    public void Counts_are_those_of_a_plain_walk_over_every_bit() =>
        Gen.Select(Gen.Int[1, 300], Gen.Int[0, 1000], Gen.Int[0, 400], Gen.Int[0, 1 << 20])
            .Sample(
                (length, seed, flips, block) =>
                {
                    Random random = new(seed);
                    byte[] a = new byte[length];
                    random.NextBytes(a);
                    byte[] b = [.. a];
                    for (int i = 0; i < flips; i++)
                    {
                        b[random.Next(length)] ^= (byte)(1 << random.Next(8));
                    }
                    long offset = 32L * block;
                    DifferenceCounts counts = new();
                    counts.Add(a, b, offset);
                    AssertPlain(counts, a, b, offset);
                }
            );

    [Fact]
    public void Stretches_add_up()
    {
        byte[] a = MadeDump.Image(3);
        byte[] b = MadeDump.Noisy(a, 500, 4);
        DifferenceCounts whole = new();
        whole.Add(a, b, 0);
        DifferenceCounts parts = new();
        for (int at = 0; at < a.Length; at += 65536)
        {
            DifferenceCounts part = new();
            part.Add(a.AsSpan(at, 65536), b.AsSpan(at, 65536), at);
            parts.Add(part);
        }
        Assert.Equal(500, whole.Bits);
        Assert.Equal(whole.AtAddressBit, parts.AtAddressBit);
        Assert.Equal(whole.SetInFirst, parts.SetInFirst);
        Assert.Equal(whole.SetInSecond, parts.SetInSecond);
        Assert.Equal((whole.Bytes, whole.SingleBitBytes), (parts.Bytes, parts.SingleBitBytes));
    }

    [Fact]
    public void Unlike_lengths_and_crooked_offsets_are_refused()
    {
        DifferenceCounts counts = new();
        Assert.Throws<ArgumentException>(() => counts.Add([1], [1, 2], 0));
        Assert.Throws<ArgumentException>(() => counts.Add([1], [2], 16));
    }

    private static void AssertPlain(DifferenceCounts counts, byte[] a, byte[] b, long offset)
    {
        long[] first = new long[8];
        long[] second = new long[8];
        long[] address = new long[DifferenceCounts.AddressBits];
        long bytes = 0;
        long single = 0;
        for (int i = 0; i < a.Length; i++)
        {
            int differ = a[i] ^ b[i];
            bytes += differ == 0 ? 0 : 1;
            single += BitOperations.PopCount((uint)differ) == 1 ? 1 : 0;
            for (int line = 0; line < 8; line++)
            {
                first[line] += differ >> line & a[i] >> line & 1;
                second[line] += differ >> line & b[i] >> line & 1;
            }
            for (int bit = 0; bit < address.Length && differ != 0; bit++)
            {
                address[bit] += (offset + i) >> bit & 1;
            }
        }
        Assert.Equal((bytes, single), (counts.Bytes, counts.SingleBitBytes));
        Assert.Equal(first, counts.SetInFirst);
        Assert.Equal(second, counts.SetInSecond);
        Assert.Equal(address, counts.AtAddressBit);
    }
}
