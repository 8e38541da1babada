namespace Graftbench.Core.Numerics;

/// <summary>Eigenvalues and eigenvectors of a small symmetric matrix by cyclic Jacobi rotations.</summary>
/// <remarks>G. H. Golub, C. F. Van Loan, "Matrix Computations", 4th ed. (2013), section 8.5.</remarks>
public static class SymmetricEigen
{
    private const int MaxSweeps = 60;

    /// <summary>Decomposes a matrix.</summary>
    /// <param name="matrix">Symmetric, length n·n row by row; overwritten.</param>
    /// <param name="n">Order.</param>
    /// <returns>Eigenvalues, largest first, and their unit vectors: <c>Vectors[k]</c> belongs to <c>Values[k]</c>.</returns>
    public static (double[] Values, double[][] Vectors) Decompose(double[] matrix, int n)
    {
        if (matrix.Length != n * n)
        {
            throw new ArgumentException($"Needs {n * n} entries, has {matrix.Length}.", nameof(matrix));
        }
        double[] vectors = new double[n * n];
        for (int i = 0; i < n; i++)
        {
            vectors[i * n + i] = 1;
        }
        for (int sweep = 0; sweep < MaxSweeps; sweep++)
        {
            double off = 0;
            double diagonal = 0;
            for (int i = 0; i < n; i++)
            {
                diagonal += matrix[i * n + i] * matrix[i * n + i];
                for (int j = i + 1; j < n; j++)
                {
                    off += matrix[i * n + j] * matrix[i * n + j];
                }
            }
            if (off <= 1e-30 * diagonal)
            {
                break;
            }
            for (int p = 0; p < n - 1; p++)
            {
                for (int q = p + 1; q < n; q++)
                {
                    Rotate(matrix, vectors, n, p, q);
                }
            }
        }
        int[] order = [.. Enumerable.Range(0, n).OrderByDescending(i => matrix[i * n + i])];
        // Rotations act on rows of the collected matrix, so a row is an eigenvector.
        return ([.. order.Select(i => matrix[i * n + i])], [.. order.Select(i => vectors.AsSpan(i * n, n).ToArray())]);
    }

    private static void Rotate(double[] a, double[] v, int n, int p, int q)
    {
        double apq = a[p * n + q];
        if (apq == 0)
        {
            return;
        }
        double theta = (a[q * n + q] - a[p * n + p]) / (2 * apq);
        double t = Math.CopySign(1, theta) / (Math.Abs(theta) + Math.Sqrt(theta * theta + 1));
        double c = 1 / Math.Sqrt(t * t + 1);
        double s = t * c;
        // Columns are rotated through the rows of the other half: the matrix stays symmetric.
        for (int k = 0; k < n; k++)
        {
            double akp = a[k * n + p];
            double akq = a[k * n + q];
            a[k * n + p] = c * akp - s * akq;
            a[k * n + q] = s * akp + c * akq;
        }
        RotateRows(a.AsSpan(p * n, n), a.AsSpan(q * n, n), c, s);
        a[p * n + q] = 0;
        a[q * n + p] = 0;
        RotateRows(v.AsSpan(p * n, n), v.AsSpan(q * n, n), c, s);
    }

    private static void RotateRows(Span<double> rowP, Span<double> rowQ, double c, double s)
    {
        for (int k = 0; k < rowP.Length; k++)
        {
            double p = rowP[k];
            double q = rowQ[k];
            rowP[k] = c * p - s * q;
            rowQ[k] = s * p + c * q;
        }
    }
}
