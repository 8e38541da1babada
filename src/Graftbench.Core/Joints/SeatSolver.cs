namespace Graftbench.Core.Joints;

/// <summary>How a package settled.</summary>
internal readonly record struct SeatOutcome(
    bool Converged,
    int Steps,
    double ResidualMilliN,
    double OnStopsMilliN,
    bool Outside
);

/// <summary>
/// Lets a package settle while the joints melt. What has joined stays joined unless it is pulled apart, and what was pulled apart
/// stays open; the package never jumps: with few joints molten the free equilibrium lies far too low and would falsely join
/// everything.
/// </summary>
/// <remarks>
/// Forces of the joined joints, parts as stiff one-sided springs, three balances (force, two moments), Newton's method with the
/// matrix sum of k [1 x y]ᵀ[1 x y]. While a joint is still open, a step goes as far as the next touch, at least 0.004 mm of gap;
/// the same where a neck is about to break.
/// Method: project fact sheet "seating mechanics", section 4.2.
/// </remarks>
internal static class SeatSolver
{
    /// <summary>Stiffness of a part on the board [mN/mm]: 1 N presses it in by a micrometre.</summary>
    public const double StopStiffness = 1e6;

    private const double StepMm = 0.004;
    private const double FreeStepMm = 0.03;
    private const double LeastStiffness = 0.02;
    private const int MostSteps = 600;

    /// <summary>Settles a package.</summary>
    /// <param name="field">The package.</param>
    /// <param name="plane">Plane to start from, and the one it settles at.</param>
    /// <param name="joined">Joined joints to start from, and those at the end.</param>
    /// <param name="parted">Joints whose neck broke; they never join again.</param>
    /// <param name="enoughMm">Change of gap at which it has settled [mm].</param>
    /// <param name="overshootMm">
    /// Gap that a step may run past a part's stop before it is pushed back; 0 is right, above 0 joins falsely and serves only
    /// to reproduce figures of a solver that does.
    /// </param>
    public static SeatOutcome Settle(
        SeatField field,
        ref SeatPlane plane,
        Span<bool> joined,
        Span<bool> parted,
        double enoughMm,
        double overshootMm = 0
    )
    {
        int open = Join(field, in plane, joined, parted, out _);
        for (int step = 0; step < MostSteps; step++)
        {
            Sums s = Balance(field, in plane, joined, parted);
            s.Solve(out double dz, out double dx, out double dy);
            double most = Math.Abs(dz) + Math.Abs(dx) * field.ReachX + Math.Abs(dy) * field.ReachY;
            if (!(most < double.PositiveInfinity))
            {
                return new SeatOutcome(false, step, s.Residual, s.OnStops, s.Outside);
            }
            double share = Math.Min(1, FreeStepMm / Math.Max(most, 1e-300));
            if (open > 0)
            {
                double least = Math.Min(share, StepMm / Math.Max(most, 1e-300));
                share = Math.Min(share, Math.Max(least, FirstTouch(field, in plane, joined, parted, dz, dx, dy)));
            }
            bool strained = s.LeastLeft < share * most;
            if (strained)
            {
                double least = Math.Min(share, StepMm / Math.Max(most, 1e-300));
                share = Math.Min(share, Math.Max(least, FirstBreak(field, in plane, joined, dz, dx, dy)));
            }
            double past = Math.Min(share, overshootMm / Math.Max(most, 1e-300));
            share = Math.Min(share, Math.Max(past, FirstStop(field, in plane, dz, dx, dy)));
            plane = new SeatPlane(
                plane.GapMm + share * dz,
                plane.TiltXRatio + share * dx,
                plane.TiltYRatio + share * dy
            );
            bool more = false;
            if (open > 0)
            {
                open = Join(field, in plane, joined, parted, out more);
            }
            if (!more && most < enoughMm)
            {
                Sums end = Balance(field, in plane, joined, parted);
                if (end.Broke)
                {
                    continue;
                }
                return new SeatOutcome(true, step + 1, end.Residual, end.OnStops, end.Outside);
            }
        }
        Sums last = Balance(field, in plane, joined, parted);
        return new SeatOutcome(false, MostSteps, last.Residual, last.OnStops, last.Outside);
    }

    // Liquid that touches liquid is one drop. Returns how many are still open.
    private static int Join(
        SeatField field,
        in SeatPlane plane,
        Span<bool> joined,
        ReadOnlySpan<bool> parted,
        out bool more
    )
    {
        more = false;
        int open = 0;
        double z = plane.GapMm;
        double tx = plane.TiltXRatio;
        double ty = plane.TiltYRatio;
        for (int i = 0; i < joined.Length; i++)
        {
            if (joined[i] || parted[i] || field.Missing[i])
            {
                continue;
            }
            if (z + tx * field.X[i] + ty * field.Y[i] + field.Offset[i] <= field.Touch[i] + 1e-9)
            {
                joined[i] = true;
                more = true;
            }
            else
            {
                open++;
            }
        }
        return open;
    }

    private static double FirstTouch(
        SeatField field,
        in SeatPlane plane,
        ReadOnlySpan<bool> joined,
        ReadOnlySpan<bool> parted,
        double dz,
        double dx,
        double dy
    )
    {
        double first = 1;
        double z = plane.GapMm;
        double tx = plane.TiltXRatio;
        double ty = plane.TiltYRatio;
        for (int i = 0; i < joined.Length; i++)
        {
            if (joined[i] || parted[i] || field.Missing[i])
            {
                continue;
            }
            double falls = -(dz + dx * field.X[i] + dy * field.Y[i]);
            double left = z + tx * field.X[i] + ty * field.Y[i] + field.Offset[i] - field.Touch[i];
            if (falls * first > left)
            {
                first = left / falls;
            }
        }
        return first;
    }

    private static double FirstBreak(
        SeatField field,
        in SeatPlane plane,
        ReadOnlySpan<bool> joined,
        double dz,
        double dx,
        double dy
    )
    {
        double first = 1;
        for (int i = 0; i < joined.Length; i++)
        {
            double rises = dz + dx * field.X[i] + dy * field.Y[i];
            double left = field.Break[i] - field.Gap(i, in plane);
            if (joined[i] && rises * first > left)
            {
                first = left / rises;
            }
        }
        // A trace further, so that the neck breaks.
        return Math.Min(1, first * (1 + 1e-9) + 1e-12);
    }

    private static double FirstStop(SeatField field, in SeatPlane plane, double dz, double dx, double dy)
    {
        double first = 1;
        for (int k = 0; k < field.Stops; k++)
        {
            double left = field.StopGap(k, in plane);
            double falls = -(dz + dx * field.StopX[k] + dy * field.StopY[k]);
            if (left > 0 && falls * first > left)
            {
                first = left / falls;
            }
        }
        // A trace further, so that the part takes load in the next step.
        return Math.Min(1, first * (1 + 1e-9) + 1e-12);
    }

    // Joints that are stretched past the height at which the neck breaks leave the joined.
    private static Sums Balance(SeatField field, in SeatPlane plane, Span<bool> joined, Span<bool> parted)
    {
        Sums s = default;
        s.LeastLeft = double.PositiveInfinity;
        double z = plane.GapMm;
        double tx = plane.TiltXRatio;
        double ty = plane.TiltYRatio;
        for (int i = 0; i < joined.Length; i++)
        {
            if (!joined[i])
            {
                continue;
            }
            double x = field.X[i];
            double y = field.Y[i];
            double gap = z + tx * x + ty * y + field.Offset[i];
            double left = field.Break[i] - gap;
            if (left < s.LeastLeft)
            {
                s.LeastLeft = left;
                if (left < 0)
                {
                    (joined[i], parted[i], s.Broke, s.LeastLeft) = (false, true, true, 0);
                    continue;
                }
            }
            double force = field.Force(i, gap, out double slope, out bool inside);
            s.Outside |= !inside;
            s.Add(x, y, force, Math.Max(-slope, LeastStiffness));
        }
        for (int k = 0; k < field.Stops; k++)
        {
            double gap = field.StopGap(k, in plane);
            if (gap <= 0)
            {
                double force = -StopStiffness * gap;
                s.OnStops += force;
                s.Add(field.StopX[k], field.StopY[k], force, StopStiffness);
            }
        }
        s.R0 -= field.LoadMilliN;
        s.Rx -= field.LoadMilliN * field.CentreX;
        s.Ry -= field.LoadMilliN * field.CentreY;
        // Holds the directions that no contact holds; too weak to move an answer.
        double reach = Math.Max(field.ReachX, field.ReachY);
        s.K0 += 1e-6;
        s.Kxx += 1e-6 * reach * reach;
        s.Kyy += 1e-6 * reach * reach;
        s.Reach = reach;
        return s;
    }

    private struct Sums
    {
        public double R0;
        public double Rx;
        public double Ry;
        public double K0;
        public double Kx;
        public double Ky;
        public double Kxx;
        public double Kxy;
        public double Kyy;
        public double OnStops;
        public double Reach;
        public bool Outside;
        public bool Broke;

        /// <summary>How far the joint nearest to breaking may still be stretched [mm].</summary>
        public double LeastLeft;

        public readonly double Residual => Math.Max(Math.Abs(R0), Math.Max(Math.Abs(Rx), Math.Abs(Ry)) / Reach);

        public void Add(double x, double y, double force, double stiffness)
        {
            R0 += force;
            Rx += force * x;
            Ry += force * y;
            K0 += stiffness;
            Kx += stiffness * x;
            Ky += stiffness * y;
            Kxx += stiffness * x * x;
            Kxy += stiffness * x * y;
            Kyy += stiffness * y * y;
        }

        // Cholesky; the matrix is positive by its diagonal.
        public readonly void Solve(out double dz, out double dx, out double dy)
        {
            double l10 = Kx / K0;
            double l20 = Ky / K0;
            double d1 = Kxx - l10 * Kx;
            double c21 = Kxy - l20 * Kx;
            double l21 = c21 / d1;
            double d2 = Kyy - l20 * Ky - l21 * c21;
            double y1 = Rx - l10 * R0;
            double y2 = Ry - l20 * R0 - l21 * y1;
            dy = y2 / d2;
            dx = y1 / d1 - l21 * dy;
            dz = R0 / K0 - l10 * dx - l20 * dy;
        }
    }
}
