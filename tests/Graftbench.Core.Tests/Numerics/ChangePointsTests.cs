using CsCheck;
using Graftbench.Core.Numerics;

namespace Graftbench.Core.Tests.Numerics;

public class ChangePointsTests
{
    [Fact]
    public void Steps_without_noise_are_found_where_they_are() =>
        Assert.Equal([0, 4, 9], ChangePoints.Find([0, 0, 0, 0, 1, 1, 1, 1, 1, 0.5, 0.5, 0.5], penalty: 0.01));

    [Fact]
    public void A_level_of_any_height_is_one_stretch() =>
        Assert.Equal([0], ChangePoints.Find([1e6, 1e6, 1e6, 1e6], penalty: 1e-9));

    [Fact]
    public void An_empty_series_has_no_stretch() => Assert.Empty(ChangePoints.Find([], 1));

    // Every way to cut a short series, one by one: no shared code with the search.
    [Theory, InlineData(1), InlineData(2), InlineData(3)]
    public void No_other_way_to_cut_costs_less(int least) =>
        Gen.Select(Gen.Double[-3, 3].Array[1, 12], Gen.Double[0.05, 4])
            .Sample(
                (values, penalty) =>
                {
                    double found = Cost(values, [.. ChangePoints.Find(values, penalty, least)], penalty);
                    double best = AllCuts(values.Length, least).Min(cuts => Cost(values, cuts, penalty));
                    return Math.Abs(found - best) < 1e-9;
                },
                iter: 600
            );

    // Longer series, against the plain dynamic program that leaves no start out.
    [Theory, InlineData(1), InlineData(3)]
    public void What_is_left_out_never_wins(int least) =>
        Gen.Select(Gen.Double[-1, 1].Array[30, 120], Gen.Int[0, 3].Array[30, 120], Gen.Double[0.1, 5])
            .Sample(
                (noise, levels, penalty) =>
                {
                    double[] values = [.. noise.Zip(levels, (n, l) => (0.3 * n) + (l / 2))];
                    double found = Cost(values, [.. ChangePoints.Find(values, penalty, least)], penalty);
                    return Math.Abs(found - Plain(values, penalty, least)) < 1e-9;
                },
                iter: 300
            );

    [Fact]
    public void Stretches_are_never_shorter_than_asked() =>
        Gen.Select(Gen.Double[-3, 3].Array[5, 60], Gen.Int[1, 5])
            .Sample(
                (values, least) =>
                {
                    int[] cuts = [.. ChangePoints.Find(values, 0.01, least), values.Length];
                    return cuts.Zip(cuts.Skip(1), (from, to) => to - from).All(length => length >= least);
                }
            );

    private static double Plain(double[] values, double penalty, int least)
    {
        double[] best = [-penalty, .. Enumerable.Repeat(double.PositiveInfinity, values.Length)];
        for (int to = least; to <= values.Length; to++)
        {
            for (int from = 0; from <= to - least; from++)
            {
                best[to] = Math.Min(best[to], best[from] + Squares(values[from..to]) + penalty);
            }
        }
        return best[^1] + penalty;
    }

    private static double Cost(double[] values, int[] starts, double penalty) =>
        starts
            .Select(
                (from, i) => Squares(values[from..(i + 1 < starts.Length ? starts[i + 1] : values.Length)]) + penalty
            )
            .Sum();

    private static double Squares(double[] part)
    {
        double mean = part.Average();
        return part.Sum(value => (value - mean) * (value - mean));
    }

    private static IEnumerable<int[]> AllCuts(int n, int least) =>
        Enumerable
            .Range(0, 1 << (n - 1))
            .Select(bits => (int[])[0, .. Enumerable.Range(1, n - 1).Where(i => (bits & (1 << (i - 1))) != 0)])
            .Where(cuts =>
                cuts.Length == 1
                || cuts.Append(n)
                    .Zip(cuts.Skip(1).Append(n), (from, to) => to - from)
                    .Take(cuts.Length)
                    .All(length => length >= least)
            );
}
