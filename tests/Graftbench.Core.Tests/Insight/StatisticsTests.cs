using CsCheck;
using Graftbench.Core.Insight;
using Graftbench.Core.Numerics;
using Graftbench.Tests.Checks;

namespace Graftbench.Core.Tests.Insight;

public class StatisticsTests
{
    private const string Newcombe = "R. G. Newcombe 1998, Statistics in Medicine 17, 857-872, table I, method 5";
    private const string SciPy = "SciPy 1.10.1";

    // Interval of Clopper and Pearson; the tolerance is the last printed digit.
    [Theory]
    [InlineData(81, 263, 0.2527, 0.3676, 5e-5, Newcombe)]
    [InlineData(15, 148, 0.0578, 0.1617, 5e-5, Newcombe)]
    [InlineData(0, 20, 0.0000, 0.1684, 5e-5, Newcombe)]
    [InlineData(1, 29, 0.0009, 0.1776, 5e-5, Newcombe)]
    [InlineData(0, 1, 0, 0.975, 1e-9, SciPy)]
    [InlineData(1, 1, 0.025, 1, 1e-9, SciPy)]
    [InlineData(3, 4, 0.194120450, 0.993690537, 1e-9, SciPy)]
    [InlineData(1, 10, 0.002528579, 0.445016117, 1e-9, SciPy)]
    [InlineData(15, 20, 0.508954128, 0.913428531, 1e-9, SciPy)]
    [InlineData(999, 1000, 0.994441076, 0.999974683, 1e-9, SciPy)]
    [InlineData(19000, 20000, 0.946888432, 0.952979910, 1e-9, SciPy)]
    public void Interval_of_a_share(int hits, int total, double low, double high, double tolerance, string source)
    {
        CountedShare share = CountedShare.Of(hits, total);
        Truth.Note(
            "insight.intervals",
            Math.Max(Math.Abs(share.LowFraction - low), Math.Abs(share.HighFraction - high))
        );
        Assert.True(Math.Abs(share.LowFraction - low) <= tolerance, $"{share.LowFraction} by {source}");
        Assert.True(Math.Abs(share.HighFraction - high) <= tolerance, $"{share.HighFraction} by {source}");
    }

    [Theory]
    [InlineData(0.3, 2, 5, 0.5798250000000003)]
    [InlineData(0.01, 0.5, 0.5, 0.06376856085851985)]
    [InlineData(0.97, 30, 1.5, 0.6057005616050082)]
    [InlineData(0.5, 500, 510, 0.6235397566556702)]
    [InlineData(0.2, 1, 1, 0.2)]
    public void Beta_distribution_by_SciPy(double value, double alpha, double beta, double expected) =>
        Assert.Equal(expected, BetaDistribution.Cumulative(value, alpha, beta), 11);

    // Tea: R. A. Fisher 1935, The design of experiments, ch. 2; four cups of eight, three found: 34/70.
    [Theory]
    [InlineData(3, 1, 1, 3, 34.0 / 70, "Fisher 1935")]
    [InlineData(8, 2, 1, 5, 0.034965034965034975, SciPy)]
    [InlineData(12, 3, 20, 25, 0.019843461739814137, SciPy)]
    [InlineData(0, 7, 9, 1, 0.00041135335252982314, SciPy)]
    [InlineData(40, 60, 70, 30, 3.304592989272319e-05, SciPy)]
    [InlineData(1, 0, 0, 1, 1, SciPy)]
    [InlineData(5, 0, 12, 0, 1, SciPy)]
    [InlineData(2, 10, 15, 3, 0.0005367241191434357, SciPy)]
    public void Exact_test_of_two_groups(int a, int b, int c, int d, double expected, string source)
    {
        double found = GroupTests.Fisher(a, b, c, d);
        Assert.True(Math.Abs(found - expected) <= 1e-9 * expected, $"{found} by {source}");
    }

    // S. Holm 1979: 0.01, 0.02, 0.03, 0.04 times 4, 3, 2, 1, none below the one before.
    [Fact]
    public void Chances_are_corrected_step_by_step() =>
        Assert.Equal(
            [0.06, 0.04, 0.06, 0.06],
            GroupTests.Holm([0.03, 0.01, 0.02, 0.04]).Select(p => Math.Round(p, 12))
        );

    // E. J. Freireich and others 1963, Blood 21, 699-716: weeks of remission with 6-mercaptopurine; true: relapse.
    // Shares as printed in J. P. Klein, M. L. Moeschberger 2003, table 4.1.
    private static readonly KnownSpan[] Freireich =
    [
        .. new double[] { 6, 6, 6, 7, 10, 13, 16, 22, 23 }.Select(week => new KnownSpan(week, true)),
        .. new double[] { 6, 9, 10, 11, 17, 19, 20, 25, 32, 32, 34, 35 }.Select(week => new KnownSpan(week, false)),
    ];

    [Theory]
    [InlineData(6, 21, 3, 0.857)]
    [InlineData(7, 17, 1, 0.807)]
    [InlineData(10, 15, 1, 0.753)]
    [InlineData(13, 12, 1, 0.690)]
    [InlineData(16, 11, 1, 0.627)]
    [InlineData(22, 7, 1, 0.538)]
    [InlineData(23, 6, 1, 0.448)]
    public void Remission_curve_of_Freireich(double week, int atRisk, int relapsed, double expected)
    {
        SurvivalStep step = SurvivalCurve.Of(Freireich).At(week)!;
        Assert.Equal(atRisk, step.AtRisk);
        Assert.Equal(relapsed, step.CameBack);
        Assert.Equal(expected, step.WorksFraction, 0.0005);
    }

    // Standard errors of the same table: 0.0764 at 6 and 0.1346 at 23; the interval is laid on log(-log S).
    [Theory, InlineData(6, 0.0764), InlineData(23, 0.1346)]
    public void Greenwood_interval_of_Freireich(double week, double error)
    {
        SurvivalStep step = SurvivalCurve.Of(Freireich).At(week)!;
        double s = step.WorksFraction;
        double spread = 1.959964 * error / (s * Math.Log(s));
        Assert.Equal(Math.Pow(s, Math.Exp(-spread)), step.LowFraction, 0.001);
        Assert.Equal(Math.Pow(s, Math.Exp(spread)), step.HighFraction, 0.001);
    }

    [Fact]
    public void The_curve_is_drawn_only_as_far_as_five_are_known()
    {
        SurvivalCurve curve = SurvivalCurve.Of(Freireich);
        Assert.Equal(25, curve.ShownUntilDays);
        Assert.Equal(0, SurvivalCurve.Of(Freireich.Take(4)).ShownUntilDays);
    }

    [Fact]
    public void A_curve_without_a_return_is_not_sure()
    {
        SurvivalCurve curve = SurvivalCurve.Of(Enumerable.Range(1, 8).Select(day => new KnownSpan(day, false)));
        Assert.Empty(curve.Steps);
        // Five are known where it ends: 0.025 to the power of one fifth.
        Assert.Equal(Math.Pow(0.025, 1 / 5.0), curve.StartLowFraction, 9);
    }

    [Fact]
    public void The_interval_holds_what_was_counted() =>
        Gen.Int[0, 400]
            .SelectMany(total => Gen.Int[0, total].Select(hits => (hits, total)))
            .Sample(
                (hits, total) =>
                {
                    CountedShare share = CountedShare.Of(hits, total);
                    return share.LowFraction >= 0
                        && share.HighFraction <= 1
                        && (
                            total == 0
                            || (share.LowFraction <= share.PointFraction && share.PointFraction <= share.HighFraction)
                        );
                },
                iter: 300
            );

    [Fact]
    public void The_interval_narrows_with_the_number() =>
        Gen.Select(Gen.Int[1, 20], Gen.Int[0, 20])
            .Where((total, hits) => hits <= total)
            .Sample((total, hits) => Width(hits * 4, total * 4) < Width(hits, total), iter: 200);

    [Fact]
    public void Corrected_chances_are_larger_and_keep_their_order() =>
        Gen.Double[0, 1]
            .Array[0, 30]
            .Sample(
                chances =>
                {
                    IReadOnlyList<double> corrected = GroupTests.Holm(chances);
                    return Enumerable
                        .Range(0, chances.Length)
                        .All(i =>
                            corrected[i] >= chances[i]
                            && corrected[i] <= 1
                            && Enumerable
                                .Range(0, chances.Length)
                                .All(k => chances[i] > chances[k] || corrected[i] <= corrected[k])
                        );
                },
                iter: 300
            );

    [Fact]
    public void The_test_does_not_mind_which_group_is_called_first() =>
        Gen.Select(Gen.Int[0, 30], Gen.Int[0, 30], Gen.Int[0, 30], Gen.Int[0, 30])
            .Sample(
                (a, b, c, d) =>
                    GroupTests.Fisher(a, b, c, d) is >= 0 and <= 1 and var p
                    && Math.Abs(p - GroupTests.Fisher(c, d, a, b)) < 1e-9
                    && Math.Abs(p - GroupTests.Fisher(b, a, d, c)) < 1e-9,
                iter: 300
            );

    [Fact]
    public void The_curve_never_rises_and_lies_in_its_interval() =>
        Gen.Select(Gen.Int[0, 60], Gen.Bool)
            .Array[0, 40]
            .Sample(
                spans =>
                {
                    SurvivalCurve curve = SurvivalCurve.Of(spans.Select(span => new KnownSpan(span.Item1, span.Item2)));
                    double before = 1;
                    foreach (SurvivalStep step in curve.Steps)
                    {
                        if (
                            step.WorksFraction > before
                            || step.LowFraction > step.WorksFraction
                            || step.HighFraction < step.WorksFraction
                            || step.LowFraction < 0
                            || step.HighFraction > 1
                        )
                        {
                            return false;
                        }
                        before = step.WorksFraction;
                    }
                    return true;
                },
                iter: 300
            );

    // By NumPy's percentile: 26.25, 35, 55.
    [Fact]
    public void Quartiles_lie_between_figures()
    {
        Quartiles found = Quartiles.Of([90, 20, 25, 60, 30, 40]);
        Assert.Equal((26.25, 35.0, 55.0), (found.LowerQuartile, found.Median, found.UpperQuartile));
    }

    [Fact]
    public void Four_figures_have_no_median()
    {
        Quartiles found = Quartiles.Of([20, 40, 30, 25]);
        Assert.Null(found.Median);
        Assert.Equal((4, 20, 40), (found.Number, found.Least, found.Most));
    }

    private static double Width(int hits, int total) =>
        CountedShare.Of(hits, total) is var share ? share.HighFraction - share.LowFraction : 0;
}
