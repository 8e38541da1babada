using Graftbench.Core.Findings;
using Graftbench.Vision.Marking;
using Graftbench.Vision.Pictures;
using Graftbench.Vision.Planes;
using SkiaSharp;

namespace Graftbench.Vision.Xray;

/// <summary>Draws a reading on its picture: every joint ringed by its verdict, voids ringed, shares of the doubtful ones in figures.</summary>
/// <remarks>
/// Verdicts differ in shape as well as in colour: a thin ring inside the limit, a thick one over it, a dashed one where it
/// cannot be judged, a cross where solder is missing, a bar between joined ones. Figures are drawn by strokes, without fonts.
/// </remarks>
public static class XrayMarking
{
    private static readonly SKColor Good = new(0x2e, 0xc4, 0x6d);
    private static readonly SKColor Near = new(0xff, 0xb0, 0x20);
    private static readonly SKColor Bad = new(0xff, 0x3b, 0x4e);
    private static readonly SKColor Unknown = new(0x5a, 0xa9, 0xff);
    private static readonly SKColor Void = new(0xff, 0xe6, 0x6b);

    // Strokes of a figure: top, upper left, upper right, middle, lower left, lower right, bottom.
    private static readonly string[] Figures =
    [
        "1110111",
        "0010010",
        "1011101",
        "1011011",
        "0111010",
        "1101011",
        "1101111",
        "1010010",
        "1111111",
        "1111011",
    ];

    /// <summary>Draws.</summary>
    /// <param name="picture">The picture that was read.</param>
    /// <param name="reading">What was read.</param>
    /// <returns>A PNG file.</returns>
    public static byte[] Png(Picture picture, XrayReading reading)
    {
        ArgumentNullException.ThrowIfNull(picture);
        ArgumentNullException.ThrowIfNull(reading);
        using SKBitmap bitmap = PictureBitmap.Of(picture);
        using SKCanvas canvas = new(bitmap);
        Dictionary<string, Finding> findings = reading
            .Findings.Where(finding => finding.Code.StartsWith("xray.void", StringComparison.Ordinal))
            .GroupBy(finding => finding.Where, StringComparer.Ordinal)
            .ToDictionary(group => group.Key, group => group.First(), StringComparer.Ordinal);
        Dictionary<string, JointReading> byName = reading.Joints.ToDictionary(
            joint => joint.Name,
            StringComparer.Ordinal
        );
        double usual = Ranks.Median(
            reading.Joints.Where(joint => joint.RadiusPx is not null).Select(joint => joint.RadiusPx!.Value)
        );
        float r = (float)(double.IsFinite(usual) ? usual : 10);
        float stroke = Math.Max(1, r / 14);
        foreach (JointReading joint in reading.Joints)
        {
            Draw(canvas, joint, findings.GetValueOrDefault(joint.Name), byName, r, stroke);
        }
        foreach (StraySpot spot in reading.Strays)
        {
            using SKPaint paint = Stroke(Near, stroke);
            float half = (float)Math.Max(spot.DiameterPx, 4);
            canvas.DrawRect((float)spot.XPx - half, (float)spot.YPx - half, 2 * half, 2 * half, paint);
        }
        canvas.Flush();
        using SKImage image = SKImage.FromBitmap(bitmap);
        using SKData data = image.Encode(SKEncodedImageFormat.Png, 100);
        return data.ToArray();
    }

    private static void Draw(
        SKCanvas canvas,
        JointReading joint,
        Finding? voids,
        Dictionary<string, JointReading> byName,
        float usual,
        float stroke
    )
    {
        float x = (float)joint.XPx;
        float y = (float)joint.YPx;
        if (joint.State == JointSight.Missing)
        {
            using SKPaint cross = Stroke(Bad, 2 * stroke);
            float arm = 0.7f * usual;
            canvas.DrawLine(x - arm, y - arm, x + arm, y + arm, cross);
            canvas.DrawLine(x - arm, y + arm, x + arm, y - arm, cross);
            return;
        }
        using SKPathBuilder builder = new();
        if (joint.Outline.Count > 2)
        {
            builder.AddPoly([.. joint.Outline.Select(point => new SKPoint((float)point.XPx, (float)point.YPx))], true);
        }
        else
        {
            builder.AddCircle(x, y, usual);
        }
        using SKPath line = builder.Detach();
        bool bad = joint.State == JointSight.Joined || voids?.Verdict <= Verdict.FixFirst;
        bool near = joint.State == JointSight.Odd || voids is { Code: "xray.void", Verdict: Verdict.Unknown };
        bool unknown = joint.State == JointSight.CannotJudge || voids is { Code: "xray.void-unknown" };
        using (
            SKPaint ring = Stroke(
                bad ? Bad
                    : near ? Near
                    : unknown ? Unknown
                    : Good,
                bad ? 2.5f * stroke
                    : near ? 1.8f * stroke
                    : stroke
            )
        )
        {
            ring.PathEffect = unknown && !bad ? SKPathEffect.CreateDash([4 * stroke, 3 * stroke], 0) : null;
            canvas.DrawPath(line, ring);
        }
        using (SKPaint thin = Stroke(Void, Math.Max(1, 0.7f * stroke)))
        {
            foreach (VoidSpot spot in joint.Voids)
            {
                double size = Math.Sqrt(spot.AreaPercent / 100) * (joint.RadiusPx ?? usual);
                canvas.DrawCircle((float)spot.XPx, (float)spot.YPx, (float)size, thin);
            }
        }
        foreach (string other in joint.JoinedWith)
        {
            if (byName.TryGetValue(other, out JointReading? to))
            {
                using SKPaint bar = Stroke(Bad, 2.5f * stroke);
                canvas.DrawLine(x, y, (float)to.XPx, (float)to.YPx, bar);
            }
        }
        if (joint.VoidPercent is { } share && (bad || near))
        {
            Figure(canvas, (int)Math.Round(share), x, y + 1.25f * usual, 0.45f * usual, bad ? Bad : Near, stroke);
        }
    }

    private static void Figure(SKCanvas canvas, int number, float x, float y, float size, SKColor color, float stroke)
    {
        string text = Math.Clamp(number, 0, 100).ToString(System.Globalization.CultureInfo.InvariantCulture);
        using SKPaint paint = Stroke(color, Math.Max(1, 1.2f * stroke));
        float w = 0.55f * size;
        float left = x - text.Length * 0.8f * size / 2;
        foreach (char letter in text)
        {
            string on = Figures[letter - '0'];
            float h = size / 2;
            (float, float, float, float)[] strokes =
            [
                (0, 0, w, 0),
                (0, 0, 0, h),
                (w, 0, w, h),
                (0, h, w, h),
                (0, h, 0, size),
                (w, h, w, size),
                (0, size, w, size),
            ];
            for (int i = 0; i < strokes.Length; i++)
            {
                if (on[i] == '1')
                {
                    (float x0, float y0, float x1, float y1) = strokes[i];
                    canvas.DrawLine(left + x0, y + y0, left + x1, y + y1, paint);
                }
            }
            left += 0.8f * size;
        }
    }

    private static SKPaint Stroke(SKColor color, float width) =>
        new()
        {
            Color = color,
            Style = SKPaintStyle.Stroke,
            StrokeWidth = width,
            IsAntialias = true,
            StrokeCap = SKStrokeCap.Round,
        };
}
