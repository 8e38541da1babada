using Graftbench.Core.Findings;
using Graftbench.Vision.Answering;
using SkiaSharp;

namespace Graftbench.Vision.Marking;

/// <summary>Shapes of the marks, the same on screen, in exported pictures and from the command line.</summary>
internal static class SiteMarks
{
    private static readonly SKColor Good = new(120, 255, 140);
    private static readonly SKColor Bad = new(255, 70, 60);
    private static readonly SKColor Warning = new(255, 200, 40);
    private static readonly SKColor Unknown = new(90, 200, 255);
    private static readonly SKColor Halo = new(0, 0, 0, 190);

    /// <summary>Colour of a verdict; the shape says the same.</summary>
    public static SKColor Colour(Verdict verdict) =>
        verdict switch
        {
            Verdict.Ok => Good,
            Verdict.Unknown => Unknown,
            Verdict.Warning => Warning,
            _ => Bad,
        };

    /// <summary>The lines of a mark.</summary>
    /// <param name="mark">The mark.</param>
    /// <param name="x">Middle [px].</param>
    /// <param name="y">Middle [px].</param>
    /// <param name="r">Half of its size [px].</param>
    public static SKPath Path(SiteMark mark, float x, float y, float r)
    {
        using SKPathBuilder builder = new();
        switch (mark)
        {
            case SiteMark.Cross:
                builder.MoveTo(x - r, y - r);
                builder.LineTo(x + r, y + r);
                builder.MoveTo(x + r, y - r);
                builder.LineTo(x - r, y + r);
                break;
            case SiteMark.RingInSquare:
                builder.AddRect(new SKRect(x - r, y - r, x + r, y + r));
                builder.AddCircle(x, y, 0.6f * r);
                break;
            case SiteMark.Square:
                builder.AddRect(new SKRect(x - r, y - r, x + r, y + r));
                break;
            case SiteMark.DoubleRing:
                builder.AddCircle(x, y, r);
                builder.AddCircle(x, y, 1.3f * r);
                break;
            case SiteMark.Diamond:
                builder.MoveTo(x, y - (1.2f * r));
                builder.LineTo(x + (1.2f * r), y);
                builder.LineTo(x, y + (1.2f * r));
                builder.LineTo(x - (1.2f * r), y);
                builder.Close();
                break;
            case SiteMark.Triangle:
                builder.MoveTo(x, y - r);
                builder.LineTo(x + (0.9f * r), y + (0.6f * r));
                builder.LineTo(x - (0.9f * r), y + (0.6f * r));
                builder.Close();
                break;
            default:
                builder.AddCircle(x, y, 1.1f * r);
                break;
        }
        return builder.Detach();
    }

    /// <summary>Draws a mark with its letter.</summary>
    /// <param name="canvas">Where.</param>
    /// <param name="sign">What it says.</param>
    /// <param name="x">Middle [px].</param>
    /// <param name="y">Middle [px].</param>
    /// <param name="pitch">Distance to the next [px].</param>
    public static void Draw(SKCanvas canvas, SiteSign sign, float x, float y, float pitch)
    {
        using SKPath path = Path(sign.Mark, x, y, 0.36f * pitch);
        SKColor colour = Colour(sign.Verdict);
        if (sign.Mark == SiteMark.Ring)
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
        if (sign.Letter.Length > 0)
        {
            using SKPath letter = StrokeLetters.Path(
                sign.Letter,
                x + (0.30f * pitch),
                y - (0.5f * pitch),
                Math.Max(9, 0.34f * pitch)
            );
            Stroke(canvas, letter, colour, Math.Max(pitch, 26));
        }
    }

    /// <summary>A bright line on a dark one, so that it shows on any ground.</summary>
    public static void Stroke(SKCanvas canvas, SKPath path, SKColor colour, float pitch)
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
}
