using Graftbench.Core.Physics.Heat;

namespace Graftbench.Core.Heating;

/// <summary>Scales a factor that an assumption names.</summary>
internal static class FactorNames
{
    /// <summary>The factors with one of them multiplied.</summary>
    /// <exception cref="ArgumentException">There is no factor of that name.</exception>
    public static HeatFactors Scaled(HeatFactors factors, string name, double by) =>
        name switch
        {
            nameof(HeatFactors.TopFactor) => factors with { TopFactor = factors.TopFactor * by },
            nameof(HeatFactors.SpillFactor) => factors with { SpillFactor = factors.SpillFactor * by },
            nameof(HeatFactors.BottomFactor) => factors with { BottomFactor = factors.BottomFactor * by },
            nameof(HeatFactors.AmbientFactor) => factors with { AmbientFactor = factors.AmbientFactor * by },
            nameof(HeatFactors.RadiationFactor) => factors with { RadiationFactor = factors.RadiationFactor * by },
            nameof(HeatFactors.BoardConductivityFactor) => factors with
            {
                BoardConductivityFactor = factors.BoardConductivityFactor * by,
            },
            nameof(HeatFactors.BoardCapacityFactor) => factors with
            {
                BoardCapacityFactor = factors.BoardCapacityFactor * by,
            },
            nameof(HeatFactors.SubstrateConductivityFactor) => factors with
            {
                SubstrateConductivityFactor = factors.SubstrateConductivityFactor * by,
            },
            nameof(HeatFactors.GasExcessFactor) => factors with { GasExcessFactor = factors.GasExcessFactor * by },
            nameof(HeatFactors.PreheaterExcessFactor) => factors with
            {
                PreheaterExcessFactor = factors.PreheaterExcessFactor * by,
            },
            nameof(HeatFactors.GasLagFactor) => factors with { GasLagFactor = factors.GasLagFactor * by },
            nameof(HeatFactors.PreheaterLagFactor) => factors with
            {
                PreheaterLagFactor = factors.PreheaterLagFactor * by,
            },
            _ => throw new ArgumentException($"There is no factor {name}.", nameof(name)),
        };
}
