namespace Graftbench.Core.Physics.Capillary;

/// <summary>Which way a drop hangs.</summary>
public enum DropKind
{
    /// <summary>Lies on its pad: the dome on a land.</summary>
    Sessile,

    /// <summary>Hangs from its pad: the ball under a package.</summary>
    Pendant,
}

/// <summary>A molten drop on one wetted circle, with gravity.</summary>
public static class PadDrop
{
    private const int Steps = 80;

    /// <summary>Height of the drop.</summary>
    /// <param name="volumeMm3">Volume [mm³], above 0.</param>
    /// <param name="radiusMm">Radius of the wetted circle [mm], above 0.</param>
    /// <param name="tensionNPerM">Surface tension [N/m], above 0.</param>
    /// <param name="densityKgPerM3">Density [kg/m³], 0 or above.</param>
    /// <param name="kind">Which way it hangs.</param>
    /// <returns>Height [mm]; null where no drop of that volume holds, or it was not found.</returns>
    /// <remarks>
    /// From the apex: r' = cos θ, d' = sin θ, θ' = 2κ ± (ρ g/γ) d − sin θ / r, v' = π r² sin θ; Newton's method on apex
    /// curvature κ and length from the spherical cap. Checked against project fact sheet "seating mechanics", 5.3.
    /// </remarks>
    public static double? HeightMm(
        double volumeMm3,
        double radiusMm,
        double tensionNPerM,
        double densityKgPerM3,
        DropKind kind
    )
    {
        BridgeCase units = new(radiusMm, radiusMm, volumeMm3, tensionNPerM, densityKgPerM3);
        BridgeProblem problem = units.Problem();
        double bond = kind == DropKind.Sessile ? problem.Bond : -problem.Bond;
        double cap = SolderCap.HeightMm(problem.Volume, 1);
        double sphere = (1 + cap * cap) / (2 * cap);
        double kappa = 1 / sphere;
        double length = 2 * Math.Atan(cap) * sphere;
        for (int i = 0; i < 60; i++)
        {
            if (!Integrate(kappa, length, bond, out Meridian end))
            {
                return null;
            }
            double dr = 1 - end.R;
            double dv = problem.Volume - end.V;
            if (Math.Max(Math.Abs(dr), Math.Abs(dv) / Math.PI) < 1e-11)
            {
                return end.Z * radiusMm;
            }
            (double s, double c) = Math.SinCos(end.Angle);
            double lv = Math.PI * end.R * end.R * s;
            double det = end.Rp * lv - c * end.Vp;
            if (!(Math.Abs(det) > 1e-14))
            {
                return null;
            }
            double dKappa = (dr * lv - c * dv) / det;
            double dLength = (end.Rp * dv - end.Vp * dr) / det;
            double share = Math.Min(1, 0.3 * Math.Min(kappa / Math.Abs(dKappa), length / Math.Abs(dLength)));
            kappa += share * dKappa;
            length += share * dLength;
        }
        return null;
    }

    // Depth below the apex grows; "p" is the derivative by curvature. A short cap of a sphere takes it off the axis.
    private static bool Integrate(double kappa, double length, double bond, out Meridian y)
    {
        double first = length * 1e-4;
        (double s, double c) = Math.SinCos(kappa * first);
        y = new Meridian
        {
            R = s / kappa,
            Z = (1 - c) / kappa,
            Angle = kappa * first,
            V = Math.PI / (kappa * kappa * kappa) * (2.0 / 3 - c + c * c * c / 3),
            Rp = first * c / kappa - s / (kappa * kappa),
            Zp = first * s / kappa - (1 - c) / (kappa * kappa),
            Ap = first,
        };
        double step = (length - first) / Steps;
        for (int i = 0; i < Steps; i++)
        {
            // θ' = 2κ − (−bond) d − sin θ / r: pressure 2κ, its derivative by κ is 2.
            StepDrop(ref y, kappa, bond, step);
            if (!(y.R > 0) || !double.IsFinite(y.V))
            {
                return false;
            }
        }
        return true;
    }

    private static void StepDrop(ref Meridian y, double kappa, double bond, double step)
    {
        Rhs(in y, kappa, bond, out Meridian k1);
        Meridian.Move(in y, in k1, step / 2, out Meridian at);
        Rhs(in at, kappa, bond, out Meridian k2);
        Meridian.Move(in y, in k2, step / 2, out at);
        Rhs(in at, kappa, bond, out Meridian k3);
        Meridian.Move(in y, in k3, step, out at);
        Rhs(in at, kappa, bond, out Meridian k4);
        Meridian.Move(in y, in k1, step / 6, out y);
        Meridian.Move(in y, in k2, step / 3, out y);
        Meridian.Move(in y, in k3, step / 3, out y);
        Meridian.Move(in y, in k4, step / 6, out y);
    }

    private static void Rhs(ref readonly Meridian y, double kappa, double bond, out Meridian d)
    {
        Meridian.Rhs(in y, 2 * kappa, -bond, out d);
        d.Ap += 1;
    }
}
