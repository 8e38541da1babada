namespace Graftbench.Vision.Lattice;

/// <summary>A place in the picture where something of the lattice may be.</summary>
/// <param name="XPx">Place [px].</param>
/// <param name="YPx">Place [px].</param>
/// <param name="WeightNumber">How strong, above 0.</param>
public readonly record struct LatticePoint(double XPx, double YPx, double WeightNumber = 1);

/// <summary>A point on a lattice node.</summary>
/// <param name="I">Node along u.</param>
/// <param name="J">Node along v.</param>
/// <param name="Point">Index of the point.</param>
public readonly record struct LatticeNode(int I, int J, int Point);

/// <summary>A lattice among points: nodes (i, j) at whole numbers, i from 0, j from 0, whose frame is the nodes that have a point.</summary>
/// <param name="Map">From nodes to the picture; it never mirrors.</param>
/// <param name="Nodes">Points on nodes, one a node.</param>
/// <param name="ColumnCount">Nodes along u, from the first with a point to the last.</param>
/// <param name="RowCount">Nodes along v.</param>
/// <param name="ResidualPx">Root mean square distance of points from their nodes [px].</param>
/// <param name="PitchPx">Mean step in the middle of the frame [px].</param>
/// <param name="FilledFraction">Share of the frame's nodes that have a point.</param>
/// <param name="ScoreNumber">Nodes times the square root of the share that is filled: by this lattices are compared.</param>
public sealed record PointLattice(
    PlaneMap Map,
    IReadOnlyList<LatticeNode> Nodes,
    int ColumnCount,
    int RowCount,
    double ResidualPx,
    double PitchPx,
    double FilledFraction,
    double ScoreNumber
);
