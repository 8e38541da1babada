using Graftbench.Core.Findings;
using Graftbench.Firmware.Reading;
using Graftbench.Firmware.Tree;
using Graftbench.Firmware.Unpacking;
using Graftbench.Tests.Shared.Firmware;

namespace Graftbench.Firmware.Tests;

/// <summary>Packed sections: what comes out, and what is said when nothing does.</summary>
public class UnpackTests
{
    private const string File = "4A1F0F6E-3C57-49A0-8F5B-1D0C9E6B2A01";

    /// <summary>The bytes were packed by another program (liblzma 5.4, its x86 filter before LZMA).</summary>
    [Fact]
    public void The_x86_filter_gives_back_what_another_program_packed()
    {
        byte[] code = Corpus("code.bin");
        byte[] packed = Corpus("code-lzma-x86.lzma");
        ImageTree tree = Read(packed, VolumeBuilder.LzmaX86);
        Assert.Equal(code, tree.Spaces[1].Bytes.ToArray());
        // Without the filter other bytes come out: it does something here.
        Assert.NotEqual(code, Read(packed, VolumeBuilder.Lzma).Spaces[1].Bytes.ToArray());
    }

    [Fact]
    public void Lzma_with_another_programs_header_comes_out_whole()
    {
        // Packed by the same other program; the first five bytes are property byte and dictionary.
        ImageTree tree = Read(Corpus("code-lzma-x86.lzma"), VolumeBuilder.Lzma);
        byte[] filtered = tree.Spaces[1].Bytes.ToArray();
        X86Filter.Decode(filtered);
        Assert.Equal(Corpus("code.bin"), filtered);
    }

    [Theory, InlineData("packed-lzma"), InlineData("packed-brotli")]
    public void What_is_packed_is_a_space_of_its_own_with_its_own_tree(string name)
    {
        byte[] image = SmallImages.All[name];
        ImageTree tree = ImageReader.Read(image);
        Assert.Null(TreeCheck.Fault(tree, image));
        ByteSpace inner = tree.Spaces[1];
        Assert.Equal(SmallImages.Inner(), inner.Bytes.ToArray());
        Assert.Equal(SegmentKind.Packed, inner.Origin!.Kind);
        Assert.Same(inner, inner.Origin.Unpacked);
        Assert.Contains(inner.Root.Walk(), segment => segment.Name == "BenchDriver");
        Assert.Equal(inner, Assert.Single(tree.ProcessorUpdates).Space);
    }

    [Theory]
    [InlineData("packed-lzma")]
    [InlineData("packed-brotli")]
    public void A_damaged_packed_section_is_a_finding_and_stays_packed(string name)
    {
        byte[] image = [.. SmallImages.All[name]];
        int at = ImageReader.Read(image).Spaces[1].Origin!.Range.Start;
        // Cut short inside: the rest of the stream is gone.
        image.AsSpan(at + 0x200, 0x400).Fill(0xFF);
        ImageTree tree = ImageReader.Read(image);
        Assert.Null(TreeCheck.Fault(tree, image));
        // LZMA has no sum of its own: it may give bytes all the same, and then what they hold does not hold together.
        Assert.Contains(tree.Findings, finding => finding.Verdict == Verdict.FixFirst);
    }

    [Fact]
    public void What_is_packed_in_an_unknown_way_is_unknown()
    {
        ImageTree tree = ImageReader.Read(SmallImages.All["packed-unknown"]);
        Assert.Equal(2, tree.Findings.Count);
        Assert.All(
            tree.Findings,
            finding => Assert.Equal((Verdict.Unknown, "section.packed"), (finding.Verdict, finding.Code))
        );
    }

    private static ImageTree Read(byte[] packed, string definedBy)
    {
        byte[] section = VolumeBuilder.GuidSection(definedBy, 1, packed);
        byte[] image = VolumeBuilder.Volume(VolumeBuilder.SmallFiles, 0x4000, VolumeBuilder.File(File, 0x0B, section));
        ImageTree tree = ImageReader.Read(image);
        Assert.Null(TreeCheck.Fault(tree, image));
        return tree;
    }

    private static byte[] Corpus(string name)
    {
        DirectoryInfo? folder = new(AppContext.BaseDirectory);
        while (!System.IO.File.Exists(Path.Combine(folder!.FullName, "Graftbench.slnx")))
        {
            folder = folder.Parent;
        }
        return System.IO.File.ReadAllBytes(
            Path.Combine(folder.FullName, "tests", "corpus", "firmware", "filter", name)
        );
    }
}
