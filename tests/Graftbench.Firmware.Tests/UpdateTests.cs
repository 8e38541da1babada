using Graftbench.Core.Findings;
using Graftbench.Firmware.Reading;
using Graftbench.Firmware.Tree;
using Graftbench.Firmware.Updates;
using Graftbench.Tests.Shared.Firmware;

namespace Graftbench.Firmware.Tests;

/// <summary>Updates for processors, and the answer to whether an image knows one.</summary>
public class UpdateTests
{
    private const uint Wanted = 0x000906EA;

    [Fact]
    public void Updates_are_found_with_all_that_they_say()
    {
        ImageTree tree = Read(SmallImages.All["updates"]);
        Assert.Equal([0x100, 0x900, 0x1100], tree.ProcessorUpdates.Select(update => update.Range.Start));
        ProcessorUpdate third = tree.ProcessorUpdates[2];
        Assert.Equal((0x28, new DateOnly(2019, 11, 12)), (third.Revision, third.Date));
        Assert.Equal(
            [(0x000306C3u, 0x32u), (0x000306C1u, 0x12u), (0x00040651u, 0x72u)],
            third.Targets.Select(target => (target.Signature.Value, target.PlatformFlags))
        );
        Assert.True(third.TableChecksumOk);
        Assert.All(third.Targets, target => Assert.True(target.ChecksumOk));
        Assert.Equal([1, 4, 5], third.Targets[0].Platforms);
        // A data size of 0 stands for 2000 bytes of data, 2048 in all.
        Assert.Equal((2048, null), (tree.ProcessorUpdates[1].Range.Length, tree.ProcessorUpdates[1].TableChecksumOk));
    }

    /// <summary>Examples of the manual: family, model and stepping out of the word; dates as mmddyyyy.</summary>
    [Theory]
    [InlineData(0x000906EAu, 0x6, 0x9E, 0xA)]
    [InlineData(0x00000F29u, 0xF, 0x2, 0x9)]
    [InlineData(0x00100F42u, 0x10, 0x4, 0x2)]
    [InlineData(0x00000543u, 0x5, 0x4, 0x3)]
    public void A_signature_is_taken_apart(uint value, int family, int model, int stepping)
    {
        ProcessorSignature signature = new(value);
        Assert.Equal((family, model, stepping), (signature.Family, signature.Model, signature.Stepping));
    }

    [Theory]
    [InlineData(0x07181998u, 1998, 7, 18)]
    [InlineData(0x02292024u, 2024, 2, 29)]
    public void A_date_is_read_by_its_digits(uint code, int year, int month, int day) =>
        Assert.Equal(new DateOnly(year, month, day), BcdDate.Read(code));

    [Theory]
    [InlineData(0x13012020u)]
    [InlineData(0x02302020u)]
    [InlineData(0x0A012020u)]
    [InlineData(0x00000000u)]
    [InlineData(0xFFFFFFFFu)]
    [InlineData(0x01010000u)]
    public void What_is_no_date_is_none(uint code) => Assert.Null(BcdDate.Read(code));

    [Theory]
    [InlineData(0x00, "version")]
    [InlineData(0x14, "loader")]
    [InlineData(0x0C, "signature")]
    [InlineData(0x1D, "data size")]
    [InlineData(0x21, "total size")]
    [InlineData(0x40, "data")]
    public void An_update_that_does_not_hold_together_is_none(int at, string what)
    {
        byte[] image = UpdateBuilder.Update(Wanted, 0x22);
        image[at] ^= 0x40;
        Assert.True(Read(image).ProcessorUpdates.Count == 0, what);
    }

    [Fact]
    public void A_damaged_update_is_named_and_leaves_the_answer_open()
    {
        byte[] image = Bytes.Join(UpdateBuilder.Update(Wanted, 0x22), UpdateBuilder.Update(0x000506E3, 0x36));
        image[0x80] ^= 0x01;
        ImageTree tree = Read(image);
        Assert.Single(tree.ProcessorUpdates);
        Assert.Contains(tree.Findings, finding => finding is { Code: "update.checksum", Where: "0x00000000" });
        Assert.Equal(Knows.Unknown, Ask(image).Answer);
    }

    [Fact]
    public void An_update_in_the_image_is_a_yes_with_its_platforms()
    {
        ChipSupport support = Ask(SmallImages.All["updates"]);
        Assert.Equal((Knows.Yes, Verdict.Ok), (support.Answer, support.Finding.Verdict));
        Assert.Contains("for platforms 1, 5", support.Reason, StringComparison.Ordinal);
        Assert.Contains("2025-11-24", support.Reason, StringComparison.Ordinal);
        Assert.Equal(Knows.Yes, Ask(SmallImages.All["updates"], platform: 1).Answer);
        Assert.Equal(Knows.Yes, Ask(SmallImages.All["updates"], 0x00040651, 6).Answer);
    }

    [Fact]
    public void An_update_for_another_platform_is_a_no()
    {
        byte[] image = Board(UpdateBuilder.Update(Wanted, 0x22));
        ChipSupport support = Ask(image, platform: 0);
        Assert.Equal(Knows.No, support.Answer);
        Assert.Contains("for platforms 1, 5, not for platform 0", support.Reason, StringComparison.Ordinal);
    }

    [Fact]
    public void The_highest_revision_counts()
    {
        byte[] image = Board(
            Bytes.Join(
                UpdateBuilder.Update(Wanted, 0x22, revision: 0x70),
                UpdateBuilder.Update(Wanted, 0x22, revision: 0xF4),
                UpdateBuilder.Update(Wanted, 0x22, revision: 0x21)
            )
        );
        Assert.Equal([0xF4, 0x70, 0x21], Ask(image).Updates.Select(update => update.Revision));
    }

    [Fact]
    public void Only_another_stepping_is_a_no_that_names_it()
    {
        ChipSupport support = Ask(Board(UpdateBuilder.Update(0x000906E9, 0x2A)));
        Assert.Equal((Knows.No, Verdict.FixFirst), (support.Answer, support.Finding.Verdict));
        Assert.Contains("000906E9", support.Reason, StringComparison.Ordinal);
        Assert.Single(support.Relatives);
    }

    [Fact]
    public void An_update_inside_a_packed_section_is_found()
    {
        ChipSupport support = Ask(SmallImages.All["packed-lzma"]);
        Assert.Equal(Knows.Yes, support.Answer);
        Assert.False(support.Updates[0].Space.IsFile);
    }

    [Fact]
    public void A_part_that_is_packed_beyond_reading_makes_a_no_unknown()
    {
        byte[] update = UpdateBuilder.Update(0x000506E3, 0x36);
        Assert.Equal(Knows.No, Ask(Board(update)).Answer);
        byte[] noise = Bytes.Noise(0x4000, 1);
        ChipSupport support = Ask(Board(Bytes.Join(update, noise)));
        Assert.Equal(Knows.Unknown, support.Answer);
        Assert.Contains("look packed or encrypted", Assert.Single(support.Doubts), StringComparison.Ordinal);
        byte[] section = VolumeBuilder.GuidSection("4A1F0F6E-3C57-49A0-8F5B-1D0C9E6B2A03", 1, Bytes.Noise(0x400, 3));
        byte[] volume = VolumeBuilder.Volume(
            VolumeBuilder.SmallFiles,
            0x1000,
            VolumeBuilder.File("4A1F0F6E-3C57-49A0-8F5B-1D0C9E6B2A01", 0x0B, section)
        );
        Assert.Equal(Knows.Unknown, Ask(Board(Bytes.Join(update, volume))).Answer);
    }

    /// <summary>The engine's region looks random in every image; that must not make every answer unknown.</summary>
    [Fact]
    public void The_engines_region_raises_no_doubt()
    {
        byte[] chip = BoardBuilder.Chip(UpdateBuilder.Update(0x000506E3, 0x36));
        Assert.True(Bytes.Sum32(chip.AsSpan(0x4000, 0x1000)) != 0);
        Assert.Equal(Knows.No, Ask(chip).Answer);
    }

    [Theory]
    [InlineData("tables", "no updates of this kind")]
    [InlineData("variables-plain", "does not start a PC processor")]
    public void An_image_without_updates_says_nothing(string name, string why)
    {
        ChipSupport support = Ask(SmallImages.All[name]);
        Assert.Equal((Knows.Unknown, Verdict.Unknown), (support.Answer, support.Finding.Verdict));
        Assert.Contains(why, support.Reason, StringComparison.Ordinal);
    }

    [Fact]
    public void The_other_makers_updates_are_shown_and_nothing_follows()
    {
        byte[] image = Bytes.Filled(0x100000, 0xFF);
        byte[] patch = new byte[0x40];
        Bytes.Put32(patch, 0, 0x11242022);
        Bytes.Put32(patch, 4, 0x08701030);
        Bytes.Put16(patch, 8, 0x8004);
        Bytes.Put16(patch, 0x18, 0x8710);
        patch.CopyTo(image, 0x40010);
        // Physical FFFA0000h of a chip that ends at 4 GiB.
        Bytes.Put32(image, image.Length - 0x60000, 0x55AA55AA);
        ImageTree tree = Read(image);
        EquivalentUpdate update = Assert.Single(tree.EquivalentUpdates);
        Assert.Equal((0x40010, (ushort)0x8710, 0x08701030u), (update.Start, update.EquivalenceId, update.PatchId));
        Assert.Equal(image.Length - 0x60000, Assert.Single(tree.EmbeddedFirmwareAnchors).Start);
        ChipSupport support = Ask(image);
        Assert.Equal(Knows.Unknown, support.Answer);
        Assert.Contains("8710h", support.Reason, StringComparison.Ordinal);
    }

    [Fact]
    public void A_table_of_further_processors_that_does_not_sum_up_is_not_believed()
    {
        byte[] image = UpdateBuilder.Update(0x000306C3, 0x32, 0x28, 0x11122019, 1200, (0x000306C1u, 0x12u));
        int entry = 48 + 1200 + 20;
        // Another processor in the table, and the update's own sum put right again: only the table's sums tell.
        Bytes.Put32(image, entry, Wanted);
        Bytes.Put32(image, 0x10, BitConverter.ToUInt32(image, 0x10) - Bytes.Sum32(image));
        ImageTree tree = Read(image);
        ProcessorUpdate update = Assert.Single(tree.ProcessorUpdates);
        Assert.False(update.TableChecksumOk);
        Assert.False(update.Targets[1].ChecksumOk);
        Assert.Contains(tree.Findings, finding => finding.Code == "update.table-checksum");
        Assert.NotEqual(Knows.Yes, Ask(image).Answer);
    }

    [Theory]
    [InlineData("906EA", 0x000906EAu)]
    [InlineData("0x000906ea", 0x000906EAu)]
    public void A_signature_is_read_as_it_is_typed(string text, uint value)
    {
        Assert.True(ProcessorSignature.TryParse(text, out ProcessorSignature signature));
        Assert.Equal(value, signature.Value);
    }

    [Theory, InlineData(""), InlineData("0x"), InlineData("1234567890"), InlineData("906EG"), InlineData(null)]
    public void What_is_no_signature_is_refused(string? text) => Assert.False(ProcessorSignature.TryParse(text, out _));

    // An image that starts a PC processor and holds some bytes in front.
    private static byte[] Board(byte[] content)
    {
        byte[] image = Bytes.Filled(0x20000, 0xFF);
        content.CopyTo(image, 0);
        SmallImages.All["tables"].CopyTo(image, image.Length - 0x1000);
        // Its short tables and the noise in them are no doubt either.
        return image;
    }

    private static ChipSupport Ask(byte[] image, uint signature = Wanted, int? platform = null) =>
        ChipQuestion.Ask(Read(image), new ProcessorSignature(signature), platform);

    private static ImageTree Read(byte[] image)
    {
        ImageTree tree = ImageReader.Read(image);
        Assert.Null(TreeCheck.Fault(tree, image));
        return tree;
    }
}
