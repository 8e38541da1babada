namespace Graftbench.Vision.Lattice;

/// <summary>Finds points near a place: they lie in square cells.</summary>
internal sealed class PointIndex
{
    private readonly IReadOnlyList<LatticePoint> points;
    private readonly double cellPx;
    private readonly double leftPx;
    private readonly double topPx;
    private readonly int columns;
    private readonly int rows;
    private readonly int[] first;
    private readonly int[] next;

    public PointIndex(IReadOnlyList<LatticePoint> points)
    {
        this.points = points;
        leftPx = points.Min(point => point.XPx);
        topPx = points.Min(point => point.YPx);
        double width = Math.Max(points.Max(point => point.XPx) - leftPx, 1e-6);
        double height = Math.Max(points.Max(point => point.YPx) - topPx, 1e-6);
        // About two points a cell, and never more cells than four a point, however the points lie.
        cellPx = Math.Max(Math.Sqrt(2 * width * height / points.Count), Math.Max(width, height) / (2 * points.Count));
        columns = (int)(width / cellPx) + 1;
        rows = (int)(height / cellPx) + 1;
        first = new int[columns * rows];
        Array.Fill(first, -1);
        next = new int[points.Count];
        for (int i = 0; i < points.Count; i++)
        {
            int cell = Cell(points[i].YPx - topPx, rows) * columns + Cell(points[i].XPx - leftPx, columns);
            next[i] = first[cell];
            first[cell] = i;
        }
    }

    /// <summary>The nearest point within a reach that passes; -1 where there is none.</summary>
    public int Nearest(double xPx, double yPx, double reachPx, Func<int, bool>? passes = null)
    {
        int best = -1;
        double bestSquare = reachPx * reachPx;
        foreach (int i in Within(xPx, yPx, reachPx))
        {
            double square = Square(i, xPx, yPx);
            if (square < bestSquare && (passes is null || passes(i)))
            {
                best = i;
                bestSquare = square;
            }
        }
        return best;
    }

    /// <summary>The points nearest to a point, without it, nearest first.</summary>
    public List<int> Around(int point, int count)
    {
        LatticePoint at = points[point];
        double reach = 1.5 * cellPx;
        double most = cellPx * Math.Max(columns, rows) * 1.5;
        while (true)
        {
            List<int> found =
            [
                .. Within(at.XPx, at.YPx, reach).Where(i => i != point && Square(i, at.XPx, at.YPx) <= reach * reach),
            ];
            if (found.Count >= count || reach > most)
            {
                found.Sort((a, b) => Square(a, at.XPx, at.YPx).CompareTo(Square(b, at.XPx, at.YPx)));
                return found.Count > count ? found[..count] : found;
            }
            reach *= 1.6;
        }
    }

    private IEnumerable<int> Within(double xPx, double yPx, double reachPx)
    {
        int left = Cell(xPx - reachPx - leftPx, columns);
        int right = Cell(xPx + reachPx - leftPx, columns);
        int top = Cell(yPx - reachPx - topPx, rows);
        int bottom = Cell(yPx + reachPx - topPx, rows);
        for (int row = top; row <= bottom; row++)
        {
            for (int column = left; column <= right; column++)
            {
                for (int i = first[row * columns + column]; i >= 0; i = next[i])
                {
                    yield return i;
                }
            }
        }
    }

    private int Cell(double away, int count) => (int)Math.Clamp(away / cellPx, 0, count - 1);

    private double Square(int i, double xPx, double yPx)
    {
        double dx = points[i].XPx - xPx;
        double dy = points[i].YPx - yPx;
        return dx * dx + dy * dy;
    }
}
