namespace Graftbench.Core.Physics.Diffusion;

/// <summary>Saturated steam over liquid water, and what heating does to the humidity of air.</summary>
public static class WaterVapour
{
    /// <summary>Critical temperature of water [K], [1].</summary>
    public const double CriticalK = 647.096;

    /// <summary>Critical pressure of water [Pa], [1].</summary>
    public const double CriticalPa = 22.064e6;

    /// <summary>Pressure of saturated steam.</summary>
    /// <param name="temperatureC">Temperature [°C], 0.01 (triple point) to 373 (critical point).</param>
    /// <returns>Pressure [Pa]; rises with temperature.</returns>
    /// <remarks>
    /// ln(p/pc) = (Tc/T)·(a1·τ + a2·τ^1.5 + a3·τ³ + a4·τ^3.5 + a5·τ⁴ + a6·τ^7.5), τ = 1 − T/Tc [1, eq. 2.5].
    /// Stated uncertainty 0.1 % or better. Checked against published steam tables.
    /// [1] W. Wagner, A. Pruß, "The IAPWS Formulation 1995", J. Phys. Chem. Ref. Data 31, 387 (2002).
    /// </remarks>
    /// <exception cref="ArgumentOutOfRangeException">Outside the liquid range.</exception>
    public static double SaturationPa(double temperatureC)
    {
        Require.Within(temperatureC, 0.01, 373);
        double t = Units.Kelvin(temperatureC);
        double tau = 1 - t / CriticalK;
        double root = Math.Sqrt(tau);
        double sum =
            -7.85951783 * tau
            + 1.84408259 * tau * root
            - 11.7866497 * tau * tau * tau
            + 22.6807411 * tau * tau * tau * root
            - 15.9618719 * tau * tau * tau * tau
            + 1.80122502 * Math.Pow(tau, 7.5);
        return CriticalPa * Math.Exp(CriticalK / t * sum);
    }

    /// <summary>Relative humidity inside a box that only heats room air.</summary>
    /// <param name="roomC">Room temperature [°C].</param>
    /// <param name="roomHumidityPercent">Relative humidity of the room [% RH].</param>
    /// <param name="boxC">Temperature inside [°C].</param>
    /// <returns>Relative humidity inside [% RH], at most 100.</returns>
    /// <remarks>
    /// The partial pressure of water stays as it is: RH_box = RH_room·p_sat(room)/p_sat(box). Ignores the water that the
    /// load itself gives off, which an open or ventilated box carries away and a sealed one does not.
    /// </remarks>
    public static double HumidityInBoxPercent(double roomC, double roomHumidityPercent, double boxC)
    {
        Require.Within(roomHumidityPercent, 0, 100);
        return Math.Min(100, roomHumidityPercent * SaturationPa(roomC) / SaturationPa(boxC));
    }
}
