using Graftbench.Core.Findings;
using SkiaSharp;
using static System.FormattableString;

namespace Graftbench.Vision.Pictures;

/// <summary>What became of a file: a picture, or findings that say why there is none and what to do.</summary>
/// <param name="Picture">The picture, upright; null where it could not be read.</param>
/// <param name="Findings">What there is to say; empty for a plain picture.</param>
/// <param name="Source">How it was stored; null where the file is no picture.</param>
public sealed record PictureReading(Picture? Picture, IReadOnlyList<Finding> Findings, PictureSource? Source);

/// <summary>How a picture was stored.</summary>
/// <param name="Format">Such as <c>Jpeg</c>.</param>
/// <param name="WidthPx">Width as stored, before any turn [px].</param>
/// <param name="HeightPx">Height as stored, before any turn [px].</param>
/// <param name="BitsPerChannel">8 or 16 bits of each channel that were kept.</param>
/// <param name="Turned">Whether the camera's note on how it was held turned or mirrored the picture.</param>
/// <param name="KeptScaleRatio">Width or height that was kept by what was stored: 1, or below where it was reduced.</param>
public sealed record PictureSource(
    string Format,
    int WidthPx,
    int HeightPx,
    int BitsPerChannel,
    bool Turned,
    double KeptScaleRatio
);

/// <summary>Reads picture files of any origin. The bytes may be anything; sizes are checked before anything is decoded.</summary>
/// <remarks>
/// JPEG, PNG, WebP, BMP and GIF (its first picture). Transparent places are laid on white. A 16-bit PNG keeps its depth.
/// At 25 megapixels
/// kept a picture takes 175 MB, and while it is decoded 4 bytes more for each pixel that is decoded. An interlaced PNG of 16
/// bits is read with 8.
/// </remarks>
public static class PictureReader
{
    /// <summary>Reads a picture.</summary>
    /// <param name="file">The bytes of the file.</param>
    /// <param name="name">What findings call it.</param>
    public static PictureReading Read(byte[] file, string name)
    {
        ArgumentNullException.ThrowIfNull(file);
        ArgumentNullException.ThrowIfNull(name);
        if (file.Length == 0)
        {
            return Refused(name, "picture.empty", "The file is empty.", "Take or copy the picture again.");
        }
        if (file.Length > PictureLimits.MaxBytes)
        {
            return Refused(
                name,
                "picture.file-size",
                "The file is too large.",
                "Make a smaller copy.",
                Invariant($"{file.Length / 1048576.0:0.0} MiB"),
                Invariant($"at most {PictureLimits.MaxBytes / 1048576} MiB (this program's own limit)")
            );
        }
        if (FileKind.NotRead(file) is { } kind)
        {
            return Refused(name, "picture.kind", $"This is {kind.Name}; it cannot be read here.", kind.Todo);
        }
        using SKData data = SKData.CreateCopy(file);
        using SKCodec? codec = SKCodec.Create(data);
        if (codec is null || !IsRead(codec.EncodedFormat))
        {
            return Refused(
                name,
                "picture.kind",
                "This is no picture, or its first part is damaged.",
                "Give a JPEG, PNG, WebP, BMP or GIF picture."
            );
        }
        return OfSize(codec, file, name);
    }

    private static bool IsRead(SKEncodedImageFormat format) =>
        format
            is SKEncodedImageFormat.Jpeg
                or SKEncodedImageFormat.Png
                or SKEncodedImageFormat.Webp
                or SKEncodedImageFormat.Bmp
                or SKEncodedImageFormat.Gif;

    private static PictureReading OfSize(SKCodec codec, byte[] file, string name)
    {
        int width = codec.Info.Width;
        int height = codec.Info.Height;
        long pixels = (long)width * height;
        bool scales = codec.EncodedFormat == SKEncodedImageFormat.Jpeg && !JpegHeader.IsProgressive(file);
        long most = scales ? PictureLimits.MaxJpegPixels : PictureLimits.MaxPixels;
        if (pixels > most || Math.Max(width, height) > PictureLimits.MaxSidePx || width < 1 || height < 1)
        {
            return Refused(
                name,
                "picture.pixels",
                "The picture has too many pixels.",
                "Make a smaller copy, or cut out the part with the balls.",
                Invariant($"{width} x {height}, {pixels / 1e6:0.0} million pixels"),
                Invariant(
                    $"at most {most / 1e6:0} million pixels and {PictureLimits.MaxSidePx} on a side for this kind (this program's own limit)"
                )
            );
        }
        bool deep = codec.EncodedFormat == SKEncodedImageFormat.Png && DeepPng.Takes(file);
        SKSizeI size = scales ? Reduced(codec, pixels) : new SKSizeI(width, height);
        (Picture? picture, Finding? damage) = deep ? Deep(file, name) : Decode(codec, size, name);
        if (picture is null)
        {
            return new PictureReading(null, [damage!], null);
        }
        (Picture kept, int by) = PictureBuffers.Within(picture, PictureLimits.MaxKeptPixels);
        double scale = (double)size.Width / width / by;
        List<Finding> findings = [];
        if (scale < 1)
        {
            findings.Add(
                new Finding(
                    Verdict.Warning,
                    "picture.reduced",
                    name,
                    "The picture is larger than is looked at; it was read in a smaller scale.",
                    Invariant($"{width} x {height}, kept {kept.WidthPx} x {kept.HeightPx}"),
                    Invariant($"{PictureLimits.MaxKeptPixels / 1e6:0} million pixels (this program's own limit)"),
                    Todo: "If balls come out too small in it, cut out the part with the balls."
                )
            );
        }
        bool turned = codec.EncodedOrigin is not (SKEncodedOrigin.TopLeft or SKEncodedOrigin.Default);
        return new PictureReading(
            kept,
            findings,
            new PictureSource(codec.EncodedFormat.ToString(), width, height, deep ? 16 : 8, turned, scale)
        );
    }

    private static (Picture?, Finding?) Deep(byte[] file, string name) =>
        DeepPng.Read(file) is { } picture
            ? (picture, null)
            : (null, Damaged(name, "The file is damaged or ends too early."));

    private static (Picture?, Finding?) Decode(SKCodec codec, SKSizeI size, string name)
    {
        SKImageInfo info = new(size.Width, size.Height, SKColorType.Rgba8888, SKAlphaType.Unpremul);
        using SKBitmap bitmap = new();
        if (size.Width < 1 || size.Height < 1 || !bitmap.TryAllocPixels(info))
        {
            return (
                null,
                Refused(name, "picture.memory", "There is not enough memory for it.", "Make a smaller copy.").Findings[
                    0
                ]
            );
        }
        SKCodecResult result = codec.GetPixels(info, bitmap.GetPixels());
        return result == SKCodecResult.Success
            ? (PictureBuffers.Upright(bitmap, codec.EncodedOrigin), null)
            : (
                null,
                Damaged(
                    name,
                    result == SKCodecResult.IncompleteInput ? "The file ends too early." : "The file is damaged."
                )
            );
    }

    private static Finding Damaged(string name, string what) =>
        Refused(
            name,
            "picture.damaged",
            what,
            "Copy the picture again, or take it again: what is left of it is not judged."
        ).Findings[0];

    /// <summary>The largest size that the decoder offers and that is not above what is kept.</summary>
    private static SKSizeI Reduced(SKCodec codec, long pixels)
    {
        SKSizeI size = new(codec.Info.Width, codec.Info.Height);
        for (int eighths = 7; eighths >= 1 && (long)size.Width * size.Height > PictureLimits.MaxKeptPixels; eighths--)
        {
            size = codec.GetScaledDimensions(eighths / 8f);
        }
        return size;
    }

    private static PictureReading Refused(
        string name,
        string code,
        string what,
        string todo,
        string? value = null,
        string? limit = null
    ) => new(null, [new Finding(Verdict.Unknown, code, name, what, value, limit, Todo: todo)], null);
}
