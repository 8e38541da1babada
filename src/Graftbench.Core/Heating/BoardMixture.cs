using Graftbench.Core.Facts;

namespace Graftbench.Core.Heating;

/// <summary>A bare board taken for one material, by the mixture rule, beside a rival form that was fitted to boards.</summary>
/// <param name="ThicknessMm">Thickness of the board [mm].</param>
/// <param name="CopperThicknessMm">All continuous copper added up [mm].</param>
/// <param name="InPlaneWPerMK">Conductivity along the board [W/(m K)].</param>
/// <param name="ThroughWPerMK">Conductivity through it [W/(m K)].</param>
/// <param name="DensityKgPerM3">Density [kg/m³].</param>
/// <param name="SpecificHeatJPerKgK">Specific heat [J/(kg K)].</param>
/// <param name="RivalInPlaneWPerMK">Conductivity along the board after Azar and Graebner [W/(m K)].</param>
/// <param name="RivalThroughWPerMK">Conductivity through it after the same [W/(m K)].</param>
public sealed record BoardMixture(
    double ThicknessMm,
    double CopperThicknessMm,
    double InPlaneWPerMK,
    double ThroughWPerMK,
    double DensityKgPerM3,
    double SpecificHeatJPerKgK,
    double RivalInPlaneWPerMK,
    double RivalThroughWPerMK
)
{
    /// <summary>Heat that a square metre of the board takes up per kelvin [J/(m² K)].</summary>
    public double ArealJPerM2K => DensityKgPerM3 * SpecificHeatJPerKgK * ThicknessMm / 1000;

    /// <summary>Half of the natural logarithm between the two forms' conductivity along the board.</summary>
    public double SpreadLogSdRatio => Math.Abs(Math.Log(InPlaneWPerMK / RivalInPlaneWPerMK)) / 2;

    /// <summary>The mixture of a board from its table materials.</summary>
    /// <param name="thicknessMm">Thickness of the board [mm], above 0.</param>
    /// <param name="copperThicknessMm">Continuous copper [mm], 0 up to the thickness.</param>
    public static BoardMixture Of(double thicknessMm, double copperThicknessMm) =>
        Of(thicknessMm, copperThicknessMm, HeatMaterials.Of("laminate"), HeatMaterials.Of("copper"));

    /// <summary>The mixture of a board from given materials.</summary>
    /// <param name="thicknessMm">Thickness of the board [mm], above 0.</param>
    /// <param name="copperThicknessMm">Continuous copper [mm], 0 up to the thickness.</param>
    /// <param name="laminate">What is not copper.</param>
    /// <param name="copper">Copper.</param>
    /// <remarks>
    /// Along: Σ(t k)/t. Through: t/Σ(t/k). Heat: Σ(t ρ c)/t. Only planes and fills that run on count; broken tracks hardly
    /// conduct along the board. Rival form: k = 0.8 + 350 s along, 1/(1.69 (1 - s) + 0.0026 s) through, s the copper share.
    /// </remarks>
    /// <exception cref="ArgumentOutOfRangeException">A thickness is no number, or more copper than board.</exception>
    public static BoardMixture Of(
        double thicknessMm,
        double copperThicknessMm,
        HeatMaterial laminate,
        HeatMaterial copper
    )
    {
        Require.FinitePositive(thicknessMm);
        Require.Within(copperThicknessMm, 0, thicknessMm);
        double share = copperThicknessMm / thicknessMm;
        double rest = 1 - share;
        double density = share * copper.DensityKgPerM3 + rest * laminate.DensityKgPerM3;
        double capacity =
            share * copper.DensityKgPerM3 * copper.SpecificHeatJPerKgK
            + rest * laminate.DensityKgPerM3 * laminate.SpecificHeatJPerKgK;
        return new BoardMixture(
            thicknessMm,
            copperThicknessMm,
            share * copper.InPlaneWPerMK + rest * laminate.InPlaneWPerMK,
            1 / (share / copper.ThroughWPerMK + rest / laminate.ThroughWPerMK),
            density,
            capacity / density,
            HeatFilms.Of("board.form-base").Value + HeatFilms.Of("board.form-slope").Value * share,
            1 / (HeatFilms.Of("board.form-laminate").Value * rest + HeatFilms.Of("board.form-copper").Value * share)
        );
    }
}
