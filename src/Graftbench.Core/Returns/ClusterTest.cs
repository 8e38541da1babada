using Graftbench.Core.Numerics;

namespace Graftbench.Core.Returns;

/// <summary>A place in a ball field.</summary>
/// <param name="Row">Row, from 0.</param>
/// <param name="Column">Column, from 0.</param>
public readonly record struct FieldSite(int Row, int Column);

/// <summary>How close together some balls lie, against chance.</summary>
/// <param name="MeanPitchNumber">Mean distance of the balls to each other, in pitches; null below two balls.</param>
/// <param name="TogetherFraction">Chance that as many balls taken at random from those measured lie as close or closer; null below two balls.</param>
/// <param name="CornerPitchNumber">Mean distance of the balls to their nearest corner, in pitches.</param>
/// <param name="CornerFraction">Chance that as many taken at random lie as close to corners or closer.</param>
/// <param name="OneCornerPitchNumber">Mean distance of the balls to that one corner which is nearest to all of them together, in pitches.</param>
/// <param name="Choices">How many choices of balls were looked at.</param>
/// <param name="Exact">Whether these are all there are; else a fixed sequence of random ones.</param>
public sealed record ClusterChance(
    double? MeanPitchNumber,
    double? TogetherFraction,
    double CornerPitchNumber,
    double CornerFraction,
    double OneCornerPitchNumber,
    int Choices,
    bool Exact
);

/// <summary>Tests whether balls cluster: chosen from the measured ones, how often would chance put them as close?</summary>
/// <remarks>
/// A permutation test: all choices of as many balls where there are <see cref="MostExact"/> or fewer, else
/// <see cref="Draws"/> of a fixed sequence. A chance from draws is (1 + as close) / (1 + draws), so it is never 0. The same
/// balls give the same chance in any order.
/// </remarks>
public static class ClusterTest
{
    /// <summary>Most choices that are gone through one by one.</summary>
    public const int MostExact = 50_000;

    /// <summary>Draws where there are more.</summary>
    public const int Draws = 19_999;

    private const ulong Seed = 20_071;
    private const double Tolerance = 1e-9;

    /// <summary>The test.</summary>
    /// <param name="chosen">Balls that stand out, each once.</param>
    /// <param name="measured">Balls that were measured, those that stand out included.</param>
    /// <param name="rows">Rows of the field.</param>
    /// <param name="columns">Columns of the field.</param>
    /// <exception cref="ArgumentException">No ball stands out, or one that does was not measured.</exception>
    public static ClusterChance Of(
        IReadOnlyCollection<FieldSite> chosen,
        IReadOnlyCollection<FieldSite> measured,
        int rows,
        int columns
    )
    {
        ArgumentNullException.ThrowIfNull(chosen);
        ArgumentNullException.ThrowIfNull(measured);
        FieldSite[] all = [.. measured.Distinct().OrderBy(site => site.Row).ThenBy(site => site.Column)];
        int[] own = [.. chosen.Distinct().Select(site => Array.IndexOf(all, site)).Order()];
        if (own.Length == 0 || own[0] < 0)
        {
            throw new ArgumentException("Needs at least one ball, and each of them measured.", nameof(chosen));
        }
        double[] corner = [.. all.Select(site => CornerDistance(site, rows, columns))];
        int k = own.Length;
        double together = MeanDistance(all, own);
        double atCorner = MeanCorner(corner, own);
        long asClose = 0;
        long asCorner = 0;
        int looked = 0;
        void Look(int[] pick)
        {
            looked++;
            asClose += MeanDistance(all, pick) <= together + Tolerance ? 1 : 0;
            asCorner += MeanCorner(corner, pick) <= atCorner + Tolerance ? 1 : 0;
        }
        bool exact = Choices(all.Length, k) <= MostExact;
        if (exact)
        {
            EachChoice(all.Length, k, Look);
        }
        else
        {
            Dice dice = new(Seed);
            int[] order = [.. Enumerable.Range(0, all.Length)];
            int[] pick = new int[k];
            for (int draw = 0; draw < Draws; draw++)
            {
                for (int i = 0; i < k; i++)
                {
                    int other = i + (int)(dice.Uniform() * (all.Length - i));
                    (order[i], order[other]) = (order[other], order[i]);
                    pick[i] = order[i];
                }
                Look(pick);
            }
        }
        int add = exact ? 0 : 1;
        return new ClusterChance(
            k < 2 ? null : together,
            k < 2 ? null : (double)(asClose + add) / (looked + add),
            atCorner,
            (double)(asCorner + add) / (looked + add),
            OneCorner([.. own.Select(at => all[at])], rows, columns),
            looked,
            exact
        );
    }

    /// <summary>How many choices of k out of n there are, no more than can be counted.</summary>
    internal static double Choices(int n, int k)
    {
        double choices = 1;
        for (int i = 1; i <= Math.Min(k, n - k); i++)
        {
            choices = choices * (n - Math.Min(k, n - k) + i) / i;
        }
        return Math.Round(choices);
    }

    private static void EachChoice(int n, int k, Action<int[]> look)
    {
        int[] pick = [.. Enumerable.Range(0, k)];
        while (true)
        {
            look(pick);
            int at = k - 1;
            while (at >= 0 && pick[at] == n - k + at)
            {
                at--;
            }
            if (at < 0)
            {
                return;
            }
            pick[at]++;
            for (int i = at + 1; i < k; i++)
            {
                pick[i] = pick[i - 1] + 1;
            }
        }
    }

    private static double MeanDistance(FieldSite[] all, int[] pick)
    {
        double sum = 0;
        for (int i = 0; i < pick.Length; i++)
        {
            for (int j = i + 1; j < pick.Length; j++)
            {
                double rows = all[pick[i]].Row - all[pick[j]].Row;
                double columns = all[pick[i]].Column - all[pick[j]].Column;
                sum += Math.Sqrt((rows * rows) + (columns * columns));
            }
        }
        int pairs = pick.Length * (pick.Length - 1) / 2;
        return pairs == 0 ? 0 : sum / pairs;
    }

    private static double MeanCorner(double[] corner, int[] pick)
    {
        double sum = 0;
        foreach (int one in pick)
        {
            sum += corner[one];
        }
        return sum / pick.Length;
    }

    private static double OneCorner(FieldSite[] chosen, int rows, int columns) =>
        new[] { (0, 0), (0, columns - 1), (rows - 1, 0), (rows - 1, columns - 1) }.Min(corner =>
            chosen.Average(site => double.Hypot(site.Row - corner.Item1, site.Column - corner.Item2))
        );

    private static double CornerDistance(FieldSite site, int rows, int columns)
    {
        double down = Math.Min(site.Row, rows - 1 - site.Row);
        double across = Math.Min(site.Column, columns - 1 - site.Column);
        return Math.Sqrt((down * down) + (across * across));
    }
}
