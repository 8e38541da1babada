using Graftbench.Core.Numerics;
using Graftbench.Tests.Checks;

namespace Graftbench.Core.Tests.Numerics;

public sealed class PriorLeastSquaresTests
{
    private const string Scipy = "SciPy least_squares: tests/reference/prior_least_squares.py";

    // A mean of readings with a prior: precision n/σ² + 1/s², mean their weighted sum (any textbook of statistics).
    [Theory, InlineData(4, 1.0, 2.0), InlineData(25, 0.5, 0.1), InlineData(1, 3.0, 0.5)]
    public void A_mean_with_a_prior_has_its_known_value_and_variance(int count, double sd, double priorSd)
    {
        double[] measured = [.. Enumerable.Range(0, count).Select(i => 3 + 0.1 * i)];
        PriorFit fit = Fit(numbers => [.. measured.Select(_ => numbers[0])], measured, sd, [1], [priorSd]);
        double precision = count / (sd * sd) + 1 / (priorSd * priorSd);
        double mean = (measured.Sum() / (sd * sd) + 1 / (priorSd * priorSd)) / precision;
        Assert.True(fit.Converged);
        Truth.Note("heat.calibration-fit", (fit.Numbers[0] - mean) * Math.Sqrt(precision));
        Assert.Equal(mean, fit.Numbers[0], 1e-7);
        Assert.Equal(1 / precision, fit.Covariance[0], 1e-9);
    }

    // A lumped body under a constant flow, read at t = 1..n: T = c·t, y = c·t + b. Normal equations by hand.
    [Fact]
    public void Slope_and_offset_of_a_line_have_the_covariance_of_the_normal_equations()
    {
        double[] t = [1, 2, 3, 4, 5];
        double[] measured = [2.1, 3.9, 6.2, 7.8, 10.1];
        PriorFit fit = Fit(n => [.. t.Select(one => n[0] * one + n[1])], measured, 0.5, [0, 0], [1e6, 1e6]);
        // Σt = 15, Σt² = 55, n = 5: determinant 5·55 − 15² = 50; inverse times σ² = 0.25.
        Assert.Equal(0.25 * 5 / 50, fit.Covariance[0], 1e-8);
        Assert.Equal(-0.25 * 15 / 50, fit.Covariance[1], 1e-8);
        Assert.Equal(0.25 * 55 / 50, fit.Covariance[3], 1e-8);
        Truth.Note("heat.calibration-fit", (fit.Numbers[0] - 1.99) / Math.Sqrt(0.25 * 5 / 50));
        Truth.Note("heat.calibration-fit", (fit.Numbers[1] - 0.05) / Math.Sqrt(0.25 * 55 / 50));
        Assert.Equal(1.99, fit.Numbers[0], 1e-7);
        Assert.Equal(0.05, fit.Numbers[1], 1e-7);
    }

    [Fact]
    public void A_lumped_body_under_a_step_comes_out_as_a_general_solver_finds_it()
    {
        double[] t = [.. Enumerable.Range(0, 60).Select(i => 5.0 * i)];
        double[] Model(double[] p) =>
            [
                .. t.Select(time =>
                {
                    double body = 25 + 200 * Math.Exp(p[0]) * (1 - Math.Exp(-time / (60 * Math.Exp(p[1]))));
                    return body + p[3] * (260 - body) + p[2];
                }),
            ];
        double[] truth = Model([Math.Log(1.15), Math.Log(0.85), 0.6, 0.025]);
        double[] measured = [.. truth.Select((one, i) => one + 0.8 * Math.Sin(1.7 * i) + 0.5 * Math.Sin(0.37 * i + 1))];
        PriorFit fit = Fit(Model, measured, 2.2, [0, 0, 0, 0.03], [0.2, 0.4, 0.8, 0.015]);
        double[] numbers = [0.142661, -0.158413, 0.011197, 0.030098];
        double[] sds = [0.004010, 0.011225, 0.782362, 0.005975];
        Assert.True(fit.Converged, Scipy);
        for (int i = 0; i < 4; i++)
        {
            Truth.Note("heat.calibration-fit", (fit.Numbers[i] - numbers[i]) / sds[i]);
            Assert.Equal(numbers[i], fit.Numbers[i], 2e-3 * sds[i] + 1e-6);
            Assert.Equal(sds[i], Math.Sqrt(fit.Covariance[i * 4 + i]), 1e-3 * sds[i]);
        }
        double Correlation(int i, int j) =>
            fit.Covariance[i * 4 + j] / Math.Sqrt(fit.Covariance[i * 4 + i] * fit.Covariance[j * 4 + j]);
        Assert.Equal(0.31459, Correlation(1, 0), 1e-3);
        Assert.Equal(-0.84678, Correlation(2, 0), 1e-3);
        Assert.Equal(0.51892, Correlation(3, 0), 1e-3);
        Assert.Equal(-0.49000, Correlation(3, 2), 1e-3);
    }

    [Fact]
    public void A_number_that_nothing_measures_keeps_its_prior()
    {
        PriorFit fit = Fit(n => [n[0], n[0]], [2, 2.2], 0.1, [0, 5], [10, 0.7]);
        Assert.Equal(5, fit.Numbers[1], 1e-9);
        Assert.Equal(0.49, fit.Covariance[3], 1e-9);
    }

    [Fact]
    public void A_model_without_an_answer_is_no_fit()
    {
        PriorFit fit = PriorLeastSquares.Fit(
            _ => null,
            (_, _) =>
                [
                    [1],
                ],
            [1],
            [1],
            [0],
            [1]
        );
        Assert.False(fit.Converged);
        PriorFit nan = Fit(_ => [double.NaN], [1], 1, [0], [1]);
        Assert.False(nan.Converged);
    }

    [Fact]
    public void The_lower_factor_times_its_transpose_is_the_matrix()
    {
        double[] matrix = [4, 2, -1, 2, 5, 0.5, -1, 0.5, 3];
        double[] lower = Cholesky.Lower(matrix, 3)!;
        for (int i = 0; i < 3; i++)
        {
            for (int j = 0; j < 3; j++)
            {
                double sum = Enumerable.Range(0, 3).Sum(k => lower[i * 3 + k] * lower[j * 3 + k]);
                Assert.Equal(matrix[i * 3 + j], sum, 1e-12);
            }
        }
        Assert.Null(Cholesky.Lower([1, 2, 2, 1], 2));
    }

    private static PriorFit Fit(
        Func<double[], double[]> model,
        double[] measured,
        double sd,
        double[] prior,
        double[] priorSd
    ) =>
        PriorLeastSquares.Fit(
            model,
            (numbers, there) =>
                [
                    .. Enumerable
                        .Range(0, numbers.Length)
                        .Select(j =>
                        {
                            double[] up = [.. numbers];
                            double[] down = [.. numbers];
                            double step = 1e-6 * Math.Max(1, Math.Abs(numbers[j]));
                            (up[j], down[j]) = (up[j] + step, down[j] - step);
                            return (double[])[.. model(up).Zip(model(down), (a, b) => (a - b) / (2 * step))];
                        }),
                ],
            measured,
            [.. measured.Select(_ => sd)],
            prior,
            priorSd
        );
}
