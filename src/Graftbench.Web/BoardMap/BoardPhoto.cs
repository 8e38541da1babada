using SkiaSharp;

namespace Graftbench.Web.BoardMap;

/// <summary>What became of an uploaded photo: a clean JPEG, or why there is none.</summary>
/// <param name="Jpeg">The picture upright, without position data, at most <see cref="BoardPhoto.MaxSidePx"/> on its longer side.</param>
/// <param name="Problem">Why it was refused; null where it was not.</param>
internal sealed record PhotoReading(byte[]? Jpeg, string? Problem);

/// <summary>Takes in photos of boards. The bytes may be anything: what is stored is only ever drawn anew from pixels.</summary>
internal static class BoardPhoto
{
    /// <summary>Largest file [bytes].</summary>
    public const int MaxBytes = 20 * 1024 * 1024;

    /// <summary>Most pixels; a 40-megapixel picture takes 160 MB while it is read.</summary>
    public const long MaxPixels = 40_000_000;

    /// <summary>Longer side of what is stored [px].</summary>
    public const int MaxSidePx = 2400;

    private const int JpegQuality = 85;

    // One picture at a time bounds the memory, whatever is sent.
    private static readonly Lock OneAtATime = new();

    /// <summary>Reads an uploaded file.</summary>
    public static PhotoReading Read(byte[] file)
    {
        if (file.Length == 0)
        {
            return Refused("No picture was chosen.");
        }
        if (file.Length > MaxBytes)
        {
            return Refused(
                $"The picture is {file.Length / 1e6:0.0} MB; at most {MaxBytes / 1e6:0} MB are taken. Make a smaller copy."
            );
        }
        lock (OneAtATime)
        {
            using SKData data = SKData.CreateCopy(file);
            using SKCodec? codec = SKCodec.Create(data);
            if (
                codec is null
                || codec.EncodedFormat
                    is not (SKEncodedImageFormat.Jpeg or SKEncodedImageFormat.Png or SKEncodedImageFormat.Webp)
            )
            {
                return Refused("This file is no JPEG, PNG or WebP picture.");
            }
            long pixels = (long)codec.Info.Width * codec.Info.Height;
            return pixels > MaxPixels
                ? Refused(
                    $"The picture has {pixels / 1e6:0.0} million pixels; at most {MaxPixels / 1e6:0} million are taken. Make a smaller copy."
                )
                : Redraw(codec);
        }
    }

    private static PhotoReading Refused(string problem) => new(null, problem);

    private static PhotoReading Redraw(SKCodec codec)
    {
        SKSizeI size = DecodeSize(codec);
        SKImageInfo info = new(size.Width, size.Height, SKColorType.Rgba8888, SKAlphaType.Premul);
        using SKBitmap pixels = new();
        if (size.Width < 1 || size.Height < 1 || !pixels.TryAllocPixels(info))
        {
            return Refused("The picture could not be read: there is not enough memory for it.");
        }
        if (codec.GetPixels(info, pixels.GetPixels()) != SKCodecResult.Success)
        {
            return Refused("The picture is damaged or ends too early. Take it again or make a new copy.");
        }
        using SKBitmap upright = Upright(pixels, codec.EncodedOrigin);
        using SKImage image = SKImage.FromBitmap(upright);
        using SKData? jpeg = image.Encode(SKEncodedImageFormat.Jpeg, JpegQuality);
        return jpeg is null
            ? Refused("The picture could not be written as JPEG.")
            : new PhotoReading(jpeg.ToArray(), null);
    }

    /// <summary>The smallest size that the decoder offers and that is not below what is stored.</summary>
    private static SKSizeI DecodeSize(SKCodec codec)
    {
        float scale = (float)MaxSidePx / Math.Max(codec.Info.Width, codec.Info.Height);
        SKSizeI full = new(codec.Info.Width, codec.Info.Height);
        SKSizeI scaled = scale < 1 ? codec.GetScaledDimensions(scale) : full;
        return Math.Max(scaled.Width, scaled.Height) >= Math.Min(MaxSidePx, Math.Max(full.Width, full.Height))
            ? scaled
            : full;
    }

    /// <summary>Draws the picture in its stored size on white, turned and mirrored as the camera meant it.</summary>
    private static SKBitmap Upright(SKBitmap pixels, SKEncodedOrigin origin)
    {
        float scale = Math.Min(1, (float)MaxSidePx / Math.Max(pixels.Width, pixels.Height));
        int width = Math.Max(1, (int)MathF.Round(pixels.Width * scale));
        int height = Math.Max(1, (int)MathF.Round(pixels.Height * scale));
        bool lying =
            origin
            is SKEncodedOrigin.LeftTop
                or SKEncodedOrigin.RightTop
                or SKEncodedOrigin.RightBottom
                or SKEncodedOrigin.LeftBottom;
        SKBitmap upright = new(
            new SKImageInfo(lying ? height : width, lying ? width : height, SKColorType.Rgba8888, SKAlphaType.Opaque)
        );
        using SKCanvas canvas = new(upright);
        canvas.Clear(SKColors.White);
        canvas.Concat(Turn(origin, width, height));
        using SKImage image = SKImage.FromBitmap(pixels);
        canvas.DrawImage(
            image,
            new SKRect(0, 0, width, height),
            new SKSamplingOptions(SKFilterMode.Linear, SKMipmapMode.Linear)
        );
        canvas.Flush();
        return upright;
    }

    /// <summary>From the picture as stored in the file, w by h, to the picture as it is seen. Exif 2.32, tag 274, values 1 to 8.</summary>
    private static SKMatrix Turn(SKEncodedOrigin origin, float w, float h) =>
        origin switch
        {
            SKEncodedOrigin.TopRight => new SKMatrix(-1, 0, w, 0, 1, 0, 0, 0, 1),
            SKEncodedOrigin.BottomRight => new SKMatrix(-1, 0, w, 0, -1, h, 0, 0, 1),
            SKEncodedOrigin.BottomLeft => new SKMatrix(1, 0, 0, 0, -1, h, 0, 0, 1),
            SKEncodedOrigin.LeftTop => new SKMatrix(0, 1, 0, 1, 0, 0, 0, 0, 1),
            SKEncodedOrigin.RightTop => new SKMatrix(0, -1, h, 1, 0, 0, 0, 0, 1),
            SKEncodedOrigin.RightBottom => new SKMatrix(0, -1, h, -1, 0, w, 0, 0, 1),
            SKEncodedOrigin.LeftBottom => new SKMatrix(0, 1, 0, -1, 0, w, 0, 0, 1),
            _ => SKMatrix.Identity,
        };
}
