namespace Graftbench.Core.Physics.Alloys;

/// <summary>Least distance of a solution phase from a plane of chemical potentials, and how its place moves with them.</summary>
/// <remarks>
/// Minimises D(y) = G(y) - Σ y μ. Newton in variables scaled by √y, so that traces do not spoil the digits; where the
/// curvature is not positive, the fixed point y ∝ exp((μ - G° - μex)/RT), half way in ln y.
/// </remarks>
internal sealed class TangentPlane(GibbsState state)
{
    private const int N = GibbsTable.Elements;
    private const int MostSteps = 200;
    private const double Least = 1e-30;
    private const double Trace = 1e-4;
    private const double Stiffness = 20;
    private readonly double[] slope = new double[N];
    private readonly double[] curve = new double[N * N];
    private readonly double[] matrix = new double[N * N];
    private readonly double[] right = new double[N];
    private readonly double[] along = new double[N];
    private readonly int[] who = new int[N];
    private int count;

    /// <summary>Goes to the minimum next to a start.</summary>
    /// <param name="phase">Solution phase.</param>
    /// <param name="potentials">Potentials; only those of elements in use are read [J/mol].</param>
    /// <param name="inUse">Elements in use.</param>
    /// <param name="y">Start, then the place of the minimum, mole fractions.</param>
    /// <param name="distanceJ">Distance [J/mol]; negative where the phase wants to form.</param>
    /// <returns>False where it did not converge.</returns>
    public bool Minimise(
        int phase,
        ReadOnlySpan<double> potentials,
        ReadOnlySpan<bool> inUse,
        Span<double> y,
        out double distanceJ
    )
    {
        count = 0;
        for (int i = 0; i < N; i++)
        {
            if (inUse[i] && state.Allows(phase, i) && y[i] > 0)
            {
                who[count++] = i;
            }
            else
            {
                y[i] = 0;
            }
        }
        double thermal = state.ThermalJ;
        distanceJ = double.PositiveInfinity;
        double sum = 0;
        for (int a = 0; a < count; a++)
        {
            sum += y[who[a]];
        }
        if (!(sum > 0))
        {
            return false;
        }
        // The start may have held elements that this phase does not take.
        for (int a = 0; a < count; a++)
        {
            y[who[a]] /= sum;
        }
        for (int step = 0; step < MostSteps; step++)
        {
            double excess = state.Excess(phase, y, slope, curve);
            double distance = excess;
            for (int a = 0; a < count; a++)
            {
                int i = who[a];
                double line = state.Pure(phase, i) + thermal * Math.Log(y[i]) - potentials[i];
                distance += y[i] * line;
                right[a] = line + slope[i];
            }
            distanceJ = distance;
            if (count == 1)
            {
                return true;
            }
            double change = Curved(y) ? NewtonStep(y) : PlainStep(y, step > 100 ? 0.25 : 0.5);
            if (change < 1e-9)
            {
                return true;
            }
            if (!double.IsFinite(change))
            {
                return false;
            }
        }
        return false;
    }

    /// <summary>Adds amount times dy/dμ·RT of the phase at its minimum to a matrix of the elements (5 by 5).</summary>
    public void AddMoves(int phase, ReadOnlySpan<double> y, double amount, Span<double> sum)
    {
        count = 0;
        for (int i = 0; i < N; i++)
        {
            if (y[i] > 0)
            {
                who[count++] = i;
            }
        }
        if (count < 2)
        {
            return;
        }
        state.Excess(phase, y, slope, curve);
        if (!Curved(y))
        {
            return;
        }
        // dy = S(M⁻¹ - uuᵀ/(sᵀu))S dμ with u = M⁻¹s, S = diag √y.
        SolveAlong(y);
        double size = 0;
        for (int a = 0; a < count; a++)
        {
            size += Math.Sqrt(y[who[a]]) * along[a];
        }
        for (int b = 0; b < count; b++)
        {
            right.AsSpan(0, count).Clear();
            right[b] = 1;
            Back(right);
            for (int a = 0; a < count; a++)
            {
                sum[who[a] * N + who[b]] +=
                    amount
                    * state.ThermalJ
                    * Math.Sqrt(y[who[a]] * y[who[b]])
                    * (right[a] - along[a] * along[b] / size);
            }
        }
    }

    // Cholesky factors of RT(1 + k uuᵀ) + √y Gex'' √y, u = √y; false where that is not positive. Shares add up to 1, so no step
    // goes along u and k changes none; without it a phase that mixes with much heat would never count as curved.
    private bool Curved(ReadOnlySpan<double> y)
    {
        for (int a = 0; a < count; a++)
        {
            for (int b = 0; b <= a; b++)
            {
                double value =
                    Math.Sqrt(y[who[a]] * y[who[b]]) * (curve[who[a] * N + who[b]] + Stiffness * state.ThermalJ)
                    + (a == b ? state.ThermalJ : 0);
                for (int k = 0; k < b; k++)
                {
                    value -= matrix[a * N + k] * matrix[b * N + k];
                }
                if (a == b)
                {
                    if (!(value > 1e-6 * state.ThermalJ))
                    {
                        return false;
                    }
                    matrix[a * N + a] = Math.Sqrt(value);
                }
                else
                {
                    matrix[a * N + b] = value / matrix[b * N + b];
                }
            }
        }
        return true;
    }

    private void Back(double[] v)
    {
        for (int a = 0; a < count; a++)
        {
            for (int k = 0; k < a; k++)
            {
                v[a] -= matrix[a * N + k] * v[k];
            }
            v[a] /= matrix[a * N + a];
        }
        for (int a = count - 1; a >= 0; a--)
        {
            for (int k = a + 1; k < count; k++)
            {
                v[a] -= matrix[k * N + a] * v[k];
            }
            v[a] /= matrix[a * N + a];
        }
    }

    private void SolveAlong(ReadOnlySpan<double> y)
    {
        for (int a = 0; a < count; a++)
        {
            along[a] = Math.Sqrt(y[who[a]]);
        }
        Back(along);
    }

    private double NewtonStep(Span<double> y)
    {
        SolveAlong(y);
        double force = 0;
        double size = 0;
        for (int a = 0; a < count; a++)
        {
            double root = Math.Sqrt(y[who[a]]);
            force += along[a] * root * right[a];
            size += along[a] * root;
        }
        double level = force / size;
        for (int a = 0; a < count; a++)
        {
            right[a] = -Math.Sqrt(y[who[a]]) * (right[a] - level);
        }
        Back(right);
        double largest = 0;
        for (int a = 0; a < count; a++)
        {
            right[a] /= Math.Sqrt(y[who[a]]);
            if (y[who[a]] > Trace)
            {
                largest = Math.Max(largest, Math.Abs(right[a]));
            }
        }
        // In ln y, so that nothing goes below 0; a long step is cut. A trace goes its own way: a potential that is far off
        // for it must not hold the others up.
        double cut = largest > 1.5 ? 1.5 / largest : 1;
        for (int a = 0; a < count; a++)
        {
            right[a] = y[who[a]] > Trace ? cut * right[a] : Math.Clamp(right[a], -30, 3);
        }
        return Move(y, 1);
    }

    private double PlainStep(Span<double> y, double weight)
    {
        double most = double.NegativeInfinity;
        for (int a = 0; a < count; a++)
        {
            right[a] = -right[a] / state.ThermalJ;
            most = Math.Max(most, right[a]);
        }
        for (int a = 0; a < count; a++)
        {
            right[a] = Math.Max(right[a] - most, -60);
        }
        return Move(y, weight);
    }

    private double Move(Span<double> y, double weight)
    {
        double sum = 0;
        for (int a = 0; a < count; a++)
        {
            right[a] = y[who[a]] * Math.Exp(weight * right[a]);
            sum += right[a];
        }
        double change = 0;
        for (int a = 0; a < count; a++)
        {
            double next = Math.Max(right[a] / sum, Least);
            change = Math.Max(change, Math.Abs(next - y[who[a]]) / (next + 1e-12));
            y[who[a]] = next;
        }
        return change;
    }
}
