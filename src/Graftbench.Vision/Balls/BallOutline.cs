using Graftbench.Vision.Lattice;

namespace Graftbench.Vision.Balls;

/// <summary>The outline that the places of a lattice share: where its middle lies by the nodes, and how large it is.</summary>
/// <param name="OffsetXSteps">Middle by the node [steps].</param>
/// <param name="OffsetYSteps">Middle by the node [steps].</param>
/// <param name="RadiusSteps">Radius [steps].</param>
/// <param name="ContrastNumber">Step of brightness across it.</param>
internal sealed record BallOutline(double OffsetXSteps, double OffsetYSteps, double RadiusSteps, double ContrastNumber)
{
    private const int Angles = 32;
    private const double LeastRadiusSteps = 0.17;
    private const double MostRadiusSteps = 0.44;
    private const double MostOffsetSteps = 0.16;

    /// <summary>Finds it in the mean of all places: what differs from place to place averages out.</summary>
    /// <param name="flat">The flat field.</param>
    /// <param name="nodes">Nodes with a point.</param>
    /// <param name="nominalSteps">Radius by the list [steps]; null where unknown.</param>
    public static BallOutline? Of(FlatField flat, IReadOnlyList<LatticeNode> nodes, double? nominalSteps)
    {
        int step = flat.StepPx;
        int half = step * 7 / 10;
        int side = 2 * half + 1;
        double[] sum = new double[side * side];
        int count = 0;
        foreach (LatticeNode node in nodes)
        {
            int cx = (int)flat.XPx(node.I);
            int cy = (int)flat.YPx(node.J);
            if (cx - half < 0 || cy - half < 0 || cx + half >= flat.WidthPx || cy + half >= flat.HeightPx)
            {
                continue;
            }
            if (
                !flat.Seen[(cy - half) * flat.WidthPx + cx - half] || !flat.Seen[(cy + half) * flat.WidthPx + cx + half]
            )
            {
                continue;
            }
            count++;
            for (int y = 0; y < side; y++)
            {
                for (int x = 0; x < side; x++)
                {
                    sum[y * side + x] += flat.Grey[(cy - half + y) * flat.WidthPx + cx - half + x];
                }
            }
        }
        if (count < 4)
        {
            return null;
        }
        float[] mean = [.. sum.Select(value => (float)(value / count))];
        BallOutline? best = null;
        double most = 0;
        int reach = (int)Math.Ceiling(MostOffsetSteps * step);
        for (int dy = -reach; dy <= reach; dy++)
        {
            for (int dx = -reach; dx <= reach; dx++)
            {
                for (double r = LeastRadiusSteps * step; r <= MostRadiusSteps * step; r += 0.5)
                {
                    double edge = Edge(mean, side, half + dx, half + dy, r, out double contrast);
                    double away = Math.Sqrt(dx * dx + dy * dy) / step;
                    double score = edge * Prior(r / step, nominalSteps) * (1 - 2 * away);
                    if (score > most)
                    {
                        most = score;
                        best = new BallOutline((double)dx / step, (double)dy / step, r / step, contrast);
                    }
                }
            }
        }
        return best;
    }

    // By the list a ball is as large as it says, within a fifth: it may have been melted since. Without a list a ball is
    // 0.4 to 0.7 of the pitch wide (common practice, no source).
    private static double Prior(double radius, double? nominal) =>
        nominal is { } known
            ? Math.Exp(-0.5 * Math.Pow((radius / known - 1) / 0.14, 2))
            : Math.Exp(-0.5 * Math.Pow((radius - 0.29) / 0.09, 2));

    private static double Edge(float[] mean, int side, double cx, double cy, double r, out double contrast)
    {
        double sum = 0;
        double signed = 0;
        for (int k = 0; k < Angles; k++)
        {
            (double s, double c) = Math.SinCos(2 * Math.PI * k / Angles);
            double outside = At(mean, side, cx + (r + 1) * c, cy + (r + 1) * s);
            double inside = At(mean, side, cx + (r - 1) * c, cy + (r - 1) * s);
            signed += outside - inside;
            sum += Math.Sqrt(Math.Abs(outside - inside));
        }
        contrast = signed / Angles;
        // Square roots: an edge all around counts more than a strong one on one side.
        return Math.Pow(sum / Angles, 2) + 0.5 * Math.Abs(contrast);
    }

    private static double At(float[] values, int side, double x, double y)
    {
        int ix = Math.Clamp((int)x, 0, side - 2);
        int iy = Math.Clamp((int)y, 0, side - 2);
        double fx = x - ix;
        double fy = y - iy;
        int k = iy * side + ix;
        double upper = values[k] + fx * (values[k + 1] - values[k]);
        double lower = values[k + side] + fx * (values[k + side + 1] - values[k + side]);
        return upper + fy * (lower - upper);
    }
}
