namespace Graftbench.Core.Fit;

/// <summary>Power of a chip: what switching takes at any temperature, and leakage that grows with it.</summary>
/// <param name="SwitchingW">Power that does not depend on temperature [W], 0 or more.</param>
/// <param name="LeakageW">Leakage at <paramref name="LeakageAtC"/> [W], 0 or more.</param>
/// <param name="LeakageAtC">Temperature that the leakage is told for [°C].</param>
/// <param name="DoublesPerDeltaK">Rise that doubles the leakage [K], above 0.</param>
public sealed record ChipPower(double SwitchingW, double LeakageW, double LeakageAtC, double DoublesPerDeltaK)
{
    /// <summary>Power at a temperature of the die [W].</summary>
    /// <param name="dieC">Temperature of the die [°C].</param>
    public double AtW(double dieC) =>
        SwitchingW + (LeakageW * Math.Exp(Math.Log(2) / DoublesPerDeltaK * (dieC - LeakageAtC)));
}

/// <summary>Where a chip on its cooler settles.</summary>
/// <param name="SettlesC">Temperature of the die at which heat made and heat taken away are equal [°C]; null where there is none: it runs away.</param>
/// <param name="LoopGainRatio">θ·dP/dT there: below 1 it comes back by itself; null where it does not settle.</param>
/// <param name="PowerW">Power there [W]; null where it does not settle.</param>
/// <param name="MostAmbientC">Ambient above which it no longer settles [°C]; infinite without leakage.</param>
public sealed record ThermalBalance(double? SettlesC, double? LoopGainRatio, double? PowerW, double MostAmbientC)
{
    private const int MostSteps = 200;
    private const double EnoughDeltaK = 1e-9;

    /// <summary>Where a chip settles, if it does.</summary>
    /// <remarks>
    /// T = Ta + θ·P(T) with P(T) = Ps + Pl·2^((T − Tl)/D). The right side is convex, so there are two, one or no solutions; the
    /// lower one is stable (slope of the power curve below 1/θ: S. P. Stout, Power Electronics Technology, November 2007;
    /// quoted, not opened). The last ambient with a solution has both together: θ·dP/dT = 1. Newton's method from below
    /// never passes the lower solution. Left out: a cooler whose θ changes, throttling, and a limit of the supply.
    /// </remarks>
    /// <param name="ambientC">Air at the cooler [°C].</param>
    /// <param name="thetaKPerW">Die to air [K/W], above 0: (die − air)/power of the old chip on the same cooler.</param>
    /// <param name="power">Power of the chip.</param>
    /// <exception cref="ArgumentOutOfRangeException">A value is not finite or outside of what is said.</exception>
    public static ThermalBalance Of(double ambientC, double thetaKPerW, ChipPower power)
    {
        ArgumentNullException.ThrowIfNull(power);
        Require.FinitePositive(thetaKPerW);
        Require.FinitePositive(power.DoublesPerDeltaK);
        if (!double.IsFinite(ambientC))
        {
            throw new ArgumentOutOfRangeException(nameof(ambientC), ambientC, "Must be finite.");
        }
        if (
            !(
                power.SwitchingW >= 0
                && power.LeakageW >= 0
                && double.IsFinite(power.SwitchingW + power.LeakageW + power.LeakageAtC)
            )
        )
        {
            throw new ArgumentOutOfRangeException(nameof(power), power, "Powers must be finite, 0 or more.");
        }
        double a = Math.Log(2) / power.DoublesPerDeltaK;
        double Leaks(double atC) => power.LeakageW * Math.Exp(a * (atC - power.LeakageAtC));
        if (power.LeakageW == 0)
        {
            return new ThermalBalance(
                ambientC + (thetaKPerW * power.SwitchingW),
                0,
                power.SwitchingW,
                double.PositiveInfinity
            );
        }
        // Both solutions meet where θ·a·Pl(T) = 1.
        double meetC = power.LeakageAtC - (Math.Log(thetaKPerW * a * power.LeakageW) / a);
        double mostC = meetC - (thetaKPerW * power.SwitchingW) - (1 / a);
        if (ambientC > mostC)
        {
            return new ThermalBalance(null, null, null, mostC);
        }
        double settlesC = ambientC + (thetaKPerW * power.SwitchingW);
        for (int step = 0; step < MostSteps; step++)
        {
            double leaksW = Leaks(settlesC);
            double slope = 1 - (thetaKPerW * a * leaksW);
            double missesK = ambientC + (thetaKPerW * (power.SwitchingW + leaksW)) - settlesC;
            double next = slope > 1e-12 ? Math.Min(meetC, settlesC + (missesK / slope)) : meetC;
            bool done = Math.Abs(next - settlesC) <= EnoughDeltaK;
            settlesC = next;
            if (done)
            {
                break;
            }
        }
        double leakage = Leaks(settlesC);
        return new ThermalBalance(settlesC, thetaKPerW * a * leakage, power.SwitchingW + leakage, mostC);
    }
}
