using System.Numerics;
using System.Runtime.InteropServices;

namespace Graftbench.Vision.Planes;

/// <summary>A plane of numbers by pixel, row by row, to be sampled, blurred and made smaller.</summary>
internal sealed class Plane
{
    public Plane(int widthPx, int heightPx, float[] values)
    {
        ArgumentOutOfRangeException.ThrowIfLessThan(widthPx, 1);
        ArgumentOutOfRangeException.ThrowIfLessThan(heightPx, 1);
        if (values.Length != (long)widthPx * heightPx)
        {
            throw new ArgumentException($"{values.Length} numbers are not {widthPx} by {heightPx}.", nameof(values));
        }
        WidthPx = widthPx;
        HeightPx = heightPx;
        Values = values;
    }

    public int WidthPx { get; }
    public int HeightPx { get; }
    public float[] Values { get; }
    public float this[int x, int y] => Values[y * WidthPx + x];

    /// <summary>Whether a place lies so far inside that four pixels surround it.</summary>
    public bool Holds(double x, double y) => x >= 0 && y >= 0 && x <= WidthPx - 1 && y <= HeightPx - 1;

    /// <summary>Value between pixels, bilinear; outside, that of the edge.</summary>
    public float At(double x, double y)
    {
        double cx = Math.Clamp(x, 0, WidthPx - 1);
        double cy = Math.Clamp(y, 0, HeightPx - 1);
        int x0 = Math.Min((int)cx, Math.Max(0, WidthPx - 2));
        int y0 = Math.Min((int)cy, Math.Max(0, HeightPx - 2));
        int x1 = Math.Min(x0 + 1, WidthPx - 1);
        int y1 = Math.Min(y0 + 1, HeightPx - 1);
        float fx = (float)(cx - x0);
        float fy = (float)(cy - y0);
        int row0 = y0 * WidthPx;
        int row1 = y1 * WidthPx;
        float top = Values[row0 + x0] + fx * (Values[row0 + x1] - Values[row0 + x0]);
        float low = Values[row1 + x0] + fx * (Values[row1 + x1] - Values[row1 + x0]);
        return top + fy * (low - top);
    }

    /// <summary>Gaussian blur; edges are continued.</summary>
    /// <param name="sigmaPx">Standard deviation [px], above 0.</param>
    public Plane Blurred(double sigmaPx)
    {
        int reach = Math.Max(1, (int)Math.Ceiling(3 * sigmaPx));
        float[] kernel = new float[2 * reach + 1];
        double sum = 0;
        for (int k = -reach; k <= reach; k++)
        {
            sum += Math.Exp(-k * k / (2 * sigmaPx * sigmaPx));
        }
        for (int k = -reach; k <= reach; k++)
        {
            kernel[k + reach] = (float)(Math.Exp(-k * k / (2 * sigmaPx * sigmaPx)) / sum);
        }
        float[] across = new float[Values.Length];
        float[] down = new float[Values.Length];
        Parallel.For(
            0,
            HeightPx,
            y =>
            {
                ReadOnlySpan<float> row = Values.AsSpan(y * WidthPx, WidthPx);
                float[] wide = new float[WidthPx + 2 * reach];
                row.CopyTo(wide.AsSpan(reach));
                wide.AsSpan(0, reach).Fill(row[0]);
                wide.AsSpan(reach + WidthPx).Fill(row[^1]);
                Span<float> to = across.AsSpan(y * WidthPx, WidthPx);
                for (int k = 0; k < kernel.Length; k++)
                {
                    AddScaled(to, wide.AsSpan(k, WidthPx), kernel[k]);
                }
            }
        );
        Parallel.For(
            0,
            HeightPx,
            y =>
            {
                Span<float> to = down.AsSpan(y * WidthPx, WidthPx);
                for (int k = -reach; k <= reach; k++)
                {
                    int from = Math.Clamp(y + k, 0, HeightPx - 1);
                    AddScaled(to, across.AsSpan(from * WidthPx, WidthPx), kernel[k + reach]);
                }
            }
        );
        return new Plane(WidthPx, HeightPx, down);
    }

    /// <summary>Mean of square blocks; what does not fill a block at the right and lower edge is left out.</summary>
    /// <param name="blockPx">Side of a block [px], at least 1.</param>
    public Plane Reduced(int blockPx)
    {
        if (blockPx <= 1)
        {
            return this;
        }
        int width = Math.Max(1, WidthPx / blockPx);
        int height = Math.Max(1, HeightPx / blockPx);
        int bw = Math.Min(blockPx, WidthPx);
        int bh = Math.Min(blockPx, HeightPx);
        float[] to = new float[width * height];
        Parallel.For(
            0,
            height,
            y =>
            {
                for (int j = 0; j < bh; j++)
                {
                    ReadOnlySpan<float> row = Values.AsSpan((y * blockPx + j) * WidthPx, WidthPx);
                    for (int x = 0; x < width; x++)
                    {
                        float sum = 0;
                        for (int i = 0; i < bw; i++)
                        {
                            sum += row[x * blockPx + i];
                        }
                        to[y * width + x] += sum;
                    }
                }
                for (int x = 0; x < width; x++)
                {
                    to[y * width + x] /= bw * bh;
                }
            }
        );
        return new Plane(width, height, to);
    }

    private static void AddScaled(Span<float> to, ReadOnlySpan<float> from, float factor)
    {
        Span<Vector<float>> wideTo = MemoryMarshal.Cast<float, Vector<float>>(to);
        ReadOnlySpan<Vector<float>> wideFrom = MemoryMarshal.Cast<float, Vector<float>>(from);
        Vector<float> f = new(factor);
        for (int i = 0; i < wideTo.Length; i++)
        {
            wideTo[i] += f * wideFrom[i];
        }
        for (int i = wideTo.Length * Vector<float>.Count; i < to.Length; i++)
        {
            to[i] += factor * from[i];
        }
    }
}
