using Graftbench.Vision.Pictures;

namespace Graftbench.Shared.Vision;

/// <summary>A part on a made board.</summary>
internal sealed record MadePart(
    string Name,
    double XMm,
    double YMm,
    double LengthMm,
    double WidthMm,
    double HeightMm,
    double Tone,
    int Print
)
{
    /// <summary>How far it is moved.</summary>
    public double MoveXMm { get; init; }
    public double MoveYMm { get; init; }
    public bool Gone { get; init; }
}

/// <summary>How a made board is looked at.</summary>
internal sealed record BoardLook
{
    public double PxPerMm { get; init; } = 18;
    public double TurnDeg { get; init; }
    public double ScaleRatio { get; init; } = 1;
    public double ShiftXMm { get; init; }
    public double ShiftYMm { get; init; }

    /// <summary>Perspective: change of scale across the picture.</summary>
    public double Keystone { get; init; }

    /// <summary>How far a millimetre of height leans.</summary>
    public double LeanX { get; init; }
    public double Exposure { get; init; } = 1;
    public double Slope { get; init; }
    public double Gamma { get; init; } = 1;
    public double BlurPx { get; init; } = 0.7;
    public double Noise { get; init; } = 0.015;
    public int Seed { get; init; } = 3;
}

/// <summary>Boards with parts, pads, prints and traces, for comparing before and after.</summary>
internal static class BoardMaker
{
    public const double WidthMm = 50;
    public const double HeightMm = 38;

    public static List<MadePart> Parts(int seed)
    {
        Random random = new(seed);
        List<MadePart> parts = [];
        for (int tries = 0; tries < 4000 && parts.Count < 46; tries++)
        {
            double length = random.Next(5) == 0 ? 4 + 4 * random.NextDouble() : 1.2 + 1.2 * random.NextDouble();
            double width = length * (0.45 + 0.4 * random.NextDouble());
            (length, width) = random.Next(2) == 0 ? (length, width) : (width, length);
            double x = 3 + (WidthMm - 6) * random.NextDouble();
            double y = 3 + (HeightMm - 6) * random.NextDouble();
            // Room for the package in the middle.
            if (Math.Abs(x - 25) < 9 && Math.Abs(y - 19) < 8)
            {
                continue;
            }
            if (
                parts.Exists(p =>
                    Math.Abs(p.XMm - x) < (p.LengthMm + length) / 2 + 1.4
                    && Math.Abs(p.YMm - y) < (p.WidthMm + width) / 2 + 1.2
                )
            )
            {
                continue;
            }
            parts.Add(
                new MadePart(
                    $"P{parts.Count + 1}",
                    x,
                    y,
                    length,
                    width,
                    0.4 + random.NextDouble(),
                    0.1 + 0.5 * random.NextDouble(),
                    random.Next()
                )
            );
        }
        return parts;
    }

    public static Picture Make(IReadOnlyList<MadePart> parts, BoardLook look, int boardSeed = 1)
    {
        Random random = new(look.Seed);
        int width = (int)(WidthMm * look.PxPerMm);
        int height = (int)(HeightMm * look.PxPerMm);
        (double X0, double Y0, double X1, double Y1)[] traces = Traces(boardSeed);
        double[] grey = new double[width * height];
        double turn = look.TurnDeg * Math.PI / 180;
        double s = look.PxPerMm * look.ScaleRatio;
        // Parts and traces near each square millimetre, so that a ray looks at few.
        List<MadePart>[] partsNear = Near(
            parts,
            part => (part.XMm, part.YMm, Math.Max(part.LengthMm, part.WidthMm) + 1.5)
        );
        List<(double X0, double Y0, double X1, double Y1)>[] tracesNear = Near(
            traces,
            trace =>
                (
                    (trace.X0 + trace.X1) / 2,
                    (trace.Y0 + trace.Y1) / 2,
                    Math.Abs(trace.X1 - trace.X0) / 2 + Math.Abs(trace.Y1 - trace.Y0) / 2 + 1
                )
        );
        Parallel.For(
            0,
            height,
            y =>
            {
                for (int x = 0; x < width; x++)
                {
                    double sum = 0;
                    for (int k = 0; k < 4; k++)
                    {
                        double px = x + 0.5 * (k % 2) - 0.25 - width / 2.0;
                        double py = y + 0.5 * (k / 2) - 0.25 - height / 2.0;
                        double w = 1 + look.Keystone * px / width;
                        double u = (Math.Cos(turn) * px + Math.Sin(turn) * py) / (s * w);
                        double v = (-Math.Sin(turn) * px + Math.Cos(turn) * py) / (s * w);
                        double bx = u + WidthMm / 2 - look.ShiftXMm;
                        double by = v + HeightMm / 2 - look.ShiftYMm;
                        int cell =
                            Math.Clamp((int)by, 0, (int)HeightMm - 1) * (int)WidthMm
                            + Math.Clamp((int)bx, 0, (int)WidthMm - 1);
                        sum += At(partsNear[cell], tracesNear[cell], bx, by, look.LeanX, boardSeed);
                    }
                    grey[y * width + x] = sum / 4;
                }
            }
        );
        grey = XrayMaker.Blur(grey, width, height, look.BlurPx);
        float[] values = new float[grey.Length];
        for (int i = 0; i < values.Length; i++)
        {
            double slope =
                1
                + look.Slope * (i % width / (double)width - 0.5)
                + 0.5 * look.Slope * (i / width / (double)height - 0.5);
            double value = Math.Pow(Math.Clamp(grey[i] * slope * look.Exposure, 0, 1), look.Gamma);
            values[i] = (float)
                Math.Clamp(Math.Round(255 * (value + look.Noise * XrayMaker.Normal(random))) / 255, 0, 1);
        }
        return new Picture(width, height, values);
    }

    private static List<T>[] Near<T>(IEnumerable<T> all, Func<T, (double X, double Y, double Reach)> place)
    {
        List<T>[] cells = [.. Enumerable.Range(0, (int)WidthMm * (int)HeightMm).Select(_ => new List<T>())];
        foreach (T one in all)
        {
            (double x, double y, double reach) = place(one);
            for (int j = Math.Max(0, (int)(y - reach)); j <= Math.Min((int)HeightMm - 1, (int)(y + reach)); j++)
            {
                for (int i = Math.Max(0, (int)(x - reach)); i <= Math.Min((int)WidthMm - 1, (int)(x + reach)); i++)
                {
                    cells[j * (int)WidthMm + i].Add(one);
                }
            }
        }
        return cells;
    }

    private static (double, double, double, double)[] Traces(int seed)
    {
        Random random = new(seed);
        return
        [
            .. Enumerable
                .Range(0, 60)
                .Select(_ =>
                {
                    double x = WidthMm * random.NextDouble();
                    double y = HeightMm * random.NextDouble();
                    double a = random.Next(8) * Math.PI / 4;
                    double l = 2 + 8 * random.NextDouble();
                    return (x, y, x + l * Math.Cos(a), y + l * Math.Sin(a));
                }),
        ];
    }

    private static double At(
        List<MadePart> parts,
        List<(double X0, double Y0, double X1, double Y1)> traces,
        double x,
        double y,
        double lean,
        int seed
    )
    {
        if (x < 0 || y < 0 || x > WidthMm || y > HeightMm)
        {
            return 0.03;
        }
        foreach (MadePart part in parts)
        {
            if (part.Gone)
            {
                continue;
            }
            double dx = x - part.XMm - part.MoveXMm - lean * part.HeightMm;
            double dy = y - part.YMm - part.MoveYMm;
            if (Math.Abs(dx) < part.LengthMm / 2 && Math.Abs(dy) < part.WidthMm / 2)
            {
                bool along = part.LengthMm > part.WidthMm;
                double end = along ? Math.Abs(dx) / part.LengthMm : Math.Abs(dy) / part.WidthMm;
                if (part.LengthMm + part.WidthMm < 5.5 && end > 0.32)
                {
                    return 0.8;
                }
                // Print: a few bars and dots of its own.
                int ix = (int)Math.Floor((dx / part.LengthMm + 0.5) * 9);
                int iy = (int)Math.Floor((dy / part.WidthMm + 0.5) * 7);
                bool print = ix is > 0 and < 8 && iy is > 0 and < 6 && Hash(part.Print + 31 * ix + 977 * iy) % 3 == 0;
                return print ? Math.Min(0.95, part.Tone + 0.3) : part.Tone;
            }
        }
        foreach (MadePart part in parts)
        {
            // Pads stay on the board where the part was.
            double dx = Math.Abs(x - part.XMm);
            double dy = Math.Abs(y - part.YMm);
            bool along = part.LengthMm > part.WidthMm;
            bool pad = along
                ? dx > 0.3 * part.LengthMm && dx < 0.62 * part.LengthMm && dy < 0.5 * part.WidthMm
                : dy > 0.3 * part.WidthMm && dy < 0.62 * part.WidthMm && dx < 0.5 * part.LengthMm;
            if (pad)
            {
                return 0.7;
            }
        }
        // The package in the middle.
        if (Math.Abs(x - 25) < 7 && Math.Abs(y - 19) < 6)
        {
            return 0.15;
        }
        foreach ((double x0, double y0, double x1, double y1) in traces)
        {
            double dx = x1 - x0;
            double dy = y1 - y0;
            double t = Math.Clamp(((x - x0) * dx + (y - y0) * dy) / (dx * dx + dy * dy), 0, 1);
            if (Math.Pow(x - x0 - t * dx, 2) + Math.Pow(y - y0 - t * dy, 2) < 0.02)
            {
                return 0.42;
            }
        }
        return 0.3 + (Hash(seed + (int)(x * 4) * 7919 + (int)(y * 4) * 104729) % 100 - 50) / 2500.0;
    }

    private static int Hash(int value)
    {
        uint h = unchecked((uint)value * 2654435761u);
        h ^= h >> 15;
        h = unchecked(h * 2246822519u);
        h ^= h >> 13;
        return (int)(h & 0x7fffffff);
    }
}
