using Graftbench.Core.Numerics;

namespace Graftbench.Core.Insight;

/// <summary>So many of so many, with how far the share behind it may lie from what was counted.</summary>
/// <param name="Hits">How many did.</param>
/// <param name="Total">Of how many.</param>
/// <param name="LowFraction">Lower end of the 95 % interval.</param>
/// <param name="HighFraction">Upper end of the 95 % interval.</param>
public sealed record CountedShare(int Hits, int Total, double LowFraction, double HighFraction)
{
    /// <summary>Fewest cases that a percentage is told from.</summary>
    public const int FewestForPercent = 10;

    private const double Tail = 0.025;

    /// <summary>The share that was counted; null without a case.</summary>
    public double? PointFraction => Total == 0 ? null : (double)Hits / Total;

    /// <summary>Whether there are enough cases to tell a percentage.</summary>
    public bool HasPercent => Total >= FewestForPercent;

    /// <summary>The share with its exact interval.</summary>
    /// <param name="hits">How many did, 0 to <paramref name="total"/>.</param>
    /// <param name="total">Of how many; 0 gives the interval from 0 to 1: nothing is known.</param>
    /// <remarks>
    /// Interval of Clopper and Pearson, 95 %: the shares that an exact test with 2.5 % at each end would not reject. It covers
    /// the true share in at least 95 % of cases, whatever the number of cases, and is rather too wide than too narrow. [1]
    /// <para>[1] C. J. Clopper, E. S. Pearson 1934, The use of confidence or fiducial limits illustrated in the case of the
    /// binomial, Biometrika 26, 404-413.</para>
    /// </remarks>
    public static CountedShare Of(int hits, int total)
    {
        ArgumentOutOfRangeException.ThrowIfNegative(hits);
        ArgumentOutOfRangeException.ThrowIfLessThan(total, hits);
        double low = hits == 0 ? 0 : BetaDistribution.Quantile(Tail, hits, total - hits + 1);
        double high = hits == total ? 1 : BetaDistribution.Quantile(1 - Tail, hits + 1, total - hits);
        return new CountedShare(hits, total, low, high);
    }
}
