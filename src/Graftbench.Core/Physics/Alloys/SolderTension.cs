using Graftbench.Core.Facts;

namespace Graftbench.Core.Physics.Alloys;

/// <summary>What lies on the molten solder.</summary>
public enum MeltCover
{
    /// <summary>Flux.</summary>
    Flux,

    /// <summary>Nitrogen, no flux.</summary>
    Nitrogen,

    /// <summary>Bare in air.</summary>
    Air,
}

/// <summary>Surface tension with its range.</summary>
/// <param name="TensionNPerM">Value to use [N/m].</param>
/// <param name="LowNPerM">Low end [N/m].</param>
/// <param name="HighNPerM">High end [N/m].</param>
/// <param name="Cover">What it holds for.</param>
public sealed record TensionRange(double TensionNPerM, double LowNPerM, double HighNPerM, MeltCover Cover);

/// <summary>Surface tension of molten solders: an input with a range, never a constant.</summary>
/// <remarks>
/// Design values ±10 % chosen among published and remembered ones: under flux tin-lead 0.40, SAC 0.45, Sn42Bi58 0.34; in
/// nitrogen 0.48, 0.55, 0.40; in air 0.417, 0.475, 0.319 N/m (from memory). Mixtures: linear in mass between tin-rich,
/// tin-lead and tin-bismuth; tin-lead bends below the line by less than 4 %.
/// </remarks>
public static class SolderTension
{
    private const double RangeRatio = 0.1;
    private static readonly double[] TinRich = [0.45, 0.55, 0.475];
    private static readonly double[] TinLead = [0.40, 0.48, 0.417];
    private static readonly double[] TinBismuth = [0.34, 0.40, 0.319];

    /// <summary>Surface tension of a known alloy; null where no figure is known (indium, high lead outside nitrogen).</summary>
    /// <param name="alloy">Alloy.</param>
    /// <param name="cover">What lies on the melt.</param>
    public static TensionRange? Of(Alloy alloy, MeltCover cover) => Of(SolderMix.Of(alloy), cover);

    /// <summary>Surface tension of an alloy by its composition, taken from the nearest of the three families.</summary>
    /// <param name="alloy">One alloy, not a mixture of alloys.</param>
    /// <param name="cover">What lies on the melt.</param>
    public static TensionRange? Of(SolderMix alloy, MeltCover cover)
    {
        ArgumentNullException.ThrowIfNull(alloy);
        if (alloy.IndiumPercent > 0 || (alloy.LeadPercent > 50 && cover != MeltCover.Nitrogen))
        {
            return null;
        }
        double value =
            alloy.LeadPercent > 50 ? 0.45
            : alloy.BismuthPercent > 20 ? TinBismuth[(int)cover]
            : alloy.LeadPercent > 0.1 ? TinLead[(int)cover]
            : TinRich[(int)cover];
        return Range(value, cover);
    }

    /// <summary>Surface tension of a mixture, linear in mass; null where one part has no figure.</summary>
    /// <param name="cover">What lies on the melt.</param>
    /// <param name="parts">Alloys and their masses; not all 0.</param>
    public static TensionRange? Of(MeltCover cover, params IReadOnlyList<(Alloy Alloy, double MassFraction)> parts)
    {
        ArgumentNullException.ThrowIfNull(parts);
        return Of(cover, [.. parts.Select(part => (SolderMix.Of(part.Alloy), part.MassFraction))]);
    }

    /// <summary>Surface tension of a mixture, linear in mass; null where one part has no figure.</summary>
    /// <param name="cover">What lies on the melt.</param>
    /// <param name="parts">Compositions of the alloys and their masses; not all 0.</param>
    public static TensionRange? Of(MeltCover cover, params IReadOnlyList<(SolderMix Alloy, double MassFraction)> parts)
    {
        ArgumentNullException.ThrowIfNull(parts);
        double total = parts.Sum(part => part.MassFraction);
        Require.FinitePositive(total);
        double sum = 0;
        foreach ((SolderMix alloy, double mass) in parts)
        {
            if (mass > 0)
            {
                if (Of(alloy, cover) is not TensionRange one)
                {
                    return null;
                }
                sum += mass * one.TensionNPerM;
            }
        }
        return Range(sum / total, cover);
    }

    private static TensionRange Range(double value, MeltCover cover) =>
        new(value, value * (1 - RangeRatio), value * (1 + RangeRatio), cover);
}
