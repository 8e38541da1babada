using Graftbench.Vision.Answering;
using Graftbench.Vision.Balls;
using Graftbench.Vision.Pictures;
using SkiaSharp;

namespace Graftbench.Vision.Marking;

/// <summary>Draws verdicts on the picture: a shape and a letter for each class, so that no colour has to be told apart.</summary>
/// <remarks>
/// Thin ring: present. Cross and M: missing. Small ring in a square and U: undersized. Square and O: off-centre. Double ring
/// and J: joined. Diamond and ?: cannot be judged. Triangle and S: stray ball. A1 stands beside its corner.
/// </remarks>
public static class BallMarking
{
    /// <summary>Longest side of the marked picture [px].</summary>
    public const int MaxSidePx = 2600;

    /// <summary>The marked picture as PNG.</summary>
    /// <param name="picture">The picture that was judged.</param>
    /// <param name="report">What it says.</param>
    /// <param name="classes">Classes to show instead of the report's, by name: those that a person corrected.</param>
    public static byte[] Png(Picture picture, BallReport report, IReadOnlyDictionary<string, SiteClass>? classes = null)
    {
        ArgumentNullException.ThrowIfNull(picture);
        ArgumentNullException.ThrowIfNull(report);
        float scale = Math.Min(1, (float)MaxSidePx / Math.Max(picture.WidthPx, picture.HeightPx));
        // Marks want some room: a small picture is drawn larger.
        if (report.Pose is { } pose && pose.PitchPx * scale < 24)
        {
            scale = Math.Min(
                (float)MaxSidePx / Math.Max(picture.WidthPx, picture.HeightPx),
                (float)(24 / pose.PitchPx)
            );
        }
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
        if (report.Pose is { } found)
        {
            float pitch = (float)found.PitchPx * scale;
            foreach (SiteFinding site in report.Sites)
            {
                SiteClass one = classes?.GetValueOrDefault(site.Name, site.Class) ?? site.Class;
                SiteMarks.Draw(
                    canvas,
                    SiteSigns.Find(PictureKind.Balls, false, ClassText.Id(one))!,
                    ((float)site.XPx + 0.5f) * scale,
                    ((float)site.YPx + 0.5f) * scale,
                    pitch
                );
            }
            foreach (StrayBall stray in report.Strays)
            {
                (float x, float y) = (((float)stray.XPx + 0.5f) * scale, ((float)stray.YPx + 0.5f) * scale);
                SiteMarks.Draw(canvas, SiteSigns.Find(PictureKind.Balls, true, "stray")!, x, y, pitch);
            }
            Corner(canvas, found, scale, pitch);
        }
        canvas.Flush();
        using SKImage drawn = SKImage.FromBitmap(target);
        using SKData png = drawn.Encode(SKEncodedImageFormat.Png, 90);
        return png.ToArray();
    }

    private static void Corner(SKCanvas canvas, FieldPose pose, float scale, float pitch)
    {
        (double x, double y) = pose.CornersPx[0];
        double mx = pose.CornersPx.Average(corner => corner.XPx);
        double my = pose.CornersPx.Average(corner => corner.YPx);
        double length = Math.Max(1, Math.Sqrt((x - mx) * (x - mx) + (y - my) * (y - my)));
        float away = 1.3f * pitch;
        float cx = (float)(x * scale + (x - mx) / length * away);
        float cy = (float)(y * scale + (y - my) / length * away);
        float height = Math.Max(12, 0.7f * pitch);
        using SKPath path = StrokeLetters.Path("A1", cx - 0.8f * height, cy - height / 2, height);
        SiteMarks.Stroke(canvas, path, SKColors.White, Math.Max(pitch, 30) * 1.3f);
    }
}
