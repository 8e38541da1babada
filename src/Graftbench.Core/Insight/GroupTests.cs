using Graftbench.Core.Numerics;

namespace Graftbench.Core.Insight;

/// <summary>Tests whether two counted shares differ by more than chance.</summary>
public static class GroupTests
{
    /// <summary>Chance below which a difference is named, after the correction.</summary>
    public const double NamedBelowFraction = 0.05;

    // Tables that are as likely as the one seen but for rounding count as such.
    private const double Alike = 1 + 1e-7;

    /// <summary>Fisher's exact test of a table of two by two, two-sided.</summary>
    /// <param name="hits">Hits of the one group.</param>
    /// <param name="misses">Its misses.</param>
    /// <param name="otherHits">Hits of the other group.</param>
    /// <param name="otherMisses">Its misses.</param>
    /// <returns>Chance of a table as unlikely as this one or more so, where the groups do not differ; 1 for an empty group.</returns>
    /// <remarks>
    /// Sums of rows and columns are held fixed; the chances of all tables that are at most as likely as the one seen are
    /// added. [1]
    /// <para>[1] R. A. Fisher 1935, The design of experiments, ch. 2.</para>
    /// </remarks>
    public static double Fisher(int hits, int misses, int otherHits, int otherMisses)
    {
        ArgumentOutOfRangeException.ThrowIfNegative(hits);
        ArgumentOutOfRangeException.ThrowIfNegative(misses);
        ArgumentOutOfRangeException.ThrowIfNegative(otherHits);
        ArgumentOutOfRangeException.ThrowIfNegative(otherMisses);
        int one = hits + misses;
        int other = otherHits + otherMisses;
        int allHits = hits + otherHits;
        int all = one + other;
        double LogChance(int k) => LogChoose(one, k) + LogChoose(other, allHits - k) - LogChoose(all, allHits);
        double seen = LogChance(hits) + Math.Log(Alike);
        double sum = 0;
        for (int k = Math.Max(0, allHits - other); k <= Math.Min(one, allHits); k++)
        {
            double chance = LogChance(k);
            if (chance <= seen)
            {
                sum += Math.Exp(chance);
            }
        }
        return Math.Min(1, sum);
    }

    /// <summary>Chances of several tests, corrected for their number.</summary>
    /// <param name="chances">Chance of each test, 0 to 1.</param>
    /// <returns>Corrected chances, in the same order; each at least as large as before, at most 1, their order kept.</returns>
    /// <remarks>
    /// Holm: the smallest is taken times their number, the next times one less, and so on, and none is smaller than the one
    /// before. The chance that any difference is named where there is none stays below the limit. [1]
    /// <para>[1] S. Holm 1979, A simple sequentially rejective multiple test procedure, Scandinavian Journal of Statistics 6,
    /// 65-70.</para>
    /// </remarks>
    public static IReadOnlyList<double> Holm(IReadOnlyList<double> chances)
    {
        ArgumentNullException.ThrowIfNull(chances);
        double[] corrected = new double[chances.Count];
        double least = 0;
        int rank = 0;
        foreach (int i in Enumerable.Range(0, chances.Count).OrderBy(i => chances[i]))
        {
            least = Math.Min(1, Math.Max(least, (chances.Count - rank) * chances[i]));
            corrected[i] = least;
            rank++;
        }
        return corrected;
    }

    private static double LogChoose(int n, int k) =>
        ChiSquare.LogGamma(n + 1) - ChiSquare.LogGamma(k + 1) - ChiSquare.LogGamma(n - k + 1);
}
