namespace Graftbench.Core.Physics.Alloys;

/// <summary>Which phases a mixture consists of at a temperature.</summary>
/// <remarks>
/// A simplex with columns made on the fly finds the phases; Newton on potentials and amounts makes them exact; a search
/// from every pure corner confirms that nothing else wants to form. The next temperature starts from the last phases.
/// </remarks>
internal sealed partial class PhaseSolver
{
    /// <summary>A phase may be this far below the plane before it counts as wanting to form [J/mol].</summary>
    public const double ToleranceJ = 5e-4;

    /// <summary>A set that Newton could not make exact is taken while its phases lie this close to the plane [J/mol].</summary>
    /// <remarks>Solders melt with 8 to 14 J/(mol K): 1 J/mol is about 0.1 K, well inside the model's own ±2 to 3 K.</remarks>
    public const double MostInexactJ = 1;

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

    /// <summary>How far the phases lie off one plane, or below it what still wants to form [J/mol], 0 or above.</summary>
    public double ResidualJ { get; private set; }

    /// <summary>Leaves Newton's method out, so that the simplex's own answers can be looked at.</summary>
    internal bool WithoutNewton { get; init; }

    /// <summary>False where the last answer is the simplex's, which Newton could not make exact.</summary>
    public bool IsExact { get; private set; }

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
        IsExact = true;
        if (found.Count > 0 && Exact() && Confirmed())
        {
            return true;
        }
        if (!Simplex())
        {
            return false;
        }
        List<PhaseAmount> simplex = [.. found.Select(each => each with { Place = [.. each.Place] })];
        double[] planeJ = [.. potentials];
        // Columns of a hair's amount may be left from the way here: without them first the exact set, then a smaller one.
        foreach (double least in (ReadOnlySpan<double>)[0, 1e-5, 1e-2])
        {
            found.Clear();
            found.AddRange(
                simplex.Where(each => each.Amount >= least).Select(each => each with { Place = [.. each.Place] })
            );
            planeJ.CopyTo(potentials, 0);
            if (Exact() && Confirmed())
            {
                return true;
            }
        }
        found.Clear();
        found.AddRange(simplex);
        planeJ.CopyTo(potentials, 0);
        IsExact = false;
        ResidualJ = Math.Max(ToleranceJ, found.Max(each => Math.Abs(OffPlaneJ(each))));
        return ResidualJ <= MostInexactJ;
    }

    // Columns of one phase were merged into their mean, which need not lie on the plane that each of them touched.
    private double OffPlaneJ(PhaseAmount each) =>
        (
            each.Phase < GibbsTable.Solutions
                ? State.Energy(each.Phase, each.Place)
                : State.CompoundEnergy(each.Phase - GibbsTable.Solutions)
        ) - Dot(each.Place);

    /// <summary>Mole fraction of the liquid; 0 where there is none.</summary>
    public double LiquidMoles() => found.Where(each => each.Phase == 0).Sum(each => each.Amount);

    // A missing phase is added to the exact set until none is missing; a few rounds, then the simplex starts over.
    private bool Confirmed()
    {
        for (int round = 0; round < 4; round++)
        {
            (double distanceJ, int phase, double[] place) = Deepest(withLiquid: true);
            ResidualJ = Math.Max(0, -distanceJ);
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
}

/// <summary>A phase with its composition (mole fractions) and amount (mole fraction of the whole).</summary>
internal sealed record PhaseAmount(int Phase, double[] Place, double Amount);
