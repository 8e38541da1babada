namespace Graftbench.Core.Numerics;

/// <summary>LU factors of a small dense matrix, rows exchanged for the largest pivot.</summary>
/// <remarks>G. H. Golub, C. F. Van Loan, "Matrix Computations", 4th ed. (2013), section 3.4.</remarks>
public sealed class DenseLu
{
    private readonly double[] factors;
    private readonly int[] rows;
    private readonly int n;

    /// <summary>Factorises a matrix.</summary>
    /// <param name="matrix">Length n·n row by row; kept as it is.</param>
    /// <param name="n">Order.</param>
    public DenseLu(ReadOnlySpan<double> matrix, int n)
    {
        this.n = n;
        factors = new double[n * n];
        rows = new int[n];
        Factorise(matrix);
    }

    /// <summary>Factorises another matrix of the same order in the same place.</summary>
    /// <param name="matrix">Length n·n row by row; kept as it is.</param>
    public void Factorise(ReadOnlySpan<double> matrix)
    {
        matrix[..(n * n)].CopyTo(factors);
        Singular = false;
        for (int i = 0; i < n; i++)
        {
            rows[i] = i;
        }
        for (int k = 0; k < n; k++)
        {
            int pivot = k;
            for (int i = k + 1; i < n; i++)
            {
                if (Math.Abs(factors[i * n + k]) > Math.Abs(factors[pivot * n + k]))
                {
                    pivot = i;
                }
            }
            if (factors[pivot * n + k] == 0)
            {
                Singular = true;
                return;
            }
            if (pivot != k)
            {
                (rows[k], rows[pivot]) = (rows[pivot], rows[k]);
                for (int j = 0; j < n; j++)
                {
                    (factors[k * n + j], factors[pivot * n + j]) = (factors[pivot * n + j], factors[k * n + j]);
                }
            }
            double inverse = 1 / factors[k * n + k];
            for (int i = k + 1; i < n; i++)
            {
                double ratio = factors[i * n + k] * inverse;
                factors[i * n + k] = ratio;
                if (ratio != 0)
                {
                    Dense.AddScaled(
                        factors.AsSpan(i * n + k + 1, n - k - 1),
                        -ratio,
                        factors.AsSpan(k * n + k + 1, n - k - 1)
                    );
                }
            }
        }
    }

    /// <summary>Whether a pivot was 0; then there is no solution.</summary>
    public bool Singular { get; private set; }

    /// <summary>Solves for one right-hand side.</summary>
    /// <param name="rightHandSide">Length n.</param>
    /// <param name="solution">Written in full; may not overlap.</param>
    public void Solve(ReadOnlySpan<double> rightHandSide, Span<double> solution)
    {
        for (int i = 0; i < n; i++)
        {
            solution[i] = rightHandSide[rows[i]] - Dense.Dot(factors.AsSpan(i * n, i), solution[..i]);
        }
        for (int i = n - 1; i >= 0; i--)
        {
            double sum = solution[i] - Dense.Dot(factors.AsSpan(i * n + i + 1, n - i - 1), solution[(i + 1)..n]);
            solution[i] = sum / factors[i * n + i];
        }
    }

    /// <summary>The inverse, row by row.</summary>
    public double[] Inverse()
    {
        // Column j of the inverse solves for the unit vector j; written as rows of the transpose, then turned.
        double[] unit = new double[n];
        double[] column = new double[n];
        double[] inverse = new double[n * n];
        for (int j = 0; j < n; j++)
        {
            unit[j] = 1;
            Solve(unit, column);
            unit[j] = 0;
            for (int i = 0; i < n; i++)
            {
                inverse[i * n + j] = column[i];
            }
        }
        return inverse;
    }
}
