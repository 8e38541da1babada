using System.Buffers.Binary;
using System.Security.Cryptography;
using Graftbench.Core.Findings;
using Graftbench.Firmware.Legacy;
using Graftbench.Firmware.OptionRoms;
using Graftbench.Firmware.Reading;
using Graftbench.Firmware.Tables;
using Graftbench.Firmware.Tree;
using Graftbench.Firmware.Variables;
using Graftbench.Firmware.Volumes;
using Graftbench.Tests.Checks;
using Graftbench.Tests.Shared.Firmware;

namespace Graftbench.Firmware.Tests;

/// <summary>Free firmware images of Debian against counts of another reader.</summary>
public class SampleTests
{
    public static TheoryData<string> Had =>
        [.. SampleTable.All.Where(count => Samples.IsHad(count.Sample)).Select(count => count.ToString())];

    public static TheoryData<string> NotHad =>
        [.. SampleTable.All.Where(count => !Samples.IsHad(count.Sample)).Select(count => count.ToString())];

    [Theory, MemberData(nameof(Had))]
    public void A_free_image_has_the_counts_that_another_reader_found(string name)
    {
        SampleCount expected = SampleTable.All.Single(count => count.ToString() == name);
        byte[] bytes = Samples.Read(expected.Sample);
        ImageTree tree = ImageReader.Read(bytes);

        Assert.Null(TreeCheck.Fault(tree, bytes));
        Assert.DoesNotContain(tree.Findings, finding => finding.Verdict <= Verdict.FixFirst);
        Assert.Empty(tree.ProcessorUpdates);
        Assert.Empty(tree.DamagedUpdates);
        CountTally tally = new();
        CheckVolumes(expected, tree, tally);
        if (expected.Unpacked is { } unpacked)
        {
            ByteSpace space = Assert.Single(tree.Spaces, one => !one.IsFile);
            tally.Same("bytes unpacked", unpacked.Bytes, space.Bytes.Length);
            Assert.Equal(unpacked.Sha, Convert.ToHexStringLower(SHA256.HashData(space.Bytes))[..16]);
        }
        else
        {
            Assert.Single(tree.Spaces);
        }
        CheckStore(expected, tree, tally);
        if (expected.WorkingBlock is { } block)
        {
            WorkingBlock found = Assert.Single(tree.WorkingBlocks);
            tally.Same("start of the working block", block.Start, found.Range.Start);
            Assert.True(found.ChecksumOk);
            Assert.True(found.QueueIsErased);
            tally.Same(
                "its checksum",
                block.Crc,
                BinaryPrimitives.ReadUInt32LittleEndian(bytes.AsSpan(block.Start + 0x10))
            );
        }
        // Tables and option ROMs alone have no such counts; their tests are below.
        Assert.Equal(expected.Volumes.Length > 0 || expected.Store is not null, tally.Number > 1);
        Truth.Note("firmware.samples", tally.Wrong.Count);
        Assert.Empty(tally.Wrong);
    }

    /// <summary>Each row of this test is an image that could not be checked here, because this Debian has another version.</summary>
    [Theory, MemberData(nameof(NotHad))]
    public void Not_had_on_this_machine(string name)
    {
        SampleCount row = SampleTable.All.Single(count => count.ToString() == name);
        Assert.False(Samples.IsHad(row.Sample));
        Assert.Contains(
            SampleTable.All,
            other => other.Sample.Package == row.Sample.Package && Samples.IsHad(other.Sample)
        );
    }

    [Fact]
    public void The_first_variable_of_a_populated_store_is_a_dead_record_at_64h()
    {
        foreach (
            string file in new[]
            {
                "OVMF_VARS.ms.fd",
                "OVMF_VARS_4M.ms.fd",
                "OVMF_VARS_4M.snakeoil.fd",
                "AAVMF_VARS.ms.fd",
            }
        )
        {
            VariableRecord first = Read(file).VariableStores[0].Records[0];
            Assert.Equal(("CustomMode", 0x64, 0x3C), (first.Name, first.Range.Start, first.StateByte));
            Assert.False(first.IsLive);
        }
    }

    [Theory]
    [InlineData("OVMF_VARS_4M.ms.fd", 1005, 2565, 3143, 76)]
    [InlineData("OVMF_VARS_4M.snakeoil.fd", 935, 935, 935, 76)]
    public void Keys_have_their_sizes_and_attributes(
        string file,
        int platformKey,
        int exchangeKey,
        int allowed,
        int barred
    )
    {
        VariableStore store = Assert.Single(Read(file).VariableStores);
        Assert.True(store.Authenticated);
        foreach (
            (string name, int size) in new[]
            {
                ("PK", platformKey),
                ("KEK", exchangeKey),
                ("db", allowed),
                ("dbx", barred),
            }
        )
        {
            VariableRecord record = Assert.Single(store.Live, one => one.Name == name);
            Assert.Equal(size, record.DataRange.Length);
            Assert.Equal(0x27u, record.Attributes);
            Assert.True(record.IsAuthenticated);
        }
    }

    [Theory]
    [InlineData("bios.bin", 0x16DD0)]
    [InlineData("bios-256k.bin", 0x36060)]
    public void A_legacy_image_has_its_reset_vector_and_anchors(string file, int plugAndPlay)
    {
        ImageTree tree = Read(file);
        Assert.Equal(
            (ResetKind.FarJump, "06/23/99", (byte?)0xFC),
            (tree.ResetVector.Kind, tree.ResetVector.BuildDate, tree.ResetVector.ModelByte)
        );
        Assert.Equal([0xEA, 0x5B, 0xE0, 0x00, 0xF0], tree.File.Bytes.Slice(tree.ResetVector.Range.Start, 5).ToArray());
        FirmwareTable table = Assert.Single(tree.Tables, one => one.Signature == "$PnP");
        Assert.Equal(plugAndPlay, table.Range.Start);
        // Completed at start-up: in the file it does not sum up, and that is a remark.
        Assert.False(table.ChecksumOk);
        Assert.Equal(0x61, Bytes.Sum8(table.Segment.Bytes));
        Assert.Equal(0x24, Bytes.Sum8(Assert.Single(tree.Tables, one => one.Signature == "_32_").Segment.Bytes));
        Assert.All(tree.Findings, finding => Assert.Equal(Verdict.Warning, finding.Verdict));
    }

    [Fact]
    public void An_acpi_table_is_read_whole()
    {
        FirmwareTable table = Assert.Single(Read("acpi-dsdt.aml").Tables);
        Assert.Equal(("DSDT", 4585, true), (table.Signature, table.Range.Length, table.ChecksumOk));
    }

    [Fact]
    public void All_video_option_roms_sum_to_zero()
    {
        string[] files =
        [
            .. Samples
                .Files("usr/share/seabios")
                .Where(path => Path.GetFileName(path).StartsWith("vgabios", StringComparison.Ordinal)),
        ];
        Assert.Equal(10, files.Length);
        foreach (string file in files)
        {
            OptionRom rom = Assert.Single(ImageReader.Read(File.ReadAllBytes(file)).OptionRoms);
            Assert.True(rom.ChecksumOk, file);
        }
        OptionRom standard = Assert.Single(Read("vgabios-stdvga.bin").OptionRoms);
        Assert.Equal((0x1234, 0x1111, 0), (standard.Vendor, standard.Device, standard.CodeType));
    }

    [Fact]
    public void A_network_rom_is_a_chain_of_two_images()
    {
        ImageTree tree = Read("efi-e1000.rom");
        Assert.Equal(2, tree.OptionRoms.Count);
        OptionRom pc = tree.OptionRoms[0];
        OptionRom efi = tree.OptionRoms[1];
        Assert.Equal(
            (0, 75264, (byte)0, (bool?)true, false),
            (pc.Range.Start, pc.Range.Length, pc.CodeType, pc.ChecksumOk, pc.IsLast)
        );
        Assert.Equal(
            (75264, 174592, (byte)3, (bool?)null, true, (ushort?)0x8664),
            (efi.Range.Start, efi.Range.Length, efi.CodeType, efi.ChecksumOk, efi.IsLast, efi.EfiMachine)
        );
    }

    [Fact]
    public void An_image_that_starts_an_other_processor_has_a_blank_top()
    {
        Assert.Equal(ResetKind.Blank, Read("QEMU_EFI.fd").ResetVector.Kind);
        Assert.Equal(ResetKind.NearJump, Read("OVMF.fd").ResetVector.Kind);
    }

    private static ImageTree Read(string file) => ImageReader.Read(Samples.Read(SampleTable.Named(file)));

    private static void CheckVolumes(SampleCount expected, ImageTree tree, CountTally tally)
    {
        List<Segment> found = [.. tree.Root.WalkUnpacked().Where(segment => segment.Kind == SegmentKind.Volume)];
        tally.Same("volumes", expected.Volumes.Length, found.Count);
        for (int i = 0; i < Math.Min(expected.Volumes.Length, found.Count); i++)
        {
            VolumeCount count = expected.Volumes[i];
            Segment volume = found[i];
            VolumeHeader header = (VolumeHeader)volume.Detail!;
            List<VolumeFile> files = [.. volume.Children.Select(child => child.Detail).OfType<VolumeFile>()];
            Assert.True(header.ChecksumOk);
            Assert.All(
                files,
                file => Assert.True(file.HeaderChecksumOk && file.BodyChecksumOk && !file.HasBodyChecksum)
            );
            Assert.All(files, file => Assert.Equal(0xF8, file.StateByte));
            string of = $" of volume {i}";
            tally.Same("space" + of, count.Space, volume.Space.Number);
            tally.Same("start" + of, count.Start, volume.Range.Start);
            tally.Same("length" + of, count.Length, volume.Range.Length);
            tally.Same("checksum" + of, count.Checksum, header.Checksum);
            tally.Same("files" + of, count.Files, files.Count);
            tally.Same("pad files" + of, count.PadFiles, files.Count(file => file.IsPad));
            tally.Same(
                "free bytes" + of,
                count.FreeBytes,
                volume.Children.Where(child => child.Kind == SegmentKind.FreeSpace).Sum(child => child.Range.Length)
            );
        }
    }

    private static void CheckStore(SampleCount expected, ImageTree tree, CountTally tally)
    {
        if (expected.Store is not { } count)
        {
            return;
        }
        VariableStore store = Assert.Single(tree.VariableStores);
        Assert.Equal(StoreRole.Main, store.Role);
        tally.Same("size of the store", count.Size, store.DeclaredSize);
        tally.Same("records", count.Records, store.Records.Count);
        tally.Same("live records", count.Live, store.Live.Count());
        tally.Same("records in state 3Ch", count.State3C, store.Records.Count(record => record.StateByte == 0x3C));
        tally.Same("records in state 3Dh", count.State3D, store.Records.Count(record => record.StateByte == 0x3D));
        Assert.True(store.FreeIsErased);
        tally.Same("bytes used", count.Used, (store.FreeRange.Start - store.Range.Start + 3) & ~3);
    }

    /// <summary>Counts of one image beside those of the other reader.</summary>
    private sealed class CountTally
    {
        private const long NotCounted = -1;

        public int Number { get; private set; }

        public List<string> Wrong { get; } = [];

        public void Same(string what, long expected, long found)
        {
            if (expected == NotCounted)
            {
                return;
            }
            Number++;
            if (expected != found)
            {
                Wrong.Add($"{what}: {found}, the other reader counted {expected}");
            }
        }
    }
}
