using CsCheck;
using Graftbench.Core.Numerics;

namespace Graftbench.Core.Tests.Numerics;

/// <summary>The matrix on a grid with holes is the matrix written out in full.</summary>
public sealed class SevenPointMatrixTests
{
    private static readonly Gen<(int Nx, int Ny, int Nz, double Kept, int Seed)> Grids = Gen.Select(
        Gen.Int[1, 13],
        Gen.Int[1, 5],
        Gen.Int[1, 5],
        Gen.Double[0.2, 1],
        Gen.Int[0, 1_000_000]
    );

    [Fact]
    public void The_product_is_that_of_the_full_matrix_with_holes_and_short_rows() =>
        Grids.Sample(grid =>
        {
            GridMatrix matrix = GridMatrix.Random(grid.Nx, grid.Ny, grid.Nz, grid.Kept, 1, grid.Seed);
            double[] x = GridMatrix.RandomVector(matrix.Count, grid.Seed + 1);
            double[] product = new double[matrix.Count];
            Array.Fill(product, double.NaN);
            matrix.Sparse.Multiply(x, product);
            double[] wanted = matrix.Times(x);
            for (int i = 0; i < product.Length; i++)
            {
                Assert.Equal(wanted[i], product[i], 1e-10 * matrix.Sparse.Diagonal[i]);
            }
        });

    [Fact]
    public void A_row_that_adds_up_to_nothing_takes_a_constant_to_nothing() =>
        Grids.Sample(grid =>
        {
            GridMatrix matrix = GridMatrix.Random(grid.Nx, grid.Ny, grid.Nz, grid.Kept, 0, grid.Seed);
            double[] ones = [.. Enumerable.Repeat(1.0, matrix.Count)];
            double[] product = new double[matrix.Count];
            matrix.Sparse.Multiply(ones, product);
            Assert.All(product, value => Assert.Equal(0, value, 1e-9));
        });

    [Fact]
    public void Another_diagonal_leaves_the_matrix_it_came_from_alone()
    {
        GridMatrix matrix = GridMatrix.Random(5, 4, 3, 0.8, 1, 7);
        double[] before = [.. matrix.Sparse.Diagonal];
        double[] other = [.. before.Select(value => value + 3)];
        SevenPointMatrix copy = matrix.Sparse.WithDiagonal(other);
        copy.Diagonal[0] = 99;
        Assert.Equal(before, matrix.Sparse.Diagonal);
        double[] x = GridMatrix.RandomVector(matrix.Count, 8);
        double[] product = new double[matrix.Count];
        matrix.Sparse.WithDiagonal(other).Multiply(x, product);
        double[] wanted = matrix.Times(x);
        for (int i = 0; i < product.Length; i++)
        {
            Assert.Equal(wanted[i] + 3 * x[i], product[i], 1e-9);
        }
    }
}
