using System.Numerics;
using System.Runtime.InteropServices;
using Graftbench.Vision.Planes;
using Plane = Graftbench.Vision.Planes.Plane;

namespace Graftbench.Vision.BeforeAfter;

/// <summary>Corners of a picture with what they look like, turned upright by their own direction.</summary>
/// <remarks>
/// Corners where brightness changes both ways (Harris, Stephens, 1988), spread over the picture by a grid; each is described
/// by its surroundings sampled along its main gradient direction, mean taken out and length 1, so that light does not count.
/// </remarks>
internal sealed class Detail
{
    /// <summary>Samples on a side of a description.</summary>
    public const int Side = 12;

    private const int MostDetails = 900;
    private const int Grid = 18;
    private const double StepPx = 2;

    private Detail(PicturePoint place, float[] look)
    {
        Place = place;
        Look = look;
    }

    /// <summary>Where, in the plane that was searched [px].</summary>
    public PicturePoint Place { get; }

    /// <summary>What it looks like; length 1.</summary>
    public float[] Look { get; }

    /// <summary>How alike two are, −1 to 1.</summary>
    public static float Likeness(Detail a, Detail b)
    {
        ReadOnlySpan<Vector<float>> p = MemoryMarshal.Cast<float, Vector<float>>(a.Look);
        ReadOnlySpan<Vector<float>> q = MemoryMarshal.Cast<float, Vector<float>>(b.Look);
        Vector<float> sum = Vector<float>.Zero;
        for (int i = 0; i < p.Length; i++)
        {
            sum += p[i] * q[i];
        }
        float dot = Vector.Sum(sum);
        for (int i = p.Length * Vector<float>.Count; i < a.Look.Length; i++)
        {
            dot += a.Look[i] * b.Look[i];
        }
        return dot;
    }

    /// <summary>Finds details.</summary>
    public static IReadOnlyList<Detail> Find(Plane grey)
    {
        Plane soft = grey.Blurred(1.2);
        int width = soft.WidthPx;
        int height = soft.HeightPx;
        float[] gx = new float[soft.Values.Length];
        float[] gy = new float[soft.Values.Length];
        float[] xx = new float[soft.Values.Length];
        float[] yy = new float[soft.Values.Length];
        float[] xy = new float[soft.Values.Length];
        for (int y = 1; y < height - 1; y++)
        {
            for (int x = 1; x < width - 1; x++)
            {
                int k = y * width + x;
                gx[k] = (soft.Values[k + 1] - soft.Values[k - 1]) / 2;
                gy[k] = (soft.Values[k + width] - soft.Values[k - width]) / 2;
                xx[k] = gx[k] * gx[k];
                yy[k] = gy[k] * gy[k];
                xy[k] = gx[k] * gy[k];
            }
        }
        Plane sxx = new Plane(width, height, xx).Blurred(1.8);
        Plane syy = new Plane(width, height, yy).Blurred(1.8);
        Plane sxy = new Plane(width, height, xy).Blurred(1.8);
        float[] corner = new float[xx.Length];
        for (int k = 0; k < corner.Length; k++)
        {
            float trace = sxx.Values[k] + syy.Values[k];
            corner[k] = sxx.Values[k] * syy.Values[k] - sxy.Values[k] * sxy.Values[k] - 0.05f * trace * trace;
        }
        int border = (int)(Side * StepPx * 0.75) + 2;
        List<(float Strength, int X, int Y)> found = [];
        for (int y = border; y < height - border; y++)
        {
            for (int x = border; x < width - border; x++)
            {
                float value = corner[y * width + x];
                if (value > 1e-9f && IsTop(corner, width, x, y))
                {
                    found.Add((value, x, y));
                }
            }
        }
        // The strongest of every field of the grid, so that one busy corner does not take all.
        int cell = Math.Max(1, Math.Max(width, height) / Grid);
        int each = Math.Max(2, MostDetails / (Grid * Grid) + 2);
        return
        [
            .. found
                .GroupBy(one => (one.X / cell, one.Y / cell))
                .SelectMany(group => group.OrderByDescending(one => one.Strength).Take(each))
                .OrderByDescending(one => one.Strength)
                .Take(MostDetails)
                .Select(one => Describe(soft, gx, gy, one.X, one.Y))
                .OfType<Detail>(),
        ];
    }

    private static bool IsTop(float[] corner, int width, int x, int y)
    {
        float value = corner[y * width + x];
        for (int j = -3; j <= 3; j++)
        {
            for (int i = -3; i <= 3; i++)
            {
                float other = corner[(y + j) * width + x + i];
                if (other > value || (other == value && (j < 0 || (j == 0 && i < 0))))
                {
                    return false;
                }
            }
        }
        return true;
    }

    private static Detail? Describe(Plane soft, float[] gx, float[] gy, int x, int y)
    {
        const int Bins = 36;
        const int Reach = 9;
        Span<float> turns = stackalloc float[Bins];
        for (int j = -Reach; j <= Reach; j++)
        {
            for (int i = -Reach; i <= Reach; i++)
            {
                int k = (y + j) * soft.WidthPx + x + i;
                double weight = Math.Exp(-(i * i + j * j) / 40.0) * Math.Sqrt(gx[k] * gx[k] + gy[k] * gy[k]);
                double angle = Math.Atan2(gy[k], gx[k]) / (2 * Math.PI);
                turns[(int)((angle + 1) * Bins) % Bins] += (float)weight;
            }
        }
        int best = 0;
        float most = 0;
        for (int k = 0; k < Bins; k++)
        {
            float sum = turns[(k + Bins - 1) % Bins] + 2 * turns[k] + turns[(k + 1) % Bins];
            if (sum > most)
            {
                most = sum;
                best = k;
            }
        }
        float left = turns[(best + Bins - 1) % Bins];
        float right = turns[(best + 1) % Bins];
        float middle = turns[best];
        float curve = left - 2 * middle + right;
        double shift = curve < 0 ? Math.Clamp(0.5 * (left - right) / curve, -0.5, 0.5) : 0;
        double turn = 2 * Math.PI * (best + 0.5 + shift) / Bins;
        double c = Math.Cos(turn);
        double s = Math.Sin(turn);
        float[] look = new float[Side * Side];
        for (int j = 0; j < Side; j++)
        {
            for (int i = 0; i < Side; i++)
            {
                double u = (i - (Side - 1) / 2.0) * StepPx;
                double v = (j - (Side - 1) / 2.0) * StepPx;
                look[j * Side + i] = soft.At(x + c * u - s * v, y + s * u + c * v);
            }
        }
        float mean = look.Average();
        float square = 0;
        for (int k = 0; k < look.Length; k++)
        {
            look[k] -= mean;
            square += look[k] * look[k];
        }
        float norm = MathF.Sqrt(square);
        if (norm < 0.05f)
        {
            return null;
        }
        for (int k = 0; k < look.Length; k++)
        {
            look[k] /= norm;
        }
        return new Detail(new PicturePoint(x, y), look);
    }
}
