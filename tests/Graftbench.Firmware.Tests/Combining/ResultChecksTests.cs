using Graftbench.Firmware.Combining;
using Graftbench.Firmware.Identity;
using Graftbench.Firmware.Reading;
using Graftbench.Firmware.Tests.Identity;
using Graftbench.Firmware.Tree;
using Graftbench.Firmware.Variables;
using static Graftbench.Tests.Shared.Firmware.Bytes;

namespace Graftbench.Firmware.Tests.Combining;

/// <summary>Each check of a result fails when what it checks is spoiled: a board that starts would not have told.</summary>
public sealed class ResultChecksTests
{
    private readonly byte[] own;
    private readonly byte[] newer;
    private readonly CombineAnswer answer;
    private readonly IdentityProposal[] taken;

    public ResultChecksTests()
    {
        IdentityFinderTests.Pair pair = IdentityFinderTests.Make("everything", 11);
        own = pair.Own;
        // One variable of the newer image that must stay.
        newer = pair.Newer;
        answer = CombinerTests.Combine(own, newer);
        taken = [.. answer.Identity.Proposals.Where(one => answer.Taken.Contains(one.Id))];
    }

    private VariableStore Store =>
        ImageReader.Read(answer.Image!.Value).VariableStores.First(one => one.Role == StoreRole.Main);

    private VariableRecord Record(string name) => Store.Records.Single(one => one.Name == name);

    private ResultCheck Check(
        string name,
        Action<byte[]> spoil,
        OriginMap? origin = null,
        IdentityProposal[]? proposals = null
    )
    {
        byte[] image = answer.Image!.Value.ToArray();
        spoil(image);
        return ResultChecks
            .Run(
                image,
                origin ?? answer.Origin!,
                ImageReader.Read(own),
                ImageReader.Read(newer),
                answer.Identity.Layout,
                proposals ?? taken
            )
            .Single(one => one.Name == name);
    }

    private void FailsOnlySpoilt(string name, Action<byte[]> spoil)
    {
        Assert.True(Check(name, _ => { }).Passed);
        ResultCheck check = Check(name, spoil);
        Assert.False(check.Passed, check.Words);
    }

    private const int Code = MadeMachine.RegionAt + MadeMachine.CodeAt;

    [Fact]
    public void A_result_of_another_length_fails() =>
        Assert.False(
            ResultChecks
                .Run(
                    answer.Image!.Value[..^1],
                    answer.Origin!,
                    ImageReader.Read(own),
                    ImageReader.Read(newer),
                    answer.Identity.Layout,
                    taken
                )
                .Single()
                .Passed
        );

    [Theory]
    [InlineData(0)]
    [InlineData(0x1001)]
    [InlineData(0x80064)]
    [InlineData(0xC5000)]
    [InlineData(0xFFFFF)]
    public void One_bit_anywhere_breaks_the_rebuilt_hash(int at) =>
        FailsOnlySpoilt(ResultChecks.OriginRebuilds, image => image[at] ^= 1);

    [Fact]
    public void Every_bit_of_a_thousand_random_ones_breaks_the_rebuilt_hash()
    {
        byte[] image = answer.Image!.Value.ToArray();
        byte[] again = answer.Origin!.Rebuild(own, newer)!;
        Assert.Equal(image, again);
        Random random = new(3);
        for (int i = 0; i < 1000; i++)
        {
            int at = random.Next(image.Length);
            image[at] ^= (byte)(1 << random.Next(8));
            Assert.False(again.AsSpan().SequenceEqual(image));
            image[at] = again[at];
        }
    }

    [Fact]
    public void A_gap_or_an_overlap_in_the_origin_fails()
    {
        List<OriginRun> runs = [.. answer.Origin!.Runs];
        runs[1] = runs[1] with { Length = runs[1].Length - 1 };
        Assert.False(Check(ResultChecks.OriginTiles, _ => { }, Map(runs)).Passed);
        runs = [.. answer.Origin.Runs];
        runs[2] = runs[2] with { Start = runs[2].Start - 1, Length = runs[2].Length + 1 };
        Assert.False(Check(ResultChecks.OriginTiles, _ => { }, Map(runs)).Passed);
        Assert.False(Check(ResultChecks.OriginTiles, _ => { }, Map([.. answer.Origin.Runs.SkipLast(1)])).Passed);
    }

    [Fact]
    public void Bytes_of_the_board_where_none_were_chosen_fail()
    {
        OriginRun last = answer.Origin!.Runs[^1];
        OriginMap moved = Map([.. answer.Origin.Runs.SkipLast(1), last with { Source = OriginSource.Own }]);
        Assert.True(Check(ResultChecks.OriginPlaces, _ => { }).Passed);
        Assert.False(Check(ResultChecks.OriginPlaces, _ => { }, moved).Passed);
        OriginMap shifted = Map([.. answer.Origin.Runs.SkipLast(1), last with { SourceStart = last.SourceStart - 8 }]);
        Assert.False(Check(ResultChecks.OriginPlaces, _ => { }, shifted).Passed);
    }

    [Fact]
    public void A_bit_of_code_fails() => FailsOnlySpoilt(ResultChecks.Code, image => image[Code + 0x2000] ^= 1);

    [Fact]
    public void The_sum_of_a_volume_of_code_fails() =>
        FailsOnlySpoilt(ResultChecks.Sums, image => image[Code + 0x32] ^= 1);

    [Fact]
    public void The_sum_of_the_variable_volume_fails() =>
        FailsOnlySpoilt(ResultChecks.Sums, image => image[MadeMachine.RegionAt + 0x32] ^= 1);

    [Fact]
    public void The_sum_of_a_file_fails() =>
        FailsOnlySpoilt(ResultChecks.Sums, image => image[Code + 0x48 + 0x10] ^= 1);

    [Fact]
    public void A_bit_of_the_engine_fails() => FailsOnlySpoilt(ResultChecks.Regions, image => image[0x5000] ^= 1);

    [Fact]
    public void A_bit_of_the_descriptor_fails() => FailsOnlySpoilt(ResultChecks.Regions, image => image[0x200] ^= 1);

    [Fact]
    public void The_sum_of_the_network_settings_fails() =>
        FailsOnlySpoilt(ResultChecks.Networks, image => image[0x1000 + 0x7E] ^= 1);

    [Fact]
    public void The_state_of_the_store_fails() =>
        FailsOnlySpoilt(ResultChecks.StoreFrame, image => image[MadeMachine.RegionAt + 0x48 + 0x15] = 0xFF);

    [Fact]
    public void The_sum_of_the_working_block_fails() =>
        FailsOnlySpoilt(ResultChecks.StoreFrame, image => image[MadeMachine.RegionAt + 0xF010] ^= 1);

    [Fact]
    public void The_spare_half_fails() =>
        FailsOnlySpoilt(ResultChecks.StoreFrame, image => image[MadeMachine.RegionAt + 0x18000] = 0);

    [Theory]
    [InlineData(0x3C)]
    [InlineData(0x3E)]
    [InlineData(0x7F)]
    public void A_carried_variable_that_is_not_plainly_live_fails(byte state)
    {
        int at = Record("SystemSerialNumber").Range.Start;
        FailsOnlySpoilt(ResultChecks.Carried, image => image[at + 2] = state);
    }

    [Fact]
    public void A_carried_variable_with_other_data_or_attributes_fails()
    {
        VariableRecord record = Record("SystemSerialNumber");
        FailsOnlySpoilt(ResultChecks.Carried, image => image[record.DataRange.Start] ^= 1);
        FailsOnlySpoilt(ResultChecks.Carried, image => image[record.Range.Start + 4] = 3);
        FailsOnlySpoilt(ResultChecks.Carried, image => image[record.NameRange.Start] ^= 1);
    }

    [Fact]
    public void A_carried_variable_that_stands_twice_fails()
    {
        VariableRecord record = Record("SystemSerialNumber");
        int end = Store.FreeRange.Start;
        int at = end + (((Store.Range.Start - end) % 4) + 4) % 4;
        FailsOnlySpoilt(
            ResultChecks.Carried,
            image => image.AsSpan(record.Range.Start, record.Range.Length).ToArray().CopyTo(image, at)
        );
    }

    [Fact]
    public void Another_live_variable_of_the_newer_image_fails()
    {
        VariableRecord setup = Record("Setup");
        FailsOnlySpoilt(ResultChecks.Others, image => image[setup.DataRange.Start] ^= 1);
        FailsOnlySpoilt(ResultChecks.Others, image => image[setup.Range.Start + 2] = 0x3C);
    }

    [Fact]
    public void A_byte_in_the_free_space_of_the_store_fails() =>
        FailsOnlySpoilt(ResultChecks.Others, image => image[Store.Range.End - 4] = 0);

    [Fact]
    public void A_chosen_byte_fails()
    {
        ByteRange target = taken.First(one => one.Kind == ProposalKind.Range).Target!.Value;
        FailsOnlySpoilt(ResultChecks.Ranges, image => image[target.Start + 1] ^= 1);
    }

    [Fact]
    public void Damage_that_no_source_has_fails() =>
        FailsOnlySpoilt(ResultChecks.Reading, image => Put32(image, Record("Setup").Range.Start + 0x28, 0x00F00000));

    private OriginMap Map(List<OriginRun> runs) => OriginMap.Of(runs, own, newer, answer.Image!.Value.Span);
}
