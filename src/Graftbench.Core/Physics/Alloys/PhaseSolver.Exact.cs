using Graftbench.Core.Numerics;

namespace Graftbench.Core.Physics.Alloys;

// Newton on potentials and amounts of a known set of phases.
internal sealed partial class PhaseSolver
{
    // Newton: every phase touches the plane, the amounts add up to the whole. Phases that shrink below 0 leave.
    private bool Exact()
    {
        for (int round = 0; round < Phases && found.Count > 0 && !WithoutNewton; round++)
        {
            if (!Newton())
            {
                return false;
            }
            int least = 0;
            for (int s = 1; s < found.Count; s++)
            {
                least = found[s].Amount < found[least].Amount ? s : least;
            }
            if (found[least].Amount >= 0)
            {
                return true;
            }
            found.RemoveAt(least);
        }
        return false;
    }

    private bool Newton()
    {
        int n = elements.Length;
        int size = n + found.Count;
        double[] matrix = new double[size * size];
        double[] right = new double[size];
        double[] solution = new double[size];
        double[] moves = new double[N * N];
        DenseLu? lu = null;
        for (int step = 0; step < 40; step++)
        {
            Array.Clear(matrix);
            Array.Clear(moves);
            double off = 0;
            for (int e = 0; e < n; e++)
            {
                right[e] = overall[elements[e]];
            }
            for (int s = 0; s < found.Count; s++)
            {
                PhaseAmount each = found[s];
                double distance;
                if (each.Phase < GibbsTable.Solutions)
                {
                    Lift(each.Place);
                    if (!plane.Minimise(each.Phase, potentials, inUse, each.Place, out distance))
                    {
                        return false;
                    }
                    plane.AddMoves(each.Phase, each.Place, Math.Max(each.Amount, 0), moves);
                }
                else
                {
                    distance = State.CompoundEnergy(each.Phase - GibbsTable.Solutions) - Dot(each.Place);
                }
                for (int e = 0; e < n; e++)
                {
                    double y = each.Place[elements[e]];
                    right[e] -= each.Amount * y;
                    matrix[e * size + n + s] = y;
                    matrix[(n + s) * size + e] = y;
                }
                right[n + s] = distance / State.ThermalJ;
                off = Math.Max(off, Math.Abs(right[n + s]));
            }
            for (int e = 0; e < n; e++)
            {
                off = Math.Max(off, Math.Abs(right[e]));
                for (int k = 0; k < n; k++)
                {
                    matrix[e * size + k] = moves[elements[e] * N + elements[k]];
                }
            }
            if (off < 1e-12)
            {
                return true;
            }
            lu ??= new DenseLu(matrix, size);
            lu.Factorise(matrix);
            if (lu.Singular)
            {
                return off < 1e-9;
            }
            lu.Solve(right, solution);
            double largest = 0;
            for (int e = 0; e < n; e++)
            {
                largest = Math.Max(largest, Math.Abs(solution[e]));
            }
            if (!double.IsFinite(largest))
            {
                return false;
            }
            double cut = largest > 1 ? 1 / largest : 1;
            for (int e = 0; e < n; e++)
            {
                potentials[elements[e]] += cut * solution[e] * State.ThermalJ;
            }
            for (int s = 0; s < found.Count; s++)
            {
                found[s] = found[s] with { Amount = found[s].Amount + cut * solution[n + s] };
            }
            if (step == 39 || (step > 12 && largest < 1e-10))
            {
                return off < 1e-8;
            }
        }
        return false;
    }

    // A phase that was made without an element may take it up.
    private void Lift(double[] place)
    {
        foreach (int i in elements)
        {
            place[i] = Math.Max(place[i], 1e-20);
        }
    }
}
