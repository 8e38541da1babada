using Graftbench.Core.Inspection;

namespace Graftbench.Vision.Lattice;

/// <summary>One way in which a ball field may lie on a lattice.</summary>
/// <param name="QuarterTurns">Quarter turns, 0 to 3.</param>
/// <param name="Mirrored">Whether columns run the other way round than seen from the top.</param>
/// <param name="ColumnShift">Added to a turned node to get the column.</param>
/// <param name="RowShift">Added to a turned node to get the row.</param>
public readonly record struct FieldPlacement(int QuarterTurns, bool Mirrored, int ColumnShift, int RowShift)
{
    /// <summary>The site of the field that lies on a node; outside of the field where it has no such site.</summary>
    public (int Row, int Column) SiteOf(int i, int j)
    {
        (int a, int b, int c, int d) = Turn();
        return (c * i + d * j + RowShift, a * i + b * j + ColumnShift);
    }

    /// <summary>The node under a site.</summary>
    public (int I, int J) NodeOf(int row, int column)
    {
        // The turns are orthogonal: the way back is the transpose.
        (int a, int b, int c, int d) = Turn();
        int u = column - ColumnShift;
        int v = row - RowShift;
        return (a * u + c * v, b * u + d * v);
    }

    internal (int A, int B, int C, int D) Turn()
    {
        int m = Mirrored ? -1 : 1;
        return QuarterTurns switch
        {
            0 => (m, 0, 0, 1),
            1 => (0, 1, -m, 0),
            2 => (-m, 0, 0, -1),
            _ => (0, -1, m, 0),
        };
    }
}

/// <summary>How a fit of a field to a lattice ended.</summary>
public enum FieldFitState
{
    /// <summary>One way fits better than any other.</summary>
    Found,

    /// <summary>Several turns fit alike: a person must say where A1 is.</summary>
    CornerUnknown,

    /// <summary>Several places of the field fit alike: too little of its edge is seen.</summary>
    PlaceUnknown,

    /// <summary>It fits only the other way round: the list was written from the other side, or the view is another one.</summary>
    Mirrored,

    /// <summary>It fits in no way: another package, or too little is seen.</summary>
    NoFit,
}

/// <summary>What fitting a field to a lattice gave.</summary>
/// <param name="State">How it ended.</param>
/// <param name="Best">The best way of all that keep the view; null where there is none.</param>
/// <param name="AgreementFraction">Evidence for it less evidence against it, by all evidence: -1 to 1.</param>
/// <param name="MarginSites">By how many sure sites the best is better than the next.</param>
/// <param name="MirroredAgreementFraction">The same for the best way of the other view.</param>
/// <param name="Alike">The best and all that fit as well within the margin.</param>
public sealed record FieldFitting(
    FieldFitState State,
    FieldPlacement? Best,
    double AgreementFraction,
    double MarginSites,
    double MirroredAgreementFraction,
    IReadOnlyList<FieldPlacement> Alike
);

/// <summary>Evidence on the nodes of a lattice: +1 surely a ball, -1 surely none, 0 not seen or not known.</summary>
/// <param name="Columns">Nodes along u.</param>
/// <param name="Rows">Nodes along v.</param>
/// <param name="FirstI">Node of the first column.</param>
/// <param name="FirstJ">Node of the first row.</param>
/// <param name="Signs">Evidence row by row, length columns·rows.</param>
public sealed record NodeEvidence(int Columns, int Rows, int FirstI, int FirstJ, double[] Signs)
{
    /// <summary>Evidence of a node; 0 outside.</summary>
    public double Of(int i, int j)
    {
        int x = i - FirstI;
        int y = j - FirstJ;
        return x >= 0 && x < Columns && y >= 0 && y < Rows ? Signs[y * Columns + x] : 0;
    }

    /// <summary>Nodes with full evidence that a placement leaves outside of a field: a row or column that the list does not have.</summary>
    /// <param name="way">How the field lies.</param>
    /// <param name="field">The field.</param>
    public int BeyondNumber(FieldPlacement way, BallField field)
    {
        ArgumentNullException.ThrowIfNull(field);
        int beyond = 0;
        for (int y = 0; y < Rows; y++)
        {
            for (int x = 0; x < Columns; x++)
            {
                (int row, int column) = way.SiteOf(FirstI + x, FirstJ + y);
                bool outside = row < 0 || column < 0 || row >= field.Rows || column >= field.Columns;
                beyond += outside && Signs[(y * Columns) + x] >= 1 ? 1 : 0;
            }
        }
        return beyond;
    }

    /// <summary>How many such nodes are too many: single splashes may lie beside a field.</summary>
    /// <param name="field">The field.</param>
    public static int MostBeyond(BallField field)
    {
        ArgumentNullException.ThrowIfNull(field);
        return Math.Max(2, Math.Min(field.Rows, field.Columns) / 4);
    }

    /// <summary>Nodes with a point of a lattice count +1, nodes of its frame without one -1, a border around it that is in the picture -1.</summary>
    /// <param name="lattice">The lattice.</param>
    /// <param name="border">Nodes around its frame.</param>
    /// <param name="widthPx">Width of the picture [px].</param>
    /// <param name="heightPx">Height of the picture [px].</param>
    public static NodeEvidence Of(PointLattice lattice, int border, int widthPx, int heightPx)
    {
        ArgumentNullException.ThrowIfNull(lattice);
        int columns = lattice.ColumnCount + 2 * border;
        int rows = lattice.RowCount + 2 * border;
        double[] signs = new double[columns * rows];
        for (int y = 0; y < rows; y++)
        {
            for (int x = 0; x < columns; x++)
            {
                signs[y * columns + x] = InPicture(lattice.Map, x - border, y - border, widthPx, heightPx) ? -1 : 0;
            }
        }
        foreach (LatticeNode node in lattice.Nodes)
        {
            signs[(node.J + border) * columns + node.I + border] = 1;
        }
        return new NodeEvidence(columns, rows, -border, -border, signs);
    }

    /// <summary>Whether a node lies in the picture, 0.4 of a step from its edge or more.</summary>
    public static bool InPicture(PlaneMap map, double i, double j, int widthPx, int heightPx)
    {
        ArgumentNullException.ThrowIfNull(map);
        (double x, double y) = map.ToPicture(i, j);
        (double u, double v, _) = map.StepAt(i, j);
        double edge = 0.4 * Math.Max(u, v);
        return x >= edge && y >= edge && x <= widthPx - 1 - edge && y <= heightPx - 1 - edge;
    }
}
