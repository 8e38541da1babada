namespace Graftbench.Core.Physics.Heat;

/// <summary>Reads temperatures at points between the nodes: trilinear in the cell that holds the point.</summary>
internal sealed class FieldSampler
{
    private readonly int[] corners;
    private readonly double[] shares;

    private FieldSampler(int[] nodes, double[] weights, bool[] covered)
    {
        corners = nodes;
        shares = weights;
        Covered = covered;
    }

    /// <summary>Whether each point lies in or on a box.</summary>
    public bool[] Covered { get; }

    /// <summary>Number of points.</summary>
    public int Count => Covered.Length;

    /// <summary>Finds the cells of points.</summary>
    /// <param name="network">The laid-out case.</param>
    /// <param name="points">Points [mm]; a height of NaN is not allowed.</param>
    public static FieldSampler Of(HeatNetwork network, IReadOnlyList<(double XMm, double YMm, double ZMm)> points)
    {
        int[] nodes = new int[8 * points.Count];
        double[] weights = new double[8 * points.Count];
        bool[] covered = new bool[points.Count];
        HeatGrid grid = network.Grid;
        for (int p = 0; p < points.Count; p++)
        {
            (double x, double y, double z) = points[p];
            covered[p] = Find(network, x, y, z, out int i, out int j, out int k);
            if (!covered[p])
            {
                continue;
            }
            double fx = Share(grid.XMm, i, x);
            double fy = Share(grid.YMm, j, y);
            double fz = Share(grid.ZMm, k, z);
            for (int corner = 0; corner < 8; corner++)
            {
                int a = corner & 1;
                int b = (corner >> 1) & 1;
                int c = corner >> 2;
                nodes[8 * p + corner] = network.NodeAt(i + a, j + b, k + c);
                weights[8 * p + corner] = (a == 1 ? fx : 1 - fx) * (b == 1 ? fy : 1 - fy) * (c == 1 ? fz : 1 - fz);
            }
        }
        return new FieldSampler(nodes, weights, covered);
    }

    /// <summary>
    /// Finds the cells of points that mean a part: where the grid has drawn an edge together with its neighbour's, a point
    /// just off the part is read at the nearest filled height below or above it.
    /// </summary>
    /// <param name="network">The laid-out case.</param>
    /// <param name="points">Points [mm].</param>
    public static FieldSampler Nearest(HeatNetwork network, IReadOnlyList<(double XMm, double YMm, double ZMm)> points)
    {
        HeatGrid grid = network.Grid;
        return Of(network, [.. points.Select(Held)]);

        (double, double, double) Held((double XMm, double YMm, double ZMm) point)
        {
            if (Find(network, point.XMm, point.YMm, point.ZMm, out _, out _, out _))
            {
                return point;
            }
            double x = Math.Clamp(point.XMm, grid.XMm[0], grid.XMm[^1]);
            double y = Math.Clamp(point.YMm, grid.YMm[0], grid.YMm[^1]);
            double? height = grid
                .ZMm.OrderBy(z => Math.Abs(z - point.ZMm))
                .Select(z => (double?)z)
                .FirstOrDefault(z => Find(network, x, y, z!.Value, out _, out _, out _));
            return (x, y, height ?? point.ZMm);
        }
    }

    /// <summary>The value at one point; 0 where it is not covered.</summary>
    public double Read(ReadOnlySpan<double> field, int point)
    {
        double sum = 0;
        for (int c = 8 * point; c < 8 * point + 8; c++)
        {
            sum += shares[c] * field[corners[c]];
        }
        return sum;
    }

    /// <summary>Adds a point's weights to a vector over the nodes, times a factor.</summary>
    public void Scatter(int point, double factor, Span<double> target)
    {
        for (int c = 8 * point; c < 8 * point + 8; c++)
        {
            target[corners[c]] += factor * shares[c];
        }
    }

    // On a line between cells any filled one of them serves.
    private static bool Find(HeatNetwork network, double x, double y, double z, out int i, out int j, out int k)
    {
        HeatGrid grid = network.Grid;
        int cx = grid.XMm.Length - 1;
        int cy = grid.YMm.Length - 1;
        foreach (int tryK in Cells(grid.ZMm, z))
        {
            foreach (int tryJ in Cells(grid.YMm, y))
            {
                foreach (int tryI in Cells(grid.XMm, x))
                {
                    if (network.BoxAt[(tryK * cy + tryJ) * cx + tryI] >= 0)
                    {
                        (i, j, k) = (tryI, tryJ, tryK);
                        return true;
                    }
                }
            }
        }
        (i, j, k) = (0, 0, 0);
        return false;
    }

    private static IEnumerable<int> Cells(double[] lines, double at)
    {
        const double SameMm = 1e-6;
        int next = Array.BinarySearch(lines, at);
        next = next < 0 ? ~next : next;
        for (int cell = Math.Max(0, next - 2); cell <= Math.Min(lines.Length - 2, next + 1); cell++)
        {
            if (at >= lines[cell] - SameMm && at <= lines[cell + 1] + SameMm)
            {
                yield return cell;
            }
        }
    }

    private static double Share(double[] lines, int cell, double at) =>
        Math.Clamp((at - lines[cell]) / (lines[cell + 1] - lines[cell]), 0, 1);
}
