using Graftbench.Vision.Marking;
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
        using SKBitmap bitmap = PictureBitmap.Of(picture);
        float scale = Math.Min(1, (float)MaxSidePx / Math.Max(picture.WidthPx, picture.HeightPx));
        SKImageInfo small = bitmap.Info.WithSize(
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
