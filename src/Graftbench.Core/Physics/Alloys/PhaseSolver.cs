using Graftbench.Core.Numerics;

namespace Graftbench.Core.Physics.Alloys;

/// <summary>Which phases a mixture consists of at a temperature.</summary>
/// <remarks>
/// A simplex with columns made on the fly finds the phases; Newton on potentials and amounts makes them exact; a search
/// from every pure corner confirms that nothing else wants to form. The next temperature starts from the last phases.
/// </remarks>
internal sealed class PhaseSolver
{
    /// <summary>A phase may be this far below the plane before it counts as wanting to form [J/mol].</summary>
    public const double ToleranceJ = 5e-4;

    private const int N = GibbsTable.Elements;
    private const int Phases = GibbsTable.Solutions + GibbsTable.Compounds;
    private const int MostPivots = 400;
    private readonly TangentPlane plane;
    private readonly double[] overall;
    private readonly bool[] inUse;
    private readonly int[] elements;
    private readonly List<PhaseAmount> found = [];
    private readonly double[] potentials = new double[N];

    public PhaseSolver(ReadOnlySpan<double> moleFractions)
    {
        overall = moleFractions.ToArray();
        inUse = [.. overall.Select(x => x > 0)];
        elements = [.. Enumerable.Range(0, N).Where(i => inUse[i])];
        plane = new TangentPlane(State);
    }

    /// <summary>Energies at the temperature of the last call.</summary>
    public GibbsState State { get; } = new();

    /// <summary>Phases of the last call.</summary>
    public IReadOnlyList<PhaseAmount> Found => found;

    /// <summary>Distance of the phase that most wants to form [J/mol]; near 0 when converged.</summary>
    public double ResidualJ { get; private set; }

    /// <summary>Goes to another overall composition of the same elements; the phases serve as start.</summary>
    public void Take(ReadOnlySpan<double> moleFractions) => moleFractions.CopyTo(overall);

    /// <summary>Largest wish of a solid to form from the liquid [J/mol]; above 0 below the liquidus.</summary>
    /// <param name="temperatureK">Temperature [K].</param>
    /// <param name="solid">Phase that wants most: solution phase, or compound from 5 on.</param>
    /// <param name="place">Its composition.</param>
    public double DrivingForceJ(double temperatureK, out int solid, out double[] place)
    {
        State.GoTo(temperatureK);
        State.Potentials(0, overall, potentials);
        (double distanceJ, solid, place) = Deepest(withLiquid: false);
        return -distanceJ;
    }

    /// <summary>Finds the phases at a temperature.</summary>
    /// <returns>False where it did not converge: <see cref="ResidualJ"/> says how far off.</returns>
    public bool Solve(double temperatureK)
    {
        State.GoTo(temperatureK);
        if (found.Count > 0 && Exact() && Confirmed())
        {
            return true;
        }
        if (!Simplex())
        {
            return false;
        }
        List<PhaseAmount> simplex = [.. found.Select(each => each with { Place = [.. each.Place] })];
        double residualJ = ResidualJ;
        // Columns of a hair's amount may be left from the way here: without them first the exact set, then a smaller one.
        foreach (double least in (ReadOnlySpan<double>)[0, 1e-5, 1e-2])
        {
            found.Clear();
            found.AddRange(
                simplex.Where(each => each.Amount >= least).Select(each => each with { Place = [.. each.Place] })
            );
            if (Exact() && Confirmed())
            {
                return true;
            }
        }
        found.Clear();
        found.AddRange(simplex);
        ResidualJ = residualJ;
        return true;
    }

    /// <summary>Mole fraction of the liquid; 0 where there is none.</summary>
    public double LiquidMoles() => found.Where(each => each.Phase == 0).Sum(each => each.Amount);

    // A missing phase is added to the exact set until none is missing; a few rounds, then the simplex starts over.
    private bool Confirmed()
    {
        for (int round = 0; round < 4; round++)
        {
            (double distanceJ, int phase, double[] place) = Deepest(withLiquid: true);
            ResidualJ = distanceJ;
            if (distanceJ > -ToleranceJ)
            {
                return true;
            }
            if (found.Count == elements.Length)
            {
                return false;
            }
            found.Add(new PhaseAmount(phase, place, 0));
            if (!Exact())
            {
                return false;
            }
        }
        return false;
    }

    private (double DistanceJ, int Phase, double[] Place) Deepest(bool withLiquid)
    {
        double best = double.PositiveInfinity;
        int bestPhase = -1;
        double[] place = new double[N];
        Span<double> y = stackalloc double[N];
        for (int phase = withLiquid ? 0 : 1; phase < GibbsTable.Solutions; phase++)
        {
            foreach (int corner in elements)
            {
                if (!State.Allows(phase, corner))
                {
                    continue;
                }
                foreach (int i in elements)
                {
                    y[i] =
                        elements.Length == 1 ? 1
                        : i == corner ? 0.98
                        : 0.02 / (elements.Length - 1);
                }
                Try(phase, y);
            }
            foreach (PhaseAmount each in found)
            {
                if (withLiquid && each.Phase == phase)
                {
                    each.Place.CopyTo(y);
                    Try(phase, y);
                }
            }
        }
        if (withLiquid)
        {
            overall.CopyTo(y);
            Try(0, y);
        }
        for (int c = 0; c < GibbsTable.Compounds; c++)
        {
            if (Possible(c))
            {
                double distance = State.CompoundEnergy(c) - Dot(State.CompoundAtoms(c));
                if (distance < best)
                {
                    (best, bestPhase) = (distance, GibbsTable.Solutions + c);
                    State.CompoundAtoms(c).CopyTo(place);
                }
            }
        }
        return (best, bestPhase, place);

        void Try(int phase, Span<double> start)
        {
            if (plane.Minimise(phase, potentials, inUse, start, out double distance) && distance < best)
            {
                (best, bestPhase) = (distance, phase);
                start.CopyTo(place);
            }
        }
    }

    private double Dot(ReadOnlySpan<double> y)
    {
        double sum = 0;
        foreach (int i in elements)
        {
            sum += y[i] * potentials[i];
        }
        return sum;
    }

    private bool Possible(int compound)
    {
        ReadOnlySpan<double> atoms = State.CompoundAtoms(compound);
        for (int i = 0; i < N; i++)
        {
            if (atoms[i] > 0 && !inUse[i])
            {
                return false;
            }
        }
        return true;
    }

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
            ResidualJ = distanceJ;
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

    // Newton: every phase touches the plane, the amounts add up to the whole. Phases that shrink below 0 leave.
    private bool Exact()
    {
        for (int round = 0; round < Phases && found.Count > 0; round++)
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

/// <summary>A phase with its composition (mole fractions) and amount (mole fraction of the whole).</summary>
internal sealed record PhaseAmount(int Phase, double[] Place, double Amount);
