namespace Graftbench.Core.Physics.Capillary;

/// <summary>Closed forms of molten solder with gravity left out: balls, domes, the sphere cut by two pads.</summary>
public static class SolderCap
{
    /// <summary>Volume of a ball.</summary>
    /// <param name="diameterMm">Diameter [mm], above 0.</param>
    public static double BallVolumeMm3(double diameterMm)
    {
        Require.FinitePositive(diameterMm);
        return Math.PI * diameterMm * diameterMm * diameterMm / 6;
    }

    /// <summary>Height of a dome or of an attached ball: the spherical cap of a volume on a wetted circle.</summary>
    /// <param name="volumeMm3">Volume [mm³], 0 or above.</param>
    /// <param name="radiusMm">Radius of the wetted circle [mm], above 0.</param>
    /// <returns>Height [mm]; rises with volume, falls with radius.</returns>
    /// <remarks>
    /// V = π H (3 a² + H²) / 6. With H = 2 a sinh u it becomes sinh 3u = 3 V / (π a³): one real root and no digits lost on
    /// a thin film. Gravity makes a hanging 0.76 mm ball 0.41 % taller and a 0.1 mm dome 0.03 % lower (<see cref="PadDrop"/>).
    /// Checked against the project fact sheet "seating mechanics" sections 2.1, 3.4 and 5.3.
    /// </remarks>
    public static double HeightMm(double volumeMm3, double radiusMm)
    {
        Require.Within(volumeMm3, 0, double.MaxValue);
        Require.FinitePositive(radiusMm);
        return 2 * radiusMm * Math.Sinh(Math.Asinh(3 * volumeMm3 / (Math.PI * radiusMm * radiusMm * radiusMm)) / 3);
    }

    /// <summary>Volume of a spherical cap.</summary>
    /// <param name="heightMm">Height [mm], 0 or above.</param>
    /// <param name="radiusMm">Radius of the wetted circle [mm], above 0.</param>
    public static double VolumeMm3(double heightMm, double radiusMm)
    {
        Require.Within(heightMm, 0, double.MaxValue);
        Require.FinitePositive(radiusMm);
        return Math.PI * heightMm * (3 * radiusMm * radiusMm + heightMm * heightMm) / 6;
    }

    /// <summary>Radius of the sphere that a cap is cut from.</summary>
    /// <param name="heightMm">Height [mm], above 0.</param>
    /// <param name="radiusMm">Radius of the wetted circle [mm], above 0.</param>
    public static double SphereRadiusMm(double heightMm, double radiusMm)
    {
        Require.FinitePositive(heightMm);
        Require.FinitePositive(radiusMm);
        return (radiusMm * radiusMm + heightMm * heightMm) / (2 * heightMm);
    }

    /// <summary>
    /// Cross-check and start value only: gap of a joint without load as a sphere cut by both pads. It knows no load and no
    /// gravity; <see cref="LiquidBridge"/> is the model.
    /// </summary>
    /// <param name="volumeMm3">Volume [mm³], above 0.</param>
    /// <param name="lowerRadiusMm">Wetted radius below [mm], above 0.</param>
    /// <param name="upperRadiusMm">Wetted radius above [mm], above 0.</param>
    /// <remarks>V = π h (3 Rl² + 3 Ru² + h²) / 6; 0.3 % off the exact gap without load for a 0.76 ball on 0.60 pads.</remarks>
    public static double TruncatedSphereHeightMm(double volumeMm3, double lowerRadiusMm, double upperRadiusMm)
    {
        Require.FinitePositive(lowerRadiusMm);
        Require.FinitePositive(upperRadiusMm);
        return HeightMm(volumeMm3, Math.Sqrt(lowerRadiusMm * lowerRadiusMm + upperRadiusMm * upperRadiusMm));
    }

    /// <summary>Gap at which a ball put down off centre touches the dome below it.</summary>
    /// <param name="ballHeightMm">Height of the attached ball [mm], above 0.</param>
    /// <param name="ballRadiusMm">Wetted radius of the package's pad [mm].</param>
    /// <param name="domeHeightMm">Height of the dome [mm]; 0 for a bare land.</param>
    /// <param name="domeRadiusMm">Wetted radius of the land [mm].</param>
    /// <param name="offsetMm">Sideways offset [mm], 0 or above.</param>
    /// <returns>The gap [mm]; null where ball and dome pass each other sideways.</returns>
    public static double? TouchHeightMm(
        double ballHeightMm,
        double ballRadiusMm,
        double domeHeightMm,
        double domeRadiusMm,
        double offsetMm
    )
    {
        Require.Within(offsetMm, 0, double.MaxValue);
        double a = SphereRadiusMm(ballHeightMm, ballRadiusMm);
        if (domeHeightMm <= 0)
        {
            return offsetMm <= domeRadiusMm ? ballHeightMm : null;
        }
        double b = SphereRadiusMm(domeHeightMm, domeRadiusMm);
        double straight = (a + b) * (a + b) - offsetMm * offsetMm;
        return straight < 0 ? null : ballHeightMm - a + (domeHeightMm - b) + Math.Sqrt(straight);
    }

    /// <summary>Slope that an off-centre ball rests on: it wants to slide down it.</summary>
    /// <param name="ballHeightMm">Height of the attached ball [mm], above 0.</param>
    /// <param name="ballRadiusMm">Wetted radius of the package's pad [mm].</param>
    /// <param name="domeHeightMm">Height of the dome [mm], above 0.</param>
    /// <param name="domeRadiusMm">Wetted radius of the land [mm].</param>
    /// <param name="offsetMm">Sideways offset [mm], 0 or above.</param>
    /// <returns>Slope [°], at most 90.</returns>
    public static double TouchSlopeDeg(
        double ballHeightMm,
        double ballRadiusMm,
        double domeHeightMm,
        double domeRadiusMm,
        double offsetMm
    )
    {
        double a = SphereRadiusMm(ballHeightMm, ballRadiusMm);
        double b = SphereRadiusMm(domeHeightMm, domeRadiusMm);
        return Math.Asin(Math.Min(1, offsetMm / (a + b))) * 180 / Math.PI;
    }
}
