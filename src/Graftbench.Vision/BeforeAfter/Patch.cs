using Graftbench.Vision.Planes;

namespace Graftbench.Vision.BeforeAfter;

/// <summary>Likeness of small areas of two planes.</summary>
internal static class Patch
{
    private const int MostSamples = 40;

    /// <summary>Standard deviation of brightness in an area.</summary>
    public static double Contrast(Plane plane, int left, int top, int width, int height)
    {
        double sum = 0;
        double square = 0;
        for (int y = top; y < top + height; y++)
        {
            for (int x = left; x < left + width; x++)
            {
                double value = plane[x, y];
                sum += value;
                square += value * value;
            }
        }
        int n = width * height;
        return Math.Sqrt(Math.Max(0, square / n - sum / n * (sum / n)));
    }

    /// <summary>Standard deviation of noise: what neighbours three pixels away do not foretell.</summary>
    public static double Noise(Plane plane)
    {
        int stride = Math.Max(1, plane.Values.Length / 40000);
        List<double> off = [];
        for (int k = 3; k < plane.Values.Length - 3; k += stride)
        {
            off.Add(Math.Abs(plane.Values[k - 3] + plane.Values[k + 3] - 2 * plane.Values[k]) / Math.Sqrt(6));
        }
        return off.Count == 0 ? 0 : Ranks.NormalByDeviation * Ranks.Median(off);
    }

    /// <summary>Best correlation of an area with the other plane around a shift, to parts of a pixel.</summary>
    /// <param name="a">Plane with the area.</param>
    /// <param name="b">Plane that is searched.</param>
    /// <param name="left">Left edge.</param>
    /// <param name="top">Upper edge.</param>
    /// <param name="width">Width.</param>
    /// <param name="height">Height.</param>
    /// <param name="nearX">Shift in the middle of the search.</param>
    /// <param name="nearY">Shift in the middle of the search.</param>
    /// <param name="reach">How far around.</param>
    public static (double Likeness, double X, double Y) Best(
        Plane a,
        Plane b,
        int left,
        int top,
        int width,
        int height,
        double nearX,
        double nearY,
        double reach
    )
    {
        double best = -2;
        (double X, double Y) at = (nearX, nearY);
        int step = reach > 12 ? 2 : 1;
        int whole = (int)Math.Ceiling(reach);
        for (int j = -whole; j <= whole; j += step)
        {
            for (int i = -whole; i <= whole; i += step)
            {
                if (i * i + j * j > reach * reach + 1e-9)
                {
                    continue;
                }
                double value = Likeness(a, b, left, top, width, height, nearX + i, nearY + j);
                if (value > best)
                {
                    best = value;
                    at = (nearX + i, nearY + j);
                }
            }
        }
        for (double fine = step == 2 ? 1 : 0.5; fine >= 0.25; fine /= 2)
        {
            (double X, double Y) middle = at;
            for (int j = -1; j <= 1; j++)
            {
                for (int i = -1; i <= 1; i++)
                {
                    double value = Likeness(a, b, left, top, width, height, middle.X + i * fine, middle.Y + j * fine);
                    if (value > best)
                    {
                        best = value;
                        at = (middle.X + i * fine, middle.Y + j * fine);
                    }
                }
            }
        }
        return (best, at.X, at.Y);
    }

    /// <summary>
    /// How far the brightness in an area is from what the surroundings' change of light would make of it, by the contrast of
    /// area and surroundings together.
    /// </summary>
    public static double Tone(Plane a, Plane b, int left, int top, int width, int height, double shiftX, double shiftY)
    {
        int around = Math.Max(8, Math.Max(width, height));
        int x0 = Math.Max(0, left - around);
        int y0 = Math.Max(0, top - around);
        int x1 = Math.Min(a.WidthPx, left + width + around);
        int y1 = Math.Min(a.HeightPx, top + height + around);
        int step = Math.Max(1, (x1 - x0) / 60);
        List<(double P, double Q)> outside = [];
        List<(double P, double Q)> inside = [];
        for (int y = y0; y < y1; y += step)
        {
            for (int x = x0; x < x1; x += step)
            {
                bool isIn = x > left + 1 && x < left + width - 2 && y > top + 1 && y < top + height - 2;
                bool near = x >= left - 2 && x < left + width + 2 && y >= top - 2 && y < top + height + 2;
                if (isIn || !near)
                {
                    (isIn ? inside : outside).Add((a[x, y], b.At(x + shiftX, y + shiftY)));
                }
            }
        }
        if (inside.Count < 6 || outside.Count < 20)
        {
            return 0;
        }
        double gain = 1;
        double offset = 0;
        double reach = double.PositiveInfinity;
        for (int round = 0; round < 5; round++)
        {
            (double P, double Q)[] kept =
            [
                .. outside.Where(pair => Math.Abs(pair.Q - gain * pair.P - offset) <= reach),
            ];
            double mp = kept.Average(pair => pair.P);
            double mq = kept.Average(pair => pair.Q);
            double pp = kept.Sum(pair => (pair.P - mp) * (pair.P - mp));
            double pq = kept.Sum(pair => (pair.P - mp) * (pair.Q - mq));
            // A plain surrounding says little of the gain: held at the quotient of the means.
            double hold = 2e-4 * kept.Length;
            double usual = mp > 0.02 ? mq / mp : 1;
            gain = Math.Clamp((pq + hold * usual) / (pp + hold), 0.2, 5);
            offset = mq - gain * mp;
            reach =
                2.5
                * Math.Max(
                    0.01,
                    Ranks.NormalByDeviation
                        * Ranks.Median(outside.Select(pair => Math.Abs(pair.Q - gain * pair.P - offset)))
                );
        }
        double middle = inside.Average(pair => gain * pair.P);
        double rest = outside.Average(pair => gain * pair.P);
        double contrast = Math.Sqrt(
            inside.Concat(outside).Average(pair => Math.Pow(gain * pair.P - (middle + rest) / 2, 2))
        );
        double off = Ranks.Median(inside.Select(pair => Math.Abs(pair.Q - gain * pair.P - offset)));
        return off / Math.Max(0.03, contrast);
    }

    // Correlation with mean and slope of light left out by the mean only: areas are small.
    private static double Likeness(
        Plane a,
        Plane b,
        int left,
        int top,
        int width,
        int height,
        double shiftX,
        double shiftY
    )
    {
        int stepX = Math.Max(1, width / MostSamples);
        int stepY = Math.Max(1, height / MostSamples);
        double sa = 0;
        double sb = 0;
        double saa = 0;
        double sbb = 0;
        double sab = 0;
        int n = 0;
        for (int y = top; y < top + height; y += stepY)
        {
            for (int x = left; x < left + width; x += stepX)
            {
                double p = a[x, y];
                double q = b.At(x + shiftX, y + shiftY);
                sa += p;
                sb += q;
                saa += p * p;
                sbb += q * q;
                sab += p * q;
                n++;
            }
        }
        double va = saa - sa * sa / n;
        double vb = sbb - sb * sb / n;
        return va <= 1e-9 || vb <= 1e-9 ? 0 : (sab - sa * sb / n) / Math.Sqrt(va * vb);
    }
}
