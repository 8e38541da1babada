using Graftbench.Core.Physics.Alloys;

namespace Graftbench.Core.Mixing;

/// <summary>Composition of a solder by mass; the shares add up to 100.</summary>
/// <param name="TinPercent">Tin [%].</param>
/// <param name="LeadPercent">Lead [%].</param>
/// <param name="SilverPercent">Silver [%].</param>
/// <param name="CopperPercent">Copper [%].</param>
/// <param name="BismuthPercent">Bismuth [%].</param>
/// <param name="IndiumPercent">Indium [%].</param>
public sealed record MixShares(
    double TinPercent,
    double LeadPercent,
    double SilverPercent,
    double CopperPercent,
    double BismuthPercent,
    double IndiumPercent
)
{
    internal static MixShares Of(SolderMix mix) =>
        new(
            mix.TinPercent,
            mix.LeadPercent,
            mix.SilverPercent,
            mix.CopperPercent,
            mix.BismuthPercent,
            mix.IndiumPercent
        );

    internal SolderMix ToMix() =>
        new(TinPercent, LeadPercent, SilverPercent, CopperPercent, BismuthPercent, IndiumPercent);
}

/// <summary>An alloy that goes into a joint: a row of the alloy table, or a composition spelled with symbols and % by mass.</summary>
/// <param name="Name">Its name.</param>
/// <param name="Shares">Its composition.</param>
/// <param name="DensityKgPerM3">Density of the solid [kg/m³]: printed, or added up from its elements.</param>
/// <param name="InTable">Whether the alloy table has it.</param>
/// <param name="Source">Where the composition comes from.</param>
public sealed record MixAlloy(string Name, MixShares Shares, double DensityKgPerM3, bool InTable, string Source)
{
    /// <summary>Whether it holds more lead than the 0.1 % that counts as none.</summary>
    public bool Leaded => Shares.LeadPercent > MixFindings.LeadFreePercent;
}

/// <summary>What reading the name of an alloy gave.</summary>
/// <param name="Alloy">The alloy; null where the name is none.</param>
/// <param name="Problem">Why it is none, one sentence.</param>
/// <param name="Todo">What to do.</param>
public sealed record MixAlloyReading(MixAlloy? Alloy, string? Problem, string? Todo);
