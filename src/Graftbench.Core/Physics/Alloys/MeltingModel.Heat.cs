namespace Graftbench.Core.Physics.Alloys;

public sealed partial class MeltingModel
{
    /// <summary>Enthalpy at a temperature in equilibrium; only differences mean something.</summary>
    /// <param name="temperatureC">Temperature [°C].</param>
    /// <returns>Enthalpy [J/kg]; null where the phases were not found.</returns>
    public double? EnthalpyJPerKg(double temperatureC)
    {
        double temperatureK = Units.Kelvin(temperatureC);
        if (!solver.Solve(temperatureK))
        {
            return null;
        }
        solver.State.GoTo(temperatureK, asEnthalpy: true);
        double molar = solver.Found.Sum(each =>
            each.Amount
            * (
                each.Phase < GibbsTable.Solutions
                    ? solver.State.Energy(each.Phase, each.Place)
                    : solver.State.CompoundEnergy(each.Phase - GibbsTable.Solutions)
            )
        );
        return molar / MeanMass(moles) * 1000;
    }

    /// <summary>Specific heat in equilibrium: over a range where phases dissolve it contains their heat.</summary>
    /// <param name="temperatureC">Temperature [°C].</param>
    /// <returns>Specific heat [J/(kg K)], ±5 %; null where the phases were not found.</returns>
    public double? SpecificHeatJPerKgK(double temperatureC) =>
        (EnthalpyJPerKg(temperatureC + 0.5) - EnthalpyJPerKg(temperatureC - 0.5)) / 1.0;

    /// <summary>Heat from just below the solidus to just above the liquidus: melting, dissolving the compounds, warming in between.</summary>
    /// <returns>Heat [J/kg], ±5 %; null where the melting range was not found.</returns>
    public double? MeltingHeatJPerKg()
    {
        if (Liquidus().ValueC is not double top || Solidus().ValueC is not double bottom)
        {
            return null;
        }
        const double Off = 0.05;
        return EnthalpyJPerKg(top + Off) - EnthalpyJPerKg(bottom - Off);
    }

    /// <summary>Mean of the elements' own specific heats by mass at 45 °C: what a ramp of minutes takes up while solid.</summary>
    public double? MeanSolidHeatJPerKgK()
    {
        (double Percent, SolderMix Element)[] parts =
        [
            (Mix.TinPercent, new SolderMix(100)),
            (Mix.LeadPercent, new SolderMix(0, 100)),
            (Mix.SilverPercent, new SolderMix(0, 0, 100)),
            (Mix.CopperPercent, new SolderMix(0, 0, 0, 100)),
            (Mix.BismuthPercent, new SolderMix(0, 0, 0, 0, 100)),
        ];
        GibbsState state = new();
        double sum = 0;
        foreach ((double percent, SolderMix element) in parts)
        {
            double[] x = element.MoleFractions();
            state.GoTo(Units.Kelvin(46), asEnthalpy: true);
            double hot = GibbsState.Dot(x, state.Reference);
            state.GoTo(Units.Kelvin(44), asEnthalpy: true);
            sum += percent / 100 * (hot - GibbsState.Dot(x, state.Reference)) / 2 / MeanMass(x) * 1000;
        }
        return sum;
    }
}
