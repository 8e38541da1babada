using Graftbench.Core.Numerics;

namespace Graftbench.Scenes;

/// <summary>
/// Paints flat: every ball is a disc with a shaded dome, a painted highlight and a drop shadow on a plain ground. No rays, no
/// reflection, shares nothing with the other renderer but the scene and the camera.
/// </summary>
public static class PaintRender
{
    private sealed record Style(
        double[] Ground,
        double[] Ball,
        double[] Land,
        double LightU,
        double LightV,
        double Diffuse,
        double Shine,
        double ShineSize,
        int ShineKind,
        double Drop,
        double Dither
    );

    public static byte[] Jpeg(BallScene scene)
    {
        Dice dice = new(scene.Seed * 131 + 71);
        bool varied = scene.Difficulty.Highlight > 0;
        bool stencil = scene.Difficulty.Stencil > 0;
        double[][] grounds =
        [
            [0.16, 0.42, 0.22],
            [0.12, 0.12, 0.13],
            [0.68, 0.56, 0.38],
            [0.80, 0.80, 0.76],
            [0.45, 0.20, 0.16],
        ];
        double[][] lands =
        [
            [0.90, 0.75, 0.35],
            [0.80, 0.50, 0.32],
            [0.75, 0.75, 0.72],
        ];
        bool colours = scene.Difficulty.Substrate > 0;
        double level = dice.Between(0.5, 0.68);
        double angle = dice.Between(0, 2 * Math.PI);
        Style style = new(
            stencil ? [0.62, 0.63, 0.64] : grounds[colours ? (int)dice.Between(0, grounds.Length) : 0],
            [level, level, level * 1.03],
            lands[colours ? (int)dice.Between(0, lands.Length) : 0],
            Math.Cos(angle) * 0.55,
            Math.Sin(angle) * 0.55,
            dice.Between(0.35, 0.75),
            varied ? dice.Between(0.15, 0.7) : 0.4,
            varied ? dice.Between(0.12, 0.4) : 0.22,
            varied ? (int)dice.Between(0, 3) : 0,
            dice.Between(0.2, 0.55),
            dice.Between(0.01, 0.05)
        );
        SceneCamera camera = new(scene);
        float[] rgb = new float[3 * scene.WidthPx * scene.HeightPx];
        Dictionary<(int, int), List<SceneBall>> near = [];
        foreach (SceneBall ball in scene.Balls)
        {
            Around(near, ball.U, ball.V, ball);
        }
        foreach ((double u0, double v0, double u1, double v1, double r) in scene.Bridges)
        {
            for (int k = 1; k < 8; k++)
            {
                double t = k / 8.0;
                SceneBall neck = new(u0 + t * (u1 - u0), v0 + t * (v1 - v0), r * (0.8 + 0.5 * Math.Abs(t - 0.5)), -1);
                Around(near, neck.U, neck.V, neck);
            }
        }
        double shadowAngle = dice.Between(0, 2 * Math.PI);
        double shadowAt = dice.Between(-3, 3);
        (double eu, double ev, double ez) = camera.Eye;
        for (int y = 0; y < scene.HeightPx; y++)
        {
            for (int x = 0; x < scene.WidthPx; x++)
            {
                (double du, double dv, double dz) = camera.Ray(x, y);
                double t = -ez / dz;
                double u = eu + t * du;
                double v = ev + t * dv;
                int at = 3 * (y * scene.WidthPx + x);
                Paint(scene, style, stencil, near, u, v, rgb.AsSpan(at, 3));
                double across =
                    (u - scene.Field.Columns / 2.0) * Math.Cos(shadowAngle)
                    + (v - scene.Field.Rows / 2.0) * Math.Sin(shadowAngle)
                    - shadowAt;
                float shade = (float)(across > 0 ? 1 - 0.6 * scene.Difficulty.Shadow : 1);
                float speck = (float)(style.Dither * Math.Sin(x * 12.9898 + y * 78.233 + Math.Sin(x * y * 0.013) * 43));
                for (int c = 0; c < 3; c++)
                {
                    rgb[at + c] = rgb[at + c] * shade + speck;
                }
            }
        }
        return SceneCamera.Develop(scene, rgb);
    }

    private static void Around(Dictionary<(int, int), List<SceneBall>> near, double u, double v, SceneBall ball)
    {
        for (int i = -1; i <= 1; i++)
        {
            for (int j = -1; j <= 1; j++)
            {
                (int, int) cell = ((int)Math.Floor(u + 0.5) + i, (int)Math.Floor(v + 0.5) + j);
                if (!near.TryGetValue(cell, out List<SceneBall>? list))
                {
                    near[cell] = list = [];
                }
                list.Add(ball);
            }
        }
    }

    private static void Paint(
        BallScene scene,
        Style style,
        bool stencil,
        Dictionary<(int, int), List<SceneBall>> near,
        double u,
        double v,
        Span<float> to
    )
    {
        (int row, int column, double away) = scene.Nearest(u, v);
        bool site = scene.Field.Has(row, column);
        double[] ground = style.Ground;
        double tone = 1;
        if (stencil && site && away < scene.BallSteps * 1.1)
        {
            ground = [0.07, 0.07, 0.08];
        }
        else if (!stencil && site && away < scene.LandSteps)
        {
            ground = style.Land;
            tone = 0.96 + 0.04 * Math.Sin(u * 9) * Math.Cos(v * 7);
        }
        foreach ((double pu, double pv, double width, double height) in scene.Parts)
        {
            if (Math.Abs(u - pu) < width / 2 && Math.Abs(v - pv) < height / 2)
            {
                ground = Math.Abs(u - pu) > width * 0.32 ? [0.8, 0.8, 0.8] : [0.6, 0.5, 0.4];
            }
        }
        near.TryGetValue(((int)Math.Floor(u + 0.5), (int)Math.Floor(v + 0.5)), out List<SceneBall>? balls);
        SceneBall? top = null;
        double topAt = 1;
        foreach (SceneBall ball in balls ?? [])
        {
            double shadow = Math.Sqrt(
                Math.Pow(u - ball.U + 0.25 * style.LightU * ball.RadiusSteps, 2)
                    + Math.Pow(v - ball.V + 0.25 * style.LightV * ball.RadiusSteps, 2)
            );
            tone *= 1 - style.Drop * Math.Clamp((1.15 * ball.RadiusSteps - shadow) / (0.25 * ball.RadiusSteps), 0, 1);
            double d = Math.Sqrt(Math.Pow(u - ball.U, 2) + Math.Pow(v - ball.V, 2)) / ball.RadiusSteps;
            if (d < topAt)
            {
                topAt = d;
                top = ball;
            }
        }
        double shine = 0;
        if (top is not null)
        {
            ground = style.Ball;
            double nu = (u - top.U) / top.RadiusSteps;
            double nv = (v - top.V) / top.RadiusSteps;
            double nz = Math.Sqrt(Math.Max(0, 1 - nu * nu - nv * nv));
            tone =
                1 - style.Diffuse + style.Diffuse * Math.Clamp(nu * style.LightU + nv * style.LightV + nz * 0.83, 0, 1);
            tone *= top.Look < 0 ? 1 : 0.95 + 0.1 * (top.Look % 100 / 100.0);
            double spot = Math.Sqrt(Math.Pow(nu - 0.6 * style.LightU, 2) + Math.Pow(nv - 0.6 * style.LightV, 2));
            double radial = Math.Sqrt(nu * nu + nv * nv);
            shine = style.ShineKind switch
            {
                0 => style.Shine * Math.Exp(-spot * spot / (style.ShineSize * style.ShineSize)),
                1 => style.Shine * Math.Exp(-Math.Pow((radial - 0.5) / 0.14, 2)),
                _ => style.Shine * 0.6 * Math.Exp(-radial * radial / 0.35),
            };
        }
        double film = 0;
        foreach ((double su, double sv, double radius, double much) in scene.Smears)
        {
            double wobble = 0.3 * Math.Sin(3 * u + su) * Math.Sin(2.6 * v + sv);
            double d = Math.Sqrt(Math.Pow(u - su, 2) + Math.Pow(v - sv, 2)) / radius + wobble;
            film = Math.Max(film, much * Math.Clamp((1 - d) * 3, 0, 1));
        }
        double[] flux = [0.62, 0.45, 0.22];
        for (int c = 0; c < 3; c++)
        {
            to[c] = (float)((ground[c] * tone + shine) * (1 - film) + film * flux[c]);
        }
    }
}
