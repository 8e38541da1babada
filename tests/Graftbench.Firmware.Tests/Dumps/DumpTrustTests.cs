using CsCheck;
using Graftbench.Core.Findings;
using Graftbench.Firmware.Dumps;

namespace Graftbench.Firmware.Tests.Dumps;

/// <summary>What is said of reads: each fault of a reader, made on purpose, is told by its name.</summary>
public sealed class DumpTrustTests
{
    private static readonly byte[] Good = MadeDump.Image();
    private static readonly ChipFacts Chip = new(MadeDump.Size);

    private static DumpAnswer Judge(params byte[][] reads) =>
        DumpTrust.Judge([.. reads.Select((bytes, i) => new DumpRead($"read{i + 1}.bin", bytes))], Chip);

    private static Finding Only(DumpAnswer answer, string code) =>
        Assert.Single(answer.Findings, one => one.Code == code);

    [Fact]
    public void Two_equal_reads_with_structure_and_the_right_size_are_trusted()
    {
        DumpAnswer answer = Judge(Good, [.. Good]);
        Assert.Equal(DumpState.Trusted, answer.State);
        Assert.Empty(answer.Pairs);
        Assert.Equal(answer.Reads[0].Sha256, answer.Reads[1].Sha256);
        Assert.All(answer.Map.Signs, sign => Assert.Contains(sign, "=F0"));
        Assert.Equal(256, answer.Map.Signs.Length);
        Assert.InRange(answer.Map.Signs.Count(sign => sign == 'F'), 80, 130);
    }

    [Fact]
    public void One_read_is_never_trusted()
    {
        DumpAnswer answer = Judge(Good);
        Assert.Equal(DumpState.Unknown, answer.State);
        Only(answer, "dump.one-read");
    }

    [Fact]
    public void Without_the_capacity_of_the_chip_it_is_not_known()
    {
        DumpAnswer answer = DumpTrust.Judge([new("a", Good), new("b", Good)]);
        Assert.Equal(DumpState.Unknown, answer.State);
        Only(answer, "dump.capacity-not-given");
    }

    [Fact]
    public void Equal_reads_without_any_structure_are_not_known()
    {
        byte[] noise = new byte[MadeDump.Size];
        new Random(8).NextBytes(noise);
        Assert.Equal(DumpState.Unknown, Judge(noise, noise).State);
    }

    [Theory]
    [InlineData(0xFF)]
    [InlineData(0x00)]
    public void Blank_reads_are_not_trusted(byte value)
    {
        byte[] blank = new byte[MadeDump.Size];
        blank.AsSpan().Fill(value);
        DumpAnswer answer = Judge(blank, blank);
        Assert.Equal(DumpState.NotTrusted, answer.State);
        Assert.Contains($"{value:X2}h", Only(answer, "dump.blank").What, StringComparison.Ordinal);
    }

    [Fact]
    public void Lone_bits_are_noise_and_give_the_error_rate()
    {
        DumpAnswer answer = Judge(MadeDump.Noisy(Good, 40, 1), MadeDump.Noisy(Good, 60, 2));
        Assert.Equal(DumpState.NotTrusted, answer.State);
        Assert.StartsWith(
            "100 lone bits read differently",
            Only(answer, "dump.lone-bits").What,
            StringComparison.Ordinal
        );
        Assert.Equal(100.0 / (16 * MadeDump.Size), answer.ErrorRate!.RateFraction, 1e-12);
        Assert.Equal('n', answer.Map.Signs.First(sign => sign is not ('=' or 'F' or '0')));
    }

    [Fact]
    public void Heavy_noise_is_still_noise()
    {
        // Half of the bytes that differ do so in two bits or more.
        byte[] heavy = [.. Good];
        Random random = new(4);
        for (int i = 0; i < heavy.Length; i++)
        {
            for (int line = 0; line < 8; line++)
            {
                heavy[i] ^= (byte)(random.NextDouble() < 0.1 ? 1 << line : 0);
            }
        }
        DumpAnswer answer = Judge(Good, heavy);
        Assert.All(answer.Pairs[0].Stretches, one => Assert.Equal(BlockClass.LoneBits, one.Class));
    }

    [Fact]
    public void The_bad_one_of_three_reads_is_named()
    {
        DumpAnswer answer = Judge(MadeDump.Noisy(Good, 5, 1), MadeDump.Noisy(Good, 300, 2), MadeDump.Noisy(Good, 6, 3));
        Assert.Equal("read2.bin", Only(answer, "dump.bad-read").Where);
        Assert.Equal([5, 300, 6], answer.Reads.Select(read => Math.Round(read.WrongBitsNumber!.Value)));
        Assert.Contains("suggestion", Only(answer, "dump.vote").What, StringComparison.Ordinal);
        Assert.True(answer.Vote!.Bytes.Span.SequenceEqual(Good));
        Assert.True(answer.Reads[1].OddBlocks > 100);
    }

    [Fact]
    public void Two_equal_reads_against_one_name_it_and_are_not_trusted_with_it()
    {
        DumpAnswer answer = Judge(Good, MadeDump.Noisy(Good, 3, 2), Good);
        Assert.Equal(DumpState.NotTrusted, answer.State);
        Assert.Equal("read2.bin", Only(answer, "dump.bad-read").Where);
        Assert.Equal(3, answer.Reads[1].OddBlocks);
        Assert.Equal(0, answer.Reads[0].OddBlocks);
    }

    [Theory]
    [InlineData(0, false)]
    [InlineData(5, true)]
    public void A_weak_data_line_is_named(int line, bool high)
    {
        byte[] weak = [.. Good];
        Random random = new(5);
        for (int i = 0; i < weak.Length; i++)
        {
            if (random.Next(2000) == 0)
            {
                weak[i] = (byte)(high ? weak[i] | 1 << line : weak[i] & ~(1 << line));
            }
        }
        DumpAnswer answer = Judge(Good, weak);
        Assert.Contains($"data bit {line}", Only(answer, "dump.weak-line").What, StringComparison.Ordinal);
        Assert.Equal((line, !high), (answer.Pairs[0].WeakLine, answer.Pairs[0].WeakLineSetInFirst));
        Assert.Contains('l', answer.Map.Signs);
    }

    [Theory]
    [InlineData(3, false)]
    [InlineData(7, true)]
    public void A_stuck_data_line_is_seen_in_equal_reads(int line, bool high)
    {
        byte[] stuck = [.. Good.Select(one => (byte)(high ? one | 1 << line : one & ~(1 << line)))];
        DumpAnswer answer = Judge(stuck, stuck);
        Assert.Equal(DumpState.NotTrusted, answer.State);
        Finding finding = Only(answer, "dump.data-line");
        Assert.Contains($"Data bit {line} is never {(high ? 0 : 1)}", finding.What, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData(0xFF)]
    [InlineData(0x00)]
    public void Lost_contact_is_told_from_other_content_and_the_read_is_named(byte value)
    {
        byte[] lost = [.. Good];
        lost.AsSpan(0x8123, 5000).Fill(value);
        DumpAnswer answer = Judge(Good, lost);
        Finding finding = Only(answer, "dump.contact-lost");
        Assert.StartsWith("read2.bin has runs", finding.What, StringComparison.Ordinal);
        Assert.Equal("8000h to 9FFFh", finding.Value);
        Assert.Equal("cc", answer.Map.Signs.Substring(8, 2));
    }

    [Theory]
    [InlineData(1)]
    [InlineData(-1)]
    [InlineData(3)]
    [InlineData(8)]
    [InlineData(-16)]
    public void A_moved_burst_is_told_with_its_bits(int bits)
    {
        byte[] moved = MadeDump.Moved(Good, 0x10100, 0x11000, bits);
        DumpAnswer answer = Judge(moved, Good);
        DifferingStretch stretch = Assert.Single(answer.Pairs[0].Stretches);
        Assert.Equal(
            (BlockClass.Shifted, bits, 0x10000L, 0x11000L),
            (stretch.Class, stretch.ShiftBits, stretch.Start, stretch.End)
        );
        Only(answer, "dump.shifted");
    }

    [Fact]
    public void Another_address_in_one_block_is_told_with_its_bit()
    {
        byte[] slipped = [.. Good];
        Good.AsSpan(0x4000, 0x1000).CopyTo(slipped.AsSpan(0x24000));
        DumpAnswer answer = Judge(Good, slipped);
        DifferingStretch stretch = Assert.Single(answer.Pairs[0].Stretches);
        Assert.Equal((BlockClass.OtherAddress, 17, 1), (stretch.Class, stretch.AddressBit, stretch.Bad));
    }

    [Fact]
    public void Other_content_in_a_block_is_no_noise()
    {
        byte[] other = [.. Good];
        new Random(77).NextBytes(other.AsSpan(0x20000, 0x1000));
        DumpAnswer answer = Judge(Good, other);
        Only(answer, "dump.other-content");
        Assert.Equal('d', answer.Map.Signs[0x20]);
        Assert.DoesNotContain(answer.Findings, one => one.Code == "dump.only-variables");
    }

    [Fact]
    public void Differences_in_the_variables_alone_may_be_the_firmware_itself()
    {
        byte[] written = [.. Good];
        new Random(77).NextBytes(written.AsSpan(MadeDump.VariablesAt + 0x3064, 200));
        Only(Judge(Good, written), "dump.only-variables");
    }

    [Theory]
    [InlineData(2)]
    [InlineData(8)]
    public void Repeated_parts_are_not_trusted_although_the_reads_are_equal(int parts)
    {
        byte[] part = Good[..(MadeDump.Size / parts)];
        byte[] repeated = [.. Enumerable.Repeat(part, parts).SelectMany(one => one)];
        DumpAnswer answer = Judge(repeated, repeated);
        Assert.Equal(DumpState.NotTrusted, answer.State);
        Assert.Contains($"{parts} times", Only(answer, "dump.repeated").What, StringComparison.Ordinal);
    }

    [Fact]
    public void A_dead_address_bit_is_named()
    {
        byte[] dead = [.. Good];
        for (int at = 0; at < dead.Length; at += 0x8000)
        {
            dead.AsSpan(at, 0x4000).CopyTo(dead.AsSpan(at + 0x4000));
        }
        DumpAnswer answer = Judge(dead, dead);
        Assert.Contains("Address bit 14 makes", Only(answer, "dump.address-line").What, StringComparison.Ordinal);
        Assert.Equal(DumpState.NotTrusted, answer.State);
    }

    [Fact]
    public void A_weak_address_line_is_named()
    {
        byte[] weak = [.. Good];
        Random random = new(5);
        for (int i = 0; i < 3000; i++)
        {
            int at = random.Next(MadeDump.Size) | 1 << 9;
            weak[at] ^= (byte)(1 << random.Next(8));
        }
        DumpAnswer answer = Judge(Good, weak);
        Assert.Equal(9, answer.Pairs[0].WeakAddressBit);
        Only(answer, "dump.weak-address-line");
    }

    [Theory]
    [InlineData(3)]
    [InlineData(-2)]
    public void A_late_or_early_start_is_told_in_bytes(int lost)
    {
        byte[] late = new byte[MadeDump.Size];
        late.AsSpan().Fill(0xFF);
        if (lost > 0)
        {
            // The first volume is cut with it; the variable volume still tells.
            Good.AsSpan(lost).CopyTo(late);
        }
        else
        {
            Good.AsSpan(..^-lost).CopyTo(late.AsSpan(-lost));
        }
        DumpAnswer answer = Judge(late, late);
        Assert.Contains($"{Math.Abs(lost)} bytes", Only(answer, "dump.late-start").What, StringComparison.Ordinal);
        Assert.Equal(DumpState.NotTrusted, answer.State);
    }

    [Theory]
    [InlineData(1)]
    [InlineData(5)]
    public void A_whole_read_moved_by_bits_is_seen_by_its_structures(int bits)
    {
        byte[] moved = MadeDump.Moved(Good, 0, Good.Length, bits);
        DumpAnswer answer = Judge(moved, moved);
        Assert.Contains($"{bits} bit", Only(answer, "dump.moved-bits").What, StringComparison.Ordinal);
    }

    [Fact]
    public void A_descriptor_that_does_not_stand_on_its_place_tells_a_late_start()
    {
        byte[] image = [.. Good];
        image.AsSpan(0, 0x1000).Fill(0xFF);
        byte[] map = [0x5A, 0xA5, 0xF0, 0x0F, 0x03, 0x00, 0x04, 0x02];
        map.CopyTo(image, 0x10);
        Assert.Equal(DumpState.Trusted, Judge(image, image).State);
        byte[] late = [.. image[7..], .. new byte[7]];
        Assert.Contains(
            "7 bytes are missing",
            Only(Judge(late, late), "dump.late-start").What,
            StringComparison.Ordinal
        );
    }

    [Fact]
    public void A_cut_read_and_one_with_too_large_a_size_are_told_apart()
    {
        Assert.Contains(
            "ends before",
            Only(Judge(Good, Good[..0x90000]), "dump.missing").What,
            StringComparison.Ordinal
        );
        byte[] twice = [.. Good, .. Good];
        Assert.Contains("over and over", Only(Judge(Good, twice), "dump.missing").What, StringComparison.Ordinal);
        Assert.EndsWith(new string('-', 16), Judge(Good, Good[..0xF0000]).Map.Signs, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData(2 << 20, "shorter")]
    [InlineData(1 << 19, "longer")]
    public void A_read_of_another_size_than_the_chip_is_not_trusted(long capacity, string says)
    {
        DumpAnswer answer = DumpTrust.Judge([new("a", Good), new("b", Good)], new ChipFacts(capacity));
        Assert.Contains(says, Only(answer, "dump.size").What, StringComparison.Ordinal);
        Assert.Equal(DumpState.NotTrusted, answer.State);
    }

    [Fact]
    public void The_parameter_table_of_the_chip_gives_its_size()
    {
        // JESD216: header, one parameter header pointing to 30h, second word 007FFFFFh = 8 Mibit less one bit.
        byte[] table = new byte[64];
        "SFDP"u8.CopyTo(table);
        byte[] rest = [0x06, 0x01, 0x00, 0xFF, 0x00, 0x06, 0x01, 0x10, 0x30, 0x00, 0x00, 0xFF];
        rest.CopyTo(table, 4);
        byte[] basic = [0xE5, 0x20, 0xF1, 0xFF, 0xFF, 0xFF, 0x7F, 0x00];
        basic.CopyTo(table, 0x30);
        Assert.Equal(
            (1L << 20, true),
            (ChipParameters.Read(table).DensityBytes, ChipParameters.Read(table).ErasesBlocks)
        );
        Assert.Equal(
            DumpState.Trusted,
            DumpTrust.Judge([new("a", Good), new("b", Good)], new ChipFacts(null, table)).State
        );
        DumpAnswer conflict = DumpTrust.Judge([new("a", Good), new("b", Good)], new ChipFacts(2 << 20, table));
        Only(conflict, "dump.capacity-conflict");
        // From 4 Gibit on the word is a power of two: 80000021h is 2^33 bits, 1 GiB.
        byte[] large = [0x21, 0x00, 0x00, 0x80];
        large.CopyTo(table, 0x34);
        Assert.Equal(1L << 30, ChipParameters.Read(table).DensityBytes);
        Assert.Null(ChipParameters.Read(table.AsSpan(0, 20)).DensityBytes);
    }

    [Fact]
    public void A_volume_header_with_a_wrong_sum_speaks_against_equal_reads()
    {
        byte[] broken = [.. Good];
        broken[0x2D] ^= 1;
        DumpAnswer answer = Judge(broken, broken);
        Only(answer, "dump.volume-sum");
        Assert.Equal(DumpState.NotTrusted, answer.State);
    }

    [Fact]
    public void Empty_and_one_byte_reads_are_answered()
    {
        Assert.Equal(DumpState.NotTrusted, Judge([], []).State);
        Assert.Equal(DumpState.NotTrusted, Judge([], Good).State);
        Assert.Equal(DumpState.NotTrusted, Judge([1], [1]).State);
        Assert.Equal(DumpState.NotTrusted, Judge([1], [2], [3]).State);
    }

    [Fact]
    public void No_read_and_too_many_are_the_callers_fault()
    {
        Assert.Throws<ArgumentException>(() => DumpTrust.Judge([]));
        Assert.Throws<ArgumentException>(() =>
            DumpTrust.Judge([.. Enumerable.Range(0, 17).Select(i => new DumpRead($"{i}", Good))])
        );
    }

    [Fact]
    public void Whatever_is_done_to_a_read_unlike_reads_are_never_trusted() =>
        Gen.Select(Gen.Int[0, 1 << 16], Gen.Int[0, 200], Gen.Int[0, 5], Gen.Int[0, 1000])
            .Sample(
                (at, length, how, seed) =>
                {
                    byte[] good = MadeDump.Image(2, 1 << 17);
                    byte[] other = [.. good];
                    Span<byte> place = other.AsSpan(at, length);
                    switch (how)
                    {
                        case 0:
                            place.Clear();
                            break;
                        case 1:
                            place.Fill(0xFF);
                            break;
                        case 2:
                            new Random(seed).NextBytes(place);
                            break;
                        case 3:
                            place.Reverse();
                            break;
                        case 4:
                            other = other[..^length];
                            break;
                        default:
                            other = [.. other.AsSpan(0, at), .. other.AsSpan(Math.Min(other.Length, at + length))];
                            break;
                    }
                    DumpAnswer answer = DumpTrust.Judge([new("a", good), new("b", other)], new ChipFacts(good.Length));
                    bool equal = good.AsSpan().SequenceEqual(other);
                    Assert.Equal(equal ? DumpState.Trusted : DumpState.NotTrusted, answer.State);
                    Assert.Equal(equal, answer.Pairs.Count == 0);
                    Assert.Equal(equal, answer.Map.Signs.All(sign => sign is '=' or 'F' or '0'));
                },
                iter: 500
            );
}
