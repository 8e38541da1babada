using System.Text;
using Graftbench.Firmware.Reading;
using Graftbench.Firmware.Scanning;
using Graftbench.Firmware.Tree;
using Graftbench.Tests.Shared.Firmware;

namespace Graftbench.Firmware.Tests;

/// <summary>The scans that go over all bytes, against plain loops that do the same slowly.</summary>
public class ScanTests
{
    [Fact]
    public void All_signatures_are_found_where_a_plain_loop_finds_them()
    {
        Random random = new(1);
        for (int trial = 0; trial < 300; trial++)
        {
            byte[] bytes = new byte[random.Next(3000)];
            if (trial % 3 == 0)
            {
                random.NextBytes(bytes);
            }
            for (int i = random.Next(40); i > 0; i--)
            {
                byte[] text = Signatures.All[random.Next(Signatures.All.Count)].Text;
                int at = random.Next(bytes.Length + 1) & (random.Next(2) == 0 ? ~15 : ~0);
                text.AsSpan(0, Math.Min(text.Length, bytes.Length - at)).CopyTo(bytes.AsSpan(at));
            }
            List<Mark> marks = [];
            Assert.True(SignatureScan.Find(bytes, marks, int.MaxValue));
            Assert.Equal(Slow(bytes), marks.Select(mark => (mark.Start, mark.Kind)).Order());
        }
    }

    [Fact]
    public void All_readable_runs_are_found_where_a_plain_loop_finds_them()
    {
        Random random = new(2);
        for (int trial = 0; trial < 500; trial++)
        {
            byte[] bytes = new byte[random.Next(700)];
            if (trial % 4 == 0)
            {
                random.NextBytes(bytes);
            }
            for (int i = random.Next(20); i > 0; i--)
            {
                string text = new((char)random.Next(0x20, 0x7F), random.Next(1, 150));
                byte[] put = random.Next(2) == 0 ? Bytes.Ascii(text) : Bytes.Wide(text);
                int at = random.Next(bytes.Length + 1);
                put.AsSpan(0, Math.Min(put.Length, bytes.Length - at)).CopyTo(bytes.AsSpan(at));
            }
            ByteSpace space = new(0, "test", bytes, null);
            List<TextRun> runs = [];
            Assert.True(TextScan.Find(space, runs, int.MaxValue));
            Assert.Equal(SlowRuns(bytes), runs.Select(run => (run.Start, run.Characters, run.IsWide)).Order());
        }
    }

    [Fact]
    public void A_text_is_found_in_both_forms_and_in_unpacked_contents()
    {
        ImageTree tree = ImageReader.Read(SmallImages.All["board"]);
        SearchHit serial = Assert.Single(ImageSearch.Text(tree, "BENCH00012345", 10));
        Assert.Equal((0x3013, "ASCII"), (serial.Range.Start, serial.How));
        SearchHit name = Assert.Single(ImageSearch.Text(tree, "BenchDriver", 10));
        Assert.Equal("UTF-16", name.How);
        Assert.False(name.Leaf.Space.IsFile);
        Assert.Equal(4, ImageSearch.Bytes(tree, "_FVH"u8, 10).Count);
        Assert.Single(ImageSearch.Bytes(tree, "_FVH"u8, 1));
        Assert.Contains(tree.Texts, run => run.Text == "SN=BENCH00012345");
        Assert.Contains(tree.Texts, run => run is { IsWide: true, Text: "BenchDriver" });
    }

    [Fact]
    public void Sums_are_those_of_plain_loops()
    {
        Random random = new(3);
        for (int length = 0; length < 300; length++)
        {
            byte[] bytes = new byte[length];
            random.NextBytes(bytes);
            for (int from = 0; from < Math.Min(3, length); from++)
            {
                ReadOnlySpan<byte> part = bytes.AsSpan(from);
                Assert.Equal(Bytes.Sum8(part), Sums.Bytes(part));
                Assert.Equal(Bytes.Sum16(part), Sums.Words(part));
                Assert.Equal(Bytes.Sum32(part), Sums.DoubleWords(part));
            }
        }
    }

    [Fact]
    public void The_crc_is_the_standards() =>
        // Check value of the catalogued CRC-32: the digits 1 to 9.
        Assert.Equal(0xCBF43926u, Crc32.Of("123456789"u8));

    [Fact]
    public void Random_bytes_look_packed_and_others_do_not()
    {
        for (int seed = 0; seed < 100; seed++)
        {
            Assert.True(Entropy.LooksPacked(Bytes.Noise(Entropy.Shortest, seed)));
        }
        Assert.Equal(0, Entropy.Ratio(new byte[4096]));
        // All 256 values equally often: 8 bits.
        Assert.Equal(1, Entropy.Ratio([.. Enumerable.Range(0, 4096).Select(i => (byte)i)]), 1e-12);
        // Two values equally often: 1 bit of 8.
        Assert.Equal(0.125, Entropy.Ratio([.. Enumerable.Range(0, 4096).Select(i => (byte)(i & 1))]), 1e-12);
        Assert.False(
            Entropy.LooksPacked(Encoding.ASCII.GetBytes(string.Concat(Enumerable.Repeat("plain text, ", 500))))
        );
    }

    private static IEnumerable<(int Start, MarkKind Kind)> Slow(byte[] bytes)
    {
        List<(int, MarkKind)> found = [];
        foreach (Signatures.Signature signature in Signatures.All)
        {
            for (int at = signature.Before; at + signature.Text.Length <= bytes.Length; at++)
            {
                if (
                    at % signature.Alignment == 0
                    && bytes.AsSpan(at, signature.Text.Length).SequenceEqual(signature.Text)
                )
                {
                    found.Add((at - signature.Before, signature.Kind));
                }
            }
        }
        return found.Order();
    }

    private static IEnumerable<(int, int, bool)> SlowRuns(byte[] bytes)
    {
        List<(int, int, bool)> found = [];
        for (int start = 0; start < bytes.Length; start++)
        {
            int length = 0;
            while (start + length < bytes.Length && IsPrintable(bytes[start + length]))
            {
                length++;
            }
            if (length >= TextScan.ShortestRun && (start == 0 || !IsPrintable(bytes[start - 1])))
            {
                found.Add((start, length, false));
            }
            int wide = 0;
            while (start + 2 * wide + 1 < bytes.Length && IsWide(bytes, start + 2 * wide))
            {
                wide++;
            }
            if (wide >= TextScan.ShortestRun && (start < 2 || !IsWide(bytes, start - 2)))
            {
                found.Add((start, wide, true));
            }
        }
        return found.Order();
    }

    private static bool IsPrintable(byte value) => value is >= 0x20 and <= 0x7E;

    private static bool IsWide(byte[] bytes, int at) => IsPrintable(bytes[at]) && bytes[at + 1] == 0;
}
