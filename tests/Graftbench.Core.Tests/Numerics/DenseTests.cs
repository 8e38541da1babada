using CsCheck;
using Graftbench.Core.Numerics;

namespace Graftbench.Core.Tests.Numerics;

/// <summary>Small dense kernels against sums written out, and against matrices whose answers are known.</summary>
public sealed class DenseTests
{
    [Fact]
    public void Products_are_the_sums_they_stand_for() =>
        Gen.Select(Gen.Int[1, 23], Gen.Int[1, 19], Gen.Int[0, 1_000_000])
            .Sample(
                (rows, columns, seed) =>
                {
                    double[] matrix = GridMatrix.RandomVector(rows * columns, seed);
                    double[] x = GridMatrix.RandomVector(columns, seed + 1);
                    double[] start = GridMatrix.RandomVector(rows, seed + 2);
                    double[] product = new double[rows];
                    Array.Fill(product, double.NaN);
                    Dense.Multiply(matrix, x, product);
                    double[] sum = [.. start];
                    Dense.AddColumns(matrix, x, sum);
                    for (int i = 0; i < rows; i++)
                    {
                        double byRows = Enumerable.Range(0, columns).Sum(j => matrix[i * columns + j] * x[j]);
                        double byColumns = Enumerable.Range(0, columns).Sum(j => matrix[j * rows + i] * x[j]);
                        Assert.Equal(byRows, product[i], 1e-12);
                        Assert.Equal(start[i] + byColumns, sum[i], 1e-12);
                    }
                }
            );

    [Fact]
    public void Elimination_gives_back_what_was_multiplied() =>
        Gen.Select(Gen.Int[1, 14], Gen.Int[0, 1_000_000])
            .Sample(
                (n, seed) =>
                {
                    double[] matrix = GridMatrix.RandomVector(n * n, seed);
                    for (int i = 0; i < n; i++)
                    {
                        matrix[i * n + (i + 1) % n] += 4;
                    }
                    double[] kept = [.. matrix];
                    double[] exact = GridMatrix.RandomVector(n, seed + 1);
                    double[] right = new double[n];
                    Dense.Multiply(matrix, exact, right);
                    DenseLu lu = new(matrix, n);
                    double[] found = new double[n];
                    lu.Solve(right, found);
                    Assert.Equal(kept, matrix);
                    double[] inverse = lu.Inverse();
                    double[] column = new double[n];
                    Dense.Multiply(inverse, right, column);
                    double largest = inverse.Max(Math.Abs);
                    for (int i = 0; i < n; i++)
                    {
                        Assert.Equal(exact[i], found[i], 1e-11 * (1 + largest));
                        Assert.Equal(exact[i], column[i], 1e-11 * (1 + largest));
                    }
                }
            );

    [Fact]
    public void A_matrix_with_two_equal_rows_is_singular()
    {
        Assert.True(new DenseLu([1, 2, 1, 2], 2).Singular);
        Assert.False(new DenseLu([0, 1, 1, 0], 2).Singular);
    }

    // The cubic through four points of a cubic is that cubic, inside the values and in the first and last interval.
    [Fact]
    public void Interpolation_is_exact_for_cubics() =>
        Gen.Select(Gen.Double[-3, 3], Gen.Double[-3, 3], Gen.Double[-3, 3], Gen.Double[-3, 3], Gen.Double[0, 9])
            .Sample(
                (a, b, c, d, place) =>
                {
                    double Cubic(double s) => a + s * (b + s * (c + s * d));
                    double[] values = [.. Enumerable.Range(0, 10).Select(i => Cubic(i))];
                    Assert.Equal(Cubic(place), Interpolation.Cubic(values, place), 1e-9);
                }
            );

    [Fact]
    public void Interpolation_of_few_values_is_a_straight_line_and_never_leaves_the_ends()
    {
        Assert.Equal(5, Interpolation.Cubic([5.0], 3));
        Assert.Equal(6, Interpolation.Cubic([5.0, 7], 0.5), 12);
        Assert.Equal(7, Interpolation.Cubic([5.0, 7], 9), 12);
        Assert.Equal(8.5, Interpolation.Cubic([5.0, 7, 10], 1.5), 12);
        Assert.Equal(5, Interpolation.Cubic([5.0, 7, 10, 4, 2], -1), 12);
        Assert.Equal(2, Interpolation.Cubic([5.0, 7, 10, 4, 2], 12), 12);
    }
}
