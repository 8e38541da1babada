namespace Graftbench.Core.Numerics;

/// <summary>Cuts a series into stretches of one level each.</summary>
public static class ChangePoints
{
    /// <summary>
    /// The exact least of Σ (yᵢ - mean of its stretch)² + penalty · stretches over all ways to cut the series.
    /// </summary>
    /// <param name="values">The series, finite.</param>
    /// <param name="penalty">Price of a stretch, above 0, in the square of the values' unit.</param>
    /// <param name="least">Fewest values of a stretch, 1 or more.</param>
    /// <returns>Where stretches begin, the first at 0; empty for an empty series.</returns>
    /// <remarks>
    /// Dynamic programming over the last cut, with starts left out that can never win again (R. Killick, P. Fearnhead, I. A.
    /// Eckley, JASA 107 (2012) 1590: PELT). A start is left out once the cost up to a place, without a further price, exceeds
    /// the best to there; with a least length it stays for that many more places. Time between n and n².
    /// </remarks>
    public static IReadOnlyList<int> Find(ReadOnlySpan<double> values, double penalty, int least = 1)
    {
        Require.FinitePositive(penalty);
        ArgumentOutOfRangeException.ThrowIfLessThan(least, 1);
        int n = values.Length;
        if (n == 0)
        {
            return [];
        }
        // Sums from the mean keep digits where the level is large against the noise.
        double mean = 0;
        foreach (double value in values)
        {
            mean += value / n;
        }
        double[] sums = new double[n + 1];
        double[] squares = new double[n + 1];
        for (int i = 0; i < n; i++)
        {
            double off = values[i] - mean;
            sums[i + 1] = sums[i] + off;
            squares[i + 1] = squares[i] + (off * off);
        }
        double Cost(int from, int to)
        {
            double sum = sums[to] - sums[from];
            return Math.Max(0, squares[to] - squares[from] - (sum * sum / (to - from)));
        }
        double[] best = new double[n + 1];
        int[] start = new int[n + 1];
        best[0] = -penalty;
        for (int i = 1; i < Math.Min(least, n + 1); i++)
        {
            best[i] = double.PositiveInfinity;
        }
        List<int> starts = [0];
        int[] leavesAt = new int[n + 1];
        for (int to = Math.Min(least, n); to <= n; to++)
        {
            starts.RemoveAll(from => leavesAt[from] > 0 && leavesAt[from] <= to);
            best[to] = double.PositiveInfinity;
            foreach (int from in starts)
            {
                double cost = best[from] + Cost(from, to) + penalty;
                if (cost < best[to])
                {
                    (best[to], start[to]) = (cost, from);
                }
            }
            foreach (int from in starts)
            {
                // What loses by now even without a price loses to a cut here from the next full stretch on.
                if (leavesAt[from] == 0 && best[from] + Cost(from, to) > best[to])
                {
                    leavesAt[from] = to + least;
                }
            }
            if (to + 1 - least is > 0 and int next)
            {
                starts.Add(next);
            }
        }
        List<int> cuts = [];
        for (int at = n; at > 0; at = start[at])
        {
            cuts.Add(start[at]);
        }
        cuts.Reverse();
        return cuts;
    }
}
