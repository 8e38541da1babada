using Graftbench.Core.Numerics;

namespace Graftbench.Scenes;

/// <summary>
/// Traces rays: mirror-like balls reflect lamps, the board and each other's dark; the board has mask, lands, traces, gloss
/// and shadows. Tries to be like a photo under a ring light, one or two spots, or a dome.
/// </summary>
public sealed class RayRender
{
    private readonly BallScene scene;
    private readonly SceneCamera camera;
    private readonly Dice dice;
    private readonly List<(double U, double V, double Z, double R, int Look)>[] cells;
    private readonly int side;
    private readonly int lampKind;
    private readonly double[] lamp;
    private readonly double[] lamp2;
    private readonly double roughness;
    private readonly double[] mask;
    private readonly double[] land;
    private readonly double ambient;
    private readonly double strength;
    private readonly bool stencil;
    private readonly double shadowAngle;
    private readonly double shadowAt;

    private const int Margin = 4;

    private RayRender(BallScene scene)
    {
        this.scene = scene;
        camera = new SceneCamera(scene);
        dice = new Dice(scene.Seed * 31 + 5);
        stencil = scene.Difficulty.Stencil > 0;
        side = Math.Max(scene.Field.Rows, scene.Field.Columns) + 2 * Margin;
        cells = new List<(double, double, double, double, int)>[side * side];
        foreach (SceneBall ball in scene.Balls)
        {
            Put(ball.U, ball.V, ball.RadiusSteps * (stencil ? 0.5 : 0.75), ball.RadiusSteps, ball.Look);
        }
        foreach ((double u0, double v0, double u1, double v1, double r) in scene.Bridges)
        {
            for (int k = 1; k < 6; k++)
            {
                double t = k / 6.0;
                Put(u0 + t * (u1 - u0), v0 + t * (v1 - v0), r * 0.6, r * (0.85 + 0.4 * Math.Abs(t - 0.5)), k);
            }
        }
        double hard = scene.Difficulty.Highlight;
        lampKind = hard <= 0 ? 0 : (int)dice.Between(0, 4);
        roughness = 0.10 + 0.30 * dice.Uniform() * (0.3 + hard);
        double azimuth = dice.Between(0, 2 * Math.PI);
        double height = dice.Between(0.75, 1.25);
        lamp = Unit(Math.Cos(azimuth), Math.Sin(azimuth), height);
        lamp2 = Unit(Math.Cos(azimuth + 2.4), Math.Sin(azimuth + 2.4), height * 1.1);
        ambient = dice.Between(0.10, 0.22);
        strength = dice.Between(0.85, 1.15) + 0.5 * hard * dice.Uniform();
        double[][] masks =
        [
            [0.10, 0.34, 0.16],
            [0.09, 0.10, 0.11],
            [0.52, 0.42, 0.26],
            [0.10, 0.17, 0.38],
            [0.72, 0.71, 0.67],
        ];
        mask = masks[scene.Difficulty.Substrate <= 0 ? 0 : (int)dice.Between(0, masks.Length)];
        double[][] lands =
        [
            [0.80, 0.62, 0.28],
            [0.72, 0.43, 0.27],
            [0.62, 0.62, 0.60],
        ];
        land = lands[scene.Difficulty.Substrate <= 0 ? 0 : (int)dice.Between(0, lands.Length)];
        if (stencil)
        {
            mask = [0.50, 0.51, 0.52];
        }
        shadowAngle = dice.Between(0, 2 * Math.PI);
        shadowAt = dice.Between(-0.25, 0.25) * Math.Max(scene.Field.Rows, scene.Field.Columns);
    }

    public static byte[] Jpeg(BallScene scene)
    {
        RayRender render = new(scene);
        float[] rgb = new float[3 * scene.WidthPx * scene.HeightPx];
        (double eu, double ev, double ez) = render.camera.Eye;
        for (int y = 0; y < scene.HeightPx; y++)
        {
            for (int x = 0; x < scene.WidthPx; x++)
            {
                (double du, double dv, double dz) = render.camera.Ray(x, y);
                double length = Math.Sqrt(du * du + dv * dv + dz * dz);
                (double r, double g, double b) = render.Trace(eu, ev, ez, du / length, dv / length, dz / length);
                int at = 3 * (y * scene.WidthPx + x);
                // As a screen shows light: square root is near enough to the usual curve.
                rgb[at] = (float)Math.Sqrt(Math.Min(r, 1.3));
                rgb[at + 1] = (float)Math.Sqrt(Math.Min(g, 1.3));
                rgb[at + 2] = (float)Math.Sqrt(Math.Min(b, 1.3));
            }
        }
        return SceneCamera.Develop(scene, rgb);
    }

    private void Put(double u, double v, double z, double r, int look)
    {
        int x = (int)Math.Round(u) + Margin;
        int y = (int)Math.Round(v) + Margin;
        if (x >= 0 && y >= 0 && x < side && y < side)
        {
            (cells[y * side + x] ??= []).Add((u, v, z, r, look));
        }
    }

    private (double R, double G, double B) Trace(double eu, double ev, double ez, double du, double dv, double dz)
    {
        double ground = -ez / dz;
        double gu = eu + ground * du;
        double gv = ev + ground * dv;
        double best = ground;
        (double U, double V, double Z, double R, int Look) ball = default;
        // A ball stands up to 0.6 steps high; a slanted ray meets it before the ground.
        int cx = (int)Math.Round(gu) + Margin;
        int cy = (int)Math.Round(gv) + Margin;
        for (int y = Math.Max(cy - 1, 0); y <= Math.Min(cy + 1, side - 1); y++)
        {
            for (int x = Math.Max(cx - 1, 0); x <= Math.Min(cx + 1, side - 1); x++)
            {
                if (cells[y * side + x] is not { } list)
                {
                    continue;
                }
                foreach ((double U, double V, double Z, double R, int Look) one in list)
                {
                    double ou = eu - one.U;
                    double ov = ev - one.V;
                    double oz = ez - one.Z;
                    double b = ou * du + ov * dv + oz * dz;
                    double c = ou * ou + ov * ov + oz * oz - one.R * one.R;
                    double root = b * b - c;
                    if (root > 0)
                    {
                        double t = -b - Math.Sqrt(root);
                        if (t < best)
                        {
                            best = t;
                            ball = one;
                        }
                    }
                }
            }
        }
        double hu = eu + best * du;
        double hv = ev + best * dv;
        double shade = HardShadow(hu, hv);
        (double R, double G, double B) light =
            ball.R > 0 ? Metal(hu, hv, ez + best * dz, ball, du, dv, dz, shade) : Board(gu, gv, du, dv, dz, shade);
        return Flux(hu, hv, light, shade);
    }

    private (double R, double G, double B) Metal(
        double u,
        double v,
        double z,
        (double U, double V, double Z, double R, int Look) ball,
        double du,
        double dv,
        double dz,
        double shade
    )
    {
        double nu = (u - ball.U) / ball.R;
        double nv = (v - ball.V) / ball.R;
        double nz = (z - ball.Z) / ball.R;
        // A skin that is not quite smooth, different on every ball.
        double phase = ball.Look % 628 / 100.0;
        nu += 0.05 * Math.Sin(7 * nv + phase) + 0.03 * Math.Sin(23 * nu + 3 * phase);
        nv += 0.05 * Math.Sin(6 * nu + 2 * phase) + 0.03 * Math.Sin(19 * nv + phase);
        double length = Math.Sqrt(nu * nu + nv * nv + nz * nz);
        (nu, nv, nz) = (nu / length, nv / length, nz / length);
        double dot = 2 * (du * nu + dv * nv + dz * nz);
        double ru = du - dot * nu;
        double rv = dv - dot * nv;
        double rz = dz - dot * nz;
        double sky = Sky(ru, rv, rz) * shade;
        double lambert = Math.Max(0, nu * lamp[0] + nv * lamp[1] + nz * lamp[2]) * (lampKind == 3 ? 0.1 : 0.22);
        double grey = 0.85 * sky + lambert * shade * strength;
        double below = rz < 0 ? Math.Min(1, -rz * 2) : 0;
        double tint = 0.9 + 0.1 * Math.Sin(ball.Look);
        return (
            tint * (grey + 0.25 * below * mask[0] * ambient),
            tint * (grey + 0.25 * below * mask[1] * ambient),
            tint * (grey * 1.02 + 0.25 * below * mask[2] * ambient)
        );
    }

    // What a direction shows: 0 ring light, 1 spot, 2 two spots, 3 dome with the camera's hole.
    private double Sky(double u, double v, double z)
    {
        double soft = roughness;
        double light = ambient * Math.Clamp(0.35 + 0.65 * z, 0, 1);
        switch (lampKind)
        {
            case 0:
                double elevation = Math.Atan2(z, Math.Sqrt(u * u + v * v));
                light += strength * Math.Exp(-Math.Pow((elevation - 1.05) / (0.16 + 0.5 * soft), 2));
                break;
            case 1:
                light += 2.2 * strength * Lobe(u, v, z, lamp, soft);
                break;
            case 2:
                light += 1.8 * strength * (Lobe(u, v, z, lamp, soft) + Lobe(u, v, z, lamp2, soft));
                break;
            default:
                double hole = Math.Exp(-Math.Pow(Math.Acos(Math.Clamp(z, -1, 1)) / (0.22 + 0.2 * soft), 2));
                light += 0.75 * strength * Math.Clamp(z / (0.25 + soft) + 0.2, 0, 1) * (1 - 0.75 * hole);
                break;
        }
        return light;
    }

    private static double Lobe(double u, double v, double z, double[] to, double soft)
    {
        double angle = Math.Acos(Math.Clamp(u * to[0] + v * to[1] + z * to[2], -1, 1));
        return Math.Exp(-Math.Pow(angle / (0.22 + soft), 2));
    }

    private (double R, double G, double B) Board(double u, double v, double du, double dv, double dz, double shade)
    {
        (int row, int column, double away) = scene.Nearest(u, v);
        bool site = scene.Field.Has(row, column);
        double lit = Shadowed(u, v) * shade;
        double[] colour = mask;
        double grain = 1 + 0.06 * Noise(u * 9, v * 9) + 0.04 * Noise(u * 31, v * 31);
        double gloss = 0.05;
        if (stencil)
        {
            bool hole = site && away < scene.BallSteps * 1.08;
            if (hole)
            {
                double rim = Math.Clamp((away / (scene.BallSteps * 1.08) - 0.8) * 4, 0, 1);
                double dark =
                    0.02
                    + 0.10 * rim * Math.Max(0, lamp[0] * (u - Math.Round(u)) + lamp[1] * (v - Math.Round(v)) + 0.3);
                return (dark * lit, dark * lit, dark * lit);
            }
            grain += 0.10 * Math.Sin(60 * v + 4 * Noise(u, v * 3));
            gloss = 0.15;
        }
        else if (site && away < scene.LandSteps)
        {
            colour = land;
            grain = 1 + 0.12 * Noise(u * 14 + 40, v * 14) + 0.08 * Noise(u * 40, v * 40 + 7);
            gloss = 0.25;
        }
        else if (site && away < scene.LandSteps * 1.12)
        {
            grain *= 0.55;
        }
        else if (Math.Abs(Noise(Math.Floor(v * 2) * 5.1, 3)) > 0.45 && Math.Abs(v * 2 - Math.Floor(v * 2) - 0.5) < 0.14)
        {
            grain *= 1.25;
        }
        foreach ((double pu, double pv, double width, double height) in scene.Parts)
        {
            if (Math.Abs(u - pu) < width / 2 && Math.Abs(v - pv) < height / 2)
            {
                colour = Math.Abs(u - pu) > width * 0.3 ? [0.7, 0.7, 0.7] : [0.42, 0.30, 0.20];
                gloss = 0.2;
            }
        }
        double diffuse = lampKind switch
        {
            0 => 0.75 * strength,
            1 => lamp[2] * strength,
            2 => (lamp[2] + lamp2[2]) * 0.7 * strength,
            _ => 0.8 * strength,
        };
        double sheen = gloss * Sky(du, dv, -dz);
        double sum = (ambient + 0.8 * diffuse * lit) * grain;
        return (colour[0] * sum + sheen * lit, colour[1] * sum + sheen * lit, colour[2] * sum + sheen * lit);
    }

    // Light that the balls around leave over for a place on the board.
    private double Shadowed(double u, double v)
    {
        double lit = 1;
        int cx = (int)Math.Round(u) + Margin;
        int cy = (int)Math.Round(v) + Margin;
        for (int y = Math.Max(cy - 1, 0); y <= Math.Min(cy + 1, side - 1); y++)
        {
            for (int x = Math.Max(cx - 1, 0); x <= Math.Min(cx + 1, side - 1); x++)
            {
                if (cells[y * side + x] is not { } list)
                {
                    continue;
                }
                foreach ((double bu, double bv, double bz, double r, _) in list)
                {
                    double d = Math.Sqrt(Math.Pow(u - bu, 2) + Math.Pow(v - bv, 2));
                    lit *= 1 - 0.45 * Math.Clamp((1.35 * r - d) / (0.5 * r), 0, 1);
                    if (lampKind is 1 or 2)
                    {
                        double ou = u - bu;
                        double ov = v - bv;
                        double b = ou * lamp[0] + ov * lamp[1] - bz * lamp[2];
                        double near = ou * ou + ov * ov + bz * bz - b * b;
                        if (b < 0)
                        {
                            lit *= 1 - 0.6 * Math.Clamp((r * 1.05 - Math.Sqrt(near)) / (0.2 * r), 0, 1);
                        }
                    }
                }
            }
        }
        return lit;
    }

    private double HardShadow(double u, double v)
    {
        double hard = scene.Difficulty.Shadow;
        if (hard <= 0)
        {
            return 1;
        }
        double across =
            (u - scene.Field.Columns / 2.0) * Math.Cos(shadowAngle)
            + (v - scene.Field.Rows / 2.0) * Math.Sin(shadowAngle);
        return 1 - 0.78 * hard * Math.Clamp((across - shadowAt) / 0.15 + 0.5, 0, 1);
    }

    private (double, double, double) Flux(double u, double v, (double R, double G, double B) light, double shade)
    {
        foreach ((double su, double sv, double radius, double much) in scene.Smears)
        {
            double d = Math.Sqrt(Math.Pow(u - su, 2) + Math.Pow(v - sv, 2)) / radius;
            double edge = d + 0.35 * Noise(u * 1.7 + su, v * 1.7) + 0.12 * Noise(u * 6, v * 6);
            double film = much * Math.Clamp((1 - edge) * 4, 0, 1);
            if (film > 0)
            {
                double shine = 0.25 * shade * Math.Max(0, Noise(u * 4 + 9, v * 4)) * strength;
                light = (
                    light.R * (1 - film) + film * (0.45 * shade + shine),
                    light.G * (1 - film) + film * (0.30 * shade + shine),
                    light.B * (1 - film) + film * (0.12 * shade + shine)
                );
            }
        }
        return light;
    }

    private static double Noise(double x, double y)
    {
        double fx = Math.Floor(x);
        double fy = Math.Floor(y);
        double tx = x - fx;
        double ty = y - fy;
        tx = tx * tx * (3 - 2 * tx);
        ty = ty * ty * (3 - 2 * ty);
        double a = Hash(fx, fy) + tx * (Hash(fx + 1, fy) - Hash(fx, fy));
        double b = Hash(fx, fy + 1) + tx * (Hash(fx + 1, fy + 1) - Hash(fx, fy + 1));
        return a + ty * (b - a);
    }

    private static double Hash(double x, double y)
    {
        uint n = (uint)((int)x * 374761393 + (int)y * 668265263);
        n = (n ^ (n >> 13)) * 1274126177;
        return (n ^ (n >> 16)) / 2147483648.0 - 1;
    }

    private static double[] Unit(double u, double v, double z)
    {
        double length = Math.Sqrt(u * u + v * v + z * z);
        return [u / length, v / length, z / length];
    }
}
