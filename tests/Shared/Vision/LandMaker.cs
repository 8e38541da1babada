using Graftbench.Vision.Lands;
using Graftbench.Vision.Pictures;

namespace Graftbench.Shared.Vision;

/// <summary>What a made picture of lands varies.</summary>
internal sealed record LandMaking
{
    public int Rows { get; init; } = 10;
    public int Columns { get; init; } = 12;
    public double PitchPx { get; init; } = 44;
    public double RadiusRatio { get; init; } = 0.27;
    public double TurnDeg { get; init; } = 3;
    public double Slope { get; init; } = 0.2;
    public double Noise { get; init; } = 0.02;
    public double BlurPx { get; init; } = 0.9;
    public int TornNumber { get; init; } = 4;
    public int ShiftedNumber { get; init; } = 2;
    public int UnevenNumber { get; init; } = 5;
    public bool Colour { get; init; } = true;
    public bool Traces { get; init; } = true;

    /// <summary>Gold or tinned lands.</summary>
    public (double R, double G, double B) Metal { get; init; } = (0.78, 0.74, 0.66);
    public (double R, double G, double B) Mask { get; init; } = (0.1, 0.32, 0.16);
    public int Seed { get; init; } = 9;
}

/// <summary>Lands after cleaning: good, torn off, shifted, with lumps of solder.</summary>
internal static class LandMaker
{
    public static (Picture Picture, Dictionary<(int Row, int Column), LandState> Truth) Make(LandMaking making)
    {
        Random random = new(making.Seed);
        double p = making.PitchPx;
        double turn = making.TurnDeg * Math.PI / 180;
        double w = (making.Columns - 1) * p;
        double h = (making.Rows - 1) * p;
        int width = (int)(Math.Abs(Math.Cos(turn)) * w + Math.Abs(Math.Sin(turn)) * h + 3 * p);
        int height = (int)(Math.Abs(Math.Sin(turn)) * w + Math.Abs(Math.Cos(turn)) * h + 3 * p);
        (int Row, int Column)[] order =
        [
            .. Enumerable
                .Range(0, making.Rows * making.Columns)
                .OrderBy(_ => random.Next())
                .Select(i => (i / making.Columns, i % making.Columns)),
        ];
        Dictionary<(int, int), LandState> truth = order.ToDictionary(site => site, _ => LandState.Present);
        HashSet<(int, int)> shifted = [];
        for (int i = 0; i < making.TornNumber + making.ShiftedNumber; i++)
        {
            truth[order[i]] = LandState.LiftedOrTorn;
            if (i >= making.TornNumber)
            {
                shifted.Add(order[i]);
            }
        }
        for (int i = 0; i < making.UnevenNumber; i++)
        {
            truth[order[making.TornNumber + making.ShiftedNumber + i]] = LandState.UnevenSolder;
        }
        Dictionary<(int, int), (double Shine, double Angle, double Size)> own = order.ToDictionary(
            site => site,
            _ => (0.94 + 0.12 * random.NextDouble(), 6.28 * random.NextDouble(), 0.8 + 0.4 * random.NextDouble())
        );
        double[][] planes = [new double[width * height], new double[width * height], new double[width * height]];
        double r = making.RadiusRatio * p;
        for (int y = 0; y < height; y++)
        {
            for (int x = 0; x < width; x++)
            {
                double dx = x - (width - 1) / 2.0;
                double dy = y - (height - 1) / 2.0;
                double u = (Math.Cos(turn) * dx + Math.Sin(turn) * dy + w / 2) / p;
                double v = (-Math.Sin(turn) * dx + Math.Cos(turn) * dy + h / 2) / p;
                (double R, double G, double B) colour = Colour(making, u, v, r / p, truth, shifted, own);
                planes[0][y * width + x] = colour.R;
                planes[1][y * width + x] = colour.G;
                planes[2][y * width + x] = colour.B;
            }
        }
        float[] grey = new float[width * height];
        byte[] rgb = new byte[3 * grey.Length];
        for (int k = 0; k < 3; k++)
        {
            double[] soft = XrayMaker.Blur(planes[k], width, height, making.BlurPx);
            for (int i = 0; i < soft.Length; i++)
            {
                double slope = 1 + making.Slope * (i % width / (double)width - 0.5);
                double value = Math.Clamp(soft[i] * slope + making.Noise * XrayMaker.Normal(random), 0, 1);
                rgb[3 * i + k] = (byte)Math.Round(255 * value);
                grey[i] += (float)(value / 3);
            }
        }
        return (new Picture(width, height, grey, making.Colour ? rgb : null), truth);
    }

    private static (double R, double G, double B) Colour(
        LandMaking making,
        double u,
        double v,
        double radius,
        Dictionary<(int, int), LandState> truth,
        HashSet<(int, int)> shifted,
        Dictionary<(int, int), (double Shine, double Angle, double Size)> own
    )
    {
        (int row, int column) = ((int)Math.Round(v), (int)Math.Round(u));
        (double R, double G, double B) back = making.Mask;
        if (making.Traces && Math.Abs(v - u + Math.Floor(u) - Math.Floor(v)) < 0.06 && Math.Abs(u - column) > 0.2)
        {
            back = (back.R * 1.35, back.G * 1.3, back.B * 1.3);
        }
        if (!truth.TryGetValue((row, column), out LandState state))
        {
            return back;
        }
        double dx = u - column;
        double dy = v - row;
        (double shine, double angle, double size) = own[(row, column)];
        if (shifted.Contains((row, column)))
        {
            dx -= 0.45 * radius * Math.Cos(angle);
            dy -= 0.45 * radius * Math.Sin(angle);
        }
        double d = Math.Sqrt(dx * dx + dy * dy) / radius;
        if (d > 1)
        {
            return back;
        }
        if (state == LandState.LiftedOrTorn && !shifted.Contains((row, column)))
        {
            // Bare laminate with a weave.
            double weave = 0.04 * Math.Sin(50 * u) * Math.Sin(50 * v);
            return (0.3 + weave, 0.33 + weave, 0.16 + weave);
        }
        double light = shine * (1 - 0.08 * d * d);
        if (state == LandState.UnevenSolder)
        {
            // A lump: bright towards the lamp, dark behind.
            double along = (Math.Cos(angle) * dx + Math.Sin(angle) * dy) / radius;
            light *= 1 + 0.5 * size * Math.Sin(2.2 * along) - 0.25 * Math.Exp(-Math.Pow((along + 0.4) / 0.2, 2));
        }
        return (making.Metal.R * light, making.Metal.G * light, making.Metal.B * light);
    }
}
