using Graftbench.Core.Numerics;
using Graftbench.Vision.Lattice;

namespace Graftbench.Vision.Tests.Lattice;

/// <summary>Points of a lattice as a camera sees it, with points left out, added, doubled and moved.</summary>
internal static class LatticePoints
{
    /// <summary>The map of a camera that looks at a field of nodes, whose middle lies in the middle of the picture.</summary>
    public static PlaneMap Camera(
        int columns,
        int rows,
        double pitchPx,
        double turnDeg,
        double tiltDeg,
        double towardsDeg
    )
    {
        // Camera five field widths away: x = f·X / (D + Z).
        double distance = 4 * Math.Max(columns, rows) * pitchPx;
        (double st, double ct) = Math.SinCos(turnDeg * Math.PI / 180);
        (double si, double ci) = Math.SinCos(tiltDeg * Math.PI / 180);
        (double sa, double ca) = Math.SinCos(towardsDeg * Math.PI / 180);
        List<PlacePair> pairs = [];
        foreach (
            (double u, double v) in ((double, double)[])
                [(0, 0), (columns - 1, 0), (0, rows - 1), (columns - 1, rows - 1)]
        )
        {
            double px = (u - (columns - 1) / 2.0) * pitchPx;
            double py = (v - (rows - 1) / 2.0) * pitchPx;
            (px, py) = (ct * px - st * py, st * px + ct * py);
            // Tilt about the axis that lies at the angle `towards`.
            double along = ca * px + sa * py;
            double across = -sa * px + ca * py;
            double depth = distance + across * si;
            double x = along * distance / depth;
            double y = across * ci * distance / depth;
            pairs.Add(new PlacePair(u, v, ca * x - sa * y + 1000, sa * x + ca * y + 1000));
        }
        return PlaneMap.Fit(pairs)!;
    }

    public static List<LatticePoint> Draw(
        Dice dice,
        PlaneMap map,
        int columns,
        int rows,
        Func<int, int, bool> has,
        double missing,
        double moved,
        int outliers,
        double doubled
    )
    {
        List<LatticePoint> points = [];
        for (int j = 0; j < rows; j++)
        {
            for (int i = 0; i < columns; i++)
            {
                if (!has(i, j) || dice.Uniform() < missing)
                {
                    continue;
                }
                (double x, double y) = map.ToPicture(i + moved * dice.Normal(), j + moved * dice.Normal());
                points.Add(new LatticePoint(x, y, dice.Between(0.5, 1)));
                if (dice.Uniform() < doubled)
                {
                    (x, y) = map.ToPicture(i + 0.1 * dice.Normal(), j + 0.1 * dice.Normal());
                    points.Add(new LatticePoint(x, y, dice.Between(0.2, 1)));
                }
            }
        }
        for (int k = 0; k < outliers; k++)
        {
            (double x, double y) = map.ToPicture(dice.Between(-3, columns + 2), dice.Between(-3, rows + 2));
            points.Add(new LatticePoint(x, y, dice.Between(0.2, 1.2)));
        }
        // The order of points says nothing.
        return [.. points.OrderBy(_ => dice.Uniform())];
    }
}
