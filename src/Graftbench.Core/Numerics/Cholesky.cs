namespace Graftbench.Core.Numerics;

/// <summary>The lower factor of a symmetric positive matrix.</summary>
public static class Cholesky
{
    /// <summary>L with L·Lᵀ = A.</summary>
    /// <param name="matrix">A, row by row, n × n.</param>
    /// <param name="n">Rows, 1 or more.</param>
    /// <returns>L, row by row; null where A is not positive.</returns>
    public static double[]? Lower(ReadOnlySpan<double> matrix, int n)
    {
        double[] lower = new double[n * n];
        for (int i = 0; i < n; i++)
        {
            for (int j = 0; j <= i; j++)
            {
                double sum = matrix[i * n + j];
                for (int k = 0; k < j; k++)
                {
                    sum -= lower[i * n + k] * lower[j * n + k];
                }
                if (i != j)
                {
                    lower[i * n + j] = sum / lower[j * n + j];
                }
                else if (sum > 0)
                {
                    lower[i * n + i] = Math.Sqrt(sum);
                }
                else
                {
                    return null;
                }
            }
        }
        return lower;
    }
}
