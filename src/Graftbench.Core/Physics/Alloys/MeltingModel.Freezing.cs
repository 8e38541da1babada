namespace Graftbench.Core.Physics.Alloys;

public sealed partial class MeltingModel
{
    private const double ScheilStepK = 0.25;

    /// <summary>Freezing of a cooling joint: nothing moves inside what is solid already (Scheil).</summary>
    /// <param name="watchC">A temperature at which the liquid left is wanted [°C].</param>
    public Freezing Freeze(double watchC = 178)
    {
        if (Liquidus().ValueC is not double top)
        {
            return new Freezing(Liquidus(), [], null);
        }
        PhaseSolver melt = new(moles);
        double[] liquid = [.. moles];
        double fraction = 1;
        List<LiquidPoint> curve = [new LiquidPoint(top, 1)];
        double? left = top <= watchC ? 1 : null;
        double temperatureK = Units.Kelvin(top);
        double residualJ = 0;
        while (true)
        {
            double nextK = temperatureK - ScheilStepK;
            if (temperatureK > Units.Kelvin(watchC) && nextK < Units.Kelvin(watchC))
            {
                nextK = Units.Kelvin(watchC);
            }
            temperatureK = nextK;
            if (temperatureK < LowK)
            {
                return new Freezing(
                    MeltPoint.None(
                        $"Some of it is still liquid at {LowK - Units.ZeroCelsiusK:0} °C, where the model ends."
                    ),
                    curve,
                    left
                );
            }
            melt.Take(liquid);
            if (!melt.Solve(temperatureK))
            {
                return new Freezing(
                    MeltPoint.None("The phases of the last melt were not found.", melt.ResidualJ),
                    curve,
                    left
                );
            }
            residualJ = Math.Max(residualJ, melt.ResidualJ);
            PhaseAmount? still = melt.Found.FirstOrDefault(each => each.Phase == 0);
            double share = still is null ? 0 : still.Amount * MeanMass(still.Place) / MeanMass(liquid);
            fraction *= share;
            double temperatureC = temperatureK - Units.ZeroCelsiusK;
            curve.Add(new LiquidPoint(temperatureC, fraction));
            if (Math.Abs(temperatureC - watchC) < 1e-9)
            {
                left = fraction;
            }
            if (fraction < LiquidTrace)
            {
                // The step's start still had liquid: the last drop froze within it.
                return new Freezing(
                    new MeltPoint(temperatureC + ScheilStepK / 2, 3, null, residualJ, null),
                    curve,
                    temperatureC > watchC ? 0 : left
                );
            }
            double sum = 0;
            for (int i = 0; i < liquid.Length; i++)
            {
                liquid[i] = moles[i] > 0 ? Math.Max(still!.Place[i], 1e-14) : 0;
                sum += liquid[i];
            }
            for (int i = 0; i < liquid.Length; i++)
            {
                liquid[i] /= sum;
            }
        }
    }
}

/// <summary>How a joint freezes.</summary>
/// <param name="End">Last drop frozen; until then the board must not move.</param>
/// <param name="Curve">Liquid left while it cools, hottest first.</param>
/// <param name="WatchedFraction">Liquid left at the watched temperature, by mass; null where it was not passed.</param>
public sealed record Freezing(MeltPoint End, IReadOnlyList<LiquidPoint> Curve, double? WatchedFraction);

/// <summary>Liquid at a temperature.</summary>
/// <param name="TemperatureC">Temperature [°C].</param>
/// <param name="LiquidFraction">Share of the mass that is liquid.</param>
public readonly record struct LiquidPoint(double TemperatureC, double LiquidFraction);
