using Graftbench.Core.Findings;
using Graftbench.Firmware.Descriptor;
using Graftbench.Firmware.Network;
using Graftbench.Firmware.OptionRoms;
using Graftbench.Firmware.Reading;
using Graftbench.Firmware.Tables;
using Graftbench.Firmware.Tree;
using Graftbench.Tests.Shared.Firmware;

namespace Graftbench.Firmware.Tests;

/// <summary>A whole chip: descriptor, regions, network settings; and tables and option ROMs in raw areas.</summary>
public class BoardTests
{
    [Fact]
    public void A_chip_is_tiled_by_its_regions()
    {
        ImageTree tree = Read(BoardBuilder.Chip(StoreBuilder.Volume(true, StoreBuilder.Record("Serial", [1], true))));
        FlashDescriptor descriptor = tree.Descriptor!;
        Assert.Equal(0x10, descriptor.SignatureOffset);
        Assert.Equal([0x100000L], descriptor.ComponentBytes);
        Assert.Equal(
            [
                (RegionKind.Descriptor, 0, 0x1000),
                (RegionKind.Firmware, 0x80000, 0x80000),
                (RegionKind.ManagementEngine, 0x4000, 0x3C000),
                (RegionKind.Network, 0x1000, 0x2000),
                (RegionKind.PlatformData, 0x3000, 0x1000),
            ],
            descriptor.Regions.Select(region => (region.Kind, region.Range!.Value.Start, region.Range.Value.Length))
        );
        Assert.Equal(
            [
                SegmentKind.Descriptor,
                SegmentKind.Region,
                SegmentKind.Region,
                SegmentKind.Region,
                SegmentKind.Unassigned,
                SegmentKind.Region,
            ],
            tree.Root.Children.Select(child => child.Kind)
        );
        Assert.All(descriptor.Regions, region => Assert.NotNull(region.Segment));
        Assert.Single(tree.VariableStores);
        Assert.True(tree.ResetVector.Starts);
        Assert.Empty(tree.Findings);
        // The engine's region is not taken apart.
        Assert.True(descriptor.Find(RegionKind.ManagementEngine)!.Segment!.IsLeaf);
    }

    [Fact]
    public void The_descriptor_of_the_first_family_has_its_signature_at_the_bottom()
    {
        ImageTree tree = ImageReader.Read(SmallImages.All["board-first-family"]);
        Assert.Equal(0, tree.Descriptor!.SignatureOffset);
        Assert.Equal(0x1000, tree.Descriptor.Find(RegionKind.Firmware)!.Range!.Value.Start);
    }

    [Fact]
    public void Regions_that_overlap_are_a_finding_and_the_bytes_are_covered_once()
    {
        byte[] chip = BoardBuilder.Chip([]);
        BoardBuilder
            .Descriptor(0x100000, [(0, 0, 0xFFF), (1, 0x80000, 0xFFFFF), (2, 0x70000, 0x8FFFF), (3, 0x1000, 0x2FFF)])
            .CopyTo(chip, 0);
        ImageTree tree = Read(chip);
        Assert.Contains(tree.Findings, finding => finding is { Code: "descriptor.overlap", Verdict: Verdict.FixFirst });
        Assert.Null(tree.Descriptor!.Find(RegionKind.ManagementEngine)!.Range);
    }

    [Fact]
    public void A_cut_chip_and_one_of_two_chips_are_told_apart()
    {
        byte[] chip = BoardBuilder.Chip([]);
        Assert.Contains(
            Read(chip[..0xC0000]).Findings,
            finding => finding is { Code: "descriptor.beyond-image", Verdict: Verdict.FixFirst }
        );
        byte[] two = BoardBuilder.Descriptor(0x100000, [(0, 0, 0xFFF), (1, 0x100000, 0x1FFFFF)]);
        // Two chips of the same size.
        two[0x15] |= 0x01;
        two[0x30] = 0x11;
        two.CopyTo(chip, 0);
        Assert.Contains(
            Read(chip).Findings,
            finding => finding is { Code: "descriptor.beyond-image", Verdict: Verdict.Unknown }
        );
    }

    [Fact]
    public void A_map_that_makes_no_sense_leaves_the_image_readable()
    {
        byte[] chip = BoardBuilder.Chip(StoreBuilder.Volume(true));
        Bytes.Put32(chip, 0x14, 0);
        ImageTree tree = Read(chip);
        Assert.Null(tree.Descriptor);
        Assert.Contains(tree.Findings, finding => finding.Code == "descriptor.map");
        Assert.Single(tree.VariableStores);
    }

    [Fact]
    public void Network_settings_are_read_in_both_copies()
    {
        ImageTree tree = Read(BoardBuilder.Chip([]));
        Assert.Equal(2, tree.NetworkBlocks.Count);
        Assert.All(tree.NetworkBlocks, block => Assert.Equal("02:00:5E:10:20:30", block.Address));
        Assert.All(
            tree.NetworkBlocks,
            block => Assert.True(block is { ChecksumOk: true, HasSignature: true, AddressFault: null })
        );
        Assert.Equal([0x1000, 0x2000], tree.NetworkBlocks.Select(block => block.AddressRange.Start));
        Assert.Equal(0x107E, tree.NetworkBlocks[0].ChecksumRange.Start);
    }

    [Fact]
    public void Damage_to_network_settings_is_named()
    {
        byte[] chip = BoardBuilder.Chip([]);
        chip[0x1002] ^= 0x01;
        Finding[] findings = [.. Read(chip).Findings];
        Assert.Equal(["network.checksum", "network.copies-differ"], findings.Select(finding => finding.Code).Order());
        Assert.Equal(("0x0000107E", "sum BABAh"), (findings[0].Where, findings[0].Limit));
        chip.AsSpan(0x1000, 0x2000).Fill(0xFF);
        Assert.Equal("network.empty", Assert.Single(Read(chip).Findings).Code);
    }

    [Theory]
    [InlineData("FFFFFFFFFFFF", "blank")]
    [InlineData("000000000000", "blank")]
    [InlineData("01005E102030", "a group address")]
    [InlineData("888888888788", "a sample address")]
    [InlineData("02005E102030", null)]
    public void An_address_that_no_machine_was_given_is_called_so(string address, string? fault)
    {
        byte[] chip = BoardBuilder.Chip([]);
        BoardBuilder.Network(Convert.FromHexString(address)).CopyTo(chip, 0x1000);
        Assert.All(Read(chip).NetworkBlocks, block => Assert.Equal(fault, block.AddressFault));
    }

    [Fact]
    public void Tables_of_all_kinds_are_found_and_summed()
    {
        byte[] image = SmallImages.All["tables"];
        ImageTree tree = Read(image);
        Assert.Equal(
            ["_SM_", "_SM3_", "RSD PTR", "DSDT", "MSDM", "SLIC", "$PnP", "_32_", "_MP_", "$PIR"],
            tree.Tables.Select(table => table.Signature)
        );
        Assert.All(tree.Tables, table => Assert.True(table.ChecksumOk));
        Assert.Equal(
            ["MSDM", "SLIC"],
            tree.Tables.Where(table => table.HoldsIdentity).Select(table => table.Signature)
        );
        foreach (FirmwareTable table in tree.Tables)
        {
            byte[] spoilt = [.. image];
            spoilt[table.Range.End - 1] ^= 0x01;
            FirmwareTable again = Read(spoilt).Tables.Single(one => one.Range.Start == table.Range.Start);
            Assert.False(again.ChecksumOk, table.Signature);
        }
    }

    [Fact]
    public void Anchors_off_their_boundary_are_constants_of_code()
    {
        byte[] image = Bytes.Filled(0x1000, 0x90);
        BoardBuilder.Anchor("$PnP").CopyTo(image, 0x108);
        BoardBuilder.SmbiosEntry(version3: false).CopyTo(image, 0x204);
        Assert.Empty(Read(image).Tables);
    }

    [Fact]
    public void Option_roms_are_summed_by_their_code_type()
    {
        byte[] image = [.. SmallImages.All["roms"]];
        ImageTree tree = Read(image);
        Assert.Equal(
            [(0, 0, true), (0x800, 3, (bool?)null), (0x1200, 0, true)],
            tree.OptionRoms.Select(rom => (rom.Range.Start, (int)rom.CodeType, rom.ChecksumOk))
        );
        Assert.Equal([true, true, false], tree.OptionRoms.Select(rom => rom.HasDevice));
        image[0x300] ^= 1;
        image[0xB00] ^= 1;
        image[0x1300] ^= 1;
        tree = Read(image);
        // The PC image is damaged, the EFI image has no sum, and without a device only the sum makes an image.
        Assert.Equal([false, null], tree.OptionRoms.Select(rom => rom.ChecksumOk));
    }

    private static ImageTree Read(byte[] image)
    {
        ImageTree tree = ImageReader.Read(image);
        Assert.Null(TreeCheck.Fault(tree, image));
        return tree;
    }
}
