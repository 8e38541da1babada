namespace Graftbench.Vision.Lattice;

/// <summary>Takes the true lattice out of a finer one.</summary>
/// <remarks>
/// The room between four balls is round too. Where such places were taken for points, the lattice found is finer than the
/// true one: every second node, as on a chess board or row by row, is a weak point. If one half of the nodes is stronger
/// than the other almost without exception, that half is the lattice.
/// </remarks>
public static class LatticeThinning
{
    // Of pairs of one node of either half, so many must have the stronger node in the same half.
    private const double OrderedFraction = 0.85;

    private static readonly (int A, int B, int C, int D)[] Halves =
    [
        // New node (i, j) lies at old (A·i + B·j, C·i + D·j).
        (1, -1, 1, 1),
        (2, 0, 0, 1),
        (1, 0, 0, 2),
    ];

    /// <summary>The lattice of the strong points; the same one where no half is stronger.</summary>
    /// <param name="lattice">A lattice.</param>
    /// <param name="points">The points it was found among.</param>
    public static PointLattice Strong(PointLattice lattice, IReadOnlyList<LatticePoint> points)
    {
        ArgumentNullException.ThrowIfNull(lattice);
        ArgumentNullException.ThrowIfNull(points);
        for (int turn = 0; turn < 4; turn++)
        {
            PointLattice? thinner = null;
            foreach ((int a, int b, int c, int d) in Halves)
            {
                thinner ??= Half(lattice, points, (a, b, c, d));
            }
            if (thinner is null)
            {
                return lattice;
            }
            lattice = thinner;
        }
        return lattice;
    }

    private static PointLattice? Half(
        PointLattice lattice,
        IReadOnlyList<LatticePoint> points,
        (int A, int B, int C, int D) to
    )
    {
        // Both kinds of halves: which one a node belongs to.
        int Class(LatticeNode node) =>
            to switch
            {
                (1, -1, 1, 1) => (node.I + node.J) & 1,
                (2, 0, 0, 1) => node.I & 1,
                _ => node.J & 1,
            };
        double[][] weights =
        [
            .. Enumerable
                .Range(0, 2)
                .Select(half =>
                    lattice
                        .Nodes.Where(node => Class(node) == half)
                        .Select(node => points[node.Point].WeightNumber)
                        .Order()
                        .ToArray()
                ),
        ];
        if (weights[0].Length < LatticeFinder.MinNodes / 2 || weights[1].Length < LatticeFinder.MinNodes / 2)
        {
            return null;
        }
        double ordered = Ordered(weights[0], weights[1]);
        if (ordered > 1 - OrderedFraction && ordered < OrderedFraction)
        {
            return null;
        }
        int strong = ordered >= OrderedFraction ? 0 : 1;
        LatticeNode[] kept = [.. lattice.Nodes.Where(node => Class(node) == strong)];
        if (kept.Length < LatticeFinder.MinNodes)
        {
            return null;
        }
        // A node of that half becomes the new origin.
        LatticeNode origin = kept[0];
        int size = to.A * to.D - to.B * to.C;
        (LatticeNode Old, int I, int J)[] moved =
        [
            .. kept.Select(node =>
            {
                int x = node.I - origin.I;
                int y = node.J - origin.J;
                return (node, (to.D * x - to.B * y) / size, (-to.C * x + to.A * y) / size);
            }),
        ];
        int left = moved.Min(node => node.I);
        int top = moved.Min(node => node.J);
        PlaneMap map = lattice.Map.After(
            to.A,
            to.B,
            origin.I + to.A * left + to.B * top,
            to.C,
            to.D,
            origin.J + to.C * left + to.D * top
        );
        int columns = moved.Max(node => node.I) - left + 1;
        int rows = moved.Max(node => node.J) - top + 1;
        double filled = (double)kept.Length / ((double)columns * rows);
        (double u, double v, _) = map.StepAt((columns - 1) / 2.0, (rows - 1) / 2.0);
        double tight = Math.Clamp(1 - lattice.ResidualPx / (0.2 * Math.Min(u, v)), 0, 1);
        return new PointLattice(
            map,
            [.. moved.Select(node => new LatticeNode(node.I - left, node.J - top, node.Old.Point))],
            columns,
            rows,
            lattice.ResidualPx,
            (u + v) / 2,
            filled,
            kept.Length * Math.Sqrt(filled) * tight
        );
    }

    // Share of pairs whose first is stronger; both sorted.
    private static double Ordered(double[] first, double[] second)
    {
        double sum = 0;
        int below = 0;
        foreach (double one in first)
        {
            while (below < second.Length && second[below] < one)
            {
                below++;
            }
            sum += below;
        }
        return sum / ((double)first.Length * second.Length);
    }
}
