using SkiaSharp;

namespace Graftbench.Vision.Pictures;

/// <summary>From decoded pixels to the buffers of a picture.</summary>
internal static class PictureBuffers
{
    // Weights of red, green and blue in brightness: ITU-R BT.601.
    private const float RedShare = 0.299f;
    private const float GreenShare = 0.587f;
    private const float BlueShare = 0.114f;

    /// <summary>Brightness and colour, turned as the camera meant it, transparent places on white.</summary>
    public static Picture Upright(SKBitmap bitmap, SKEncodedOrigin origin)
    {
        int w = bitmap.Width;
        int h = bitmap.Height;
        (int step, int line, int start, bool lying) = Walk(origin, w, h);
        float[] grey = new float[w * h];
        byte[] rgb = new byte[3 * w * h];
        bool colour = false;
        ReadOnlySpan<byte> bytes = bitmap.GetPixelSpan();
        int stride = bitmap.RowBytes;
        for (int y = 0; y < h; y++)
        {
            ReadOnlySpan<byte> row = bytes.Slice(y * stride, w * 4);
            int to = start + y * line;
            colour |= Row(row, grey, rgb, to, step);
        }
        return new Picture(lying ? h : w, lying ? w : h, grey, colour ? rgb : null);
    }

    /// <summary>Brightness of a colour, in the unit of its channels.</summary>
    public static float Brightness(float red, float green, float blue) =>
        RedShare * red + GreenShare * green + BlueShare * blue;

    /// <summary>Averages squares of pixels until no more than a number of pixels are left.</summary>
    /// <returns>The picture and the side of the squares [px].</returns>
    public static (Picture Picture, int By) Within(Picture picture, long mostPixels)
    {
        int by = 1;
        while ((long)(picture.WidthPx / by) * (picture.HeightPx / by) > mostPixels)
        {
            by++;
        }
        if (by == 1 || picture.WidthPx < by || picture.HeightPx < by)
        {
            return (picture, 1);
        }
        int w = picture.WidthPx / by;
        int h = picture.HeightPx / by;
        float[] grey = new float[w * h];
        byte[]? rgb = picture.Rgb is null ? null : new byte[3 * w * h];
        for (int y = 0; y < h; y++)
        {
            for (int x = 0; x < w; x++)
            {
                float sum = 0;
                int red = 0;
                int green = 0;
                int blue = 0;
                for (int v = 0; v < by; v++)
                {
                    int from = (y * by + v) * picture.WidthPx + x * by;
                    for (int u = 0; u < by; u++)
                    {
                        sum += picture.Grey[from + u];
                        if (picture.Rgb is { } old)
                        {
                            red += old[3 * (from + u)];
                            green += old[3 * (from + u) + 1];
                            blue += old[3 * (from + u) + 2];
                        }
                    }
                }
                int to = y * w + x;
                grey[to] = sum / (by * by);
                if (rgb is not null)
                {
                    rgb[3 * to] = (byte)(red / (by * by));
                    rgb[3 * to + 1] = (byte)(green / (by * by));
                    rgb[3 * to + 2] = (byte)(blue / (by * by));
                }
            }
        }
        return (new Picture(w, h, grey, rgb), by);
    }

    /// <summary>How a walk over the stored rows goes through the upright picture. Exif 2.32, tag 274, values 1 to 8.</summary>
    private static (int Step, int Line, int Start, bool Lying) Walk(SKEncodedOrigin origin, int w, int h) =>
        origin switch
        {
            SKEncodedOrigin.TopRight => (-1, w, w - 1, false),
            SKEncodedOrigin.BottomRight => (-1, -w, w * h - 1, false),
            SKEncodedOrigin.BottomLeft => (1, -w, w * (h - 1), false),
            SKEncodedOrigin.LeftTop => (h, 1, 0, true),
            SKEncodedOrigin.RightTop => (h, -1, h - 1, true),
            SKEncodedOrigin.RightBottom => (-h, -1, w * h - 1, true),
            SKEncodedOrigin.LeftBottom => (-h, 1, h * (w - 1), true),
            _ => (1, w, 0, false),
        };

    private static bool Row(ReadOnlySpan<byte> row, float[] grey, byte[] rgb, int to, int step)
    {
        bool colour = false;
        for (int i = 0; i < row.Length; i += 4, to += step)
        {
            int r = row[i];
            int g = row[i + 1];
            int b = row[i + 2];
            int a = row[i + 3];
            if (a != 255)
            {
                r = OnWhite(r, a);
                g = OnWhite(g, a);
                b = OnWhite(b, a);
            }
            grey[to] = Brightness(r, g, b) / 255f;
            rgb[3 * to] = (byte)r;
            rgb[3 * to + 1] = (byte)g;
            rgb[3 * to + 2] = (byte)b;
            colour |= r != g || g != b;
        }
        return colour;
    }

    private static int OnWhite(int value, int alpha) => (value * alpha + 255 * (255 - alpha) + 127) / 255;
}
