using Graftbench.Vision.Lattice;

namespace Graftbench.Vision.Balls;

/// <summary>Places that round edges point to, whatever is bright and whatever is dark.</summary>
/// <remarks>
/// Every pixel with an edge votes a radius away along its gradient, both ways: the votes of a circle meet in its middle. After
/// G. Loy, A. Zelinsky, "Fast radial symmetry for detecting points of interest", IEEE Trans. PAMI 25 (2003) 959. The vote
/// of an edge grows with its contrast and soon stays alike, so that a shaded part of the picture counts as much as a
/// bright one.
/// </remarks>
internal static class RoundSpots
{
    /// <summary>Gradients of a level, as unit vectors times their vote.</summary>
    public sealed record Edges(float[] X, float[] Y, float[] Vote);

    /// <summary>Edges of a level.</summary>
    public static Edges EdgesOf(GreyLevel level)
    {
        int w = level.WidthPx;
        int h = level.HeightPx;
        float[] gx = new float[w * h];
        float[] gy = new float[w * h];
        float[] size = new float[w * h];
        float[] grey = level.Grey;
        double sum = 0;
        for (int y = 1; y < h - 1; y++)
        {
            for (int x = 1; x < w - 1; x++)
            {
                int at = y * w + x;
                float a = grey[at - w - 1];
                float b = grey[at - w + 1];
                float c = grey[at + w - 1];
                float d = grey[at + w + 1];
                float dx = 2 * (grey[at + 1] - grey[at - 1]) + b - a + d - c;
                float dy = 2 * (grey[at + w] - grey[at - w]) + c - a + d - b;
                float length = MathF.Sqrt(dx * dx + dy * dy);
                size[at] = length;
                sum += length;
                if (length > 0)
                {
                    gx[at] = dx / length;
                    gy[at] = dy / length;
                }
            }
        }
        float mean = (float)Math.Max(sum / (w * h), 1e-4);
        for (int i = 0; i < size.Length; i++)
        {
            // Square root above the mean, nothing far below it.
            float share = size[i] / mean;
            size[i] = share < 0.4f ? 0 : MathF.Min(MathF.Sqrt(share), 3);
        }
        return new Edges(gx, gy, size);
    }

    /// <summary>Middles of circles about as large as a radius, strongest first.</summary>
    /// <param name="level">The level.</param>
    /// <param name="edges">Its edges.</param>
    /// <param name="radiusPx">Radius [px of the level].</param>
    /// <param name="most">How many at most.</param>
    /// <returns>Places in the picture, not in the level.</returns>
    public static List<LatticePoint> Find(GreyLevel level, Edges edges, double radiusPx, int most)
    {
        int w = level.WidthPx;
        int h = level.HeightPx;
        float[] votes = new float[w * h];
        float r = (float)radiusPx;
        for (int y = 1; y < h - 1; y++)
        {
            for (int x = 1; x < w - 1; x++)
            {
                int at = y * w + x;
                float vote = edges.Vote[at];
                if (vote <= 0)
                {
                    continue;
                }
                float dx = edges.X[at] * r;
                float dy = edges.Y[at] * r;
                Cast(votes, w, h, x + dx, y + dy, vote);
                Cast(votes, w, h, x - dx, y - dy, vote);
            }
        }
        Smooth(votes, w, h, Math.Max(1, (int)Math.Round(radiusPx * 0.35)));
        return Peaks(votes, level, Math.Max(2, (int)Math.Round(radiusPx * 1.1)), most);
    }

    private static void Cast(float[] votes, int w, int h, float x, float y, float vote)
    {
        int px = (int)(x + 0.5f);
        int py = (int)(y + 0.5f);
        if (px >= 0 && py >= 0 && px < w && py < h)
        {
            votes[py * w + px] += vote;
        }
    }

    // Two box means, one after the other, are near enough to a bell.
    private static void Smooth(float[] values, int w, int h, int reach)
    {
        float[] line = new float[Math.Max(w, h)];
        for (int turn = 0; turn < 2; turn++)
        {
            for (int y = 0; y < h; y++)
            {
                Box(values, y * w, 1, w, reach, line);
            }
            for (int x = 0; x < w; x++)
            {
                Box(values, x, w, h, reach, line);
            }
        }
    }

    private static void Box(float[] values, int start, int step, int count, int reach, float[] line)
    {
        for (int i = 0; i < count; i++)
        {
            line[i] = values[start + i * step];
        }
        float sum = 0;
        for (int i = 0; i < Math.Min(reach, count); i++)
        {
            sum += line[i];
        }
        for (int i = 0; i < count; i++)
        {
            if (i + reach < count)
            {
                sum += line[i + reach];
            }
            if (i - reach - 1 >= 0)
            {
                sum -= line[i - reach - 1];
            }
            values[start + i * step] = sum / (2 * reach + 1);
        }
    }

    private static List<LatticePoint> Peaks(float[] votes, GreyLevel level, int reach, int most)
    {
        int w = level.WidthPx;
        int h = level.HeightPx;
        List<(float Vote, int X, int Y)> peaks = [];
        for (int y = 1; y < h - 1; y++)
        {
            for (int x = 1; x < w - 1; x++)
            {
                float v = votes[y * w + x];
                if (
                    v > 0
                    && v >= votes[y * w + x - 1]
                    && v > votes[y * w + x + 1]
                    && v >= votes[(y - 1) * w + x]
                    && v > votes[(y + 1) * w + x]
                )
                {
                    peaks.Add((v, x, y));
                }
            }
        }
        peaks.Sort((a, b) => b.Vote.CompareTo(a.Vote));
        bool[] taken = new bool[w * h];
        List<LatticePoint> found = [];
        foreach ((float vote, int x, int y) in peaks)
        {
            if (found.Count >= most)
            {
                break;
            }
            if (taken[y * w + x])
            {
                continue;
            }
            for (int v = Math.Max(y - reach, 0); v <= Math.Min(y + reach, h - 1); v++)
            {
                taken
                    .AsSpan(v * w + Math.Max(x - reach, 0), Math.Min(x + reach, w - 1) - Math.Max(x - reach, 0) + 1)
                    .Fill(true);
            }
            double fx = x + Part(votes[y * w + x - 1], vote, votes[y * w + x + 1]);
            double fy = y + Part(votes[(y - 1) * w + x], vote, votes[(y + 1) * w + x]);
            found.Add(new LatticePoint(level.ToPicturePx(fx), level.ToPicturePx(fy), vote));
        }
        return found;
    }

    // Top of the parabola through three values.
    private static double Part(float before, float at, float after)
    {
        float bend = before - 2 * at + after;
        return bend < 0 ? Math.Clamp(0.5 * (before - after) / bend, -0.5, 0.5) : 0;
    }
}
