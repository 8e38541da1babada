using Graftbench.Core.Findings;
using Graftbench.Vision.Answering;
using Graftbench.Vision.Pictures;
using SkiaSharp;

namespace Graftbench.Vision.Marking;

/// <summary>Draws what counts on a picture, a person's words included, for the record and for paper.</summary>
public static class SeenMarking
{
    /// <summary>Longest side of the marked picture [px].</summary>
    public const int MaxSidePx = BallMarking.MaxSidePx;

    private static readonly SKColor Line = new(127, 227, 255);

    /// <summary>The marked picture as PNG.</summary>
    /// <param name="picture">The picture that was looked at.</param>
    /// <param name="seen">What it says.</param>
    public static byte[] Png(Picture picture, SeenPicture seen)
    {
        ArgumentNullException.ThrowIfNull(picture);
        ArgumentNullException.ThrowIfNull(seen);
        float scale = Math.Min(1, (float)MaxSidePx / Math.Max(picture.WidthPx, picture.HeightPx));
        int width = Math.Max(1, (int)(picture.WidthPx * scale));
        int height = Math.Max(1, (int)(picture.HeightPx * scale));
        using SKBitmap source = PictureBitmap.Of(picture);
        using SKImage image = SKImage.FromBitmap(source);
        using SKBitmap target = new(new SKImageInfo(width, height, SKColorType.Rgba8888, SKAlphaType.Opaque));
        using SKCanvas canvas = new(target);
        canvas.DrawImage(
            image,
            new SKRect(0, 0, width, height),
            new SKSamplingOptions(SKFilterMode.Linear, SKMipmapMode.Linear)
        );
        foreach (SeenLine line in seen.Lines)
        {
            using SKPathBuilder builder = new();
            builder.AddPoly(
                [.. line.Points.Select(point => new SKPoint((float)point.XPx * scale, (float)point.YPx * scale))],
                line.Closed
            );
            using SKPath path = builder.Detach();
            SiteMarks.Stroke(canvas, path, line.Verdict is { } verdict ? SiteMarks.Colour(verdict) : Line, 12);
        }
        foreach (SeenSite site in seen.Sites.OrderBy(site => site.Counts.Verdict != Verdict.Ok))
        {
            SiteMarks.Draw(
                canvas,
                site.Counts,
                ((float)site.XPx + 0.5f) * scale,
                ((float)site.YPx + 0.5f) * scale,
                Math.Max(14, 3.2f * (float)site.RadiusPx * scale)
            );
        }
        canvas.Flush();
        using SKImage drawn = SKImage.FromBitmap(target);
        using SKData png = drawn.Encode(SKEncodedImageFormat.Png, 90);
        return png.ToArray();
    }
}
