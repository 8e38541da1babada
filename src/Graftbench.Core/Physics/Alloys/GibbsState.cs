namespace Graftbench.Core.Physics.Alloys;

/// <summary>
/// All phases at one temperature: energies, potentials, slopes and curvatures. Solution phases 0 to 4 are liquid, (Sn),
/// fcc, hcp, (Bi); compounds follow. Compositions are mole fractions, length 5.
/// </summary>
/// <remarks>
/// G = Σ x(G° + lattice) + RT Σ x ln x + Gex; Gex = Σ xᵢxⱼ Σ Lᵥ(xᵢ - xⱼ)ᵛ + ternary terms. Slopes are taken with all x
/// independent: they differ from those along the simplex by a constant, which drops out of every difference.
/// </remarks>
internal sealed class GibbsState
{
    private const int N = GibbsTable.Elements;
    private readonly GibbsTable table = GibbsTable.Shared;
    private readonly double[] pure = new double[GibbsTable.Solutions * N];
    private readonly double[] pair = new double[GibbsTable.Solutions * GibbsTable.Pairs * GibbsTable.Orders];
    private readonly bool[] pairUsed = new bool[GibbsTable.Solutions * GibbsTable.Pairs];
    private readonly double[] triple;
    private readonly double[] reference = new double[N];
    private readonly double[] compound = new double[GibbsTable.Compounds];
    private bool enthalpy;

    public GibbsState() => triple = new double[table.Triples.Count * 3];

    /// <summary>Temperature of the state [K].</summary>
    public double TemperatureK { get; private set; }

    /// <summary>Gas constant times temperature [J/mol].</summary>
    public double ThermalJ { get; private set; }

    /// <summary>Energies of the references of the elements [J/mol].</summary>
    public ReadOnlySpan<double> Reference => reference;

    /// <summary>Goes to a temperature.</summary>
    /// <param name="temperatureK">Temperature [K], above 0.</param>
    /// <param name="asEnthalpy">Fills in enthalpies in place of energies; only <see cref="Energy"/> and <see cref="CompoundEnergy"/> may be asked then.</param>
    public void GoTo(double temperatureK, bool asEnthalpy = false)
    {
        TemperatureK = temperatureK;
        ThermalJ = GibbsTable.GasConstant * temperatureK;
        enthalpy = asEnthalpy;
        GibbsTerms.Powers powers = GibbsTerms.Powers.Of(temperatureK);
        for (int i = 0; i < N; i++)
        {
            reference[i] = GibbsTerms.Stretch(table.Reference[i], temperatureK).At(powers, asEnthalpy);
        }
        for (int phase = 0; phase < GibbsTable.Solutions; phase++)
        {
            for (int i = 0; i < N; i++)
            {
                pure[phase * N + i] = table.Lattice[phase, i] is { } stretches
                    ? reference[i] + GibbsTerms.Stretch(stretches, temperatureK).At(powers, asEnthalpy)
                    : double.NaN;
            }
            for (int p = 0; p < GibbsTable.Pairs; p++)
            {
                bool used = false;
                for (int order = 0; order < GibbsTable.Orders; order++)
                {
                    GibbsTerms? terms = table.Pair[phase, p, order];
                    pair[(phase * GibbsTable.Pairs + p) * GibbsTable.Orders + order] =
                        terms?.At(powers, asEnthalpy) ?? 0;
                    used |= terms is not null;
                }
                pairUsed[phase * GibbsTable.Pairs + p] = used;
            }
        }
        for (int t = 0; t < table.Triples.Count; t++)
        {
            for (int order = 0; order < 3; order++)
            {
                triple[3 * t + order] = table.Triples[t].Terms[order]?.At(powers, asEnthalpy) ?? 0;
            }
        }
        for (int c = 0; c < GibbsTable.Compounds; c++)
        {
            (GibbsTerms absolute, double[] atoms, bool over) = table.Compound[c];
            compound[c] = absolute.At(powers, asEnthalpy) + (over ? Dot(atoms, reference) : 0);
        }
    }

    /// <summary>Energy of a compound [J per mole of atoms].</summary>
    public double CompoundEnergy(int index) => compound[index];

    /// <summary>Atoms of a compound, mole fractions.</summary>
    public ReadOnlySpan<double> CompoundAtoms(int index) => table.Compound[index].Atoms;

    /// <summary>Whether an element may be in a solution phase.</summary>
    public bool Allows(int phase, int element) => table.Lattice[phase, element] is not null;

    /// <summary>Energy of the pure element in a phase [J/mol].</summary>
    public double Pure(int phase, int element) => pure[phase * N + element];

    /// <summary>Energy (or enthalpy) of a solution phase [J per mole of atoms].</summary>
    public double Energy(int phase, ReadOnlySpan<double> x)
    {
        Span<double> slope = stackalloc double[N];
        double energy = Excess(phase, x, slope, []);
        for (int i = 0; i < N; i++)
        {
            if (x[i] > 0)
            {
                energy += x[i] * (pure[phase * N + i] + (enthalpy ? 0 : ThermalJ * Math.Log(x[i])));
            }
        }
        return energy;
    }

    /// <summary>Chemical potentials of a solution phase [J/mol]; not a number for absent elements.</summary>
    /// <returns>The energy [J/mol].</returns>
    public double Potentials(int phase, ReadOnlySpan<double> x, Span<double> potentials)
    {
        Span<double> slope = stackalloc double[N];
        double excess = Excess(phase, x, slope, []);
        double energy = 0;
        excess -= Dot(x, slope);
        for (int i = 0; i < N; i++)
        {
            potentials[i] = x[i] > 0 ? pure[phase * N + i] + ThermalJ * Math.Log(x[i]) + excess + slope[i] : double.NaN;
            energy += x[i] > 0 ? x[i] * potentials[i] : 0;
        }
        return energy;
    }

    /// <summary>Excess energy with slopes and, where asked, curvatures.</summary>
    /// <param name="phase">Solution phase.</param>
    /// <param name="x">Mole fractions.</param>
    /// <param name="slope">Slopes, length 5, written in full [J/mol].</param>
    /// <param name="curve">Curvatures, length 25 row by row, or empty [J/mol].</param>
    public double Excess(int phase, ReadOnlySpan<double> x, Span<double> slope, Span<double> curve)
    {
        bool curved = curve.Length > 0;
        slope.Clear();
        curve.Clear();
        double energy = 0;
        int p = 0;
        for (int i = 0; i < N; i++)
        {
            for (int j = i + 1; j < N; j++, p++)
            {
                int at = phase * GibbsTable.Pairs + p;
                if (!pairUsed[at] || x[i] <= 0 || x[j] <= 0)
                {
                    continue;
                }
                ReadOnlySpan<double> l = pair.AsSpan(at * GibbsTable.Orders, GibbsTable.Orders);
                double d = x[i] - x[j];
                double product = x[i] * x[j];
                double poly = l[0] + d * (l[1] + d * l[2]);
                double first = l[1] + 2 * d * l[2];
                energy += product * poly;
                slope[i] += x[j] * poly + product * first;
                slope[j] += x[i] * poly - product * first;
                if (curved)
                {
                    double second = 2 * l[2];
                    curve[i * N + i] += 2 * x[j] * first + product * second;
                    curve[j * N + j] += -2 * x[i] * first + product * second;
                    double mixed = poly + d * first - product * second;
                    curve[i * N + j] += mixed;
                    curve[j * N + i] += mixed;
                }
            }
        }
        for (int t = 0; t < table.Triples.Count; t++)
        {
            GibbsTriple each = table.Triples[t];
            if (each.Solution == phase && x[each.I] > 0 && x[each.J] > 0 && x[each.K] > 0)
            {
                energy += Triple(each, triple.AsSpan(3 * t, 3), x, slope, curve);
            }
        }
        return energy;
    }

    private static double Triple(
        GibbsTriple each,
        ReadOnlySpan<double> l,
        ReadOnlySpan<double> x,
        Span<double> slope,
        Span<double> curve
    )
    {
        ReadOnlySpan<int> who = [each.I, each.J, each.K];
        double left = (1 - x[who[0]] - x[who[1]] - x[who[2]]) / 3;
        bool single = each.Terms[1] is null;
        double mean = (l[0] + l[1] + l[2]) / 3;
        double q = single ? l[0] : 0;
        Span<double> qSlope = stackalloc double[3];
        for (int m = 0; m < 3 && !single; m++)
        {
            q += l[m] * (x[who[m]] + left);
            qSlope[m] = l[m] - mean;
        }
        double product = x[who[0]] * x[who[1]] * x[who[2]];
        for (int m = 0; m < 3; m++)
        {
            int a = who[m];
            int b = who[(m + 1) % 3];
            int c = who[(m + 2) % 3];
            slope[a] += x[b] * x[c] * q + product * qSlope[m];
            if (curve.Length > 0)
            {
                curve[a * N + a] += 2 * x[b] * x[c] * qSlope[m];
                double mixed = x[c] * q + x[b] * x[c] * qSlope[(m + 1) % 3] + x[a] * x[c] * qSlope[m];
                curve[a * N + b] += mixed;
                curve[b * N + a] += mixed;
            }
        }
        return product * q;
    }

    /// <summary>Sum of products.</summary>
    public static double Dot(ReadOnlySpan<double> left, ReadOnlySpan<double> right)
    {
        double sum = 0;
        for (int i = 0; i < left.Length; i++)
        {
            sum += left[i] * right[i];
        }
        return sum;
    }
}
