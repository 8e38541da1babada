namespace Graftbench.Core.Joints;

/// <summary>
/// Where a package stands while nothing is molten: the lowest plane over all contacts, measured at the centre of gravity.
/// A linear programme in three unknowns, solved exactly: it ends on three contacts around the centre of gravity.
/// </summary>
/// <remarks>
/// Starts from three far points below everything; the contact that pierces the plane deepest comes in, the one whose leaving
/// keeps the centre inside goes out, so the height at the centre only rises (dual simplex method).
/// </remarks>
internal static class ColdStand
{
    private const double Far = 1e3;
    private const double Below = -1e4;
    private const int MostPivots = 2000;

    // Moves the centre off every line through two contacts, far below what a bench can measure.
    private const double OffX = 1.3e-7;
    private const double OffY = 0.7e-7;

    /// <summary>Finds the plane.</summary>
    /// <param name="field">The package.</param>
    /// <param name="basis">Three contacts to start from, and those found: a joint's index, or count + a part's; negative is none.</param>
    /// <param name="plane">The plane.</param>
    /// <returns>False where the contacts do not surround the centre of gravity: the package tips over.</returns>
    public static bool Find(SeatField field, Span<int> basis, out SeatPlane plane)
    {
        double cx = field.CentreX + OffX;
        double cy = field.CentreY + OffY;
        if (basis[0] < 0 || basis[1] < 0 || basis[2] < 0 || !Surrounds(field, basis, cx, cy))
        {
            (basis[0], basis[1], basis[2]) = (-1, -2, -3);
        }
        Span<int> trial = stackalloc int[3];
        for (int pivot = 0; pivot < MostPivots; pivot++)
        {
            plane = Plane(field, basis);
            int worst = Deepest(field, in plane, out double depth);
            if (worst < 0 || depth <= 1e-12)
            {
                return basis[0] >= 0 && basis[1] >= 0 && basis[2] >= 0;
            }
            int leaves = -1;
            double best = double.NegativeInfinity;
            for (int k = 0; k < 3; k++)
            {
                basis.CopyTo(trial);
                trial[k] = worst;
                double inside = Inside(field, trial, cx, cy);
                if (inside > best)
                {
                    (best, leaves) = (inside, k);
                }
            }
            if (best < -1e-7)
            {
                return false;
            }
            basis[leaves] = worst;
        }
        plane = default;
        return false;
    }

    /// <summary>Contacts of a plane: joints, then parts, within a tolerance.</summary>
    public static List<int> Contacts(SeatField field, in SeatPlane plane, double withinMm)
    {
        List<int> contacts = [];
        for (int i = 0; i < field.Count; i++)
        {
            if (!field.Missing[i] && field.Gap(i, in plane) - field.Touch[i] <= withinMm)
            {
                contacts.Add(i);
            }
        }
        for (int k = 0; k < field.Stops; k++)
        {
            if (field.StopGap(k, in plane) <= withinMm)
            {
                contacts.Add(field.Count + k);
            }
        }
        return contacts;
    }

    /// <summary>Whether the centre of gravity is not well inside the contacts, so that the package can rock.</summary>
    public static bool Rocks(SeatField field, List<int> contacts)
    {
        List<double> angles = [];
        double reach = Math.Max(field.ReachX, field.ReachY);
        foreach (int contact in contacts)
        {
            (double x, double y, _) = Point(field, contact);
            (double dx, double dy) = (x - field.CentreX, y - field.CentreY);
            if (Math.Sqrt(dx * dx + dy * dy) < 1e-6 * reach)
            {
                continue;
            }
            angles.Add(Math.Atan2(dy, dx));
        }
        angles.Sort();
        double widest = angles.Count == 0 ? 7 : angles[0] + 2 * Math.PI - angles[^1];
        for (int i = 1; i < angles.Count; i++)
        {
            widest = Math.Max(widest, angles[i] - angles[i - 1]);
        }
        return widest >= Math.PI - 1e-6;
    }

    private static (double X, double Y, double Height) Point(SeatField field, int index) =>
        index switch
        {
            -1 => (Far, -Far, Below),
            -2 => (-Far, -Far, Below),
            < 0 => (0, 1.5 * Far, Below),
            _ when index < field.Count => (field.X[index], field.Y[index], field.Touch[index] - field.Offset[index]),
            _ => (
                field.StopX[index - field.Count],
                field.StopY[index - field.Count],
                -field.StopOffset[index - field.Count]
            ),
        };

    private static SeatPlane Plane(SeatField field, ReadOnlySpan<int> basis)
    {
        (double x0, double y0, double b0) = Point(field, basis[0]);
        (double x1, double y1, double b1) = Point(field, basis[1]);
        (double x2, double y2, double b2) = Point(field, basis[2]);
        double det = (x1 - x0) * (y2 - y0) - (x2 - x0) * (y1 - y0);
        double tx = ((b1 - b0) * (y2 - y0) - (b2 - b0) * (y1 - y0)) / det;
        double ty = ((x1 - x0) * (b2 - b0) - (x2 - x0) * (b1 - b0)) / det;
        return new SeatPlane(b0 - tx * x0 - ty * y0, tx, ty);
    }

    private static int Deepest(SeatField field, in SeatPlane plane, out double depth)
    {
        depth = 0;
        int worst = -1;
        double z = plane.GapMm;
        double tx = plane.TiltXRatio;
        double ty = plane.TiltYRatio;
        for (int i = 0; i < field.Count; i++)
        {
            double over = field.Touch[i] - field.Offset[i] - (z + tx * field.X[i] + ty * field.Y[i]);
            if (over > depth && !field.Missing[i])
            {
                (depth, worst) = (over, i);
            }
        }
        for (int k = 0; k < field.Stops; k++)
        {
            double over = -field.StopGap(k, in plane);
            if (over > depth)
            {
                (depth, worst) = (over, field.Count + k);
            }
        }
        return worst;
    }

    private static bool Surrounds(SeatField field, ReadOnlySpan<int> basis, double cx, double cy)
    {
        foreach (int index in basis)
        {
            if (index < field.Count && field.Missing[index])
            {
                return false;
            }
        }
        return Inside(field, basis, cx, cy) > 0;
    }

    // Least barycentric coordinate of the centre; minus infinity for three in a line.
    private static double Inside(SeatField field, ReadOnlySpan<int> basis, double cx, double cy)
    {
        (double x0, double y0, _) = Point(field, basis[0]);
        (double x1, double y1, _) = Point(field, basis[1]);
        (double x2, double y2, _) = Point(field, basis[2]);
        double det = (x1 - x0) * (y2 - y0) - (x2 - x0) * (y1 - y0);
        if (Math.Abs(det) < 1e-9)
        {
            return double.NegativeInfinity;
        }
        double l1 = ((cx - x0) * (y2 - y0) - (x2 - x0) * (cy - y0)) / det;
        double l2 = ((x1 - x0) * (cy - y0) - (cx - x0) * (y1 - y0)) / det;
        return Math.Min(1 - l1 - l2, Math.Min(l1, l2));
    }
}
