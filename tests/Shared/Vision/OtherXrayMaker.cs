namespace Graftbench.Shared.Vision;

/// <summary>How the detector of the other maker sees.</summary>
internal sealed record OtherLook
{
    public int Rows { get; init; } = 9;
    public int Columns { get; init; } = 11;
    public double PitchPx { get; init; } = 60;

    /// <summary>Joint radius by pitch.</summary>
    public double RadiusRatio { get; init; } = 0.3;
    public double TurnDeg { get; init; } = 4;
    public double Halo { get; init; }
    public double Scatter { get; init; } = 0.1;
    public bool Inverted { get; init; }
    public double Gamma { get; init; } = 1;
    public bool Stretched { get; init; }
    public double LineNoise { get; init; }
    public double Noise { get; init; } = 0.01;
    public double Vignette { get; init; }
    public double BlurPx { get; init; } = 0.8;
    public int MissingNumber { get; init; }
    public int BridgeNumber { get; init; }
    public int Seed { get; init; } = 77;
    public double VoidChance { get; init; } = 0.7;
    public double Attenuation { get; init; } = 1.5;
}

/// <summary>
/// A second way to make X-ray pictures, unlike the first in shape, voids and detector: joints as stacks of slices with a waist
/// towards the lands, lumpy voids by distance fields, one energy, scattered light, line noise, sharpening halo, stretched to
/// eight bits. Not used while the reading was being tuned.
/// </summary>
internal static class OtherXrayMaker
{
    private const int Slices = 40;
    private const int Sub = 3;

    public static MadeXray Make(OtherLook look)
    {
        Random random = new(look.Seed);
        double p = look.PitchPx;
        double r0 = look.RadiusRatio * p;
        double turn = look.TurnDeg * Math.PI / 180;
        double w = (look.Columns - 1) * p;
        double h = (look.Rows - 1) * p;
        int width = (int)(Math.Abs(Math.Cos(turn)) * w + Math.Abs(Math.Sin(turn)) * h + 2.4 * p);
        int height = (int)(Math.Abs(Math.Sin(turn)) * w + Math.Abs(Math.Cos(turn)) * h + 2.4 * p);
        double[] path = new double[width * height];
        List<MadeJoint> joints = [];
        for (int row = 0; row < look.Rows; row++)
        {
            for (int column = 0; column < look.Columns; column++)
            {
                double u = column * p - w / 2;
                double v = row * p - h / 2;
                MadeJoint joint = new()
                {
                    Row = row,
                    Column = column,
                    CentreXPx =
                        (width - 1) / 2.0 + Math.Cos(turn) * u - Math.Sin(turn) * v + 0.3 * XrayMaker.Normal(random),
                    CentreYPx =
                        (height - 1) / 2.0 + Math.Sin(turn) * u + Math.Cos(turn) * v + 0.3 * XrayMaker.Normal(random),
                    RadiusMm = r0 * (1 + 0.015 * XrayMaker.Normal(random)),
                };
                joints.Add(joint);
            }
        }
        foreach (int i in Enumerable.Range(0, joints.Count).OrderBy(_ => random.Next()).Take(look.MissingNumber))
        {
            joints[i].Missing = true;
        }
        foreach (MadeJoint joint in joints.Where(joint => !joint.Missing))
        {
            Draw(joint, look, random, path, width, height);
        }
        List<((int, int), (int, int))> bridges = Bridges(look, joints, random, path, width, height, r0);
        return new MadeXray(width, height, Detect(path, width, height, r0, look, random), joints, bridges);
    }

    private static void Draw(MadeJoint joint, OtherLook look, Random random, double[] path, int width, int height)
    {
        double r = joint.RadiusMm;
        double tall = 1.2 * r;
        double oval = 1 + 0.03 * XrayMaker.Normal(random);
        double turned = random.NextDouble() * Math.PI;
        (double X, double Y, double Z, double R, double Lump, double Phase)[] voids = Voids(joint, look, random, tall);
        int reach = (int)(1.15 * r) + 2;
        int cx = (int)Math.Round(joint.CentreXPx);
        int cy = (int)Math.Round(joint.CentreYPx);
        double[] half = new double[Slices];
        for (int k = 0; k < Slices; k++)
        {
            double t = 2 * (k + 0.5) / Slices - 1;
            // Belly in the middle, a small flare where solder wets the land.
            half[k] = r * (0.76 + 0.24 * Math.Sqrt(1 - t * t) + 0.05 * Math.Pow(t, 8));
        }
        for (int y = Math.Max(0, cy - reach); y <= Math.Min(height - 1, cy + reach); y++)
        {
            for (int x = Math.Max(0, cx - reach); x <= Math.Min(width - 1, cx + reach); x++)
            {
                double sum = 0;
                for (int s = 0; s < Sub * Sub; s++)
                {
                    double dx = x - joint.CentreXPx + (s % Sub + 0.5) / Sub - 0.5;
                    double dy = y - joint.CentreYPx + (s / Sub + 0.5) / Sub - 0.5;
                    double ex = (Math.Cos(turned) * dx + Math.Sin(turned) * dy) * oval;
                    double ey = (-Math.Sin(turned) * dx + Math.Cos(turned) * dy) / oval;
                    double d = Math.Sqrt(ex * ex + ey * ey);
                    int solid = 0;
                    int inside = 0;
                    for (int k = 0; k < Slices; k++)
                    {
                        if (d >= half[k])
                        {
                            continue;
                        }
                        inside++;
                        double z = tall * ((k + 0.5) / Slices - 0.5);
                        bool gas = false;
                        foreach ((double vx, double vy, double vz, double vr, double lump, double phase) in voids)
                        {
                            double ax = dx - vx;
                            double ay = dy - vy;
                            double az = z - vz;
                            double angle = Math.Atan2(ay, ax);
                            double edge =
                                vr * (1 + lump * Math.Sin(3 * angle + phase) + 0.5 * lump * Math.Cos(5 * angle));
                            gas |= ax * ax + ay * ay + az * az < edge * edge;
                        }
                        solid += gas ? 0 : 1;
                    }
                    if (inside > 0)
                    {
                        joint.JointRays++;
                        joint.VoidRays += solid < inside ? 1 : 0;
                    }
                    sum += solid * tall / Slices;
                }
                path[y * width + x] += sum / (Sub * Sub);
            }
        }
    }

    private static (double, double, double, double, double, double)[] Voids(
        MadeJoint joint,
        OtherLook look,
        Random random,
        double tall
    )
    {
        List<(double, double, double, double, double, double)> voids = [];
        if (random.NextDouble() > look.VoidChance)
        {
            return [];
        }
        int many = 1 + random.Next(4);
        for (int i = 0; i < many; i++)
        {
            double vr = joint.RadiusMm * (0.1 + 0.3 * random.NextDouble() * random.NextDouble() + (i == 0 ? 0.12 : 0));
            double at = 2 * Math.PI * random.NextDouble();
            double far = (joint.RadiusMm - vr) * Math.Sqrt(random.NextDouble());
            voids.Add(
                (
                    far * Math.Cos(at),
                    far * Math.Sin(at),
                    (tall / 2 - 0.7 * vr) * (2 * random.NextDouble() - 1),
                    vr,
                    0.12 * random.NextDouble(),
                    6 * random.NextDouble()
                )
            );
        }
        return [.. voids];
    }

    private static List<((int, int), (int, int))> Bridges(
        OtherLook look,
        List<MadeJoint> joints,
        Random random,
        double[] path,
        int width,
        int height,
        double r0
    )
    {
        List<((int, int), (int, int))> bridges = [];
        HashSet<MadeJoint> used = [];
        foreach (MadeJoint a in joints.Where(j => !j.Missing).OrderBy(_ => random.Next()))
        {
            MadeJoint? b = joints.Find(j =>
                !j.Missing && (j.Row, j.Column) == (random.Next(2) == 0 ? (a.Row + 1, a.Column) : (a.Row, a.Column + 1))
            );
            if (bridges.Count >= look.BridgeNumber || b is null || !used.Add(a) || !used.Add(b))
            {
                continue;
            }
            bridges.Add(((a.Row, a.Column), (b.Row, b.Column)));
            double thick = r0 * (0.35 + 0.3 * random.NextDouble());
            double dx = b.CentreXPx - a.CentreXPx;
            double dy = b.CentreYPx - a.CentreYPx;
            double length = Math.Sqrt(dx * dx + dy * dy);
            for (int y = 0; y < height; y++)
            {
                for (int x = 0; x < width; x++)
                {
                    double t = ((x - a.CentreXPx) * dx + (y - a.CentreYPx) * dy) / (length * length);
                    double off = Math.Abs((x - a.CentreXPx) * dy - (y - a.CentreYPx) * dx) / length;
                    // Thinner in the middle, only between the joints.
                    double waist = thick * (0.75 + Math.Pow(2 * t - 1, 2));
                    bool between = t * length > 0.9 * a.RadiusMm && (1 - t) * length > 0.9 * b.RadiusMm;
                    if (t is > 0 and < 1 && between && off < waist)
                    {
                        path[y * width + x] = Math.Max(path[y * width + x], 1.2 * Math.Sqrt(waist * waist - off * off));
                    }
                }
            }
        }
        return bridges;
    }

    private static float[] Detect(double[] path, int width, int height, double r0, OtherLook look, Random random)
    {
        double[] light =
        [
            .. path.Select(mm => look.Scatter + (1 - look.Scatter) * Math.Exp(-look.Attenuation * mm / (1.2 * r0))),
        ];
        light = XrayMaker.Blur(light, width, height, look.BlurPx);
        double[] line = [.. Enumerable.Range(0, height).Select(_ => look.LineNoise * XrayMaker.Normal(random))];
        for (int y = 0; y < height; y++)
        {
            for (int x = 0; x < width; x++)
            {
                double far = (Math.Pow(x - width / 2.0, 2) + Math.Pow(y - height / 2.0, 2)) / Math.Pow(width / 2.0, 2);
                light[y * width + x] *= 1 - look.Vignette * far;
                light[y * width + x] +=
                    look.Noise * Math.Sqrt(light[y * width + x]) * XrayMaker.Normal(random) + line[y];
            }
        }
        if (look.Halo > 0)
        {
            double[] soft = XrayMaker.Blur(light, width, height, 2);
            for (int i = 0; i < light.Length; i++)
            {
                light[i] += look.Halo * (light[i] - soft[i]);
            }
        }
        double low = 0;
        double high = 1.1;
        if (look.Stretched)
        {
            double[] sorted = [.. light.Order()];
            low = sorted[sorted.Length / 500];
            high = sorted[^(sorted.Length / 50)];
        }
        return
        [
            .. light.Select(value =>
            {
                double g = Math.Pow(Math.Clamp((value - low) / (high - low), 0, 1), look.Gamma);
                return (float)(Math.Round(255 * (look.Inverted ? 1 - g : g)) / 255);
            }),
        ];
    }
}
