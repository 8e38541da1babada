using Graftbench.Core.Facts;
using Graftbench.Core.Jobs;

namespace Graftbench.Core.Fit;

/// <summary>How a chip settles on the cooler that is there.</summary>
internal static class FitHeats
{
    private const int CurvePoints = 61;
    private const double BelowAirDeltaK = 5;
    private const double LeastSpanDeltaK = 60;

    /// <summary>The balance; null where thermal resistance, air or power are not known.</summary>
    /// <remarks>
    /// θ is (die − air)/power of the old chip on the same cooler. Without a leakage the highest power counts at every
    /// temperature, and nothing is said about stability.
    /// </remarks>
    public static FitHeat? Of(BoardCooling? cooling, ChipNeeds needs)
    {
        if (cooling is not { WarmestAirC: { } airC } || ThetaKPerW(cooling) is not { } thetaKPerW)
        {
            return null;
        }
        if (Power(needs) is not { } power)
        {
            return null;
        }
        double errorPercent = cooling.ThetaErrorPercent ?? FitFacts.Limit("theta-error").Value;
        ThermalBalance balance = ThermalBalance.Of(airC, thetaKPerW, power);
        ThermalBalance worst = ThermalBalance.Of(airC, thetaKPerW * (1 + (errorPercent / 100)), power);
        double toC = Math.Max(needs.HottestDieC ?? 0, Math.Max(balance.SettlesC ?? 0, airC + LeastSpanDeltaK)) + 15;
        double fromC = airC - BelowAirDeltaK;
        IReadOnlyList<HeatPoint> curve =
            power.LeakageW > 0
                ?
                [
                    .. Enumerable
                        .Range(0, CurvePoints)
                        .Select(i => fromC + ((toC - fromC) * i / (CurvePoints - 1)))
                        .Select(dieC => new HeatPoint(dieC, power.AtW(dieC), Math.Max(0, (dieC - airC) / thetaKPerW))),
                ]
                : [];
        return new FitHeat(airC, thetaKPerW, errorPercent, needs.HottestDieC, balance, worst, curve);
    }

    /// <summary>Thermal resistance as entered, or by the old chip; null where neither is known [K/W].</summary>
    public static double? ThetaKPerW(BoardCooling cooling) =>
        cooling.ThetaKPerW
        ?? (
            cooling is { OldDieC: { } die, OldAirC: { } air, OldW: { } power } && die > air ? (die - air) / power : null
        );

    private static ChipPower? Power(ChipNeeds needs) =>
        needs
            is { SwitchingW: { } switching, LeakageW: { } leaks, LeakageAtC: { } at, LeakageDoublesDeltaK: { } doubles }
            ? new ChipPower(switching, leaks, at, doubles)
        : needs.MostW is { } most ? new ChipPower(most, 0, 25, 1)
        : null;
}
