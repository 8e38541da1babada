namespace Graftbench.Shared.Vision;

/// <summary>
/// Rays through truncated barrels between lands, ellipsoids of gas in them, copper, vias and parts: four energies, detector blur,
/// photon noise. Everything is exact along a ray; true void areas are counted on the same rays.
/// </summary>
internal static class XrayMaker
{
    // Weight of each energy in the beam; attenuation by mm of solder, copper, ceramic. Plausible, not measured.
    private static readonly double[] Weight = [0.2, 0.35, 0.3, 0.15];
    private static readonly double[] Solder = [7.5, 4.2, 2.6, 1.7];
    private static readonly double[] Copper = [2.4, 1.3, 0.8, 0.5];
    private static readonly double[] Ceramic = [1.6, 0.9, 0.6, 0.4];
    private const int Sub = 3;

    public static MadeXray Make(XrayLook look)
    {
        Random random = new(look.Seed);
        List<MadeJoint> joints = Joints(look, random);
        List<((int, int), (int, int))> bridges = [];
        List<Capsule> capsules = Bridges(look, joints, random, bridges);
        double w = (look.Columns - 1) * look.PitchMm;
        double h = (look.Rows - 1) * look.PitchMm;
        double margin = 1.2 * look.PitchMm + look.ExtraMarginMm;
        double angle = look.RotationDeg * Math.PI / 180;
        double c = Math.Cos(angle);
        double s = Math.Sin(angle);
        double spanX = Math.Abs(c) * w + Math.Abs(s) * h + 2 * margin;
        double spanY = Math.Abs(s) * w + Math.Abs(c) * h + 2 * margin;
        int width = (int)(spanX * look.PxPerMm);
        int height = (int)(spanY * look.PxPerMm);
        double tilt = look.ObliqueDeg * Math.PI / 180;
        double towards = look.ObliqueTowardsDeg * Math.PI / 180;
        Ray ray = new(Math.Tan(tilt) * Math.Cos(towards), Math.Tan(tilt) * Math.Sin(towards), 1 / Math.Cos(tilt));
        Board board = new(look, random, w, h);
        double pxPerMm = look.PxPerMm;
        // Buckets of joints by place, so that a ray meets few.
        Dictionary<(int, int), List<MadeJoint>> near = [];
        foreach (MadeJoint joint in joints)
        {
            (int, int) key = Key(joint.XMm, joint.YMm, look.PitchMm);
            if (!near.TryGetValue(key, out List<MadeJoint>? list))
            {
                near[key] = list = [];
            }
            list.Add(joint);
        }
        double[] transmitted = new double[width * height];
        double middleX = (width - 1) / 2.0;
        double middleY = (height - 1) / 2.0;
        List<(double From, double To)> solid = [];
        List<(double From, double To)> gas = [];
        for (int y = 0; y < height; y++)
        {
            for (int x = 0; x < width; x++)
            {
                double sum = 0;
                for (int k = 0; k < Sub * Sub; k++)
                {
                    double px = x - middleX + (k % Sub + 0.5) / Sub - 0.5;
                    double py = y - middleY + (k / Sub + 0.5) / Sub - 0.5;
                    double scale = 1 / (pxPerMm * (1 + look.KeystoneRatio * px / width));
                    double u = px * scale;
                    double v = py * scale;
                    double mx = c * u + s * v + w / 2;
                    double my = -s * u + c * v + h / 2;
                    double solder = SolderMm(mx, my, ray, near, look.PitchMm, capsules, solid, gas);
                    (double copper, double ceramic) = board.At(mx, my);
                    sum += Through(solder, copper, ceramic, look.Hardness);
                }
                transmitted[y * width + x] = sum / (Sub * Sub);
            }
        }
        foreach (MadeJoint joint in joints)
        {
            double u0 = joint.XMm - w / 2;
            double v0 = joint.YMm - h / 2;
            double u = c * u0 - s * v0;
            double v = s * u0 + c * v0;
            // The keystone's inverse: px = u·k(1 + q·px/width).
            double k = u * pxPerMm;
            double px = k / (1 - look.KeystoneRatio * k / width);
            joint.CentreXPx = px + middleX;
            joint.CentreYPx = v * pxPerMm * (1 + look.KeystoneRatio * px / width) + middleY;
        }
        float[] grey = Detect(transmitted, width, height, look, random);
        return new MadeXray(width, height, grey, joints, bridges);
    }

    private static double Through(double solder, double copper, double ceramic, double hardness)
    {
        double sum = 0;
        for (int e = 0; e < Weight.Length; e++)
        {
            sum += Weight[e] * Math.Exp(-hardness * (Solder[e] * solder + Copper[e] * copper + Ceramic[e] * ceramic));
        }
        return sum;
    }

    private static (int, int) Key(double x, double y, double pitch) =>
        ((int)Math.Round(x / pitch), (int)Math.Round(y / pitch));

    private static double SolderMm(
        double x,
        double y,
        Ray ray,
        Dictionary<(int, int), List<MadeJoint>> near,
        double pitch,
        List<Capsule> capsules,
        List<(double From, double To)> solid,
        List<(double From, double To)> gas
    )
    {
        solid.Clear();
        (int cx, int cy) = Key(x, y, pitch);
        double gasLength = 0;
        for (int j = -1; j <= 1; j++)
        {
            for (int i = -1; i <= 1; i++)
            {
                if (!near.TryGetValue((cx + i, cy + j), out List<MadeJoint>? list))
                {
                    continue;
                }
                foreach (MadeJoint joint in list)
                {
                    if (
                        joint.Missing
                        || !Ellipsoid(
                            x - joint.XMm,
                            y - joint.YMm,
                            0,
                            joint.RadiusMm,
                            joint.RadiusMm,
                            joint.HalfAxisMm,
                            ray,
                            out var span
                        )
                    )
                    {
                        continue;
                    }
                    double from = Math.Max(span.From, -joint.HeightMm / 2);
                    double to = Math.Min(span.To, joint.HeightMm / 2);
                    if (from >= to)
                    {
                        continue;
                    }
                    joint.JointRays++;
                    solid.Add((from, to));
                    gas.Clear();
                    foreach (MadeVoid bubble in joint.Voids)
                    {
                        if (
                            Ellipsoid(
                                x - joint.XMm - bubble.XMm,
                                y - joint.YMm - bubble.YMm,
                                bubble.ZMm,
                                bubble.RadiusXMm,
                                bubble.RadiusYMm,
                                bubble.RadiusZMm,
                                ray,
                                out var hole
                            )
                        )
                        {
                            double holeFrom = Math.Max(from, hole.From);
                            double holeTo = Math.Min(to, hole.To);
                            if (holeFrom < holeTo)
                            {
                                bubble.Rays++;
                                gas.Add((holeFrom, holeTo));
                            }
                        }
                    }
                    if (gas.Count > 0)
                    {
                        joint.VoidRays++;
                        gasLength += Union(gas);
                    }
                }
            }
        }
        foreach (Capsule capsule in capsules)
        {
            if (capsule.Near(x, y) && capsule.Span(x, y, out var span))
            {
                solid.Add(span);
            }
        }
        return solid.Count == 0 ? 0 : Math.Max(0, (Union(solid) - gasLength) * ray.Slant);
    }

    private static double Union(List<(double From, double To)> spans)
    {
        if (spans.Count == 1)
        {
            return spans[0].To - spans[0].From;
        }
        spans.Sort();
        double sum = 0;
        double end = double.NegativeInfinity;
        foreach ((double from, double to) in spans)
        {
            sum += Math.Max(0, to - Math.Max(from, end));
            end = Math.Max(end, to);
        }
        return sum;
    }

    // z-interval where the ray (x + ax·z, y + ay·z, z) is inside.
    private static bool Ellipsoid(
        double x,
        double y,
        double z0,
        double rx,
        double ry,
        double rz,
        Ray ray,
        out (double From, double To) span
    )
    {
        // With t = z − z0 and the ray's place at z0.
        double px = (x + ray.X * z0) / rx;
        double py = (y + ray.Y * z0) / ry;
        double ax = ray.X / rx;
        double ay = ray.Y / ry;
        double az = 1 / rz;
        double a = ax * ax + ay * ay + az * az;
        double b = px * ax + py * ay;
        double q = px * px + py * py - 1;
        double root = b * b - a * q;
        if (root <= 0)
        {
            span = default;
            return false;
        }
        root = Math.Sqrt(root);
        span = (z0 + (-b - root) / a, z0 + (-b + root) / a);
        return true;
    }

    private static List<MadeJoint> Joints(XrayLook look, Random random)
    {
        List<MadeJoint> joints = [];
        for (int row = 0; row < look.Rows; row++)
        {
            for (int column = 0; column < look.Columns; column++)
            {
                if (
                    Math.Abs(2 * row - look.Rows + 1) < look.EmptyMiddle
                    && Math.Abs(2 * column - look.Columns + 1) < look.EmptyMiddle
                )
                {
                    continue;
                }
                double radius = look.BallMm / 2 * (1 + look.SizeScatter * Normal(random));
                MadeJoint joint = new()
                {
                    Row = row,
                    Column = column,
                    XMm = column * look.PitchMm + 0.006 * look.PitchMm * Normal(random),
                    YMm = row * look.PitchMm + 0.006 * look.PitchMm * Normal(random),
                    RadiusMm = radius,
                    HeightMm = 1.35 * radius,
                    HalfAxisMm = radius * 1.02,
                };
                AddVoids(joint, look, random);
                joints.Add(joint);
            }
        }
        foreach (int i in Enumerable.Range(0, joints.Count).OrderBy(_ => random.Next()).Take(look.MissingNumber))
        {
            joints[i].Missing = true;
        }
        return joints;
    }

    private static void AddVoids(MadeJoint joint, XrayLook look, Random random)
    {
        if (look.VoidShare <= 0 || random.NextDouble() < 0.15)
        {
            return;
        }
        double goal = -look.VoidShare * Math.Log(1 - random.NextDouble() * 0.95);
        double area = 0;
        for (int tries = 0; tries < 40 && area < goal && joint.Voids.Count < 8; tries++)
        {
            double least = look.LeastVoidRatio;
            double r = joint.RadiusMm * (least + (look.MostVoidRatio - least) * Math.Pow(random.NextDouble(), 1.5));
            double place = joint.RadiusMm * Math.Sqrt(random.NextDouble());
            bool rim = random.NextDouble() < 0.25;
            // Inside the outline; some touch the rim.
            place = rim ? joint.RadiusMm - r * 0.9 : Math.Min(place, joint.RadiusMm - r * 1.05);
            double at = random.NextDouble() * 2 * Math.PI;
            double room = Math.Max(0, joint.HeightMm / 2 - 0.6 * r);
            double stretch = 0.85 + 0.3 * random.NextDouble();
            joint.Voids.Add(
                new MadeVoid
                {
                    XMm = place * Math.Cos(at),
                    YMm = place * Math.Sin(at),
                    ZMm = (2 * random.NextDouble() - 1) * room * (rim ? 0.2 : 1),
                    RadiusXMm = r * stretch,
                    RadiusYMm = r / stretch,
                    RadiusZMm = r * (0.7 + 0.3 * random.NextDouble()),
                }
            );
            area += r * r / (joint.RadiusMm * joint.RadiusMm);
        }
    }

    private static List<Capsule> Bridges(
        XrayLook look,
        List<MadeJoint> joints,
        Random random,
        List<((int, int), (int, int))> bridges
    )
    {
        List<Capsule> capsules = [];
        Dictionary<(int, int), MadeJoint> at = joints.Where(j => !j.Missing).ToDictionary(j => (j.Row, j.Column));
        HashSet<(int, int)> used = [];
        foreach (MadeJoint a in joints.Where(j => !j.Missing).OrderBy(_ => random.Next()))
        {
            if (bridges.Count >= look.BridgeNumber)
            {
                break;
            }
            bool across = random.Next(2) == 0;
            (int, int) other = across ? (a.Row, a.Column + 1) : (a.Row + 1, a.Column);
            if (!at.TryGetValue(other, out MadeJoint? b) || used.Contains((a.Row, a.Column)) || used.Contains(other))
            {
                continue;
            }
            used.Add((a.Row, a.Column));
            used.Add(other);
            double r = a.RadiusMm * (0.3 + 0.4 * random.NextDouble());
            double off = a.RadiusMm * 0.4 * (random.NextDouble() - 0.5);
            capsules.Add(
                new Capsule(
                    a.XMm + (across ? 0 : off),
                    a.YMm + (across ? off : 0),
                    b.XMm + (across ? 0 : off),
                    b.YMm + (across ? off : 0),
                    r
                )
            );
            bridges.Add(((a.Row, a.Column), other));
        }
        return capsules;
    }

    private static float[] Detect(double[] light, int width, int height, XrayLook look, Random random)
    {
        double[] soft = look.BlurPx > 0 ? Blur(light, width, height, look.BlurPx) : light;
        float[] grey = new float[soft.Length];
        double steps = Math.Pow(2, look.Bits) - 1;
        for (int y = 0; y < height; y++)
        {
            for (int x = 0; x < width; x++)
            {
                double slope = 1 + look.Gradient * ((double)x / width + 0.5 * y / height - 0.75);
                double photons = Math.Max(0, soft[y * width + x] * slope * look.Photons);
                double counted = photons + Math.Sqrt(photons + 4) * Normal(random);
                double g = Math.Clamp(0.85 * counted / look.Photons, 0, 1);
                g = Math.Pow(g, look.Gamma);
                g = look.Inverted ? 1 - g : g;
                grey[y * width + x] = (float)(Math.Round(g * steps) / steps);
            }
        }
        return grey;
    }

    internal static double[] Blur(double[] values, int width, int height, double sigma)
    {
        int reach = (int)Math.Ceiling(3.5 * sigma);
        double[] kernel =
        [
            .. Enumerable.Range(-reach, 2 * reach + 1).Select(i => Math.Exp(-i * i / (2 * sigma * sigma))),
        ];
        double total = kernel.Sum();
        double[] across = new double[values.Length];
        double[] down = new double[values.Length];
        for (int y = 0; y < height; y++)
        {
            for (int x = 0; x < width; x++)
            {
                double sum = 0;
                for (int k = -reach; k <= reach; k++)
                {
                    sum += kernel[k + reach] * values[y * width + Math.Clamp(x + k, 0, width - 1)];
                }
                across[y * width + x] = sum / total;
            }
        }
        for (int y = 0; y < height; y++)
        {
            for (int x = 0; x < width; x++)
            {
                double sum = 0;
                for (int k = -reach; k <= reach; k++)
                {
                    sum += kernel[k + reach] * across[Math.Clamp(y + k, 0, height - 1) * width + x];
                }
                down[y * width + x] = sum / total;
            }
        }
        return down;
    }

    internal static double Normal(Random random) =>
        Math.Sqrt(-2 * Math.Log(1 - random.NextDouble())) * Math.Cos(2 * Math.PI * random.NextDouble());

    private readonly record struct Ray(double X, double Y, double Slant);

    private sealed record Capsule(double X0, double Y0, double X1, double Y1, double R)
    {
        public bool Near(double x, double y) =>
            x > Math.Min(X0, X1) - R
            && x < Math.Max(X0, X1) + R
            && y > Math.Min(Y0, Y1) - R
            && y < Math.Max(Y0, Y1) + R;

        public bool Span(double x, double y, out (double From, double To) span)
        {
            double dx = X1 - X0;
            double dy = Y1 - Y0;
            double t = Math.Clamp(((x - X0) * dx + (y - Y0) * dy) / (dx * dx + dy * dy), 0, 1);
            double d2 = Math.Pow(x - X0 - t * dx, 2) + Math.Pow(y - Y0 - t * dy, 2);
            double half = d2 < R * R ? Math.Sqrt(R * R - d2) : 0;
            span = (-half, half);
            return half > 0;
        }
    }

    /// <summary>Copper and ceramic of the board, through which every ray goes.</summary>
    private sealed class Board
    {
        private readonly List<(double X0, double Y0, double X1, double Y1, double Half, double Mm)> traces = [];
        private readonly List<(double X, double Y, double In, double Out)> vias = [];
        private readonly List<(double X0, double Y0, double X1, double Y1, double Copper, double Ceramic)> blocks = [];

        public Board(XrayLook look, Random random, double w, double h)
        {
            double p = look.PitchMm;
            if (look.Traces)
            {
                for (int i = 0; i < look.Columns + look.Rows; i++)
                {
                    double x = random.NextDouble() * w;
                    double y = random.NextDouble() * h;
                    double a = random.Next(8) * Math.PI / 4;
                    double length = p * (2 + 5 * random.NextDouble());
                    traces.Add(
                        (
                            x,
                            y,
                            x + length * Math.Cos(a),
                            y + length * Math.Sin(a),
                            p * 0.06,
                            random.Next(2) == 0 ? 0.018 : 0.035
                        )
                    );
                }
                blocks.Add((w * 0.3, -p, w * 0.62, h * 0.45, 0.035, 0));
            }
            if (look.Vias)
            {
                for (int i = 0; i < look.Columns * look.Rows / 3; i++)
                {
                    double x = (random.Next(look.Columns) + 0.5) * p;
                    double y = (random.Next(look.Rows) + 0.5) * p;
                    vias.Add((x, y, 0.1 * p, 0.135 * p));
                }
            }
            if (look.Parts)
            {
                for (int i = 0; i < 3 + look.Columns * look.Rows / 60; i++)
                {
                    double x = random.NextDouble() * w;
                    double y = random.NextDouble() * h;
                    double length = p * 1.1;
                    double width = p * 0.55;
                    bool turned = random.Next(2) == 0;
                    (double lx, double ly) = turned ? (width, length) : (length, width);
                    blocks.Add((x, y, x + lx, y + ly, 0, 0.25));
                    double end = 0.25 * length;
                    blocks.Add(turned ? (x, y, x + lx, y + end, 0.12, 0) : (x, y, x + end, y + ly, 0.12, 0));
                    blocks.Add(
                        turned ? (x, y + ly - end, x + lx, y + ly, 0.12, 0) : (x + lx - end, y, x + lx, y + ly, 0.12, 0)
                    );
                }
            }
            if (look.BigShadow)
            {
                blocks.Add((w * 0.55, h * 0.5, w + 2 * p, h + 2 * p, 0.05, 0.3));
            }
        }

        public (double Copper, double Ceramic) At(double x, double y)
        {
            double copper = 0.07;
            double ceramic = 0;
            foreach ((double x0, double y0, double x1, double y1, double half, double mm) in traces)
            {
                double dx = x1 - x0;
                double dy = y1 - y0;
                double t = Math.Clamp(((x - x0) * dx + (y - y0) * dy) / (dx * dx + dy * dy), 0, 1);
                if (Math.Pow(x - x0 - t * dx, 2) + Math.Pow(y - y0 - t * dy, 2) < half * half)
                {
                    copper += mm;
                }
            }
            foreach ((double vx, double vy, double inner, double outer) in vias)
            {
                double d2 = (x - vx) * (x - vx) + (y - vy) * (y - vy);
                if (d2 < outer * outer)
                {
                    copper += d2 > inner * inner ? 0.6 : 0.0;
                }
                else if (d2 < 3 * outer * outer)
                {
                    copper += 0.035;
                }
            }
            foreach ((double x0, double y0, double x1, double y1, double cu, double ce) in blocks)
            {
                if (x > x0 && x < x1 && y > y0 && y < y1)
                {
                    copper += cu;
                    ceramic += ce;
                }
            }
            return (copper, ceramic);
        }
    }
}
