using System.Text;
using Graftbench.Core.Findings;
using Graftbench.Firmware.Reading;
using Graftbench.Firmware.Tree;
using Graftbench.Firmware.Variables;
using Graftbench.Tests.Shared.Firmware;

namespace Graftbench.Firmware.Tests;

/// <summary>Stores of variables: both kinds of record, every state, every place, damage.</summary>
public class VariableTests
{
    [Theory, InlineData(true), InlineData(false)]
    public void Records_of_both_kinds_are_read(bool authenticated)
    {
        byte[] data = Bytes.Noise(37, 1);
        ImageTree tree = Read(
            StoreBuilder.Volume(
                authenticated,
                StoreBuilder.Record("Serial", data, authenticated, attributes: 7),
                StoreBuilder.Record("Model", Bytes.Ascii("B-7731"), authenticated, attributes: 0x27)
            )
        );
        VariableStore store = Assert.Single(tree.VariableStores);
        Assert.Equal((authenticated, StoreRole.Main, 0xDFB8u), (store.Authenticated, store.Role, store.DeclaredSize));
        VariableRecord serial = store.Records[0];
        Assert.Equal(("Serial", new Guid(StoreBuilder.Vendor), 7u), (serial.Name, serial.Vendor, serial.Attributes));
        Assert.Equal(data, tree.File.Bytes.Slice(serial.DataRange.Start, serial.DataRange.Length).ToArray());
        Assert.Equal("B-7731", Encoding.ASCII.GetString(tree.File.Bytes.Slice(store.Records[1].DataRange.Start, 6)));
        Assert.True(store.Records[1].IsAuthenticated);
        Assert.Equal(2, store.Live.Count());
        Assert.Empty(tree.Findings);
        // Records stand on boundaries of four bytes, counted from the store; data follows the name without a gap.
        Assert.Equal(0, (store.Records[1].Range.Start - store.Range.Start) % 4);
        Assert.Equal(serial.NameRange.End, serial.DataRange.Start);
        Assert.Equal(serial, tree.LeafAt(serial.DataRange.Start).Detail);
    }

    [Fact]
    public void A_record_that_is_being_replaced_counts_only_without_its_successor()
    {
        VariableStore store = Assert.Single(
            Read(
                StoreBuilder.Volume(
                    true,
                    Record("Alone", 0x3E),
                    Record("Twice", 0x3E),
                    Record("Twice", 0x3F),
                    Record("Before", 0x3F),
                    Record("Before", 0x3E),
                    Record("Dead", 0x3D),
                    Record("DeadToo", 0x3C),
                    Record("Half", 0x7F)
                )
            ).VariableStores
        );
        Assert.Equal(
            [("Alone", 0x3E), ("Twice", 0x3F), ("Before", 0x3F)],
            store.Live.Select(record => (record.Name, (int)record.StateByte))
        );
    }

    [Fact]
    public void One_name_in_two_name_spaces_is_two_variables()
    {
        byte[] other = StoreBuilder.Record("Serial", [1], true, vendor: "00000000-1111-2222-3333-444444444444");
        Assert.Equal(2, Read(StoreBuilder.Volume(true, Record("Serial", 0x3F), other)).VariableStores[0].Live.Count());
    }

    [Fact]
    public void An_interrupted_record_has_no_length()
    {
        byte[] record = Record("Half", 0x7F);
        Bytes.Put32(record, 0x24, uint.MaxValue);
        Bytes.Put32(record, 0x28, uint.MaxValue);
        ImageTree tree = Read(StoreBuilder.Volume(true, record[..0x3C], Record("Next", 0x3F)));
        Assert.Equal(["", "Next"], tree.VariableStores[0].Records.Select(one => one.Name));
    }

    [Fact]
    public void What_a_damaged_record_cuts_off_is_read_and_called_out_of_reach()
    {
        byte[] first = Record("First", 0x3F);
        byte[] second = Record("Second", 0x3F);
        byte[] volume = StoreBuilder.Volume(true, first, second, Record("Third", 0x3F));
        int secondAt = VolumeBuilder.HeaderBytes + 0x1C + ((first.Length + 3) & ~3);
        Bytes.Put32(volume, secondAt + 0x28, 0x00FFFFFF);
        ImageTree tree = Read(volume);
        VariableStore store = Assert.Single(tree.VariableStores);
        Assert.Equal(["First", "Third"], store.Records.Select(record => record.Name));
        Assert.Equal(["First"], store.Live.Select(record => record.Name));
        Assert.False(store.Records[1].Reachable);
        Assert.Contains(
            tree.Findings,
            finding =>
                finding is { Code: "variables.record-size", Verdict: Verdict.FixFirst }
                && finding.Where == $"0x{secondAt:X8}"
        );
    }

    [Fact]
    public void A_store_is_found_in_a_file_and_in_a_raw_area()
    {
        byte[] store = StoreBuilder.Store(false, 0x200, StoreBuilder.Record("Model", [1, 2], false));
        byte[] volume = VolumeBuilder.Volume(
            VolumeBuilder.SmallFiles,
            0x1000,
            VolumeBuilder.File("4A1F0F6E-3C57-49A0-8F5B-1D0C9E6B2A01", 0x01, Bytes.Join(new byte[5], store))
        );
        ImageTree tree = Read(Bytes.Join(volume, Bytes.Filled(0x333, 0xFF), store, Bytes.Filled(0x100, 0xFF)));
        Assert.Equal(2, tree.VariableStores.Count);
        Assert.All(tree.VariableStores, one => Assert.Equal(StoreRole.Elsewhere, one.Role));
        Assert.All(tree.VariableStores, one => Assert.Equal("Model", Assert.Single(one.Live).Name));
    }

    [Fact]
    public void An_old_copy_in_the_spare_area_is_shown_and_not_live()
    {
        ImageTree tree = Read(SmallImages.All["variables-authenticated"]);
        VariableStore copy = Assert.Single(tree.VariableStores, store => store.Role == StoreRole.SpareCopy);
        Assert.Single(copy.Records);
        Assert.Empty(copy.Live);
        Assert.Contains(tree.Findings, finding => finding.Code == "variables.spare-in-use");
    }

    [Theory]
    [InlineData(0x48 + 0x14, "variables.state")]
    [InlineData(0x48 + 0x15, "variables.state")]
    [InlineData(0x48 + 0x00, "variables.no-store")]
    [InlineData(0x48 + 0x13, "variables.size")]
    [InlineData(0xF000 + 0x10, "working-block.checksum")]
    public void Damage_to_what_a_board_needs_to_start_is_named(int at, string code)
    {
        byte[] volume = StoreBuilder.Volume(true, Record("Serial", 0x3F));
        volume[at] ^= 0x55;
        Assert.Contains(Read(volume).Findings, finding => finding.Code == code && finding.Verdict == Verdict.FixFirst);
    }

    [Fact]
    public void An_erased_store_is_no_safe_default()
    {
        byte[] volume = StoreBuilder.Volume(true);
        volume.AsSpan(VolumeBuilder.HeaderBytes).Fill(0xFF);
        Assert.Contains(
            Read(volume).Findings,
            finding => finding is { Code: "variables.erased", Verdict: Verdict.FixFirst }
        );
    }

    [Fact]
    public void The_crc_of_the_working_block_leaves_out_itself_and_the_state()
    {
        // Values of two free images: queue of FE0h and of 3FFE0h bytes.
        Assert.Equal(0x642CAF2Cu, BitConverter.ToUInt32(StoreBuilder.WorkingBlock(0x1000), 0x10));
        Assert.Equal(0x86C6E75Bu, BitConverter.ToUInt32(StoreBuilder.WorkingBlock(0x40000), 0x10));
        byte[] volume = StoreBuilder.Volume(true);
        volume[0xF014] = 0xFC;
        Assert.True(Assert.Single(Read(volume).WorkingBlocks).ChecksumOk);
    }

    [Fact]
    public void A_queue_with_something_in_it_is_a_remark()
    {
        byte[] volume = StoreBuilder.Volume(true);
        volume[0xF020] = 0xFE;
        Assert.Contains(Read(volume).Findings, finding => finding.Code == "working-block.pending");
    }

    private static byte[] Record(string name, byte state) =>
        StoreBuilder.Record(name, Bytes.Ascii("value"), true, state);

    private static ImageTree Read(byte[] image)
    {
        ImageTree tree = ImageReader.Read(image);
        Assert.Null(TreeCheck.Fault(tree, image));
        return tree;
    }
}
