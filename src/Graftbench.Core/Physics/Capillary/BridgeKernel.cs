namespace Graftbench.Core.Physics.Capillary;

/// <summary>Unknowns of a meridian: pressure at the lower rim, start angle, arc length; in units of the pad radius.</summary>
internal readonly record struct MeridianStart(double Pressure, double Angle, double Length);

/// <summary>
/// The boundary value problem of a liquid between two wetted circles, without units: radii, gap and volume in units of a pad
/// radius, Bond number B = ρ g R² / γ.
/// </summary>
/// <param name="Lower">Lower radius.</param>
/// <param name="Upper">Upper radius.</param>
/// <param name="Volume">Volume.</param>
/// <param name="Bond">Bond number.</param>
internal readonly record struct BridgeProblem(double Lower, double Upper, double Volume, double Bond)
{
    /// <summary>Steps along the meridian; 40 give the force to 1e-7 (project fact sheet "seating mechanics", 3.1).</summary>
    public const int Steps = 40;

    private const int MostIterations = 40;
    private const double Enough = 1e-10;
    private const double LeastRadius = 1e-3;

    /// <summary>Meridian's end for given unknowns; false where it runs into the axis.</summary>
    public bool Integrate(in MeridianStart start, out Meridian end, int steps = Steps)
    {
        end = new Meridian
        {
            R = Lower,
            Angle = start.Angle,
            Aq = 1,
        };
        double step = start.Length / steps;
        for (int i = 0; i < steps; i++)
        {
            Meridian.Step(ref end, start.Pressure, Bond, step);
            if (!(end.R > LeastRadius) || !(Math.Abs(end.Angle) < 20))
            {
                return false;
            }
        }
        return double.IsFinite(end.V);
    }

    /// <summary>Largest of the three end conditions' errors.</summary>
    public double Residual(ref readonly Meridian end, double gap) =>
        Math.Max(Math.Max(Math.Abs(end.R - Upper), Math.Abs(end.Z - gap)), Math.Abs(end.V - Volume) / Math.PI);

    /// <summary>Newton's method for a given gap.</summary>
    /// <param name="gap">Gap.</param>
    /// <param name="start">Start values; the solution where it was found.</param>
    /// <param name="end">The meridian's end.</param>
    /// <param name="residual">What is left of the end conditions.</param>
    /// <returns>Whether it was found.</returns>
    public bool Newton(double gap, ref MeridianStart start, out Meridian end, out double residual)
    {
        residual = double.PositiveInfinity;
        if (!Integrate(in start, out end))
        {
            return false;
        }
        residual = Residual(in end, gap);
        for (int iteration = 0; iteration < MostIterations && residual > Enough; iteration++)
        {
            if (!Direction(in start, in end, gap, out double dp, out double dq, out double dl))
            {
                return false;
            }
            double share = Math.Min(1, Math.Min(0.5 / Math.Max(1e-300, Math.Abs(dq)), Limit(start.Length, dl)));
            bool better = false;
            for (int halving = 0; halving < 12 && !better; halving++, share /= 2)
            {
                MeridianStart trial = new(
                    start.Pressure + share * dp,
                    start.Angle + share * dq,
                    start.Length + share * dl
                );
                if (Integrate(in trial, out Meridian there) && Residual(in there, gap) is var left && left < residual)
                {
                    (start, end, residual, better) = (trial, there, left, true);
                }
            }
            if (!better)
            {
                // Rounding is reached, or there is no way down.
                return residual < 1e-8;
            }
        }
        return residual <= 1e-8;
    }

    /// <summary>Change of the unknowns by gap at a solution; false at the pull-apart limit.</summary>
    public static bool ByGap(in MeridianStart start, ref readonly Meridian end, out MeridianStart change) =>
        Solve(in start, in end, 0, 1, 0, out change);

    /// <summary>Change of the unknowns by volume at a solution.</summary>
    public static bool ByVolume(in MeridianStart start, ref readonly Meridian end, out MeridianStart change) =>
        Solve(in start, in end, 0, 0, 1, out change);

    /// <summary>Force on the upper circle by tension and pad radius.</summary>
    public double Force(in MeridianStart start, ref readonly Meridian end, double gap) =>
        Math.PI * Upper * Upper * (start.Pressure - Bond * gap) - 2 * Math.PI * Upper * Math.Sin(end.Angle);

    /// <summary>Force on the lower circle, weight included: differs from <see cref="Force"/> by B · V.</summary>
    public double LowerForce(in MeridianStart start) =>
        Math.PI * Lower * Lower * start.Pressure - 2 * Math.PI * Lower * Math.Sin(start.Angle);

    /// <summary>Change of <see cref="Force"/> by gap or volume, for a change of the unknowns.</summary>
    /// <param name="start">Solution.</param>
    /// <param name="end">Its end.</param>
    /// <param name="change">Change of the unknowns.</param>
    /// <param name="gapChange">Change of the gap: 1 by gap, 0 by volume.</param>
    public double ForceChange(
        in MeridianStart start,
        ref readonly Meridian end,
        in MeridianStart change,
        double gapChange
    )
    {
        double endCurve = start.Pressure - Bond * end.Z - Math.Sin(end.Angle) / end.R;
        double angle = end.Ap * change.Pressure + end.Aq * change.Angle + endCurve * change.Length;
        return Math.PI * Upper * Upper * (change.Pressure - Bond * gapChange)
            - 2 * Math.PI * Upper * Math.Cos(end.Angle) * angle;
    }

    private bool Direction(
        in MeridianStart start,
        ref readonly Meridian end,
        double gap,
        out double dp,
        out double dq,
        out double dl
    )
    {
        bool found = Solve(in start, in end, Upper - end.R, gap - end.Z, Volume - end.V, out MeridianStart change);
        (dp, dq, dl) = (change.Pressure, change.Angle, change.Length);
        return found;
    }

    // Cramer's rule on the 3 x 3 matrix of end values by unknowns.
    private static bool Solve(
        in MeridianStart start,
        ref readonly Meridian end,
        double r,
        double z,
        double v,
        out MeridianStart change
    )
    {
        (double s, double c) = Math.SinCos(end.Angle);
        double lv = Math.PI * end.R * end.R * s;
        double m1 = end.Zq * lv - s * end.Vq;
        double m2 = end.Zp * lv - s * end.Vp;
        double m3 = end.Zp * end.Vq - end.Zq * end.Vp;
        double det = end.Rp * m1 - end.Rq * m2 + c * m3;
        change = default;
        if (!(Math.Abs(det) > 1e-14) || !double.IsFinite(det))
        {
            return false;
        }
        double p = r * m1 - end.Rq * (z * lv - s * v) + c * (z * end.Vq - end.Zq * v);
        double q = end.Rp * (z * lv - s * v) - r * m2 + c * (end.Zp * v - z * end.Vp);
        double l = end.Rp * (end.Zq * v - z * end.Vq) - end.Rq * (end.Zp * v - z * end.Vp) + r * m3;
        change = new MeridianStart(p / det, q / det, l / det);
        return true;
    }

    private static double Limit(double length, double change) =>
        0.4 * Math.Abs(length) / Math.Max(1e-300, Math.Abs(change));
}
