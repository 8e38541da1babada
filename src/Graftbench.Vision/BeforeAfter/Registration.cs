using Graftbench.Vision.Lattice;
using Graftbench.Vision.Planes;

namespace Graftbench.Vision.BeforeAfter;

/// <summary>How a picture of a board lies on another.</summary>
/// <param name="Map">From the one before to the one after, in their own pixels.</param>
/// <param name="MatchNumber">Details that agree.</param>
/// <param name="ResidualPx">How far they lie off, median, in pixels of the picture after [px].</param>
internal sealed record Registration(PlaneMap Map, int MatchNumber, double ResidualPx)
{
    /// <summary>Longest side at which details are looked for [px].</summary>
    public const int MostSearchedPx = 1000;

    /// <summary>Fewest details that must agree.</summary>
    public const int FewestMatches = 14;

    private const float LeastLikeness = 0.75f;
    private const float LeastLead = 0.04f;
    private const int Trials = 3000;
    private const double FirstReachPx = 8;
    private const double ReachPx = 3;

    /// <summary>Lays one on the other; null where too little agrees.</summary>
    public static Registration? Find(Plane before, Plane after, CancellationToken cancel)
    {
        int blockBefore = Block(before);
        int blockAfter = Block(after);
        IReadOnlyList<Detail> a = Detail.Find(before.Reduced(blockBefore));
        if (a.Count < FewestMatches)
        {
            return null;
        }
        Plane small = after.Reduced(blockAfter);
        Registration? best = null;
        // Pictures are not taken from the same distance: sizes around the same one are tried, nearest first.
        foreach (double scale in (double[])[1, 0.8, 1.25, 0.64, 1.56])
        {
            cancel.ThrowIfCancellationRequested();
            Plane sized = Sized(small, scale);
            IReadOnlyList<Detail> b = Detail.Find(sized);
            List<(PicturePoint A, PicturePoint B, float Likeness)> pairs = Pairs(a, b);
            Registration? found = Lay(pairs, blockBefore, blockAfter / scale);
            if (found is not null && found.MatchNumber > (best?.MatchNumber ?? 0))
            {
                best = found;
            }
            if (best is not null && best.MatchNumber > 80)
            {
                break;
            }
        }
        return best;
    }

    private static int Block(Plane plane) =>
        Math.Max(1, (int)Math.Ceiling(Math.Max(plane.WidthPx, plane.HeightPx) / (double)MostSearchedPx));

    private static Plane Sized(Plane plane, double scale)
    {
        if (scale == 1)
        {
            return plane;
        }
        Plane soft = scale < 1 ? plane.Blurred(0.45 / scale) : plane;
        int width = Math.Max(1, (int)(plane.WidthPx * scale));
        int height = Math.Max(1, (int)(plane.HeightPx * scale));
        float[] values = new float[width * height];
        for (int y = 0; y < height; y++)
        {
            for (int x = 0; x < width; x++)
            {
                values[y * width + x] = soft.At((x + 0.5) / scale - 0.5, (y + 0.5) / scale - 0.5);
            }
        }
        return new Plane(width, height, values);
    }

    // Best of each for the other, and better than the next best elsewhere.
    private static List<(PicturePoint A, PicturePoint B, float Likeness)> Pairs(
        IReadOnlyList<Detail> a,
        IReadOnlyList<Detail> b
    )
    {
        int[] bestOfA = new int[a.Count];
        float[] likeness = new float[a.Count];
        bool[] leads = new bool[a.Count];
        float[,] all = new float[a.Count, b.Count];
        Parallel.For(
            0,
            a.Count,
            i =>
            {
                float first = -1;
                float second = -1;
                for (int j = 0; j < b.Count; j++)
                {
                    float value = all[i, j] = Detail.Likeness(a[i], b[j]);
                    if (value > first)
                    {
                        second = first;
                        first = value;
                        bestOfA[i] = j;
                    }
                    else if (value > second)
                    {
                        second = value;
                    }
                }
                likeness[i] = first;
                leads[i] = first - second > LeastLead;
            }
        );
        int[] bestOfB = new int[b.Count];
        for (int j = 0; j < b.Count; j++)
        {
            float first = -2;
            for (int i = 0; i < a.Count; i++)
            {
                if (all[i, j] > first)
                {
                    first = all[i, j];
                    bestOfB[j] = i;
                }
            }
        }
        List<(PicturePoint, PicturePoint, float)> pairs = [];
        for (int i = 0; i < a.Count; i++)
        {
            if (b.Count > 0 && likeness[i] > LeastLikeness && leads[i] && bestOfB[bestOfA[i]] == i)
            {
                pairs.Add((a[i].Place, b[bestOfA[i]].Place, likeness[i]));
            }
        }
        return pairs;
    }

    private static Registration? Lay(
        List<(PicturePoint A, PicturePoint B, float Likeness)> pairs,
        double scaleBefore,
        double scaleAfter
    )
    {
        if (pairs.Count < FewestMatches)
        {
            return null;
        }
        pairs.Sort((one, other) => other.Likeness.CompareTo(one.Likeness));
        (double A, double B, double X, double Y) best = default;
        int most = 0;
        // Pairs of pairs in a fixed order: the same pictures give the same answer.
        uint state = 12345;
        for (int trial = 0; trial < Trials; trial++)
        {
            int i = Next(ref state, pairs.Count);
            int j = Next(ref state, pairs.Count);
            double ax = pairs[j].A.XPx - pairs[i].A.XPx;
            double ay = pairs[j].A.YPx - pairs[i].A.YPx;
            double bx = pairs[j].B.XPx - pairs[i].B.XPx;
            double by = pairs[j].B.YPx - pairs[i].B.YPx;
            double norm = ax * ax + ay * ay;
            if (norm < 900)
            {
                continue;
            }
            double a = (ax * bx + ay * by) / norm;
            double b = (ax * by - ay * bx) / norm;
            if (a * a + b * b is < 0.16 or > 6.25)
            {
                continue;
            }
            double x = pairs[i].B.XPx - a * pairs[i].A.XPx + b * pairs[i].A.YPx;
            double y = pairs[i].B.YPx - b * pairs[i].A.XPx - a * pairs[i].A.YPx;
            int count = 0;
            foreach ((PicturePoint p, PicturePoint q, float _) in pairs)
            {
                double ex = a * p.XPx - b * p.YPx + x - q.XPx;
                double ey = b * p.XPx + a * p.YPx + y - q.YPx;
                count += ex * ex + ey * ey < FirstReachPx * FirstReachPx ? 1 : 0;
            }
            if (count > most)
            {
                most = count;
                best = (a, b, x, y);
            }
        }
        if (most < FewestMatches)
        {
            return null;
        }
        Func<PicturePoint, (double X, double Y)> way = p =>
            (best.A * p.XPx - best.B * p.YPx + best.X, best.B * p.XPx + best.A * p.YPx + best.Y);
        PlaneMap? map = null;
        List<(PicturePoint A, PicturePoint B, float Likeness)> kept = [];
        for (int round = 0; round < 5; round++)
        {
            double reach =
                round == 0 ? FirstReachPx
                : round == 1 ? 5
                : ReachPx;
            kept =
            [
                .. pairs.Where(pair =>
                {
                    (double x, double y) = way(pair.A);
                    return Math.Pow(x - pair.B.XPx, 2) + Math.Pow(y - pair.B.YPx, 2) < reach * reach;
                }),
            ];
            if (kept.Count < FewestMatches)
            {
                return null;
            }
            map = PlaneMap.Fit(
                [.. kept.Select(pair => new PlacePair(pair.A.XPx, pair.A.YPx, pair.B.XPx, pair.B.YPx))],
                reach
            );
            if (map is null)
            {
                return null;
            }
            PlaneMap now = map;
            way = p => now.ToPicture(p.XPx, p.YPx);
        }
        // Agreeing details must be many of all, and spread: a few in one place agree by chance or for one part.
        double spanX = kept.Max(pair => pair.A.XPx) - kept.Min(pair => pair.A.XPx);
        double spanY = kept.Max(pair => pair.A.YPx) - kept.Min(pair => pair.A.YPx);
        double allX = pairs.Max(pair => pair.A.XPx) - pairs.Min(pair => pair.A.XPx);
        double allY = pairs.Max(pair => pair.A.YPx) - pairs.Min(pair => pair.A.YPx);
        if (kept.Count < 0.2 * pairs.Count || spanX < 0.4 * allX || spanY < 0.4 * allY)
        {
            return null;
        }
        // Block means: pixel centres of the small picture lie in the middle of their blocks.
        double o0 = (scaleBefore - 1) / 2;
        double o1 = (scaleAfter - 1) / 2;
        PlaneMap? full = PlaneMap.Fit(
            [
                .. kept.Select(pair => new PlacePair(
                    pair.A.XPx * scaleBefore + o0,
                    pair.A.YPx * scaleBefore + o0,
                    pair.B.XPx * scaleAfter + o1,
                    pair.B.YPx * scaleAfter + o1
                )),
            ],
            ReachPx * scaleAfter
        );
        if (full is null)
        {
            return null;
        }
        double residual = Ranks.Median(
            kept.Select(pair =>
            {
                (double x, double y) = full.ToPicture(pair.A.XPx * scaleBefore + o0, pair.A.YPx * scaleBefore + o0);
                return Math.Sqrt(
                    Math.Pow(x - pair.B.XPx * scaleAfter - o1, 2) + Math.Pow(y - pair.B.YPx * scaleAfter - o1, 2)
                );
            })
        );
        return new Registration(full, kept.Count, residual);
    }

    // A linear congruence (Numerical Recipes' constants): order without chance.
    private static int Next(ref uint state, int count)
    {
        state = unchecked(state * 1664525u + 1013904223u);
        return (int)((state >> 8) % (uint)count);
    }
}
