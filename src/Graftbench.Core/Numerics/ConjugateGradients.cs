using System.Numerics;
using System.Runtime.CompilerServices;

namespace Graftbench.Core.Numerics;

/// <summary>How a solve ended.</summary>
/// <param name="Converged">Whether the residual fell below the wanted size.</param>
/// <param name="Iterations">Iterations used.</param>
/// <param name="ResidualNumber">Largest preconditioned residual at the end, in the unit of the unknowns.</param>
public readonly record struct SolveReport(bool Converged, int Iterations, double ResidualNumber);

/// <summary>
/// Conjugate gradients with a modified incomplete Cholesky preconditioner without fill, for one
/// <see cref="SevenPointMatrix"/>. Holds its scratch space; one instance serves one thread.
/// </summary>
/// <remarks>
/// M = (D + L) D⁻¹ (D + Lᵀ) with L the strict lower part of the matrix and D chosen so that M has the matrix's row sums
/// [2; 1, section 10.3.5]: the fill that is dropped goes to the diagonal in full. So a body that warms as a whole is solved
/// at once however well it conducts, and M⁻¹r is the error itself there: with less than all of the fill the residual of a
/// well conducting body looks a thousand times smaller than its error. With a diagonal of at least the couplings each
/// pivot is at least the couplings that are still to come, so none can fail. Iteration after [1, alg. 9.1].
/// [1] Y. Saad, "Iterative Methods for Sparse Linear Systems", 2nd ed. (2003). [2] I. Gustafsson, "A class of first order
/// factorization methods", BIT 18 (1978) 142-156.
/// </remarks>
public sealed class ConjugateGradients
{
    // A start vector is taken as it is only far below the tolerance: what is let pass has one sign for many steps in time.
    private const double StartShare = 1e-2;
    private readonly SevenPointMatrix matrix;
    private readonly double[] inverse;
    private readonly double[] residual;
    private readonly double[] preconditioned;
    private readonly double[] direction;
    private readonly double[] product;

    /// <summary>Makes scratch space for a matrix and factorises it.</summary>
    public ConjugateGradients(SevenPointMatrix matrix)
    {
        this.matrix = matrix;
        int count = matrix.Count;
        inverse = new double[count];
        residual = new double[count];
        preconditioned = new double[count];
        direction = new double[count];
        product = new double[count];
        Factorise();
    }

    /// <summary>Makes the preconditioner anew; call it after the matrix's diagonal has changed.</summary>
    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    public void Factorise()
    {
        double[] x = matrix.CouplingX;
        double[] y = matrix.CouplingY;
        double[] z = matrix.CouplingZ;
        double[] diagonal = matrix.Diagonal;
        foreach (ref readonly SevenPointMatrix.Run run in matrix.Runs)
        {
            for (int i = run.Start; i < run.End; i++)
            {
                double pivot = diagonal[i];
                if (i > 0 && x[i - 1] != 0)
                {
                    int l = i - 1;
                    pivot -= x[l] * inverse[l] * (x[l] + y[l] + z[l]);
                }
                if (run.DownY != 0)
                {
                    int l = i + run.DownY;
                    pivot -= y[l] * inverse[l] * (x[l] + y[l] + z[l]);
                }
                if (run.DownZ != 0)
                {
                    int l = i + run.DownZ;
                    pivot -= z[l] * inverse[l] * (x[l] + y[l] + z[l]);
                }
                // A diagonally dominant matrix keeps every pivot positive; the guard is for round-off alone.
                inverse[i] = 1 / Math.Max(pivot, 1e-12 * diagonal[i]);
            }
        }
    }

    /// <summary>Solves for one right-hand side.</summary>
    /// <param name="rightHandSide">Right-hand side.</param>
    /// <param name="solution">On entry a start vector, on return the solution.</param>
    /// <param name="toleranceNumber">Largest preconditioned residual to stop at, in the unit of the unknowns.</param>
    /// <param name="maxIterations">Most iterations.</param>
    public SolveReport Solve(
        ReadOnlySpan<double> rightHandSide,
        Span<double> solution,
        double toleranceNumber,
        int maxIterations
    )
    {
        matrix.Multiply(solution, product);
        Subtract(rightHandSide, product, residual);
        double size = Precondition(residual, preconditioned);
        if (size <= StartShare * toleranceNumber)
        {
            return new SolveReport(true, 0, size);
        }
        preconditioned.CopyTo(direction, 0);
        double rho = Dense.Dot(residual, preconditioned);
        for (int iteration = 1; iteration <= maxIterations; iteration++)
        {
            matrix.Multiply(direction, product);
            double curvature = Dense.Dot(direction, product);
            if (!(curvature > 0))
            {
                return new SolveReport(false, iteration, size);
            }
            double length = rho / curvature;
            Dense.AddScaled(solution, length, direction);
            Dense.AddScaled(residual, -length, product);
            size = Precondition(residual, preconditioned);
            if (!double.IsFinite(size))
            {
                return new SolveReport(false, iteration, double.PositiveInfinity);
            }
            if (size <= toleranceNumber)
            {
                return new SolveReport(true, iteration, size);
            }
            double next = Dense.Dot(residual, preconditioned);
            Dense.ScaleAndAdd(direction, next / rho, preconditioned);
            rho = next;
        }
        return new SolveReport(false, maxIterations, size);
    }

    // z = M⁻¹ r; returns the largest |z|.
    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    private double Precondition(double[] r, double[] z)
    {
        double[] cx = matrix.CouplingX;
        double[] cy = matrix.CouplingY;
        double[] cz = matrix.CouplingZ;
        int width = Vector<double>.Count;
        ReadOnlySpan<SevenPointMatrix.Run> runs = matrix.Runs;
        foreach (ref readonly SevenPointMatrix.Run run in runs)
        {
            int i = run.Start;
            for (; i <= run.End - width; i += width)
            {
                Vector<double> sum = new(r, i);
                if (run.DownY != 0)
                {
                    int l = i + run.DownY;
                    sum += new Vector<double>(cy, l) * new Vector<double>(z, l);
                }
                if (run.DownZ != 0)
                {
                    int l = i + run.DownZ;
                    sum += new Vector<double>(cz, l) * new Vector<double>(z, l);
                }
                (sum * new Vector<double>(inverse, i)).CopyTo(z, i);
            }
            for (; i < run.End; i++)
            {
                double sum = r[i];
                if (run.DownY != 0)
                {
                    sum += cy[i + run.DownY] * z[i + run.DownY];
                }
                if (run.DownZ != 0)
                {
                    sum += cz[i + run.DownZ] * z[i + run.DownZ];
                }
                z[i] = sum * inverse[i];
            }
            i = run.Start;
            double previous = i > 0 ? z[i - 1] : 0;
            for (; i < run.End; i++)
            {
                double coupling = i > 0 ? cx[i - 1] : 0;
                previous = Math.FusedMultiplyAdd(coupling * inverse[i], previous, z[i]);
                z[i] = previous;
            }
        }
        Vector<double> largest = Vector<double>.Zero;
        double largestOne = 0;
        for (int k = runs.Length - 1; k >= 0; k--)
        {
            SevenPointMatrix.Run run = runs[k];
            int i = run.Start;
            if (run.UpY != 0 || run.UpZ != 0)
            {
                for (; i <= run.End - width; i += width)
                {
                    Vector<double> sum = Vector<double>.Zero;
                    if (run.UpY != 0)
                    {
                        sum += new Vector<double>(cy, i) * new Vector<double>(z, i + run.UpY);
                    }
                    if (run.UpZ != 0)
                    {
                        sum += new Vector<double>(cz, i) * new Vector<double>(z, i + run.UpZ);
                    }
                    (new Vector<double>(z, i) + sum * new Vector<double>(inverse, i)).CopyTo(z, i);
                }
                for (; i < run.End; i++)
                {
                    double sum = 0;
                    if (run.UpY != 0)
                    {
                        sum += cy[i] * z[i + run.UpY];
                    }
                    if (run.UpZ != 0)
                    {
                        sum += cz[i] * z[i + run.UpZ];
                    }
                    z[i] += sum * inverse[i];
                }
            }
            double next = run.End < z.Length ? z[run.End] : 0;
            for (i = run.End - 1; i >= run.Start; i--)
            {
                next = Math.FusedMultiplyAdd(cx[i] * inverse[i], next, z[i]);
                z[i] = next;
            }
            for (i = run.Start; i <= run.End - width; i += width)
            {
                largest = Vector.Max(largest, Vector.Abs(new Vector<double>(z, i)));
            }
            for (; i < run.End; i++)
            {
                largestOne = Math.Max(largestOne, Math.Abs(z[i]));
            }
        }
        for (int k = 0; k < width; k++)
        {
            // Math.Max hands on a value that is no number, so a broken solve is seen.
            largestOne = Math.Max(largestOne, largest[k]);
        }
        return largestOne;
    }

    private static void Subtract(ReadOnlySpan<double> a, double[] b, double[] difference)
    {
        for (int i = 0; i < difference.Length; i++)
        {
            difference[i] = a[i] - b[i];
        }
    }
}
