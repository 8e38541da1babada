using Graftbench.Core.Facts;

namespace Graftbench.Core.Physics.Alloys;

/// <summary>Composition of a solder by mass; the shares add up to 100.</summary>
/// <param name="TinPercent">Tin [%].</param>
/// <param name="LeadPercent">Lead [%].</param>
/// <param name="SilverPercent">Silver [%].</param>
/// <param name="CopperPercent">Copper [%].</param>
/// <param name="BismuthPercent">Bismuth [%].</param>
/// <param name="IndiumPercent">Indium [%]; densities know it, the melting model does not.</param>
public sealed record SolderMix(
    double TinPercent,
    double LeadPercent = 0,
    double SilverPercent = 0,
    double CopperPercent = 0,
    double BismuthPercent = 0,
    double IndiumPercent = 0
)
{
    /// <summary>Composition of a known alloy.</summary>
    /// <param name="alloy">Row of the alloy table.</param>
    public static SolderMix Of(Alloy alloy)
    {
        ArgumentNullException.ThrowIfNull(alloy);
        return new SolderMix(
            alloy.TinPercent,
            alloy.LeadPercent,
            alloy.SilverPercent,
            alloy.CopperPercent,
            alloy.BismuthPercent,
            alloy.IndiumPercent
        ).Whole();
    }

    /// <summary>Mixes masses: w = Σ m wₖ / Σ m.</summary>
    /// <param name="parts">Composition and mass [mg] of each part; masses 0 or above, not all 0.</param>
    public static SolderMix Blend(params IReadOnlyList<(SolderMix Mix, double MassFraction)> parts)
    {
        ArgumentNullException.ThrowIfNull(parts);
        double total = parts.Sum(part => part.MassFraction);
        Require.FinitePositive(total);
        double Share(Func<SolderMix, double> of) => parts.Sum(part => part.MassFraction * of(part.Mix)) / total;
        return new SolderMix(
            Share(mix => mix.TinPercent),
            Share(mix => mix.LeadPercent),
            Share(mix => mix.SilverPercent),
            Share(mix => mix.CopperPercent),
            Share(mix => mix.BismuthPercent),
            Share(mix => mix.IndiumPercent)
        );
    }

    /// <summary>The same composition with shares that add up to 100 exactly.</summary>
    public SolderMix Whole()
    {
        double sum = TinPercent + LeadPercent + SilverPercent + CopperPercent + BismuthPercent + IndiumPercent;
        Require.FinitePositive(sum);
        double by = 100 / sum;
        return new SolderMix(
            TinPercent * by,
            LeadPercent * by,
            SilverPercent * by,
            CopperPercent * by,
            BismuthPercent * by,
            IndiumPercent * by
        );
    }

    /// <summary>Mole fractions Ag, Bi, Cu, Pb, Sn; indium left out.</summary>
    internal double[] MoleFractions()
    {
        double[] x = [SilverPercent, BismuthPercent, CopperPercent, LeadPercent, TinPercent];
        double sum = 0;
        for (int i = 0; i < x.Length; i++)
        {
            x[i] /= GibbsTable.Shared.MolarMass[i];
            sum += x[i];
        }
        for (int i = 0; i < x.Length; i++)
        {
            // Less than one atom in 10¹¹ changes nothing and costs digits.
            x[i] = x[i] / sum < 1e-11 ? 0 : x[i] / sum;
        }
        return x;
    }

    /// <summary>Composition by mass from mole fractions Ag, Bi, Cu, Pb, Sn.</summary>
    internal static SolderMix OfMoles(ReadOnlySpan<double> x)
    {
        double[] m = GibbsTable.Shared.MolarMass;
        return new SolderMix(x[4] * m[4], x[3] * m[3], x[0] * m[0], x[2] * m[2], x[1] * m[1]).Whole();
    }
}
