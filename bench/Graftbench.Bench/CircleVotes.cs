using Graftbench.Core.Inspection;
using Graftbench.Scenes;
using Graftbench.Vision.Pictures;

namespace Graftbench.Bench;

/// <summary>
/// The plain baseline: a circle transform with gradients over a range of radii that it is told, peaks over a threshold, each
/// peak a ball. It is also told where the sites are, so that what is compared is only whether a ball is there.
/// </summary>
internal static class CircleVotes
{
    /// <summary>Middles of circles [px].</summary>
    public static List<(double X, double Y)> Find(Picture picture, double leastRadiusPx, double mostRadiusPx)
    {
        int w = picture.WidthPx;
        int h = picture.HeightPx;
        float[] grey = picture.Grey;
        float[] votes = new float[w * h];
        float strongest = 0;
        float[] size = new float[w * h];
        for (int y = 1; y < h - 1; y++)
        {
            for (int x = 1; x < w - 1; x++)
            {
                int at = y * w + x;
                float gx = grey[at + 1] - grey[at - 1];
                float gy = grey[at + w] - grey[at - w];
                size[at] = MathF.Sqrt(gx * gx + gy * gy);
                strongest = Math.Max(strongest, size[at]);
            }
        }
        for (int y = 1; y < h - 1; y++)
        {
            for (int x = 1; x < w - 1; x++)
            {
                int at = y * w + x;
                if (size[at] < 0.12f * strongest)
                {
                    continue;
                }
                float ux = (grey[at + 1] - grey[at - 1]) / size[at];
                float uy = (grey[at + w] - grey[at - w]) / size[at];
                for (double r = leastRadiusPx; r <= mostRadiusPx; r += 1)
                {
                    Cast(votes, w, h, x + ux * r, y + uy * r);
                    Cast(votes, w, h, x - ux * r, y - uy * r);
                }
            }
        }
        return Peaks(votes, w, h, leastRadiusPx);
    }

    private static void Cast(float[] votes, int w, int h, double x, double y)
    {
        int px = (int)Math.Round(x);
        int py = (int)Math.Round(y);
        if (px >= 1 && py >= 1 && px < w - 1 && py < h - 1)
        {
            votes[py * w + px]++;
        }
    }

    private static List<(double X, double Y)> Peaks(float[] votes, int w, int h, double radiusPx)
    {
        float[] sum = new float[votes.Length];
        float most = 0;
        for (int y = 1; y < h - 1; y++)
        {
            for (int x = 1; x < w - 1; x++)
            {
                float total = 0;
                for (int v = -1; v <= 1; v++)
                {
                    for (int u = -1; u <= 1; u++)
                    {
                        total += votes[(y + v) * w + x + u];
                    }
                }
                sum[y * w + x] = total;
                most = Math.Max(most, total);
            }
        }
        List<(float Vote, int X, int Y)> all = [];
        for (int i = 0; i < sum.Length; i++)
        {
            if (sum[i] > 0.35f * most)
            {
                all.Add((sum[i], i % w, i / w));
            }
        }
        List<(double X, double Y)> found = [];
        foreach ((_, int x, int y) in all.OrderByDescending(one => one.Vote))
        {
            if (found.All(one => Math.Pow(one.X - x, 2) + Math.Pow(one.Y - y, 2) > radiusPx * radiusPx * 2))
            {
                found.Add((x, y));
            }
        }
        return found;
    }

    /// <summary>Missing balls that were noticed, missing balls, sound balls called missing, sound balls.</summary>
    public static (int Noticed, int Missing, int False, int Sound) Score(
        BallScene scene,
        List<(double X, double Y)> found
    )
    {
        (int noticed, int missing, int wrong, int sound) = (0, 0, 0, 0);
        SceneCamera camera = new(scene);
        BallField field = scene.Field;
        foreach ((int row, int column) in field.Sites())
        {
            (double x, double y) = camera.See(BallScene.Seen(field, column), row, scene.BallSteps * 0.5);
            if (x < 0 || y < 0 || x >= scene.WidthPx || y >= scene.HeightPx)
            {
                continue;
            }
            bool seen = found.Any(one =>
                Math.Pow(one.X - x, 2) + Math.Pow(one.Y - y, 2) < Math.Pow(0.3 * scene.PitchPx, 2)
            );
            if (scene.At(row, column) == SiteTruth.Missing)
            {
                missing++;
                noticed += seen ? 0 : 1;
            }
            else if (scene.At(row, column) == SiteTruth.Present)
            {
                sound++;
                wrong += seen ? 0 : 1;
            }
        }
        return (noticed, missing, wrong, sound);
    }
}
