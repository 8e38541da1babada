using System.Runtime.CompilerServices;
using System.Runtime.InteropServices;
using System.Runtime.Intrinsics;

namespace Graftbench.Core.Physics.Capillary;

/// <summary>A value read from a <see cref="BridgeTable"/>.</summary>
/// <param name="ForceRatio">Force by tension and scale, F / (γ R).</param>
/// <param name="SlopeRatio">Its change by gap over scale.</param>
/// <param name="Outside">Whether the gap or volume lies outside the table and the value was carried on from its edge.</param>
public readonly record struct BridgeReading(double ForceRatio, double SlopeRatio, bool Outside);

/// <summary>
/// Exact forces computed once for a ratio of radii and a Bond number, then read in nanoseconds: F / (γ R) over h / R and
/// V / R³, R the root mean square of the radii.
/// </summary>
/// <remarks>
/// Axes are a = h0/R, the gap without load of the cut sphere (it stands for the volume), and u = h/h0. Between grid points
/// bicubic Hermite with the solver's own derivatives by gap and volume. The error against the exact solver is held by a test.
/// </remarks>
public sealed class BridgeTable
{
    private const double LeastShare = 0.45;
    private const double MostShare = 2.0;
    private const double ShareStep = 0.025;
    private const int VolumePoints = 12;

    private readonly double[] forceCells;
    private readonly double[] widthCells;
    private readonly double[] spillShares;
    private readonly double[] breakShares;
    private readonly double[] breakForces;
    private readonly double firstShare;
    private readonly int shares;
    private readonly double firstFree;
    private readonly double step;

    private BridgeTable(
        double radiusRatio,
        double bondRatio,
        double firstShare,
        int shares,
        double firstFree,
        double freeStep,
        double[] force,
        double[] width,
        double[] spill,
        double[] breaks,
        double[] pulls
    )
    {
        RadiusRatio = radiusRatio;
        BondRatio = bondRatio;
        this.firstShare = firstShare;
        this.shares = shares;
        this.firstFree = firstFree;
        step = freeStep;
        forceCells = force;
        widthCells = width;
        spillShares = spill;
        breakShares = breaks;
        breakForces = pulls;
    }

    /// <summary>Upper radius by lower radius.</summary>
    public double RadiusRatio { get; }

    /// <summary>ρ g R² / γ.</summary>
    public double BondRatio { get; }

    /// <summary>Least and largest h / h0 that the table covers.</summary>
    public (double LeastRatio, double MostRatio) Covered => (firstShare, firstShare + (shares - 1) * ShareStep);

    /// <summary>Computes a table.</summary>
    /// <param name="radiusRatio">Upper radius by lower radius, 0.2 to 5.</param>
    /// <param name="bondRatio">ρ g R² / γ, 0 or above.</param>
    /// <param name="leastVolumeRatio">Least V / R³.</param>
    /// <param name="mostVolumeRatio">Largest V / R³.</param>
    /// <returns>The table; null where too little of it could be solved to be of use.</returns>
    public static BridgeTable? Create(
        double radiusRatio,
        double bondRatio,
        double leastVolumeRatio,
        double mostVolumeRatio
    )
    {
        Require.Within(radiusRatio, 0.2, 5);
        Require.Within(bondRatio, 0, 100);
        Require.FinitePositive(leastVolumeRatio);
        Require.Within(mostVolumeRatio, leastVolumeRatio, 1e3);
        double lower = Math.Sqrt(2 / (1 + radiusRatio * radiusRatio));
        double from = SolderCap.TruncatedSphereHeightMm(leastVolumeRatio, 1, 1);
        double to = Math.Max(SolderCap.TruncatedSphereHeightMm(mostVolumeRatio, 1, 1), from * 1.02);
        double freeStep = (to - from) / (VolumePoints - 1);
        int most = (int)Math.Round((MostShare - LeastShare) / ShareStep) + 1;
        Node[] nodes = new Node[VolumePoints * most];
        (int low, int high) = (0, most - 1);
        double[] spill = new double[VolumePoints];
        double[] breaks = new double[VolumePoints];
        double[] pulls = new double[VolumePoints];
        for (int a = 0; a < VolumePoints; a++)
        {
            double free = from + a * freeStep;
            BridgeProblem problem = new(lower, lower * radiusRatio, Volume(free), bondRatio);
            (int first, int last) = Column(in problem, free, nodes.AsSpan(a * most, most), out spill[a]);
            (low, high) = (Math.Max(low, first), Math.Min(high, last));
            // Not found is never taken for a limit; stretched that far, the reading says that it is outside.
            (double gap, pulls[a]) = BridgeLimits.PullApart(in problem) ?? (double.PositiveInfinity, 0);
            breaks[a] = gap / free;
        }
        int count = high - low + 1;
        // From a good bit squashed to a good bit stretched, or it serves nobody.
        if (LeastShare + low * ShareStep > 0.85 || LeastShare + high * ShareStep < 1.25)
        {
            return null;
        }
        double[] force = Cells(nodes, most, low, count, freeStep, width: false);
        double[] width = Cells(nodes, most, low, count, freeStep, width: true);
        return new BridgeTable(
            radiusRatio,
            bondRatio,
            LeastShare + low * ShareStep,
            count,
            from,
            freeStep,
            force,
            width,
            spill,
            breaks,
            pulls
        );
    }

    /// <summary>Reads the force.</summary>
    /// <param name="gapRatio">h / R.</param>
    /// <param name="volumeRatio">V / R³.</param>
    public BridgeReading At(double gapRatio, double volumeRatio)
    {
        double free = SolderCap.TruncatedSphereHeightMm(volumeRatio, 1, 1);
        int row = Row(free, out double share);
        bool inside = Read(row, share, gapRatio / free, out double value, out double slope);
        return new BridgeReading(value, slope / free, !inside || !Holds(free));
    }

    /// <summary>Reads the widest diameter over the scale.</summary>
    /// <param name="gapRatio">h / R.</param>
    /// <param name="volumeRatio">V / R³.</param>
    public double WidestRatio(double gapRatio, double volumeRatio)
    {
        double free = SolderCap.TruncatedSphereHeightMm(volumeRatio, 1, 1);
        int row = Row(free, out double share);
        return 2 * Width(row, share, gapRatio / free);
    }

    /// <summary>Row of cells and the share within it, for a gap without load over the scale.</summary>
    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    internal int Row(double free, out double share)
    {
        double at = (free - firstFree) / step;
        int row = Math.Clamp((int)at, 0, VolumePoints - 2);
        share = Math.Clamp(at - row, 0, 1);
        return row;
    }

    /// <summary>Whether the table covers this gap without load over the scale, that is this volume.</summary>
    internal bool Holds(double free) =>
        free >= firstFree - 1e-9 && free <= firstFree + (VolumePoints - 1) * step + 1e-9;

    /// <summary>u below which a joint spills.</summary>
    internal double SpillShare(int row, double share) =>
        spillShares[row] + share * (spillShares[row + 1] - spillShares[row]);

    /// <summary>u above which the neck breaks.</summary>
    internal double BreakShare(int row, double share) => Between(breakShares, row, share);

    /// <summary>Force and its change by u; false where u lies outside and the edge was carried on.</summary>
    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    internal bool Read(int row, double share, double u, out double value, out double slope)
    {
        double at = (u - firstShare) / ShareStep;
        bool inside = at >= 0 && at <= shares - 1;
        double held = inside ? at : Math.Clamp(at, 0, shares - 1);
        int cell = Math.Min((int)held, shares - 2);
        double t = held - cell;
        Vector256<double> c = Cell(forceCells, row, cell, share);
        double c1 = c[1];
        double c2 = c[2];
        double c3 = c[3];
        value = c[0] + t * (c1 + t * (c2 + t * c3));
        slope = (c1 + t * (2 * c2 + t * 3 * c3)) / ShareStep;
        if (!inside)
        {
            // Squashed further it pushes on along the edge's slope; stretched further its pull goes evenly to that at the break.
            if (at < 0)
            {
                value += slope * at * ShareStep;
            }
            else
            {
                double past = (at - held) * ShareStep;
                double left = BreakShare(row, share) - (firstShare + held * ShareStep);
                slope = left < double.PositiveInfinity ? (Between(breakForces, row, share) - value) / left : 0;
                value += slope * past;
            }
        }
        return inside;
    }

    /// <summary>Widest radius over the scale.</summary>
    internal double Width(int row, double share, double u)
    {
        double held = Math.Clamp((u - firstShare) / ShareStep, 0, shares - 1);
        int cell = Math.Min((int)held, shares - 2);
        double t = held - cell;
        Vector256<double> c = Cell(widthCells, row, cell, share);
        return c[0] + t * (c[1] + t * (c[2] + t * c[3]));
    }

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    private Vector256<double> Cell(double[] cells, int row, int cell, double share)
    {
        ref double first = ref Unsafe.Add(
            ref MemoryMarshal.GetArrayDataReference(cells),
            (nint)16 * (row * (shares - 1) + cell)
        );
        Vector256<double> s = Vector256.Create(share);
        Vector256<double> c = Vector256.LoadUnsafe(ref first, 12);
        c = c * s + Vector256.LoadUnsafe(ref first, 8);
        c = c * s + Vector256.LoadUnsafe(ref first, 4);
        return c * s + Vector256.LoadUnsafe(ref first, 0);
    }

    // At a point itself only that point counts: its neighbour may be infinite.
    private static double Between(double[] of, int row, double share) =>
        share <= 0 ? of[row]
        : share >= 1 ? of[row + 1]
        : of[row] + share * (of[row + 1] - of[row]);

    private static double Volume(double free) => Math.PI * free * (6 + free * free) / 6;

    // One volume, all gaps, each from its neighbour's solution.
    private static (int First, int Last) Column(
        in BridgeProblem problem,
        double free,
        Span<Node> column,
        out double spill
    )
    {
        int middle = (int)Math.Round((1 - LeastShare) / ShareStep);
        spill = LeastShare;
        if (
            !LiquidBridge.Solve(
                in problem,
                (LeastShare + middle * ShareStep) * free,
                out MeridianStart start,
                out Meridian end,
                out _
            )
        )
        {
            return (middle, middle);
        }
        column[middle] = NodeOf(in problem, free, LeastShare + middle * ShareStep, in start, in end);
        int last = middle;
        int first = middle;
        foreach (int direction in (ReadOnlySpan<int>)[1, -1])
        {
            MeridianStart at = start;
            Meridian there = end;
            for (int i = middle + direction; i >= 0 && i < column.Length; i += direction)
            {
                double u = LeastShare + i * ShareStep;
                if (!BridgeProblem.ByGap(in at, in there, out MeridianStart change))
                {
                    break;
                }
                double stride = direction * ShareStep * free;
                MeridianStart next = new(
                    at.Pressure + stride * change.Pressure,
                    at.Angle + stride * change.Angle,
                    at.Length + stride * change.Length
                );
                if (!problem.Newton(u * free, ref next, out Meridian found, out _))
                {
                    break;
                }
                Node node = NodeOf(in problem, free, u, in next, in found);
                // Near pull-apart the slope runs away; a table of cubics must stop before.
                if (direction > 0 && Math.Abs(node.ByU) > 8 * (1 + Math.Abs(column[middle].ByU)))
                {
                    break;
                }
                column[i] = node;
                double rim = Math.Min(next.Angle, Math.PI - found.Angle);
                double before = Math.Min(at.Angle, Math.PI - there.Angle);
                if (direction < 0 && rim < 0 && before >= 0)
                {
                    spill = u + ShareStep * rim / (rim - before);
                }
                (at, there) = (next, found);
                (first, last) = (Math.Min(first, i), Math.Max(last, i));
            }
        }
        return (first, last);
    }

    private static Node NodeOf(
        in BridgeProblem problem,
        double free,
        double u,
        in MeridianStart start,
        ref readonly Meridian end
    )
    {
        double value = problem.Force(in start, in end, u * free);
        BridgeProblem.ByGap(in start, in end, out MeridianStart byGap);
        BridgeProblem.ByVolume(in start, in end, out MeridianStart byVolume);
        double gapSlope = problem.ForceChange(in start, in end, in byGap, 1);
        double volumeSlope = problem.ForceChange(in start, in end, in byVolume, 0);
        (double widest, _) = LiquidBridge.Trace(in problem, in start, 1, []);
        return new Node(value, gapSlope * free, gapSlope * u + volumeSlope * Math.PI * (2 + free * free) / 2, widest);
    }

    private static double[] Cells(Node[] nodes, int most, int low, int count, double freeStep, bool width)
    {
        double[] cells = new double[16 * (VolumePoints - 1) * (count - 1)];
        Span<double> f = stackalloc double[16];
        Span<double> p = stackalloc double[16];
        Span<double> q = stackalloc double[4];
        for (int a = 0; a < VolumePoints - 1; a++)
        {
            for (int u = 0; u < count - 1; u++)
            {
                // Values, slopes in cell units, twist at the four corners: (a, u), (a, u+1), (a+1, u), (a+1, u+1).
                for (int corner = 0; corner < 4; corner++)
                {
                    (int ia, int iu) = (a + corner / 2, u + corner % 2);
                    f[4 * corner] = Value(ia, iu);
                    f[4 * corner + 1] = ByU(ia, iu);
                    f[4 * corner + 2] = width
                        ? Difference(ia, i => Value(i, iu), VolumePoints)
                        : At(ia, iu).ByFree * freeStep;
                    f[4 * corner + 3] = Difference(ia, i => ByU(i, iu), VolumePoints);
                }
                Span<double> cell = cells.AsSpan(16 * (a * (count - 1) + u), 16);
                // Along u first: four polynomials for value and slope by a, at both a.
                for (int side = 0; side < 2; side++)
                {
                    Cubic(f[8 * side], f[8 * side + 4], f[8 * side + 1], f[8 * side + 5], p.Slice(8 * side, 4));
                    Cubic(f[8 * side + 2], f[8 * side + 6], f[8 * side + 3], f[8 * side + 7], p.Slice(8 * side + 4, 4));
                }
                for (int m = 0; m < 4; m++)
                {
                    Cubic(p[m], p[8 + m], p[4 + m], p[12 + m], q);
                    for (int k = 0; k < 4; k++)
                    {
                        cell[4 * k + m] = q[k];
                    }
                }
            }
        }
        return cells;

        Node At(int a, int u) => nodes[a * most + low + u];
        double Value(int a, int u) => width ? At(a, u).Widest : At(a, u).Force;
        double ByU(int a, int u) => width ? Difference(u, i => At(a, i).Widest, count) : At(a, u).ByU * ShareStep;
    }

    private static double Difference(int i, Func<int, double> value, int count) =>
        i == 0 ? (-3 * value(0) + 4 * value(1) - value(2)) / 2
        : i == count - 1 ? (3 * value(i) - 4 * value(i - 1) + value(i - 2)) / 2
        : i == 1 || i == count - 2 ? (value(i + 1) - value(i - 1)) / 2
        : (value(i - 2) - 8 * value(i - 1) + 8 * value(i + 1) - value(i + 2)) / 12;

    private static void Cubic(double f0, double f1, double d0, double d1, Span<double> c)
    {
        c[0] = f0;
        c[1] = d0;
        c[2] = 3 * (f1 - f0) - 2 * d0 - d1;
        c[3] = 2 * (f0 - f1) + d0 + d1;
    }

    private readonly record struct Node(double Force, double ByU, double ByFree, double Widest);
}
