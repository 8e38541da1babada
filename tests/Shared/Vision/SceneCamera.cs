using Graftbench.Core.Numerics;
using SkiaSharp;

namespace Graftbench.Scenes;

/// <summary>A pinhole camera over the plane of the field, and what a camera does to a picture: blur, noise, JPEG.</summary>
public sealed class SceneCamera
{
    private readonly double ct,
        st,
        ca,
        sa,
        ci,
        si,
        distance,
        u0,
        v0,
        cx,
        cy,
        pitch;

    public SceneCamera(BallScene scene)
    {
        (st, ct) = Math.SinCos(scene.TurnDeg * Math.PI / 180);
        (sa, ca) = Math.SinCos(scene.TowardsDeg * Math.PI / 180);
        (si, ci) = Math.SinCos(scene.TiltDeg * Math.PI / 180);
        pitch = scene.PitchPx;
        distance = 4.5 * Math.Max(scene.Field.Rows, scene.Field.Columns);
        u0 = (scene.Field.Columns - 1) / 2.0;
        v0 = (scene.Field.Rows - 1) / 2.0;
        cx = scene.WidthPx / 2.0 + scene.ShiftXPx;
        cy = scene.HeightPx / 2.0 + scene.ShiftYPx;
    }

    /// <summary>Where the eye is, in steps: (u, v, height).</summary>
    public (double U, double V, double Z) Eye => Back(0, 0, 0);

    /// <summary>Direction of the ray through a pixel, in steps, not of unit length.</summary>
    public (double U, double V, double Z) Ray(double x, double y)
    {
        (double u, double v, double z) = Back((x - cx) / pitch, (y - cy) / pitch, distance);
        (double eu, double ev, double ez) = Eye;
        return (u - eu, v - ev, z - ez);
    }

    /// <summary>Where a place of the plane is seen [px].</summary>
    public (double X, double Y) See(double u, double v, double height = 0)
    {
        double px = ct * (u - u0) - st * (v - v0);
        double py = st * (u - u0) + ct * (v - v0);
        double along = ca * px + sa * py;
        double across = -sa * px + ca * py;
        double depth = distance + across * si - height * ci;
        double y = across * ci + height * si;
        double x = along * distance / depth;
        y *= distance / depth;
        return (cx + pitch * (ca * x - sa * y), cy + pitch * (sa * x + ca * y));
    }

    // From the camera's own axes, the eye at (0, 0, 0), to the plane's.
    private (double U, double V, double Z) Back(double x, double y, double depth)
    {
        double along = ca * x + sa * y;
        double yc = -sa * x + ca * y;
        // yc = across·ci + z·si, depth - distance = across·si - z·ci
        double d = depth - distance;
        double across = yc * ci + d * si;
        double z = yc * si - d * ci;
        double px = ca * along - sa * across;
        double py = sa * along + ca * across;
        return (u0 + ct * px + st * py, v0 - st * px + ct * py, z);
    }

    /// <summary>Blurs, adds noise and stores as JPEG.</summary>
    /// <param name="rgb">Linear to the eye, 0 to 1, three a pixel; overwritten.</param>
    public static byte[] Develop(BallScene scene, float[] rgb)
    {
        Dice dice = new(scene.Seed + 99);
        int w = scene.WidthPx;
        int h = scene.HeightPx;
        Difficulty hard = scene.Difficulty;
        double sigma = 0.55 + 0.065 * scene.PitchPx * hard.Blur;
        Blur(rgb, w, h, sigma);
        double noise = 0.004 + 0.035 * hard.Noise;
        int quality = (int)(94 - 44 * hard.Noise);
        using SKBitmap bitmap = new(new SKImageInfo(w, h, SKColorType.Rgba8888, SKAlphaType.Opaque));
        Span<byte> pixels = bitmap.GetPixelSpan();
        double light = dice.Between(0, 2 * Math.PI);
        (double lx, double ly) = (Math.Cos(light), Math.Sin(light));
        uint state = (uint)scene.Seed * 2654435761 + 12345;
        for (int y = 0; y < h; y++)
        {
            for (int x = 0; x < w; x++)
            {
                double across = (lx * (x - w / 2.0) + ly * (y - h / 2.0)) / w;
                double corner =
                    (Math.Pow(x - w / 2.0, 2) + Math.Pow(y - h / 2.0, 2)) / ((double)w * w / 2 + (double)h * h / 2);
                double gain = Math.Max(
                    0.15,
                    (1 + 1.3 * hard.Uneven * across) * (1 - (0.15 + 0.4 * hard.Uneven) * corner)
                );
                for (int c = 0; c < 3; c++)
                {
                    double value = rgb[3 * (y * w + x) + c] * gain;
                    // A sum of uniform numbers is near enough to a normal one.
                    double n = Next(ref state) + Next(ref state) + Next(ref state) - 1.5;
                    value += 2 * n * noise * Math.Sqrt(0.3 + Math.Max(value, 0));
                    pixels[4 * (y * w + x) + c] = (byte)Math.Clamp(value * 255 + 0.5, 0, 255);
                }
                pixels[4 * (y * w + x) + 3] = 255;
            }
        }
        using SKImage image = SKImage.FromBitmap(bitmap);
        return image.Encode(SKEncodedImageFormat.Jpeg, quality).ToArray();
    }

    private static double Next(ref uint state)
    {
        state ^= state << 13;
        state ^= state >> 17;
        state ^= state << 5;
        return state / 4294967296.0;
    }

    private static void Blur(float[] rgb, int w, int h, double sigma)
    {
        int reach = (int)Math.Ceiling(2.5 * sigma);
        float[] kernel = new float[2 * reach + 1];
        float sum = 0;
        for (int i = -reach; i <= reach; i++)
        {
            kernel[i + reach] = (float)Math.Exp(-i * i / (2 * sigma * sigma));
            sum += kernel[i + reach];
        }
        float[] line = new float[3 * Math.Max(w, h)];
        for (int y = 0; y < h; y++)
        {
            rgb.AsSpan(3 * y * w, 3 * w).CopyTo(line);
            for (int x = 0; x < w; x++)
            {
                for (int c = 0; c < 3; c++)
                {
                    float total = 0;
                    for (int k = -reach; k <= reach; k++)
                    {
                        total += kernel[k + reach] * line[3 * Math.Clamp(x + k, 0, w - 1) + c];
                    }
                    rgb[3 * (y * w + x) + c] = total / sum;
                }
            }
        }
        for (int x = 0; x < w; x++)
        {
            for (int y = 0; y < h; y++)
            {
                for (int c = 0; c < 3; c++)
                {
                    line[3 * y + c] = rgb[3 * (y * w + x) + c];
                }
            }
            for (int y = 0; y < h; y++)
            {
                for (int c = 0; c < 3; c++)
                {
                    float total = 0;
                    for (int k = -reach; k <= reach; k++)
                    {
                        total += kernel[k + reach] * line[3 * Math.Clamp(y + k, 0, h - 1) + c];
                    }
                    rgb[3 * (y * w + x) + c] = total / sum;
                }
            }
        }
    }
}
