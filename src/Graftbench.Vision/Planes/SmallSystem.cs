namespace Graftbench.Vision.Planes;

/// <summary>Solves a handful of linear equations in place.</summary>
internal static class SmallSystem
{
    /// <summary>Gauss with pivots.</summary>
    /// <param name="matrix">n·n, row by row; destroyed.</param>
    /// <param name="right">Right side; becomes the solution.</param>
    /// <param name="n">Equations.</param>
    /// <returns>False where the equations have no single solution.</returns>
    public static bool Solve(Span<double> matrix, Span<double> right, int n)
    {
        for (int column = 0; column < n; column++)
        {
            int pivot = column;
            for (int row = column + 1; row < n; row++)
            {
                if (Math.Abs(matrix[row * n + column]) > Math.Abs(matrix[pivot * n + column]))
                {
                    pivot = row;
                }
            }
            if (!(Math.Abs(matrix[pivot * n + column]) > 1e-14))
            {
                return false;
            }
            if (pivot != column)
            {
                for (int k = 0; k < n; k++)
                {
                    (matrix[pivot * n + k], matrix[column * n + k]) = (matrix[column * n + k], matrix[pivot * n + k]);
                }
                (right[pivot], right[column]) = (right[column], right[pivot]);
            }
            for (int row = column + 1; row < n; row++)
            {
                double factor = matrix[row * n + column] / matrix[column * n + column];
                for (int k = column; k < n; k++)
                {
                    matrix[row * n + k] -= factor * matrix[column * n + k];
                }
                right[row] -= factor * right[column];
            }
        }
        for (int row = n - 1; row >= 0; row--)
        {
            for (int k = row + 1; k < n; k++)
            {
                right[row] -= matrix[row * n + k] * right[k];
            }
            right[row] /= matrix[row * n + row];
        }
        for (int i = 0; i < n; i++)
        {
            if (!double.IsFinite(right[i]))
            {
                return false;
            }
        }
        return true;
    }
}
