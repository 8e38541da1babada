namespace Graftbench.Vision.Lattice;

/// <summary>Finds the lattice among points of which some are not on it, some are missing and some stand twice.</summary>
/// <remarks>
/// From a point and two of its neighbours that stand about square to each other a patch is grown node by node, each step
/// taken from the step before it, so that perspective may change the pitch across the picture. The largest well filled
/// patch wins; then a plane map is fitted to it, points are gathered again over the whole picture, gaps included, and fitted
/// again. Rotation and pitch may be anything; steps along and across may differ by a factor of 1.6 and stand 65 to 115° to
/// each other, which covers a camera tilted by 25° and more. Time is bounded: at most <see cref="MaxPoints"/> points count,
/// the strongest, and at most <see cref="MaxSeeds"/> patches are grown.
/// </remarks>
public static class LatticeFinder
{
    /// <summary>Most points that are looked at.</summary>
    public const int MaxPoints = 12_000;

    /// <summary>Most patches that are grown.</summary>
    public const int MaxSeeds = 60;

    /// <summary>Fewest nodes of a lattice.</summary>
    public const int MinNodes = 9;

    /// <summary>Most nodes along a side: the largest field with as much again around it.</summary>
    public const int MaxSide = 240;

    private const int Neighbours = 12;
    private const double MostSideRatio = 1.6;
    private const double CosOfSkew = 0.4226; // 65° to 115°
    private const double GrowReachFraction = 0.24;
    private const double GatherReachFraction = 0.27;

    /// <summary>Finds the lattice with most nodes.</summary>
    /// <param name="points">Points in any order.</param>
    /// <param name="minPitchPx">Steps shorter than this are not looked for [px].</param>
    /// <returns>The lattice; null where nine nodes do not come together.</returns>
    public static PointLattice? Find(IReadOnlyList<LatticePoint> points, double minPitchPx = 3)
    {
        ArgumentNullException.ThrowIfNull(points);
        if (points.Count < MinNodes)
        {
            return null;
        }
        IReadOnlyList<LatticePoint> kept =
            points.Count <= MaxPoints
                ? points
                : [.. points.OrderByDescending(point => point.WeightNumber).Take(MaxPoints)];
        // Indices of the answer are those of the caller.
        int[]? places = ReferenceEquals(kept, points) ? null : Places(points);
        PointIndex index = new(kept);
        PointLattice? best = null;
        int without = 0;
        foreach (int seed in Seeds(kept))
        {
            foreach (Step step in StepsAt(kept, index, seed, minPitchPx))
            {
                Dictionary<(int, int), int> patch = Grow(kept, index, seed, step);
                if (patch.Count < MinNodes || patch.Count < (best?.Nodes.Count ?? 0) / 4)
                {
                    continue;
                }
                PointLattice? found = Finish(kept, index, patch);
                if (found is not null && found.ScoreNumber > (best?.ScoreNumber ?? 0) * 1.02)
                {
                    best = found;
                    without = 0;
                }
            }
            if (best is not null && ++without > 12 && best.Nodes.Count > kept.Count / 3)
            {
                break;
            }
        }
        return best is null || places is null
            ? best
            : best with
            {
                Nodes = [.. best.Nodes.Select(node => node with { Point = places[node.Point] })],
            };
    }

    private static int[] Places(IReadOnlyList<LatticePoint> points) =>
        [.. Enumerable.Range(0, points.Count).OrderByDescending(i => points[i].WeightNumber).Take(MaxPoints)];

    // The strongest points, and among them not only one corner of the picture.
    private static IEnumerable<int> Seeds(IReadOnlyList<LatticePoint> points)
    {
        int[] strong =
        [
            .. Enumerable
                .Range(0, points.Count)
                .OrderByDescending(i => points[i].WeightNumber)
                .Take(Math.Max(MaxSeeds, points.Count / 2)),
        ];
        int count = Math.Min(MaxSeeds, strong.Length);
        for (int i = 0; i < count; i++)
        {
            // Steps of the golden section go everywhere without a pattern.
            yield return strong[(int)(i * 0.6180339887498949 % 1 * strong.Length)];
        }
    }

    private readonly record struct Step(double Ux, double Uy, double Vx, double Vy, int Support);

    private static IEnumerable<Step> StepsAt(
        IReadOnlyList<LatticePoint> points,
        PointIndex index,
        int seed,
        double minPitchPx
    )
    {
        LatticePoint at = points[seed];
        List<int> around = index.Around(seed, Neighbours);
        List<Step> steps = [];
        for (int a = 0; a < around.Count; a++)
        {
            double ux = points[around[a]].XPx - at.XPx;
            double uy = points[around[a]].YPx - at.YPx;
            double u = Math.Sqrt(ux * ux + uy * uy);
            if (u < minPitchPx)
            {
                continue;
            }
            for (int b = 0; b < around.Count; b++)
            {
                double vx = points[around[b]].XPx - at.XPx;
                double vy = points[around[b]].YPx - at.YPx;
                double v = Math.Sqrt(vx * vx + vy * vy);
                double cross = ux * vy - uy * vx;
                if (
                    v < minPitchPx
                    || cross <= 0
                    || Math.Max(u, v) > MostSideRatio * Math.Min(u, v)
                    || Math.Abs(ux * vx + uy * vy) > CosOfSkew * u * v
                )
                {
                    continue;
                }
                double reach = 0.2 * Math.Min(u, v);
                int support = 0;
                for (int i = -1; i <= 1; i++)
                {
                    for (int j = -1; j <= 1; j++)
                    {
                        if (
                            (i, j) is not ((0, 0) or (1, 0) or (0, 1))
                            && index.Nearest(at.XPx + i * ux + j * vx, at.YPx + i * uy + j * vy, reach) >= 0
                        )
                        {
                            support++;
                        }
                    }
                }
                steps.Add(new Step(ux, uy, vx, vy, support));
            }
        }
        return steps
            .Where(step => step.Support >= 2)
            .OrderByDescending(step => step.Support)
            .ThenBy(step => step.Ux * step.Ux + step.Uy * step.Uy + step.Vx * step.Vx + step.Vy * step.Vy)
            .Take(3);
    }

    private static Dictionary<(int, int), int> Grow(
        IReadOnlyList<LatticePoint> points,
        PointIndex index,
        int seed,
        Step first
    )
    {
        Dictionary<(int I, int J), int> nodes = new() { [(0, 0)] = seed };
        Dictionary<(int I, int J), Step> steps = new() { [(0, 0)] = first };
        HashSet<int> used = [seed];
        Queue<(int I, int J)> open = new([(0, 0)]);
        while (open.TryDequeue(out (int I, int J) node))
        {
            LatticePoint at = points[nodes[node]];
            Step step = steps[node];
            foreach ((int di, int dj) in ((int, int)[])[(1, 0), (-1, 0), (0, 1), (0, -1)])
            {
                (int I, int J) to = (node.I + di, node.J + dj);
                if (nodes.ContainsKey(to) || Math.Abs(to.I) > MaxSide || Math.Abs(to.J) > MaxSide)
                {
                    continue;
                }
                double dx = di * step.Ux + dj * step.Vx;
                double dy = di * step.Uy + dj * step.Vy;
                double reach = GrowReachFraction * Math.Sqrt(dx * dx + dy * dy);
                int found = index.Nearest(at.XPx + dx, at.YPx + dy, reach, i => !used.Contains(i));
                if (found < 0)
                {
                    continue;
                }
                // The step that was just made corrects the one that led to it, by half.
                double mx = (di + dj) * (points[found].XPx - at.XPx);
                double my = (di + dj) * (points[found].YPx - at.YPx);
                steps[to] =
                    di != 0
                        ? step with
                        {
                            Ux = (step.Ux + mx) / 2,
                            Uy = (step.Uy + my) / 2,
                        }
                        : step with
                        {
                            Vx = (step.Vx + mx) / 2,
                            Vy = (step.Vy + my) / 2,
                        };
                nodes[to] = found;
                used.Add(found);
                open.Enqueue(to);
            }
        }
        return nodes;
    }

    /// <summary>Fits, gathers over the whole picture and fits again.</summary>
    private static PointLattice? Finish(
        IReadOnlyList<LatticePoint> points,
        PointIndex index,
        Dictionary<(int I, int J), int> nodes
    )
    {
        PlaneMap? map = null;
        double residual = 0;
        for (int turn = 0; turn < 4; turn++)
        {
            PlaceOf(points, nodes, out List<PlacePair> pairs);
            double scale = turn == 0 ? 0.1 * PitchOf(points, nodes) : Math.Max(residual * 1.5, 0.3);
            map = PlaneMap.Fit(pairs, scale);
            if (map is null)
            {
                return null;
            }
            nodes = Gather(points, index, map, nodes, 2 << turn);
            if (nodes.Count < MinNodes)
            {
                return null;
            }
            residual = Residual(points, nodes, map);
        }
        return Framed(map!, nodes, residual);
    }

    private static void PlaceOf(
        IReadOnlyList<LatticePoint> points,
        Dictionary<(int I, int J), int> nodes,
        out List<PlacePair> pairs
    ) =>
        pairs = [
            .. nodes.Select(node => new PlacePair(
                node.Key.I,
                node.Key.J,
                points[node.Value].XPx,
                points[node.Value].YPx
            )),
        ];

    private static double PitchOf(IReadOnlyList<LatticePoint> points, Dictionary<(int I, int J), int> nodes)
    {
        double sum = 0;
        int count = 0;
        foreach (((int i, int j), int at) in nodes)
        {
            if (nodes.TryGetValue((i + 1, j), out int beside))
            {
                sum += Math.Sqrt(
                    Math.Pow(points[beside].XPx - points[at].XPx, 2) + Math.Pow(points[beside].YPx - points[at].YPx, 2)
                );
                count++;
            }
        }
        return count == 0 ? 10 : sum / count;
    }

    private static Dictionary<(int I, int J), int> Gather(
        IReadOnlyList<LatticePoint> points,
        PointIndex index,
        PlaneMap map,
        Dictionary<(int I, int J), int> old,
        int beyond
    )
    {
        int left = old.Keys.Min(node => node.I) - beyond;
        int right = Math.Min(old.Keys.Max(node => node.I) + beyond, left + MaxSide);
        int top = old.Keys.Min(node => node.J) - beyond;
        int bottom = Math.Min(old.Keys.Max(node => node.J) + beyond, top + MaxSide);
        (int I, int J) inside = old.Keys.First();
        Dictionary<(int I, int J), int> found = [];
        HashSet<int> used = [];
        for (int j = top; j <= bottom; j++)
        {
            for (int i = left; i <= right; i++)
            {
                if (!map.SameSide(i, j, inside.I, inside.J))
                {
                    continue;
                }
                (double x, double y) = map.ToPicture(i, j);
                (double u, double v, _) = map.StepAt(i, j);
                int point = index.Nearest(x, y, GatherReachFraction * Math.Min(u, v), one => !used.Contains(one));
                if (point >= 0)
                {
                    found[(i, j)] = point;
                    used.Add(point);
                }
            }
        }
        return Whole(found);
    }

    // Points far outside that happen to lie on a node would widen the frame: rows and columns count that hold more
    // than a fifth of what the fullest hold, and lie within three steps of the next such.
    private static Dictionary<(int I, int J), int> Whole(Dictionary<(int I, int J), int> nodes)
    {
        if (nodes.Count == 0)
        {
            return nodes;
        }
        (int left, int right) = Span(nodes.Keys.Select(node => node.I));
        (int top, int bottom) = Span(nodes.Keys.Select(node => node.J));
        return nodes
            .Where(node => node.Key.I >= left && node.Key.I <= right && node.Key.J >= top && node.Key.J <= bottom)
            .ToDictionary();
    }

    private static (int First, int Last) Span(IEnumerable<int> lines)
    {
        Dictionary<int, int> counts = lines.CountBy(line => line).ToDictionary();
        int[] full = [.. counts.Values.OrderDescending()];
        // The fullest line may be a line of chance; the third fullest is not.
        double enough = Math.Max(0.2 * full[Math.Min(2, full.Length - 1)], 1.5);
        int[] kept = [.. counts.Where(pair => pair.Value >= enough).Select(pair => pair.Key).Order()];
        if (kept.Length == 0)
        {
            return (0, -1);
        }
        int middle = kept.MaxBy(line => counts[line]);
        int at = Array.IndexOf(kept, middle);
        int first = at;
        int last = at;
        const int MostGap = 14;
        while (first > 0 && kept[first] - kept[first - 1] <= MostGap)
        {
            first--;
        }
        while (last < kept.Length - 1 && kept[last + 1] - kept[last] <= MostGap)
        {
            last++;
        }
        return (kept[first], kept[last]);
    }

    private static double Residual(
        IReadOnlyList<LatticePoint> points,
        Dictionary<(int I, int J), int> nodes,
        PlaneMap map
    )
    {
        double sum = 0;
        foreach (((int i, int j), int at) in nodes)
        {
            (double x, double y) = map.ToPicture(i, j);
            sum += Math.Pow(points[at].XPx - x, 2) + Math.Pow(points[at].YPx - y, 2);
        }
        return Math.Sqrt(sum / nodes.Count);
    }

    private static PointLattice Framed(PlaneMap map, Dictionary<(int I, int J), int> nodes, double residual)
    {
        int left = nodes.Keys.Min(node => node.I);
        int top = nodes.Keys.Min(node => node.J);
        int columns = nodes.Keys.Max(node => node.I) - left + 1;
        int rows = nodes.Keys.Max(node => node.J) - top + 1;
        PlaneMap framed = map.After(1, 0, left, 0, 1, top);
        double filled = (double)nodes.Count / ((double)columns * rows);
        (double u, double v, _) = framed.StepAt((columns - 1) / 2.0, (rows - 1) / 2.0);
        // Points that scatter as widely as chance allows make no lattice: a lattice of chance has about 0.19 of a step.
        double tight = Math.Clamp(1 - residual / (0.2 * Math.Min(u, v)), 0, 1);
        return new PointLattice(
            framed,
            [.. nodes.Select(node => new LatticeNode(node.Key.I - left, node.Key.J - top, node.Value))],
            columns,
            rows,
            residual,
            (u + v) / 2,
            filled,
            nodes.Count * Math.Sqrt(filled) * tight
        );
    }
}
