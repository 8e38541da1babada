using Graftbench.Core.Numerics;

namespace Graftbench.Core.Physics.Alloys;

// Columns made on the fly: finds which phases there are, not yet exactly how much of each.
internal sealed partial class PhaseSolver
{
    private bool Simplex()
    {
        int n = elements.Length;
        PhaseAmount[] basis =
        [
            .. elements.Select(i =>
            {
                double[] corner = new double[N];
                corner[i] = 1;
                return new PhaseAmount(0, corner, overall[i]);
            }),
        ];
        double[] matrix = new double[n * n];
        double[] right = new double[n];
        double[] solution = new double[n];
        DenseLu? lu = null;
        found.Clear();
        for (int pivot = 0; pivot < MostPivots; pivot++)
        {
            Fill(matrix, basis, transposed: true);
            lu ??= new DenseLu(matrix, n);
            lu.Factorise(matrix);
            if (lu.Singular)
            {
                return false;
            }
            for (int b = 0; b < n; b++)
            {
                right[b] =
                    basis[b].Phase < GibbsTable.Solutions
                        ? State.Energy(basis[b].Phase, basis[b].Place)
                        : State.CompoundEnergy(basis[b].Phase - GibbsTable.Solutions);
            }
            lu.Solve(right, solution);
            for (int e = 0; e < n; e++)
            {
                potentials[elements[e]] = solution[e];
            }
            found.Clear();
            found.AddRange(basis);
            (double distanceJ, int phase, double[] place) = Deepest(withLiquid: true);
            ResidualJ = Math.Max(0, -distanceJ);
            if (distanceJ > -ToleranceJ)
            {
                Merge(basis);
                return true;
            }
            Fill(matrix, basis, transposed: false);
            lu.Factorise(matrix);
            for (int e = 0; e < n; e++)
            {
                right[e] = place[elements[e]];
            }
            lu.Solve(right, solution);
            int leave = -1;
            double step = double.PositiveInfinity;
            for (int b = 0; b < n; b++)
            {
                if (solution[b] > 1e-12 && basis[b].Amount / solution[b] < step)
                {
                    (leave, step) = (b, basis[b].Amount / solution[b]);
                }
            }
            if (leave < 0)
            {
                return false;
            }
            for (int b = 0; b < n; b++)
            {
                basis[b] = basis[b] with { Amount = Math.Max(0, basis[b].Amount - step * solution[b]) };
            }
            basis[leave] = new PhaseAmount(phase, place, step);
        }
        return false;
    }

    private void Fill(double[] matrix, PhaseAmount[] basis, bool transposed)
    {
        int n = elements.Length;
        for (int e = 0; e < n; e++)
        {
            for (int b = 0; b < n; b++)
            {
                matrix[transposed ? b * n + e : e * n + b] = basis[b].Place[elements[e]];
            }
        }
    }

    // Columns of one phase at nearly one place are one phase.
    private void Merge(PhaseAmount[] basis)
    {
        found.Clear();
        foreach (PhaseAmount each in basis.OrderByDescending(b => b.Amount).Where(b => b.Amount > 1e-14))
        {
            int at = found.FindIndex(other =>
                other.Phase == each.Phase
                && Enumerable.Range(0, N).All(i => Math.Abs(other.Place[i] - each.Place[i]) < 0.05)
            );
            if (at < 0)
            {
                found.Add(each with { Place = [.. each.Place] });
                continue;
            }
            double amount = found[at].Amount + each.Amount;
            double[] mean =
            [
                .. Enumerable
                    .Range(0, N)
                    .Select(i => (found[at].Amount * found[at].Place[i] + each.Amount * each.Place[i]) / amount),
            ];
            found[at] = new PhaseAmount(each.Phase, mean, amount);
        }
    }
}
