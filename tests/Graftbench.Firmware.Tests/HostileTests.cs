using System.Diagnostics;
using Graftbench.Core.Facts;
using Graftbench.Core.Findings;
using Graftbench.Firmware.Reading;
using Graftbench.Firmware.Tree;
using Graftbench.Firmware.Updates;
using Graftbench.Tests.Shared.Firmware;

namespace Graftbench.Firmware.Tests;

/// <summary>Nothing that an image holds makes the reader throw, hang, or lose a byte.</summary>
public class HostileTests
{
    private const int Cuts = 1_000;
    private const int Mutations = 10_000;

    // A large image takes milliseconds, and a tenth of a second with what is packed in it: fewer here, the full numbers in fuzz/.
    private const int MutationsLarge = 1_000;
    private const int MutationsUnpacked = 30;

    private static readonly ImageLimits LeftPacked = new() { Unpack = false };

    public static TheoryData<string> Small => [.. SmallImages.All.Keys];

    public static TheoryData<string> Corpus =>
        [.. Directory.GetFiles(CorpusFolder).Select(path => Path.GetFileName(path)!).Order()];

    [Theory, MemberData(nameof(Small))]
    public void A_spoilt_small_image_is_read_and_stays_covered(string name) =>
        Spoil(SmallImages.All[name], Cuts, Mutations, ImageLimits.Default);

    [Theory]
    [InlineData("OVMF_VARS.fd")]
    [InlineData("OVMF_VARS.ms.fd")]
    [InlineData("bios.bin")]
    [InlineData("acpi-dsdt.aml")]
    [InlineData("vgabios-stdvga.bin")]
    [InlineData("efi-e1000.rom")]
    public void A_spoilt_free_image_is_read_and_stays_covered(string file) =>
        Spoil(Samples.Read(SampleTable.Named(file)), Cuts, Mutations, ImageLimits.Default);

    [Theory]
    [InlineData("OVMF.fd")]
    [InlineData("QEMU_EFI.fd")]
    public void A_spoilt_large_image_is_read_and_stays_covered(string file)
    {
        byte[] image = Samples.Read(SampleTable.Named(file));
        Spoil(image, MutationsLarge / 10, MutationsLarge, LeftPacked);
        Spoil(image, MutationsUnpacked / 10, MutationsUnpacked, ImageLimits.Default);
    }

    [Fact]
    public void The_spoilt_inside_of_a_large_image_is_read_and_stays_covered()
    {
        ImageTree tree = ImageReader.Read(Samples.Read(SampleTable.Named("OVMF.fd")));
        // The smaller of the two volumes that are packed in it.
        Segment volume = tree.Spaces[1].Root.Walk().First(segment => segment.Kind == SegmentKind.Volume);
        Spoil(volume.Bytes.ToArray(), MutationsLarge / 10, 2 * MutationsLarge, ImageLimits.Default);
    }

    [Fact]
    public void A_small_image_is_read_wherever_it_is_cut()
    {
        foreach (byte[] image in SmallImages.All.Values.Where(image => image.Length <= 0x2000))
        {
            for (int length = 0; length < image.Length; length++)
            {
                Read(image[..length], ImageLimits.Default);
            }
        }
    }

    /// <summary>What once broke the reader stays here, beside the images that are spoilt to find more.</summary>
    [Theory, MemberData(nameof(Corpus))]
    public void An_image_of_the_corpus_is_read_and_stays_covered(string file)
    {
        byte[] image = File.ReadAllBytes(Path.Combine(CorpusFolder, file));
        Read(image, ImageLimits.Default);
    }

    [Fact]
    public void An_image_without_bytes_is_a_finding()
    {
        ImageTree tree = Read([], ImageLimits.Default);
        Assert.Equal("image.empty", Assert.Single(tree.Findings).Code);
        Assert.True(tree.Root.IsLeaf);
    }

    [Theory]
    [InlineData(0x00)]
    [InlineData(0xFF)]
    [InlineData(0x41)]
    public void One_byte_is_read(byte value) => Assert.Single(Read([value], ImageLimits.Default).Findings);

    [Fact]
    public void An_image_beyond_the_limit_is_the_callers_mistake() =>
        Assert.Throws<ArgumentOutOfRangeException>(() => ImageReader.Read(new byte[ImageLimits.MaxImageBytes + 1]));

    [Fact]
    public void Sections_that_are_nested_without_end_stop_at_the_limit()
    {
        byte[] body = Bytes.Ascii("the innermost");
        for (int depth = 0; depth < 200; depth++)
        {
            body = VolumeBuilder.Section(0x03, body);
        }
        ImageTree tree = Read(InVolume(0x2000, body), ImageLimits.Default);
        Assert.Contains(
            tree.Findings,
            finding => finding.Code == "image.too-deep" && finding.Verdict == Verdict.Unknown
        );
    }

    [Fact]
    public void Volumes_that_are_nested_without_end_stop_at_the_limit()
    {
        byte[] body = VolumeBuilder.Section(0x19, Bytes.Ascii("the innermost"));
        for (int depth = 0; depth < 40; depth++)
        {
            byte[] file = VolumeBuilder.File("4A1F0F6E-3C57-49A0-8F5B-1D0C9E6B2A01", 0x0B, body);
            int length = (VolumeBuilder.HeaderBytes + file.Length + 0x7FF) & ~0x7FF;
            body = VolumeBuilder.Section(0x17, VolumeBuilder.Volume(VolumeBuilder.SmallFiles, length, file));
        }
        ImageTree tree = Read(InVolume((body.Length + 0x1FFF) & ~0xFFF, body), ImageLimits.Default);
        Assert.Contains(tree.Findings, finding => finding.Code == "image.too-deep");
    }

    [Fact]
    public void A_bomb_stays_packed_beyond_the_limit_of_a_section()
    {
        byte[] bomb = PackedBuilder.LzmaSection(new byte[70 * 1024 * 1024]);
        Assert.True(bomb.Length < 100_000);
        byte[] image = InVolume((bomb.Length + 0x1FFF) & ~0xFFF, bomb);
        ImageTree tree = Read(image, ImageLimits.Default);
        Assert.Single(tree.Spaces);
        Assert.Contains(tree.Findings, finding => finding.Code == "section.packed" && finding.Limit is not null);
    }

    [Fact]
    public void Many_bombs_together_stop_at_the_limit_of_an_image()
    {
        byte[] bomb = PackedBuilder.LzmaSection(new byte[8 * 1024 * 1024]);
        byte[][] bombs = [.. Enumerable.Repeat(bomb, 50)];
        byte[] body = VolumeBuilder.Stream(bombs);
        byte[] image = InVolume((body.Length + 0x1FFF) & ~0xFFF, body);
        ImageTree tree = Read(image, ImageLimits.Default);
        Assert.Equal(32, tree.Spaces.Count(space => !space.IsFile));
        Assert.True(
            tree.Spaces.Skip(1).Sum(space => (long)space.Bytes.Length) <= ImageLimits.Default.MaxUnpackedImageBytes
        );
    }

    [Fact]
    public void A_packed_size_that_is_a_lie_is_a_finding()
    {
        byte[] section = PackedBuilder.LzmaSection(Bytes.Noise(0x100, 3));
        // The size of the content stands behind header, GUID, property byte and dictionary.
        Bytes.Put64(section, 24 + 5, 0x2000);
        ImageTree tree = Read(InVolume(0x2000, section), ImageLimits.Default);
        Assert.Single(tree.Spaces);
        Assert.Contains(tree.Findings, finding => finding.Code == "section.unpack");
        Bytes.Put64(section, 24 + 5, ulong.MaxValue);
        tree = Read(InVolume(0x2000, section), ImageLimits.Default);
        Assert.Contains(tree.Findings, finding => finding.Code == "section.packed");
    }

    [Fact]
    public void A_dictionary_that_is_a_lie_takes_no_memory()
    {
        byte[] content = VolumeBuilder.Section(0x19, Bytes.Ascii("a small content"));
        byte[] section = PackedBuilder.LzmaSection(content);
        Bytes.Put32(section, 24 + 1, 0xFFFFFFFF);
        long before = GC.GetTotalAllocatedBytes(precise: true);
        ImageTree tree = Read(InVolume(0x2000, section), ImageLimits.Default);
        Assert.True(GC.GetTotalAllocatedBytes(precise: true) - before < 50_000_000);
        Assert.Equal(content, tree.Spaces[1].Bytes.ToArray());
    }

    [Fact]
    public void Hostile_names_of_variables_are_names()
    {
        string[] names = ["", "\u202Egnp.exe", "a\nb\u001b[31m", new string('x', 2000), "\uD800", "../../etc"];
        ImageTree tree = Read(
            StoreBuilder.Volume(
                true,
                [.. names.Select(name => StoreBuilder.Record(name, [1, 2, 3], authenticated: true))]
            ),
            ImageLimits.Default
        );
        Assert.Equal(names.Length, tree.VariableStores[0].Records.Count);
    }

    /// <summary>Signatures everywhere: candidates that overlap must not make the time grow with the square of the size.</summary>
    [Theory]
    [InlineData("_FVH", 4)]
    [InlineData("DSDT", 4)]
    [InlineData("_SM_", 16)]
    [InlineData("55AA", 512)]
    [InlineData("update", 4)]
    [InlineData("volume", 72)]
    [InlineData("store", 28)]
    public void An_image_full_of_signatures_is_read_in_bounded_time(string what, int step)
    {
        byte[] unit = new byte[step];
        switch (what)
        {
            case "55AA":
                unit[0] = 0x55;
                unit[1] = 0xAA;
                unit[0x18] = 0x1C;
                Bytes.Ascii("PCIR").CopyTo(unit, 0x1C);
                Bytes.Put16(unit, 0x2C, 0xFFFF);
                break;
            case "update":
                unit[0] = 1;
                break;
            case "volume":
                unit = VolumeBuilder.Header(VolumeBuilder.SmallFiles, 0x1000000);
                break;
            case "store":
                unit = StoreBuilder.Store(true, 0x1C);
                Bytes.Put32(unit, 0x10, 0x100000);
                break;
            case "DSDT":
                // Each claims a length of 54534444h, "DDST" read as a number: too long; and every place is one.
                Bytes.Ascii(what).CopyTo(unit, 0);
                break;
            default:
                Bytes.Ascii(what).CopyTo(unit, 0);
                break;
        }
        byte[] image = new byte[16 * 1024 * 1024];
        for (int at = 0; at + unit.Length <= image.Length; at += unit.Length)
        {
            unit.CopyTo(image, at);
        }
        Stopwatch clock = Stopwatch.StartNew();
        Read(image, ImageLimits.Default);
        // A second on an idle machine; the square of the size would be hours.
        Assert.True(clock.Elapsed < TimeSpan.FromSeconds(60), $"{clock.Elapsed.TotalSeconds} s");
    }

    [Fact]
    public void Updates_that_claim_each_others_bytes_are_given_up_with_a_finding()
    {
        byte[] image = new byte[8 * 1024 * 1024];
        byte[] header = UpdateBuilder.Update(0x000906EA, 1)[..48];
        Bytes.Put32(header, 0x1C, 4 * 1024 * 1024 - 48);
        Bytes.Put32(header, 0x20, 4 * 1024 * 1024);
        for (int at = 0; at + 48 <= image.Length / 2; at += 48)
        {
            header.CopyTo(image, at);
        }
        ImageTree tree = Read(image, ImageLimits.Default);
        Assert.Contains(tree.Findings, finding => finding.Code == "image.too-much-overlap");
    }

    [Fact]
    public void More_parts_and_findings_than_the_limits_allow_are_counted_and_not_kept()
    {
        ImageLimits few = new() { MaxSegments = 20, MaxFindings = 3 };
        byte[] image = [.. SmallImages.All["board"]];
        ImageTree tree = Read(image, few);
        Assert.InRange(tree.Findings.Count, 1, 3);
        Assert.True(tree.FindingsNotListed > 0 || tree.Findings.Count < 3);
        Assert.InRange(tree.Root.WalkUnpacked().Count(), 1, 80);
    }

    [Fact]
    public void Every_finding_names_a_place_and_a_source_that_exists()
    {
        HashSet<string> codes = [];
        foreach (byte[] image in SmallImages.All.Values)
        {
            IReadOnlyList<int> headers = TreeCheck.Headers(Read(image, ImageLimits.Default));
            Mutator mutator = new(3);
            for (int i = 0; i < 1_000; i++)
            {
                foreach (Finding finding in Read(mutator.Mutate(image, headers), ImageLimits.Default).Findings)
                {
                    codes.Add(finding.Code);
                    Assert.StartsWith("0x", finding.Where, StringComparison.Ordinal);
                    Assert.True(ReferenceShelf.FindSource(finding.Source!) is not null, finding.ToString());
                    Assert.EndsWith(".", finding.What, StringComparison.Ordinal);
                }
            }
        }
        // A pin: so many kinds of damage were told apart when this was written.
        Assert.True(codes.Count >= 40, $"{codes.Count}: {string.Join(", ", codes.Order())}");
    }

    private static string CorpusFolder
    {
        get
        {
            DirectoryInfo? folder = new(AppContext.BaseDirectory);
            while (!File.Exists(Path.Combine(folder!.FullName, "Graftbench.slnx")))
            {
                folder = folder.Parent;
            }
            return Path.Combine(folder.FullName, "tests", "corpus", "firmware");
        }
    }

    private static void Spoil(byte[] image, int cuts, int mutations, ImageLimits limits)
    {
        IReadOnlyList<int> headers = TreeCheck.Headers(Read(image, limits));
        Mutator mutator = new(20261124);
        for (int i = 0; i < cuts; i++)
        {
            Read(mutator.Cut(image), limits);
        }
        for (int i = 0; i < mutations; i++)
        {
            Read(mutator.Mutate(image, headers), limits);
        }
    }

    private static ImageTree Read(byte[] image, ImageLimits limits)
    {
        ImageTree tree = ImageReader.Read(image, limits);
        Assert.Null(TreeCheck.Fault(tree, image));
        ChipQuestion.Ask(tree, new ProcessorSignature(0x000906EA));
        return tree;
    }

    private static byte[] InVolume(int length, byte[] sections) =>
        VolumeBuilder.Volume(
            VolumeBuilder.SmallFiles,
            length,
            VolumeBuilder.File("4A1F0F6E-3C57-49A0-8F5B-1D0C9E6B2A01", 0x0B, sections)
        );
}
