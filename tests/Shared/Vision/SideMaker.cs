using Graftbench.Vision.Pictures;

namespace Graftbench.Shared.Vision;

/// <summary>What a made side picture varies.</summary>
internal sealed record SideLook
{
    public double GapMm { get; init; } = 0.4;
    public double TiltMm { get; init; } = 0.02;
    public double EdgeMm { get; init; } = 15;
    public double PxPerMm { get; init; } = 70;
    public double TurnDeg { get; init; } = 1.5;
    public double BlurPx { get; init; } = 1.2;
    public double Noise { get; init; } = 0.02;
    public bool Balls { get; init; } = true;

    /// <summary>Brightness of board, package, gap and balls.</summary>
    public double Board { get; init; } = 0.35;
    public double Package { get; init; } = 0.2;
    public double Light { get; init; } = 0.75;
    public double Ball { get; init; } = 0.5;
    public double Dirt { get; init; }
    public int Seed { get; init; } = 5;
}

/// <summary>A made side picture and what is true of it; clicks are rough.</summary>
internal sealed record MadeSide(
    Picture Picture,
    (double X, double Y)[] Package,
    (double X, double Y)[] Board,
    double[] GapsMm,
    double PxPerMm
);

/// <summary>Package over board, balls between, seen from the side: areas with straight edges, shaded balls, blur and noise.</summary>
internal static class SideMaker
{
    public static MadeSide Make(SideLook look)
    {
        Random random = new(look.Seed);
        double s = look.PxPerMm;
        int width = (int)((look.EdgeMm + 3) * s);
        int height = (int)(4 * s);
        double turn = look.TurnDeg * Math.PI / 180;
        double c = Math.Cos(turn);
        double n = Math.Sin(turn);
        double half = look.EdgeMm / 2;
        int balls = (int)(look.EdgeMm / 1.0);
        (double X, double Y, double R)[] dirt =
        [
            .. Enumerable
                .Range(0, (int)look.Dirt)
                .Select(_ =>
                    (
                        (random.NextDouble() - 0.5) * look.EdgeMm,
                        -0.1 + 0.2 * random.NextDouble(),
                        0.1 + 0.25 * random.NextDouble()
                    )
                ),
        ];
        double[] grey = new double[width * height];
        const int Sub = 3;
        for (int y = 0; y < height; y++)
        {
            for (int x = 0; x < width; x++)
            {
                double sum = 0;
                for (int k = 0; k < Sub * Sub; k++)
                {
                    double px = (x + (k % Sub + 0.5) / Sub - 0.5 - (width - 1) / 2.0) / s;
                    double py = (y + (k / Sub + 0.5) / Sub - 0.5 - height * 0.6) / s;
                    double u = c * px + n * py;
                    double v = -n * px + c * py;
                    sum += At(look, u, v, half, balls, dirt);
                }
                grey[y * width + x] = sum / (Sub * Sub);
            }
        }
        grey = XrayMaker.Blur(grey, width, height, look.BlurPx);
        float[] values = new float[grey.Length];
        for (int i = 0; i < values.Length; i++)
        {
            double shade = 1 + 0.15 * (i % width / (double)width - 0.5);
            values[i] = (float)
                Math.Clamp(Math.Round(255 * (grey[i] * shade + look.Noise * XrayMaker.Normal(random))) / 255, 0, 1);
        }
        (double, double) Px(double u, double v) =>
            ((width - 1) / 2.0 + s * (c * u - n * v), height * 0.6 + s * (n * u + c * v));
        double left = look.GapMm - look.TiltMm / 2;
        double right = look.GapMm + look.TiltMm / 2;
        return new MadeSide(
            new Picture(width, height, values),
            [Px(-half, -left), Px(half, -right)],
            [Px(-half, 0), Px(half, 0)],
            [left, look.GapMm, right],
            s
        );
    }

    // u along the board, v down; the board's surface at v = 0.
    private static double At(
        SideLook look,
        double u,
        double v,
        double half,
        int balls,
        (double X, double Y, double R)[] dirt
    )
    {
        foreach ((double x, double y, double r) in dirt)
        {
            if ((u - x) * (u - x) + (v - y) * (v - y) < r * r)
            {
                return 0.55;
            }
        }
        if (v > 0)
        {
            return look.Board + 0.05 * Math.Sin(9 * u) * Math.Cos(23 * v);
        }
        double lower = -(look.GapMm + look.TiltMm * u / look.EdgeMm);
        if (Math.Abs(u) < half && v < lower && v > lower - 1.2)
        {
            return look.Package + (v < lower - 0.5 ? 0.06 : 0);
        }
        if (look.Balls && v > lower)
        {
            double pitch = look.EdgeMm / balls;
            double near = (Math.Floor(u / pitch) + 0.5) * pitch;
            double middle = lower / 2;
            double rx = 0.3;
            double q = Math.Pow((u - near) / rx, 2) + Math.Pow((v - middle) / (1.25 * -lower / 2 + 0.05), 2);
            if (q < 1 && Math.Abs(near) < half)
            {
                // A shaded ball with a small reflection.
                double shine = Math.Exp(
                    -(Math.Pow((u - near + 0.08) / 0.06, 2) + Math.Pow((v - middle + 0.05) / 0.05, 2))
                );
                return look.Ball * (0.5 + 0.5 * Math.Sqrt(1 - q)) + 0.4 * shine;
            }
        }
        return look.Light;
    }
}
