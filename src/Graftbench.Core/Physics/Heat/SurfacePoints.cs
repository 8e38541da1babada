namespace Graftbench.Core.Physics.Heat;

/// <summary>Points of a raster on the highest or the lowest surface, and in the ball layer.</summary>
internal static class SurfacePoints
{
    /// <summary>Height of the surface at a point [mm]; null where there is nothing.</summary>
    public static double? HeightMm(HeatNetwork network, double xMm, double yMm, bool top)
    {
        HeatGrid grid = network.Grid;
        int cx = grid.XMm.Length - 1;
        int cy = grid.YMm.Length - 1;
        int cz = grid.ZMm.Length - 1;
        int i = Cell(grid.XMm, xMm);
        int j = Cell(grid.YMm, yMm);
        if (i < 0 || j < 0)
        {
            return null;
        }
        for (int s = 0; s < cz; s++)
        {
            int k = top ? cz - 1 - s : s;
            if (network.BoxAt[(k * cy + j) * cx + i] >= 0)
            {
                return top ? grid.ZMm[k + 1] : grid.ZMm[k];
            }
        }
        return null;
    }

    private static int Cell(double[] lines, double at)
    {
        if (at < lines[0] || at > lines[^1])
        {
            return -1;
        }
        int next = Array.BinarySearch(lines, at);
        next = next < 0 ? ~next : next;
        return Math.Clamp(next - 1, 0, lines.Length - 2);
    }
}
