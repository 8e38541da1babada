using CsCheck;
using Graftbench.Core.Numerics;

namespace Graftbench.Core.Tests.Numerics;

/// <summary>The iterative solver against elimination, and how it ends where there is nothing to find.</summary>
public sealed class ConjugateGradientsTests
{
    [Fact]
    public void Solves_what_elimination_solves() =>
        Gen.Select(Gen.Int[1, 9], Gen.Int[1, 5], Gen.Int[1, 4], Gen.Double[0.3, 1], Gen.Int[0, 1_000_000])
            .Sample(
                (nx, ny, nz, kept, seed) =>
                {
                    GridMatrix matrix = GridMatrix.Random(nx, ny, nz, kept, 0.3, seed);
                    double[] right = GridMatrix.RandomVector(matrix.Count, seed + 1);
                    double[] wanted = new double[matrix.Count];
                    new DenseLu(matrix.Full, matrix.Count).Solve(right, wanted);
                    double[] found = GridMatrix.RandomVector(matrix.Count, seed + 2);
                    SolveReport report = new ConjugateGradients(matrix.Sparse).Solve(right, found, 1e-12, 2000);
                    Assert.True(report.Converged, $"{report}");
                    double largest = wanted.Max(Math.Abs);
                    for (int i = 0; i < found.Length; i++)
                    {
                        Assert.Equal(wanted[i], found[i], 1e-8 * (1 + largest));
                    }
                },
                iter: 60
            );

    // Conjugate gradients minimise the error in the matrix's own norm over a growing space, so that norm can only fall; the
    // residual itself may rise now and then.
    [Fact]
    public void The_error_in_the_matrix_norm_falls_with_every_iteration()
    {
        GridMatrix matrix = GridMatrix.Random(12, 8, 5, 0.85, 0.01, 3);
        double[] right = GridMatrix.RandomVector(matrix.Count, 4);
        double[] exact = new double[matrix.Count];
        new DenseLu(matrix.Full, matrix.Count).Solve(right, exact);
        double before = double.PositiveInfinity;
        for (int iterations = 1; iterations <= 25; iterations++)
        {
            double[] found = new double[matrix.Count];
            new ConjugateGradients(matrix.Sparse).Solve(right, found, 0, iterations);
            double[] error = [.. found.Zip(exact, (a, b) => a - b)];
            double size = error.Zip(matrix.Times(error), (a, b) => a * b).Sum();
            Assert.True(size <= before * (1 + 1e-9), $"iteration {iterations}: {size} after {before}");
            before = Math.Max(size, 1e-20);
        }
    }

    [Fact]
    public void A_solved_system_takes_no_iteration()
    {
        GridMatrix matrix = GridMatrix.Random(6, 5, 4, 1, 1, 5);
        double[] exact = GridMatrix.RandomVector(matrix.Count, 6);
        double[] found = [.. exact];
        SolveReport report = new ConjugateGradients(matrix.Sparse).Solve(matrix.Times(exact), found, 1e-9, 50);
        Assert.True(report is { Converged: true, Iterations: 0 }, $"{report}");
        Assert.Equal(exact, found);
    }

    [Fact]
    public void A_body_without_loss_that_is_heated_has_no_solution_and_says_so()
    {
        GridMatrix matrix = GridMatrix.Random(6, 5, 4, 1, 0, 9);
        double[] heated = [.. Enumerable.Repeat(1.0, matrix.Count)];
        SolveReport report = new ConjugateGradients(matrix.Sparse).Solve(heated, new double[matrix.Count], 1e-6, 200);
        Assert.False(report.Converged, $"{report}");
    }

    [Theory, InlineData(double.NaN), InlineData(double.PositiveInfinity)]
    public void What_is_no_number_never_counts_as_solved(double bad)
    {
        GridMatrix matrix = GridMatrix.Random(9, 5, 4, 1, 1, 11);
        for (int at = 0; at < matrix.Count; at += 7)
        {
            double[] right = GridMatrix.RandomVector(matrix.Count, 12);
            right[at] = bad;
            SolveReport report = new ConjugateGradients(matrix.Sparse).Solve(right, new double[matrix.Count], 1e-3, 50);
            Assert.False(report.Converged, $"at {at}: {report}");
        }
    }

    [Fact]
    public void An_unknown_that_hangs_on_nothing_never_counts_as_solved()
    {
        GridMatrix matrix = GridMatrix.Random(1, 1, 1, 1, 0, 13);
        SolveReport report = new ConjugateGradients(matrix.Sparse).Solve([1.0], new double[1], 1e-3, 50);
        Assert.False(report.Converged, $"{report}");
    }

    [Fact]
    public void A_new_diagonal_needs_only_a_new_factorisation()
    {
        GridMatrix matrix = GridMatrix.Random(8, 6, 3, 0.9, 0.2, 15);
        ConjugateGradients solver = new(matrix.Sparse);
        for (int i = 0; i < matrix.Count; i += 3)
        {
            matrix.Sparse.Diagonal[i] += 50;
            matrix.Full[i * matrix.Count + i] += 50;
        }
        solver.Factorise();
        double[] right = GridMatrix.RandomVector(matrix.Count, 16);
        double[] wanted = new double[matrix.Count];
        new DenseLu(matrix.Full, matrix.Count).Solve(right, wanted);
        double[] found = new double[matrix.Count];
        Assert.True(solver.Solve(right, found, 1e-12, 500).Converged);
        for (int i = 0; i < found.Length; i++)
        {
            Assert.Equal(wanted[i], found[i], 1e-9);
        }
    }
}
