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

    private static readonly SKColor Halo = new(0, 0, 0, 190);

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
        using SKBitmap source = Bitmap(picture);
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
                Mark(canvas, ((float)site.XPx + 0.5f) * scale, ((float)site.YPx + 0.5f) * scale, pitch, one);
            }
            foreach (StrayBall stray in report.Strays)
            {
                (float x, float y) = (((float)stray.XPx + 0.5f) * scale, ((float)stray.YPx + 0.5f) * scale);
                using SKPathBuilder triangle = new();
                triangle.MoveTo(x, y - 0.36f * pitch);
                triangle.LineTo(x + 0.32f * pitch, y + 0.22f * pitch);
                triangle.LineTo(x - 0.32f * pitch, y + 0.22f * pitch);
                triangle.Close();
                using SKPath path = triangle.Detach();
                Stroke(canvas, path, new SKColor(255, 120, 255), pitch);
                Letter(canvas, "S", x, y, pitch, new SKColor(255, 120, 255));
            }
            Corner(canvas, found, scale, pitch);
        }
        canvas.Flush();
        using SKImage drawn = SKImage.FromBitmap(target);
        using SKData png = drawn.Encode(SKEncodedImageFormat.Png, 90);
        return png.ToArray();
    }

    private static void Mark(SKCanvas canvas, float x, float y, float pitch, SiteClass one)
    {
        float r = 0.36f * pitch;
        using SKPathBuilder builder = new();
        SKColor colour;
        switch (one)
        {
            case SiteClass.Present:
                colour = new SKColor(120, 255, 140);
                builder.AddCircle(x, y, 0.40f * pitch);
                break;
            case SiteClass.Missing:
                colour = new SKColor(255, 70, 60);
                builder.MoveTo(x - r, y - r);
                builder.LineTo(x + r, y + r);
                builder.MoveTo(x + r, y - r);
                builder.LineTo(x - r, y + r);
                break;
            case SiteClass.Undersized:
                colour = new SKColor(255, 200, 40);
                builder.AddRect(new SKRect(x - r, y - r, x + r, y + r));
                builder.AddCircle(x, y, 0.6f * r);
                break;
            case SiteClass.OffCentre:
                colour = new SKColor(255, 200, 40);
                builder.AddRect(new SKRect(x - r, y - r, x + r, y + r));
                break;
            case SiteClass.Joined:
                colour = new SKColor(255, 140, 40);
                builder.AddCircle(x, y, r);
                builder.AddCircle(x, y, 1.3f * r);
                break;
            default:
                colour = new SKColor(90, 200, 255);
                builder.MoveTo(x, y - 1.2f * r);
                builder.LineTo(x + 1.2f * r, y);
                builder.LineTo(x, y + 1.2f * r);
                builder.LineTo(x - 1.2f * r, y);
                builder.Close();
                break;
        }
        using SKPath path = builder.Detach();
        if (one == SiteClass.Present)
        {
            using SKPaint thin = new()
            {
                Color = colour,
                Style = SKPaintStyle.Stroke,
                StrokeWidth = Math.Max(1, pitch / 30),
                IsAntialias = true,
            };
            canvas.DrawPath(path, thin);
            return;
        }
        Stroke(canvas, path, colour, pitch);
        Letter(canvas, ClassText.Letter(one).ToString(), x, y, pitch, colour);
    }

    private static void Letter(SKCanvas canvas, string letter, float x, float y, float pitch, SKColor colour)
    {
        float height = Math.Max(9, 0.34f * pitch);
        using SKPath path = StrokeLetters.Path(letter, x + 0.30f * pitch, y - 0.5f * pitch, height);
        Stroke(canvas, path, colour, Math.Max(pitch, 26));
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
        Stroke(canvas, path, SKColors.White, Math.Max(pitch, 30) * 1.3f);
    }

    // A dark line under the bright one, so that the mark shows on any ground.
    private static void Stroke(SKCanvas canvas, SKPath path, SKColor colour, float pitch)
    {
        float width = Math.Max(1.6f, pitch / 16);
        using SKPaint paint = new()
        {
            Color = Halo,
            Style = SKPaintStyle.Stroke,
            StrokeWidth = 2.2f * width,
            IsAntialias = true,
            StrokeCap = SKStrokeCap.Round,
            StrokeJoin = SKStrokeJoin.Round,
        };
        canvas.DrawPath(path, paint);
        paint.Color = colour;
        paint.StrokeWidth = width;
        canvas.DrawPath(path, paint);
    }

    private static SKBitmap Bitmap(Picture picture)
    {
        SKBitmap bitmap = new(
            new SKImageInfo(picture.WidthPx, picture.HeightPx, SKColorType.Rgba8888, SKAlphaType.Opaque)
        );
        Span<byte> pixels = bitmap.GetPixelSpan();
        for (int i = 0; i < picture.Grey.Length; i++)
        {
            byte grey = (byte)Math.Clamp(picture.Grey[i] * 255 + 0.5f, 0, 255);
            pixels[4 * i] = picture.Rgb is { } rgb ? rgb[3 * i] : grey;
            pixels[4 * i + 1] = picture.Rgb is { } green ? green[3 * i + 1] : grey;
            pixels[4 * i + 2] = picture.Rgb is { } blue ? blue[3 * i + 2] : grey;
            pixels[4 * i + 3] = 255;
        }
        return bitmap;
    }
}
