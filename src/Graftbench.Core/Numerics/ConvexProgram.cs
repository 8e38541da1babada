namespace Graftbench.Core.Numerics;

/// <summary>Answer of a small convex quadratic program.</summary>
/// <param name="Place">The minimum.</param>
/// <param name="Multipliers">One for each constraint, 0 or above: how strongly it holds the minimum back.</param>
/// <param name="Converged">Whether the conditions of a minimum are met.</param>
public sealed record ConvexAnswer(double[] Place, double[] Multipliers, bool Converged);

/// <summary>Small dense convex quadratic programs.</summary>
public static class ConvexProgram
{
    private const int MaxTurns = 60;

    /// <summary>Minimum of ½ Σ qᵢ xᵢ² + c·x where A x ≥ b, by a primal-dual interior-point method.</summary>
    /// <param name="diagonal">q, each 0 or above.</param>
    /// <param name="linear">c.</param>
    /// <param name="rows">Rows of A.</param>
    /// <param name="bounds">b, one for each row.</param>
    /// <param name="start">Where to start; need not meet the constraints.</param>
    /// <remarks>
    /// Mehrotra's predictor and corrector, one Cholesky factorisation of Q + Aᵀ(Z/S)A a turn.
    /// J. Nocedal, S. J. Wright, "Numerical Optimization", 2nd edition (2006), algorithm 16.4.
    /// </remarks>
    public static ConvexAnswer Minimum(
        double[] diagonal,
        double[] linear,
        double[][] rows,
        double[] bounds,
        double[] start
    )
    {
        int size = linear.Length;
        int count = rows.Length;
        double[] x = [.. start];
        double[] slack = new double[count];
        double[] multiplier = new double[count];
        for (int i = 0; i < count; i++)
        {
            slack[i] = Math.Max(Dot(rows[i], x) - bounds[i], 0.1);
            multiplier[i] = 1;
        }
        double[,] matrix = new double[size, size];
        double[] dual = new double[size];
        double[] primal = new double[count];
        double[] complement = new double[count];
        double[] dx = new double[size];
        double[] dSlack = new double[count];
        double[] dMultiplier = new double[count];
        double scale = 1 + linear.Max(Math.Abs) + bounds.Max(Math.Abs);
        for (int turn = 0; turn < MaxTurns; turn++)
        {
            for (int j = 0; j < size; j++)
            {
                dual[j] = diagonal[j] * x[j] + linear[j];
            }
            double gap = 0;
            for (int i = 0; i < count; i++)
            {
                for (int j = 0; j < size; j++)
                {
                    dual[j] -= rows[i][j] * multiplier[i];
                }
                primal[i] = Dot(rows[i], x) - slack[i] - bounds[i];
                gap += slack[i] * multiplier[i];
            }
            gap /= count;
            if (gap < 1e-9 * scale && Largest(dual) < 1e-7 * scale && Largest(primal) < 1e-7 * scale)
            {
                return new ConvexAnswer(x, multiplier, true);
            }
            Fill(matrix, diagonal, rows, slack, multiplier);
            if (!Factor(matrix))
            {
                break;
            }
            for (int i = 0; i < count; i++)
            {
                complement[i] = slack[i] * multiplier[i];
            }
            Step(matrix, rows, dual, primal, complement, slack, multiplier, dx, dSlack, dMultiplier);
            double reach = Reach(slack, dSlack, multiplier, dMultiplier, 1);
            double after = 0;
            for (int i = 0; i < count; i++)
            {
                after += (slack[i] + reach * dSlack[i]) * (multiplier[i] + reach * dMultiplier[i]);
            }
            double centring = Math.Pow(Math.Max(after, 0) / count / gap, 3);
            for (int i = 0; i < count; i++)
            {
                complement[i] = slack[i] * multiplier[i] + dSlack[i] * dMultiplier[i] - centring * gap;
            }
            Step(matrix, rows, dual, primal, complement, slack, multiplier, dx, dSlack, dMultiplier);
            reach = Reach(slack, dSlack, multiplier, dMultiplier, 0.995);
            for (int j = 0; j < size; j++)
            {
                x[j] += reach * dx[j];
            }
            for (int i = 0; i < count; i++)
            {
                slack[i] += reach * dSlack[i];
                multiplier[i] += reach * dMultiplier[i];
            }
        }
        return new ConvexAnswer(x, multiplier, false);
    }

    private static void Fill(double[,] matrix, double[] diagonal, double[][] rows, double[] slack, double[] multiplier)
    {
        int size = diagonal.Length;
        Array.Clear(matrix);
        for (int j = 0; j < size; j++)
        {
            matrix[j, j] = diagonal[j] + 1e-12;
        }
        for (int i = 0; i < rows.Length; i++)
        {
            double weight = multiplier[i] / slack[i];
            double[] row = rows[i];
            for (int j = 0; j < size; j++)
            {
                if (row[j] == 0)
                {
                    continue;
                }
                for (int k = 0; k <= j; k++)
                {
                    matrix[j, k] += weight * row[j] * row[k];
                }
            }
        }
    }

    private static bool Factor(double[,] matrix)
    {
        int size = matrix.GetLength(0);
        for (int j = 0; j < size; j++)
        {
            for (int k = 0; k <= j; k++)
            {
                double sum = matrix[j, k];
                for (int m = 0; m < k; m++)
                {
                    sum -= matrix[j, m] * matrix[k, m];
                }
                if (j != k)
                {
                    matrix[j, k] = sum / matrix[k, k];
                    continue;
                }
                if (!(sum > 0))
                {
                    return false;
                }
                matrix[j, j] = Math.Sqrt(sum);
            }
        }
        return true;
    }

    // Solves the Newton system: Q dx − Aᵀdz = −dual, A dx − ds = −primal, z ds + s dz = −complement.
    private static void Step(
        double[,] factor,
        double[][] rows,
        double[] dual,
        double[] primal,
        double[] complement,
        double[] slack,
        double[] multiplier,
        double[] dx,
        double[] dSlack,
        double[] dMultiplier
    )
    {
        int size = dual.Length;
        for (int j = 0; j < size; j++)
        {
            dx[j] = -dual[j];
        }
        for (int i = 0; i < rows.Length; i++)
        {
            double pull = (-complement[i] - multiplier[i] * primal[i]) / slack[i];
            for (int j = 0; j < size; j++)
            {
                dx[j] += rows[i][j] * pull;
            }
        }
        for (int j = 0; j < size; j++)
        {
            for (int k = 0; k < j; k++)
            {
                dx[j] -= factor[j, k] * dx[k];
            }
            dx[j] /= factor[j, j];
        }
        for (int j = size - 1; j >= 0; j--)
        {
            for (int k = j + 1; k < size; k++)
            {
                dx[j] -= factor[k, j] * dx[k];
            }
            dx[j] /= factor[j, j];
        }
        for (int i = 0; i < rows.Length; i++)
        {
            dSlack[i] = Dot(rows[i], dx) + primal[i];
            dMultiplier[i] = (-complement[i] - multiplier[i] * dSlack[i]) / slack[i];
        }
    }

    private static double Reach(
        double[] slack,
        double[] dSlack,
        double[] multiplier,
        double[] dMultiplier,
        double share
    )
    {
        double reach = 1;
        for (int i = 0; i < slack.Length; i++)
        {
            if (dSlack[i] < 0)
            {
                reach = Math.Min(reach, -share * slack[i] / dSlack[i]);
            }
            if (dMultiplier[i] < 0)
            {
                reach = Math.Min(reach, -share * multiplier[i] / dMultiplier[i]);
            }
        }
        return reach;
    }

    private static double Dot(double[] a, double[] b)
    {
        double sum = 0;
        for (int j = 0; j < a.Length; j++)
        {
            sum += a[j] * b[j];
        }
        return sum;
    }

    private static double Largest(double[] values)
    {
        double largest = 0;
        foreach (double value in values)
        {
            largest = Math.Max(largest, Math.Abs(value));
        }
        return largest;
    }
}
