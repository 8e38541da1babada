using Graftbench.Core.Drying;
using Graftbench.Core.Jobs;

namespace Graftbench.Core.Tests.Drying;

public class WeighingFitTests
{
    private const string Scipy = "SciPy curve_fit: tests/reference/diffusion.py";

    internal static List<Weighing> Series(double[] timeH, double[] weightG, double balanceG) =>
        timeH
            .Zip(weightG)
            .Select(point => new Weighing
            {
                Of = "host",
                At = BakeLogTests.Start.AddHours(point.First),
                WeightG = point.Second,
                BalanceErrorG = balanceG,
            })
            .ToList();

    public static readonly TheoryData<double[], double[], double, double, double, double, double, double, string> Fits =
        new()
        { // hours, grams, end, its error, time constant, its error, left, its error, source
            {
                [0, 4, 8, 24, 32, 48],
                [214.620, 214.512, 214.431, 214.252, 214.205, 214.158],
                214.132725,
                0.00531654,
                16.7280956,
                0.540085,
                0.0275052,
                0.00272745,
                Scipy + ", all six points"
            },
            {
                [0, 6, 12, 24, 30, 36, 48, 54, 60, 72],
                [100.9, 100.62, 100.43, 100.20, 100.13, 100.09, 100.05, 100.03, 100.025, 100.02],
                100.010154,
                0.00304484,
                14.6538024,
                0.382184,
                0.00700824,
                0.000767879,
                Scipy + ", the eight points after half of the loss"
            },
        };

    [Theory, MemberData(nameof(Fits))]
    public void Fit_and_its_errors_match_a_general_solver(
        double[] timeH,
        double[] weightG,
        double endG,
        double endErrorG,
        double tauH,
        double tauErrorH,
        double leftG,
        double leftErrorG,
        string source
    )
    {
        // A balance error far below the scatter, so that the scatter sets the errors, as in the reference.
        WeighingTrend trend = WeighingFit.Fit(Series(timeH, weightG, 1e-5))!;

        Assert.True(trend.Converged, source);
        Assert.Equal(endG, trend.EndWeightG!.Value, 2e-6);
        Assert.Equal(1, trend.TimeConstantH!.Value / tauH, 1e-5);
        Assert.Equal(1, trend.EndWeightErrorG!.Value / endErrorG, 1e-3);
        Assert.Equal(1, trend.TimeConstantErrorH!.Value / tauErrorH, 1e-3);
        Assert.Equal(1, trend.LeftG!.Value / leftG, 1e-4);
        Assert.Equal(1, trend.LeftErrorG!.Value / leftErrorG, 1e-3);
    }

    [Fact]
    public void The_order_of_the_weighings_does_not_matter()
    {
        List<Weighing> series = Series(
            [0, 4, 8, 24, 32, 48],
            [214.620, 214.512, 214.431, 214.252, 214.205, 214.158],
            0.001
        );
        List<Weighing> turned = [.. Enumerable.Reverse(series)];

        Assert.Equal(WeighingFit.Fit(series)!.EndWeightG, WeighingFit.Fit(turned)!.EndWeightG);
    }

    [Theory]
    [InlineData(new double[] { 0, 5, 10 }, new[] { 10.0, 9.9, 9.85 }, "3 of at least 4")]
    [InlineData(new double[] { 0, 5, 10, 15, 20 }, new[] { 10.0, 9.9, 9.8, 9.7, 9.6 }, "straight line")]
    [InlineData(new double[] { 0, 5, 10, 15, 20 }, new[] { 10.0, 10.1, 10.2, 10.2, 10.3 }, "does not fall")]
    [InlineData(new double[] { 0, 5, 10, 15 }, new[] { 10.0, 10.001, 10.0, 9.999 }, "No change beyond")]
    public void Says_why_there_is_no_end_point(double[] timeH, double[] weightG, string says)
    {
        WeighingTrend trend = WeighingFit.Fit(Series(timeH, weightG, 0.01))!;

        Assert.False(trend.Converged);
        Assert.Null(trend.EndWeightG);
        Assert.Contains(says, trend.Says, StringComparison.Ordinal);
    }

    [Fact]
    public void No_weighing_no_trend() => Assert.Null(WeighingFit.Fit([]));

    [Fact]
    public void End_is_reached_once_nothing_is_left_that_the_balance_could_see()
    {
        double[] timeH = [0, 10, 20, 30, 40, 60, 80, 100];
        double[] weightG = timeH.Select(t => 50 + 0.5 * Math.Exp(-t / 10)).ToArray();

        WeighingTrend trend = WeighingFit.Fit(Series(timeH, weightG, 0.01))!;

        Assert.True(trend.Flat, trend.Says);
        Assert.Contains("End point reached", trend.Says, StringComparison.Ordinal);
    }
}
