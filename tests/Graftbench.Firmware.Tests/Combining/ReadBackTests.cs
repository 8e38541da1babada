using CsCheck;
using Graftbench.Firmware.Combining;
using Graftbench.Firmware.Dumps;
using Graftbench.Firmware.Tests.Dumps;

namespace Graftbench.Firmware.Tests.Combining;

/// <summary>What a chip's read-back says of the write.</summary>
public sealed class ReadBackTests
{
    private static readonly byte[] Image = MadeDump.Image(21);
    private static readonly byte[] Before = MadeDump.Image(22);

    private static ReadBackAnswer Check(byte[] readBack, byte[]? before = null) =>
        ReadBack.Check(
            new DumpRead("new", Image),
            new DumpRead("chip", readBack),
            before is null ? null : new DumpRead("old", before)
        );

    [Fact]
    public void The_same_bytes_are_exact()
    {
        ReadBackAnswer answer = Check([.. Image]);
        Assert.True(answer.Exact);
        Assert.Equal(answer.IntendedSha256, answer.ReadBackSha256);
        Assert.Equal(0, answer.DifferingBlocks);
    }

    [Fact]
    public void A_chip_that_was_not_written_is_told_by_its_old_content()
    {
        ReadBackAnswer answer = Check(Before, Before);
        Assert.False(answer.Exact);
        Assert.Equal("readback.not-written", answer.Findings[0].Code);
        Assert.Contains("protect bits", answer.Findings[0].Todo, StringComparison.Ordinal);
    }

    [Fact]
    public void Blocks_that_were_not_written_are_told_apart()
    {
        byte[] half = [.. Image];
        Before.AsSpan(0x3000, 0x2000).CopyTo(half.AsSpan(0x3000));
        ReadBackAnswer answer = Check(half, Before);
        Assert.Equal(2, answer.DifferingBlocks);
        Assert.Equal(("readback.not-written", "3000h to 4FFFh"), (answer.Findings[0].Code, answer.Findings[0].Where));
    }

    [Theory]
    [InlineData("erased")]
    [InlineData("not-erased")]
    [InlineData("lone-bits")]
    [InlineData("other-content")]
    [InlineData("length")]
    public void What_went_wrong_is_told(string code)
    {
        byte[] read = [.. Image];
        Span<byte> block = read.AsSpan(0x5000, 0x1000);
        switch (code)
        {
            case "erased":
                block.Fill(0xFF);
                break;
            case "not-erased":
                for (int i = 0; i < block.Length; i++)
                {
                    block[i] &= Before[0x5000 + i];
                }
                break;
            case "lone-bits":
                block[7] ^= 1;
                block[70] ^= 2;
                block[71] ^= 2;
                block[700] ^= 8;
                block[701] ^= 8;
                block[900] ^= 0x80;
                break;
            case "other-content":
                Before.AsSpan(0x5000, 0x1000).CopyTo(block);
                break;
            default:
                read = read[..^10];
                break;
        }
        Assert.Equal("readback." + code, Assert.Single(Check(read).Findings).Code);
    }

    [Fact]
    public void Any_change_is_seen() =>
        Gen.Select(Gen.Int[0, MadeDump.Size - 1], Gen.Int[1, 255])
            .Sample(
                (at, change) =>
                {
                    byte[] read = [.. Image];
                    read[at] ^= (byte)change;
                    ReadBackAnswer answer = Check(read);
                    Assert.False(answer.Exact);
                    Assert.Equal(1, answer.DifferingBlocks);
                },
                iter: 200
            );

    [Fact]
    public void Empty_files_are_not_exact() =>
        Assert.False(ReadBack.Check(new DumpRead("a", default), new DumpRead("b", default)).Exact);
}
