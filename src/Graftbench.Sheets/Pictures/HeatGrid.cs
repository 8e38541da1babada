using Graftbench.Core.Heating;
using Graftbench.Core.Physics.Heat;
using Graftbench.Sheets.Drawing;

namespace Graftbench.Sheets.Pictures;

/// <summary>One frame of a plane on a raster that is coarse enough to print.</summary>
internal sealed class HeatGrid
{
    private const int MostColumns = 120;
    private readonly double[] values;
    private readonly bool[] covered;

    private HeatGrid(RectMm area, int columns, int rows, double[] values, bool[] covered)
    {
        (Area, Columns, Rows) = (area, columns, rows);
        (this.values, this.covered) = (values, covered);
    }

    public RectMm Area { get; }

    public int Columns { get; }

    public int Rows { get; }

    /// <summary>Takes a frame over; more cells than a print can show are joined to their mean.</summary>
    public static HeatGrid Of(HeatPlane plane, HeatFrame frame)
    {
        int every = (int)Math.Ceiling(Math.Max(plane.Columns, plane.Rows) / (double)MostColumns);
        every = Math.Max(1, every);
        int columns = Math.Max(1, (plane.Columns + every - 1) / every);
        int rows = Math.Max(1, (plane.Rows + every - 1) / every);
        double[] sums = new double[columns * rows];
        int[] numbers = new int[columns * rows];
        int count = Math.Min(frame.TemperaturesC.Length, plane.Covered.Count);
        for (int i = 0; i < count; i++)
        {
            if (plane.Covered[i] && float.IsFinite(frame.TemperaturesC[i]))
            {
                int at = (i / plane.Columns / every * columns) + (i % plane.Columns / every);
                sums[at] += frame.TemperaturesC[i];
                numbers[at]++;
            }
        }
        double cellX = (plane.Area.X1Mm - plane.Area.X0Mm) / plane.Columns * every;
        double cellY = (plane.Area.Y1Mm - plane.Area.Y0Mm) / plane.Rows * every;
        RectMm area = new(
            plane.Area.X0Mm,
            plane.Area.X0Mm + (cellX * columns),
            plane.Area.Y0Mm,
            plane.Area.Y0Mm + (cellY * rows)
        );
        return new HeatGrid(
            area,
            columns,
            rows,
            [.. sums.Select((sum, i) => numbers[i] > 0 ? sum / numbers[i] : 0)],
            [.. numbers.Select(number => number > 0)]
        );
    }

    public bool Covered(int column, int row) => covered[(row * Columns) + column];

    public double Value(int column, int row) => values[(row * Columns) + column];

    public double CellX => (Area.X1Mm - Area.X0Mm) / Columns;

    public double CellY => (Area.Y1Mm - Area.Y0Mm) / Rows;

    /// <summary>Temperature of the cell at a point; null off the board.</summary>
    public double? At(double xMm, double yMm)
    {
        int column = (int)Math.Floor((xMm - Area.X0Mm) / CellX);
        int row = (int)Math.Floor((yMm - Area.Y0Mm) / CellY);
        return column >= 0 && row >= 0 && column < Columns && row < Rows && Covered(column, row)
            ? Value(column, row)
            : null;
    }

    /// <summary>Strokes of the line of one temperature, in mm on the board.</summary>
    public IReadOnlyList<Seg> Isotherm(double levelC)
    {
        List<Seg> strokes = [];
        Span<Pt> cuts = stackalloc Pt[4];
        for (int row = 0; row + 1 < Rows; row++)
        {
            for (int column = 0; column + 1 < Columns; column++)
            {
                if (
                    !Covered(column, row)
                    || !Covered(column + 1, row)
                    || !Covered(column, row + 1)
                    || !Covered(column + 1, row + 1)
                )
                {
                    continue;
                }
                int found = 0;
                Cut(column, row, column + 1, row, levelC, cuts, ref found);
                Cut(column + 1, row, column + 1, row + 1, levelC, cuts, ref found);
                Cut(column + 1, row + 1, column, row + 1, levelC, cuts, ref found);
                Cut(column, row + 1, column, row, levelC, cuts, ref found);
                for (int i = 0; i + 1 < found; i += 2)
                {
                    strokes.Add(new Seg(cuts[i].X, cuts[i].Y, cuts[i + 1].X, cuts[i + 1].Y));
                }
            }
        }
        return strokes;
    }

    private void Cut(int c1, int r1, int c2, int r2, double levelC, Span<Pt> cuts, ref int found)
    {
        double a = Value(c1, r1);
        double b = Value(c2, r2);
        if (a >= levelC == b >= levelC)
        {
            return;
        }
        double share = (levelC - a) / (b - a);
        cuts[found++] = new Pt(
            Area.X0Mm + ((c1 + 0.5 + (share * (c2 - c1))) * CellX),
            Area.Y0Mm + ((r1 + 0.5 + (share * (r2 - r1))) * CellY)
        );
    }
}
