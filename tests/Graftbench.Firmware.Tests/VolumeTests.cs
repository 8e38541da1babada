using Graftbench.Core.Findings;
using Graftbench.Firmware.Reading;
using Graftbench.Firmware.Tree;
using Graftbench.Firmware.Volumes;
using Graftbench.Tests.Shared.Firmware;
using Built = Graftbench.Tests.Shared.Firmware.VolumeBuilder;

namespace Graftbench.Firmware.Tests;

/// <summary>Volumes, files and sections that no free image has, built by the layouts of the specification.</summary>
public class VolumeTests
{
    private const string FileOne = "4A1F0F6E-3C57-49A0-8F5B-1D0C9E6B2A01";
    private const string FileTwo = "4A1F0F6E-3C57-49A0-8F5B-1D0C9E6B2A02";

    [Fact]
    public void A_large_file_is_read_by_its_long_size()
    {
        byte[] body = Bytes.Noise(17 * 1024 * 1024, 1);
        ImageTree tree = Read(
            Built.Volume(Built.LargeFiles, 18 * 1024 * 1024, Built.File(FileOne, 0x01, body, large: true))
        );
        Segment file = Assert.Single(Files(tree));
        Assert.Equal(body.Length + 0x20, file.Range.Length);
        Assert.True(Detail(file) is { HeaderChecksumOk: true, BodyChecksumOk: true, HeaderLength: 0x20 });
        Assert.Empty(tree.Findings);
    }

    [Fact]
    public void The_attribute_of_large_files_counts_in_their_own_file_system_only()
    {
        byte[] file = Built.File(FileOne, 0x01, Bytes.Noise(0x100, 1));
        file[0x13] = 1;
        file[0x10] = 0;
        file[0x10] = (byte)-(Bytes.Sum8(file.AsSpan(0, 0x18)) - file[0x11] - file[0x17]);
        Segment read = Assert.Single(Files(Read(Built.Volume(Built.SmallFiles, 0x1000, file))));
        Assert.Equal(file.Length, read.Range.Length);
    }

    [Fact]
    public void A_summed_body_is_checked()
    {
        byte[] volume = Built.Volume(
            Built.SmallFiles,
            0x1000,
            Built.File(FileOne, 0x01, Bytes.Noise(0x100, 2), sumBody: true)
        );
        Assert.Empty(Read(volume).Findings);
        volume[Built.HeaderBytes + 0x18 + 7] ^= 0x10;
        Finding finding = Assert.Single(Read(volume).Findings);
        Assert.Equal(
            ("file.body-checksum", "0x00000048", Verdict.FixFirst),
            (finding.Code, finding.Where, finding.Verdict)
        );
    }

    [Fact]
    public void The_header_sum_leaves_out_state_and_body_byte()
    {
        byte[] volume = Built.Volume(Built.SmallFiles, 0x1000, Built.File(FileOne, 0x01, Bytes.Noise(0x100, 3)));
        volume[Built.HeaderBytes + 0x17] = 0xE8;
        volume[Built.HeaderBytes + 0x11] = 0x5A;
        ImageTree tree = Read(volume);
        Assert.True(Detail(Files(tree)[0]).HeaderChecksumOk);
        Assert.Equal(FileState.Deleted, Detail(Files(tree)[0]).State);
        Assert.Equal("file.state", Assert.Single(tree.Findings).Code);
    }

    [Theory]
    [InlineData(0xF8, FileState.Valid)]
    [InlineData(0xF0, FileState.MarkedForUpdate)]
    [InlineData(0xE8, FileState.Deleted)]
    [InlineData(0xC8, FileState.HeaderInvalid)]
    [InlineData(0xFC, FileState.Unfinished)]
    [InlineData(0xFE, FileState.Unfinished)]
    public void The_highest_state_bit_counts(byte state, FileState expected)
    {
        byte[] volume = Built.Volume(
            Built.SmallFiles,
            0x1000,
            Built.File(FileOne, 0x01, Bytes.Noise(0x100, 4), state: state)
        );
        Assert.Equal(expected, Detail(Files(Read(volume))[0]).State);
    }

    [Fact]
    public void Damage_in_one_file_leaves_the_others_readable()
    {
        byte[] first = Built.File(FileOne, 0x01, Bytes.Noise(0x200, 5));
        byte[] second = Built.File(FileTwo, 0x01, Bytes.Noise(0x100, 6));
        byte[] volume = Built.Volume(Built.SmallFiles, 0x2000, first, second);
        int secondAt = Built.HeaderBytes + ((first.Length + 7) & ~7);
        // A size beyond the volume.
        Bytes.Put24(volume, Built.HeaderBytes + 0x14, 0xFFFFF0);
        ImageTree tree = Read(volume);
        Segment file = Assert.Single(Files(tree));
        Assert.Equal(secondAt, file.Range.Start);
        Assert.Contains(tree.Findings, finding => finding is { Code: "file.header", Where: "0x00000048" });
        // A size that leads into the middle of nowhere; only the sum says that it is wrong.
        Bytes.Put24(volume, Built.HeaderBytes + 0x14, 0x60);
        Assert.Equal(secondAt, Assert.Single(Files(Read(volume))).Range.Start);
        // The size is right and something else of the header is not: the file is read, and named.
        Bytes.Put24(volume, Built.HeaderBytes + 0x14, first.Length);
        volume[Built.HeaderBytes + 0x12] ^= 0x01;
        tree = Read(volume);
        Assert.Equal(2, Files(tree).Count);
        Assert.Equal("file.header-checksum", Assert.Single(tree.Findings).Code);
    }

    [Fact]
    public void A_hundred_damaged_files_leave_the_hundred_others_readable()
    {
        byte[][] files =
        [
            .. Enumerable
                .Range(0, 200)
                .Select(i => Built.File($"4A1F0F6E-3C57-49A0-8F5B-{i:X12}", 0x01, Bytes.Noise(0x1000, i))),
        ];
        byte[] volume = Built.Volume(Built.SmallFiles, 0x200000, files);
        int step = (files[0].Length + 7) & ~7;
        for (int i = 0; i < files.Length; i += 2)
        {
            Bytes.Put24(volume, Built.HeaderBytes + i * step + 0x14, 0xFFFFF0);
        }
        ImageTree tree = Read(volume);
        Assert.Equal(100, Files(tree).Count);
        Assert.Equal(100, tree.Findings.Count(finding => finding.Code == "file.header"));
        Assert.DoesNotContain(tree.Findings, finding => finding.Code == "image.too-much-overlap");
    }

    [Fact]
    public void A_volume_with_a_wrong_sum_is_read_and_named_with_the_right_one()
    {
        byte[] volume = Built.Volume(Built.SmallFiles, 0x1000, Built.File(FileOne, 0x01, Bytes.Noise(0x100, 7)));
        string right = $"field {volume[0x33]:X2}{volume[0x32]:X2}h";
        volume[0x32] ^= 0xFF;
        ImageTree tree = Read(volume);
        Finding finding = Assert.Single(tree.Findings);
        Assert.Equal(("volume.checksum", right), (finding.Code, finding.Limit));
        Assert.Single(Files(tree));
    }

    [Fact]
    public void The_signature_alone_is_no_volume()
    {
        byte[] image = Bytes.Filled(0x1000, 0x90);
        Bytes.Ascii("_FVH").CopyTo(image, 0x428);
        ImageTree tree = Read(image);
        Assert.DoesNotContain(tree.Root.Walk(), segment => segment.Kind == SegmentKind.Volume);
        Assert.DoesNotContain(tree.Findings, finding => finding.Code.StartsWith("volume", StringComparison.Ordinal));
    }

    [Fact]
    public void A_volume_of_an_unknown_file_system_is_kept_whole()
    {
        byte[] volume = Bytes.Noise(0x1000, 8);
        Built.Header("0B0B0B0B-1234-4321-ABCD-000000000001", volume.Length).CopyTo(volume, 0);
        Segment segment = Assert.Single(Read(volume).Root.Walk(), one => one.Kind == SegmentKind.Volume);
        Assert.Equal([SegmentKind.VolumeHeader, SegmentKind.Opaque], segment.Children.Select(child => child.Kind));
    }

    [Fact]
    public void Data_in_padding_and_in_free_space_is_reported_with_its_place()
    {
        byte[] pad = Built.PadFile(
            Bytes.Join(Bytes.Filled(0x30, 0xFF), Bytes.Ascii("SN=BENCH-1"), Bytes.Filled(0x30, 0xFF))
        );
        byte[] volume = Built.Volume(Built.SmallFiles, 0x1000, pad);
        Bytes.Ascii("BOARD-7731").CopyTo(volume, 0xE00);
        ImageTree tree = Read(volume);
        Assert.Equal(
            [("file.data-in-padding", "0x00000090"), ("volume.data-in-free-space", "0x00000E00")],
            tree.Findings.Select(finding => (finding.Code, finding.Where))
        );
        Assert.Equal(SegmentKind.PaddingData, tree.LeafAt(0x90).Kind);
        Assert.Equal(SegmentKind.PaddingData, tree.LeafAt(0xE00).Kind);
        Assert.Equal(SegmentKind.FreeSpace, tree.LeafAt(0xDFF).Kind);
    }

    [Fact]
    public void A_crc_section_is_checked_and_read_through()
    {
        byte[] inner = Built.Section(0x15, Bytes.Wide("Inside\0"));
        byte[] volume = Built.Volume(Built.SmallFiles, 0x1000, Built.File(FileOne, 0x07, Built.CrcSection(inner)));
        ImageTree tree = Read(volume);
        Segment crc = tree.Root.Walk().First(segment => segment.Kind == SegmentKind.Section);
        Assert.True(((FileSection)crc.Detail!).ChecksumOk);
        Assert.Contains(crc.Children, child => child.Kind == SegmentKind.Section);
        volume[Built.HeaderBytes + 0x18 + 0x1C + 5] ^= 1;
        Assert.Contains(Read(volume).Findings, finding => finding.Code == "section.crc");
    }

    [Fact]
    public void A_file_is_called_what_its_name_section_says()
    {
        byte[] body = Built.Stream(
            Built.Section(0x10, Bytes.Noise(0x31, 9)),
            Built.Section(0x15, Bytes.Wide("BenchDriver\0"))
        );
        Segment file = Assert.Single(
            Files(Read(Built.Volume(Built.SmallFiles, 0x1000, Built.File(FileOne, 0x07, body))))
        );
        Assert.Equal("BenchDriver", file.Name);
    }

    [Fact]
    public void A_section_with_a_size_of_nothing_ends_its_level_with_a_finding()
    {
        byte[] body = Built.Stream(
            Built.Section(0x10, Bytes.Noise(0x30, 10)),
            Built.Section(0x19, Bytes.Noise(0x30, 11))
        );
        Bytes.Put24(body, 0x34, 0);
        ImageTree tree = Read(Built.Volume(Built.SmallFiles, 0x1000, Built.File(FileOne, 0x07, body)));
        Assert.Equal("section.size", Assert.Single(tree.Findings).Code);
    }

    [Fact]
    public void A_long_section_is_read_by_its_long_size()
    {
        byte[] body = Built.Section(0x19, Bytes.Noise(0x400, 12), longSize: true);
        ImageTree tree = Read(Built.Volume(Built.SmallFiles, 0x1000, Built.File(FileOne, 0x02, body)));
        Assert.Equal(0x408, Assert.Single(tree.Root.Walk(), one => one.Kind == SegmentKind.Section).Range.Length);
        Assert.Empty(tree.Findings);
    }

    [Fact]
    public void The_top_file_must_end_at_the_top()
    {
        byte[] volume = Bytes.Filled(0x1000, 0xFF);
        Built.Header(Built.SmallFiles, volume.Length).CopyTo(volume, 0);
        byte[] top = Built.Top(volume.Length - Built.HeaderBytes);
        top.CopyTo(volume, Built.HeaderBytes);
        ImageTree tree = Read(volume);
        Assert.Empty(tree.Findings);
        Assert.Equal("11/24/26", tree.ResetVector.BuildDate);
        byte[] longer = Bytes.Filled(0x1800, 0xFF);
        volume.CopyTo(longer, 0);
        Built.Header(Built.SmallFiles, longer.Length).CopyTo(longer, 0);
        Assert.Contains(Read(longer).Findings, finding => finding.Code == "file.volume-top");
    }

    [Fact]
    public void A_cut_volume_is_read_as_far_as_it_goes()
    {
        byte[] volume = Built.Volume(
            Built.SmallFiles,
            0x2000,
            Built.File(FileOne, 0x01, Bytes.Noise(0x200, 13)),
            Built.File(FileTwo, 0x01, Bytes.Noise(0x800, 14))
        );
        ImageTree tree = Read(volume[..0x600]);
        Assert.Contains(tree.Findings, finding => finding.Code == "volume.cut");
        Assert.Single(Files(tree));
    }

    private static ImageTree Read(byte[] image)
    {
        ImageTree tree = ImageReader.Read(image);
        Assert.Null(TreeCheck.Fault(tree, image));
        return tree;
    }

    private static List<Segment> Files(ImageTree tree) =>
        [.. tree.Root.Walk().Where(segment => segment.Kind == SegmentKind.VolumeFile)];

    private static VolumeFile Detail(Segment file) => (VolumeFile)file.Detail!;
}
