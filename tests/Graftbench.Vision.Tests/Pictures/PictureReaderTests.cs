using System.Diagnostics;
using System.Text;
using Graftbench.Core.Findings;
using Graftbench.Core.Numerics;
using Graftbench.Vision.Pictures;
using SkiaSharp;

namespace Graftbench.Vision.Tests.Pictures;

public class PictureReaderTests
{
    [Theory]
    [InlineData(SKEncodedImageFormat.Jpeg)]
    [InlineData(SKEncodedImageFormat.Png)]
    [InlineData(SKEncodedImageFormat.Webp)]
    public void A_picture_comes_out_as_it_was_stored(SKEncodedImageFormat format)
    {
        PictureReading reading = PictureReader.Read(PictureFiles.Quarter(40, 24, format), "p");
        Assert.Empty(reading.Findings);
        Picture picture = reading.Picture!;
        Assert.Equal((40, 24), (picture.WidthPx, picture.HeightPx));
        Assert.Equal(0.299, picture.Grey[5 * 40 + 6], 0.02);
        Assert.Equal(0.114, picture.Grey[20 * 40 + 30], 0.02);
        Assert.InRange(picture.Rgb![3 * (5 * 40 + 6)], 245, 255);
        Assert.Equal(format.ToString(), reading.Source!.Format);
    }

    // Exif 2.32, tag 274: where the stored row 0 and column 0 lie in the picture as seen.
    [Theory]
    [InlineData(1, true, true, false)]
    [InlineData(2, false, true, false)]
    [InlineData(3, false, false, false)]
    [InlineData(4, true, false, false)]
    [InlineData(5, true, true, true)]
    [InlineData(6, false, true, true)]
    [InlineData(7, false, false, true)]
    [InlineData(8, true, false, true)]
    public void The_cameras_note_turns_the_picture(byte orientation, bool left, bool top, bool lying)
    {
        byte[] file = PictureFiles.Turned(PictureFiles.Quarter(48, 32, SKEncodedImageFormat.Jpeg), orientation);
        PictureReading reading = PictureReader.Read(file, "p");
        Picture picture = reading.Picture!;
        Assert.Equal(lying ? (32, 48) : (48, 32), (picture.WidthPx, picture.HeightPx));
        int x = left ? 4 : picture.WidthPx - 5;
        int y = top ? 4 : picture.HeightPx - 5;
        Assert.True(picture.Rgb![3 * (y * picture.WidthPx + x)] > 200);
        Assert.True(picture.Rgb[3 * ((picture.HeightPx - 1 - y) * picture.WidthPx + x)] < 60);
        Assert.Equal(orientation != 1, reading.Source!.Turned);
    }

    [Fact]
    public void Sixteen_bits_stay_apart()
    {
        // Neighbouring values differ by one part in 65535: eight bits would make them one.
        byte[] file = PictureFiles.DeepGrey(256, 4, (x, y) => (ushort)(30_000 + x));
        PictureReading reading = PictureReader.Read(file, "p");
        Picture picture = reading.Picture!;
        Assert.Equal(16, reading.Source!.BitsPerChannel);
        Assert.Null(picture.Rgb);
        Assert.Equal(256, picture.Grey.Take(256).Distinct().Count());
        Assert.Equal(30_100 / 65535.0, picture.Grey[100], 1e-6);
    }

    [Fact]
    public void Sixteen_bit_colour_and_alpha_come_out()
    {
        // Filters 0 (none), 1 (left) and 2 (up), two pixels a row, RGBA: the rows say the same.
        byte[] pixel = [0x80, 1, 0x40, 2, 0x20, 3, 0xFF, 0xFF];
        byte[] raw = [0, .. pixel, .. pixel, 1, .. pixel, .. new byte[8], 2, .. new byte[16]];
        Picture picture = PictureReader.Read(PictureFiles.Png(2, 3, 16, 6, raw), "p").Picture!;
        double expected = (0.299 * 0x8001 + 0.587 * 0x4002 + 0.114 * 0x2003) / 65535;
        Assert.All(picture.Grey, grey => Assert.Equal(expected, grey, 1e-6));
        Assert.All(picture.Rgb!.Chunk(3), rgb => Assert.Equal([0x80, 0x40, 0x20], rgb));
    }

    [Fact]
    public void Four_ink_JPEGs_come_out_in_red_and_cyan()
    {
        Picture picture = PictureReader.Read(Corpus("cmyk.jpg"), "p").Picture!;
        int at = 3 * (8 * picture.WidthPx + 4);
        Assert.True(picture.Rgb![at] > picture.Rgb[at + 1] + 80);
        at += 3 * 14;
        Assert.True(picture.Rgb[at] + 80 < picture.Rgb[at + 1]);
    }

    [Fact]
    public void What_is_transparent_lies_on_white()
    {
        byte[] raw = [0, 10, 20, 30, 0, 200, 100, 50, 255];
        Picture picture = PictureReader.Read(PictureFiles.Png(2, 1, 8, 6, raw), "p").Picture!;
        Assert.Equal([255, 255, 255, 200, 100, 50], picture.Rgb!);
    }

    public static TheoryData<string, byte[], string> NoPictures =>
        new()
        {
            { "empty", [], "picture.empty" },
            { "zero bytes", new byte[5000], "picture.kind" },
            { "text", Encoding.UTF8.GetBytes("A1,VCC\nA2,GND\nA3,DQ0\n"), "picture.kind" },
            { "HEIC", [0, 0, 0, 24, .. "ftypheic"u8, 0, 0, 0, 0, .. "mif1heic"u8], "picture.kind" },
            { "AVIF", [0, 0, 0, 24, .. "ftypavif"u8, 0, 0, 0, 0], "picture.kind" },
            { "TIFF", [0x49, 0x49, 0x2A, 0, 8, 0, 0, 0, 0, 0], "picture.kind" },
            { "raw", [.. "FUJIFILMCCD-RAW 0201"u8], "picture.kind" },
            { "PDF", [.. "%PDF-1.7 something"u8], "picture.kind" },
            { "JPEG head only", [0xFF, 0xD8, 0xFF, 0xE0, 0, 16], "picture.kind" },
            { "200 megapixels", PictureFiles.Png(20_000, 10_000, 8, 2, [0]), "picture.pixels" },
            { "2 gigapixels a side", PictureFiles.Png(int.MaxValue, int.MaxValue, 8, 2, [0]), "" },
            { "long thin", PictureFiles.Png(1_000_000, 1, 8, 0, [0]), "" },
        };

    [Theory, MemberData(nameof(NoPictures))]
    public void What_is_no_picture_is_said_in_words(string what, byte[] file, string code)
    {
        long before = GC.GetAllocatedBytesForCurrentThread();
        PictureReading reading = PictureReader.Read(file, "shown.jpg");
        Assert.Null(reading.Picture);
        Finding finding = Assert.Single(reading.Findings);
        Assert.Equal(Verdict.Unknown, finding.Verdict);
        Assert.StartsWith(code, finding.Code, StringComparison.Ordinal);
        Assert.NotNull(finding.Todo);
        Assert.True(GC.GetAllocatedBytesForCurrentThread() - before < 1_000_000, what);
    }

    [Fact]
    public void HEIC_says_what_to_set_on_the_phone() =>
        Assert.Contains(
            "most compatible",
            PictureReader.Read([0, 0, 0, 24, .. "ftypheic"u8, 0, 0, 0, 0], "p").Findings[0].Todo,
            StringComparison.Ordinal
        );

    [Fact]
    public void A_file_over_the_limit_is_not_opened() =>
        Assert.Equal(
            "picture.file-size",
            PictureReader.Read(new byte[PictureLimits.MaxBytes + 1], "p").Findings[0].Code
        );

    [Fact]
    public void A_large_JPEG_is_read_smaller_and_says_so()
    {
        byte[] file = PictureFiles.Quarter(8000, 6000, SKEncodedImageFormat.Jpeg, 60);
        PictureReading reading = PictureReader.Read(file, "p");
        Assert.Equal("picture.reduced", Assert.Single(reading.Findings).Code);
        Picture picture = reading.Picture!;
        Assert.InRange((long)picture.WidthPx * picture.HeightPx, 10_000_000, PictureLimits.MaxKeptPixels);
        Assert.Equal(picture.WidthPx / 8000.0, reading.Source!.KeptScaleRatio, 1e-3);
        Assert.True(picture.Rgb![0] > 200);
    }

    [Fact]
    public void A_JPEG_in_passes_is_told_from_a_plain_one()
    {
        Assert.True(JpegHeader.IsProgressive(Corpus("progressive.jpg")));
        Assert.False(JpegHeader.IsProgressive(PictureFiles.Quarter(16, 16, SKEncodedImageFormat.Jpeg)));
        Assert.NotNull(PictureReader.Read(Corpus("progressive.jpg"), "p").Picture);
    }

    [Theory]
    [InlineData(SKEncodedImageFormat.Jpeg)]
    [InlineData(SKEncodedImageFormat.Png)]
    [InlineData(SKEncodedImageFormat.Webp)]
    [InlineData(SKEncodedImageFormat.Ico)] // stands for a PNG of 16 bits
    public void Cut_anywhere_it_gives_no_half_picture(SKEncodedImageFormat format)
    {
        byte[] file =
            format == SKEncodedImageFormat.Ico
                ? PictureFiles.DeepGrey(40, 30, (x, y) => (ushort)(x * y * 7919))
                : Noise(format);
        for (int length = 0; length < file.Length - 32; length += 1 + file.Length / 150)
        {
            PictureReading reading = PictureReader.Read(file[..length], "p");
            Assert.True(reading.Picture is null, $"{length} of {file.Length}");
            Assert.NotEmpty(reading.Findings);
        }
    }

    [Fact]
    public void Spoilt_bytes_give_a_picture_or_findings_and_never_an_exception()
    {
        Dice dice = new(11);
        Stopwatch watch = Stopwatch.StartNew();
        byte[][] good =
        [
            Noise(SKEncodedImageFormat.Jpeg),
            Noise(SKEncodedImageFormat.Png),
            Noise(SKEncodedImageFormat.Webp),
            PictureFiles.DeepGrey(20, 20, (x, y) => (ushort)(x * y * 100)),
            PictureFiles.Turned(Noise(SKEncodedImageFormat.Jpeg), 6),
            Corpus("cmyk.jpg"),
            Corpus("progressive.jpg"),
        ];
        for (int k = 0; k < 1500; k++)
        {
            byte[] file = [.. good[k % good.Length]];
            int changes = 1 + (int)dice.Between(0, 6);
            for (int c = 0; c < changes; c++)
            {
                // Half of the changes in the first bytes, where sizes stand.
                int at = (int)dice.Between(0, dice.Uniform() < 0.5 ? Math.Min(80, file.Length) : file.Length);
                file[at] = (byte)dice.Between(0, 256);
            }
            PictureReading reading = PictureReader.Read(file, "p");
            Assert.True(reading.Picture is not null || reading.Findings.Count > 0);
        }
        Assert.InRange(watch.Elapsed.TotalSeconds, 0, 60);
    }

    private static byte[] Noise(SKEncodedImageFormat format)
    {
        Dice dice = new(5);
        using SKBitmap bitmap = new(new SKImageInfo(60, 40, SKColorType.Rgba8888, SKAlphaType.Opaque));
        Span<byte> pixels = bitmap.GetPixelSpan();
        for (int i = 0; i < pixels.Length; i++)
        {
            pixels[i] = i % 4 == 3 ? (byte)255 : (byte)dice.Between(0, 256);
        }
        using SKImage image = SKImage.FromBitmap(bitmap);
        return image.Encode(format, 80).ToArray();
    }

    private static byte[] Corpus(string name) =>
        File.ReadAllBytes(Path.Combine(AppContext.BaseDirectory, "corpus", "pictures", name));
}
