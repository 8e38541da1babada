using Graftbench.Vision.Pictures;
using SkiaSharp;

namespace Graftbench.Vision.Marking;

/// <summary>A picture as the drawing library takes it.</summary>
public static class PictureBitmap
{
    /// <summary>A bitmap of the same pixels, eight bits a channel; who asks for it disposes of it.</summary>
    public static SKBitmap Of(Picture picture)
    {
        ArgumentNullException.ThrowIfNull(picture);
        SKBitmap bitmap = new(
            new SKImageInfo(picture.WidthPx, picture.HeightPx, SKColorType.Rgba8888, SKAlphaType.Opaque)
        );
        Span<byte> pixels = bitmap.GetPixelSpan();
        byte[]? rgb = picture.Rgb;
        for (int i = 0; i < picture.Grey.Length; i++)
        {
            byte grey = (byte)Math.Clamp((picture.Grey[i] * 255) + 0.5f, 0, 255);
            pixels[4 * i] = rgb is null ? grey : rgb[3 * i];
            pixels[(4 * i) + 1] = rgb is null ? grey : rgb[(3 * i) + 1];
            pixels[(4 * i) + 2] = rgb is null ? grey : rgb[(3 * i) + 2];
            pixels[(4 * i) + 3] = 255;
        }
        return bitmap;
    }
}
