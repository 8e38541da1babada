using CsCheck;
using Graftbench.Core.Numerics;

namespace Graftbench.Core.Tests.Numerics;

/// <summary>Eigenvalues that are known in closed form, and what every decomposition must satisfy.</summary>
public sealed class SymmetricEigenTests
{
    // Second differences with fixed ends: 2 − 2cos(kπ/(n+1)), k = 1 ... n (textbook closed form).
    [Theory, InlineData(1), InlineData(2), InlineData(7), InlineData(40)]
    public void Second_differences_have_their_closed_form(int n)
    {
        double[] matrix = new double[n * n];
        for (int i = 0; i < n; i++)
        {
            matrix[i * n + i] = 2;
            if (i + 1 < n)
            {
                matrix[i * n + i + 1] = matrix[(i + 1) * n + i] = -1;
            }
        }
        (double[] values, double[][] vectors) = SymmetricEigen.Decompose([.. matrix], n);
        for (int k = 0; k < n; k++)
        {
            // Largest first.
            Assert.Equal(2 - 2 * Math.Cos((n - k) * Math.PI / (n + 1)), values[k], 1e-12);
            double scale = Math.Sqrt(2.0 / (n + 1)) * Math.Sign(vectors[k][0]);
            for (int i = 0; i < n; i++)
            {
                Assert.Equal(scale * Math.Sin((n - k) * Math.PI * (i + 1) / (n + 1)), vectors[k][i], 1e-10);
            }
        }
    }

    [Fact]
    public void Vectors_are_orthonormal_and_rebuild_the_matrix() =>
        Gen.Select(Gen.Int[1, 18], Gen.Int[0, 1_000_000], Gen.Bool)
            .Sample(
                (n, seed, lowRank) =>
                {
                    double[] matrix = Symmetric(n, seed, lowRank);
                    (double[] values, double[][] vectors) = SymmetricEigen.Decompose([.. matrix], n);
                    for (int a = 0; a < n; a++)
                    {
                        Assert.True(a == 0 || values[a] <= values[a - 1]);
                        for (int b = 0; b < n; b++)
                        {
                            Assert.Equal(a == b ? 1 : 0, Dense.Dot(vectors[a], vectors[b]), 1e-12);
                            double entry = Enumerable.Range(0, n).Sum(k => values[k] * vectors[k][a] * vectors[k][b]);
                            Assert.Equal(matrix[a * n + b], entry, 1e-11 * n);
                        }
                    }
                },
                iter: 60
            );

    [Fact]
    public void A_matrix_of_another_length_is_refused() =>
        Assert.Throws<ArgumentException>(() => SymmetricEigen.Decompose(new double[5], 2));

    private static double[] Symmetric(int n, int seed, bool lowRank)
    {
        double[] random = GridMatrix.RandomVector(n * n, seed);
        double[] matrix = new double[n * n];
        for (int a = 0; a < n; a++)
        {
            for (int b = 0; b < n; b++)
            {
                matrix[a * n + b] = lowRank ? random[a] * random[b] : random[a * n + b] + random[b * n + a];
            }
        }
        return matrix;
    }
}
