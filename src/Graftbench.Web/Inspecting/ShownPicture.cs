using System.Runtime.InteropServices;
using Graftbench.Vision.Pictures;
using SkiaSharp;

namespace Graftbench.Web.Inspecting;

/// <summary>A picture drawn anew for the screen: upright, smaller, nothing in it but pixels.</summary>
internal static class ShownPicture
{
    /// <summary>Longer side of what is shown [px].</summary>
    public const int MaxSidePx = 2400;

    private const int Quality = 88;

    /// <summary>The picture as JPEG.</summary>
    public static byte[] Jpeg(Picture picture)
    {
        SKImageInfo info = new(picture.WidthPx, picture.HeightPx, SKColorType.Rgba8888, SKAlphaType.Opaque);
        using SKBitmap bitmap = new(info);
        byte[] row = new byte[4 * picture.WidthPx];
        nint at = bitmap.GetPixels();
        for (int y = 0; y < picture.HeightPx; y++)
        {
            for (int x = 0; x < picture.WidthPx; x++)
            {
                int i = (y * picture.WidthPx) + x;
                byte grey = (byte)Math.Clamp((255 * picture.Grey[i]) + 0.5f, 0, 255);
                row[4 * x] = picture.Rgb?[3 * i] ?? grey;
                row[(4 * x) + 1] = picture.Rgb?[(3 * i) + 1] ?? grey;
                row[(4 * x) + 2] = picture.Rgb?[(3 * i) + 2] ?? grey;
                row[(4 * x) + 3] = 255;
            }
            Marshal.Copy(row, 0, at + (y * bitmap.RowBytes), row.Length);
        }
        float scale = Math.Min(1, (float)MaxSidePx / Math.Max(picture.WidthPx, picture.HeightPx));
        SKImageInfo small = info.WithSize(
            Math.Max(1, (int)MathF.Round(scale * picture.WidthPx)),
            Math.Max(1, (int)MathF.Round(scale * picture.HeightPx))
        );
        using SKBitmap shown =
            scale < 1
                ? bitmap.Resize(small, new SKSamplingOptions(SKFilterMode.Linear, SKMipmapMode.Linear))
                : bitmap.Copy();
        using SKImage image = SKImage.FromBitmap(shown);
        using SKData jpeg = image.Encode(SKEncodedImageFormat.Jpeg, Quality);
        return jpeg.ToArray();
    }
}
