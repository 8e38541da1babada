namespace Graftbench.Core.Physics.Capillary;

/// <summary>
/// A point of the meridian of a liquid between two circles, with its derivatives by pressure (p) and by start angle (q).
/// Lengths in units of a pad radius, pressure in units of tension by that radius.
/// </summary>
internal struct Meridian
{
    public double R;
    public double Z;
    public double Angle;
    public double V;
    public double Rp;
    public double Zp;
    public double Ap;
    public double Vp;
    public double Rq;
    public double Zq;
    public double Aq;
    public double Vq;

    /// <summary>Derivatives by arc length: r' = cos θ, z' = sin θ, θ' = P − B z − sin θ / r, v' = π r² sin θ.</summary>
    public static void Rhs(ref readonly Meridian y, double pressure, double bond, out Meridian d)
    {
        (double s, double c) = Math.SinCos(y.Angle);
        double inverse = 1 / y.R;
        double curve = s * inverse;
        double cOverR = c * inverse;
        double sOverRr = curve * inverse;
        double area = Math.PI * y.R * y.R;
        double ring = 2 * Math.PI * y.R * s;
        d.R = c;
        d.Z = s;
        d.Angle = pressure - bond * y.Z - curve;
        d.V = area * s;
        d.Rp = -s * y.Ap;
        d.Zp = c * y.Ap;
        d.Ap = 1 - bond * y.Zp - cOverR * y.Ap + sOverRr * y.Rp;
        d.Vp = ring * y.Rp + area * c * y.Ap;
        d.Rq = -s * y.Aq;
        d.Zq = c * y.Aq;
        d.Aq = -bond * y.Zq - cOverR * y.Aq + sOverRr * y.Rq;
        d.Vq = ring * y.Rq + area * c * y.Aq;
    }

    /// <summary>y + step · d.</summary>
    public static void Move(ref readonly Meridian y, ref readonly Meridian d, double step, out Meridian to)
    {
        to.R = y.R + step * d.R;
        to.Z = y.Z + step * d.Z;
        to.Angle = y.Angle + step * d.Angle;
        to.V = y.V + step * d.V;
        to.Rp = y.Rp + step * d.Rp;
        to.Zp = y.Zp + step * d.Zp;
        to.Ap = y.Ap + step * d.Ap;
        to.Vp = y.Vp + step * d.Vp;
        to.Rq = y.Rq + step * d.Rq;
        to.Zq = y.Zq + step * d.Zq;
        to.Aq = y.Aq + step * d.Aq;
        to.Vq = y.Vq + step * d.Vq;
    }

    /// <summary>One step of the classical Runge-Kutta method of 4th order.</summary>
    public static void Step(ref Meridian y, double pressure, double bond, double step)
    {
        Rhs(in y, pressure, bond, out Meridian k1);
        Move(in y, in k1, step / 2, out Meridian at);
        Rhs(in at, pressure, bond, out Meridian k2);
        Move(in y, in k2, step / 2, out at);
        Rhs(in at, pressure, bond, out Meridian k3);
        Move(in y, in k3, step, out at);
        Rhs(in at, pressure, bond, out Meridian k4);
        Move(in y, in k1, step / 6, out y);
        Move(in y, in k2, step / 3, out y);
        Move(in y, in k3, step / 3, out y);
        Move(in y, in k4, step / 6, out y);
    }
}
