namespace Graftbench.Core.Proof;

/// <summary>What the law of a junction says about diode-mode readings and currents into faults.</summary>
/// <remarks>
/// V = n·(kT/q)·ln(I/Is): like junctions side by side share the current of the meter, so that with one of them gone each of
/// the others carries more. k = 1.380649e-23 J/K and q = 1.602176634e-19 C are exact by the SI of 2019. Series resistance is
/// left out.
/// </remarks>
public static class Junctions
{
    private const double BoltzmannJPerK = 1.380649e-23;
    private const double ChargeC = 1.602176634e-19;

    /// <summary>Room temperature where nobody measured the board's [°C].</summary>
    public const double RoomC = 25;

    /// <summary>kT/q [V]; 25.7 mV at 25 °C.</summary>
    /// <param name="boardC">Temperature [°C], above absolute zero.</param>
    public static double ThermalV(double boardC)
    {
        Require.FinitePositive(boardC + Units.ZeroCelsiusK, nameof(boardC));
        return BoltzmannJPerK * Units.Kelvin(boardC) / ChargeC;
    }

    /// <summary>How much more a net reads with one of its like junctions lost [V]: 17.8 mV for two, 10.4 for three at 25 °C.</summary>
    /// <param name="junctions">Like junctions before, 2 or more; a single one that is lost reads overload.</param>
    /// <param name="boardC">Temperature [°C].</param>
    /// <param name="idealityFactor">n of the junction, 1 to 2.</param>
    public static double LostRiseV(int junctions, double boardC = RoomC, double idealityFactor = 1)
    {
        ArgumentOutOfRangeException.ThrowIfLessThan(junctions, 2);
        return CurrentShiftV(junctions / (junctions - 1.0), boardC, idealityFactor);
    }

    /// <summary>How much more a junction reads with more current [V]: 28 mV for three times the current at 25 °C.</summary>
    /// <param name="currentRatio">Current by the current before, above 0.</param>
    /// <param name="boardC">Temperature [°C].</param>
    /// <param name="idealityFactor">n of the junction, 1 to 2.</param>
    public static double CurrentShiftV(double currentRatio, double boardC = RoomC, double idealityFactor = 1)
    {
        Require.FinitePositive(currentRatio);
        Require.Within(idealityFactor, 1, 2);
        return idealityFactor * ThermalV(boardC) * Math.Log(currentRatio);
    }

    /// <summary>Current that brings a power into a fault [A]: √(P/R).</summary>
    /// <param name="powerW">Power that is to be seen as heat [W], above 0.</param>
    /// <param name="faultOhm">Resistance of the fault [Ω], above 0.</param>
    public static double InjectionCurrentA(double powerW, double faultOhm)
    {
        Require.FinitePositive(powerW);
        Require.FinitePositive(faultOhm);
        return Math.Sqrt(powerW / faultOhm);
    }

    /// <summary>What like resistances side by side change by when one of them opens [Ω]: R/(n(n-1)).</summary>
    /// <param name="balls">Balls side by side, 2 or more.</param>
    /// <param name="ballOhm">Resistance of each [Ω], above 0.</param>
    public static double LostBallOhm(int balls, double ballOhm)
    {
        ArgumentOutOfRangeException.ThrowIfLessThan(balls, 2);
        Require.FinitePositive(ballOhm);
        return ballOhm / ((double)balls * (balls - 1));
    }
}
