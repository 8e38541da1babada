using Graftbench.Core.Facts;

namespace Graftbench.Core.Physics.Alloys;

/// <summary>Parameters of the Gibbs energies of Ag, Bi, Cu, Pb and Sn (<c>data/solder-gibbs.csv</c>), elements in that order.</summary>
/// <remarks>Each row of the file names its assessment; Kattner's NIST collection of 30 Nov 1999 holds all but one.</remarks>
internal sealed class GibbsTable
{
    public const int Elements = 5;
    public const int Solutions = 5;
    public const int Compounds = 4;
    public const int Pairs = 10;
    public const int Orders = 3;

    /// <summary>Gas constant of the collection [J/(mol K)].</summary>
    public const double GasConstant = 8.31451;

    public static readonly string[] Symbols = ["Ag", "Bi", "Cu", "Pb", "Sn"];

    private static readonly string[] SolutionNames = ["LIQUID", "BCT_A5", "FCC_A1", "HCP_A3", "RHOMBO_A7"];
    private static readonly string[] CompoundNames = ["AG3SN", "CU3SN", "CU6SN5_HT", "CU6SN5_LT"];

    private static readonly Lazy<GibbsTable> Loaded = new(() => new GibbsTable(CsvTable.Load("solder-gibbs")));

    private GibbsTable(CsvTable table)
    {
        foreach (CsvRow row in table.Rows)
        {
            int[] who = [.. row["elements"].Split(' ').Select(symbol => Array.IndexOf(Symbols, symbol))];
            GibbsTerms terms = GibbsTerms.Of(row);
            switch (row["kind"])
            {
                case "element":
                    MolarMass[who[0]] = row.Number("molarMassG");
                    Reference[who[0]].Add(terms);
                    break;
                case "lattice":
                    (Lattice[SolutionAt(row), who[0]] ??= []).Add(terms);
                    break;
                case "interaction" when who.Length == 2:
                    Pair[SolutionAt(row), PairAt(who[0], who[1]), (int)row.Number("order")] = terms;
                    break;
                case "interaction":
                    AddTriple(SolutionAt(row), who, (int)row.Number("order"), terms);
                    break;
                default:
                    int compound = Array.IndexOf(CompoundNames, row["phase"]);
                    double[] share = new double[Elements];
                    double[] given = [.. row["atoms"].Split(' ').Select(double.Parse)];
                    for (int i = 0; i < who.Length; i++)
                    {
                        share[who[i]] = given[i];
                    }
                    Compound[compound] = (terms, share, row["note"].Length > 0);
                    break;
            }
        }
    }

    public static GibbsTable Shared => Loaded.Value;

    /// <summary>Molar masses [g].</summary>
    public double[] MolarMass { get; } = new double[Elements];

    public List<GibbsTerms>[] Reference { get; } =
    [
        [],
        [],
        [],
        [],
        [],
    ];

    /// <summary>Solution phase less reference; null where the element is not allowed in the phase.</summary>
    public List<GibbsTerms>?[,] Lattice { get; } = new List<GibbsTerms>?[Solutions, Elements];

    public GibbsTerms?[,,] Pair { get; } = new GibbsTerms?[Solutions, Pairs, Orders];

    public List<GibbsTriple> Triples { get; } = [];

    /// <summary>Absolute term, atoms, and whether the references of the atoms are added.</summary>
    public (GibbsTerms Absolute, double[] Atoms, bool OverReference)[] Compound { get; } =
        new (GibbsTerms, double[], bool)[Compounds];

    public static int PairAt(int i, int j) => i * (2 * Elements - i - 1) / 2 + (j - i - 1);

    private static int SolutionAt(CsvRow row) => Array.IndexOf(SolutionNames, row["phase"]);

    private void AddTriple(int solution, int[] who, int order, GibbsTerms terms)
    {
        GibbsTriple? triple = Triples.Find(each =>
            each.Solution == solution && each.I == who[0] && each.J == who[1] && each.K == who[2]
        );
        if (triple is null)
        {
            triple = new GibbsTriple(solution, who[0], who[1], who[2]);
            Triples.Add(triple);
        }
        triple.Terms[order] = terms;
    }
}

/// <summary>Ternary terms of one solution phase.</summary>
internal sealed record GibbsTriple(int Solution, int I, int J, int K)
{
    public GibbsTerms?[] Terms { get; } = new GibbsTerms?[GibbsTable.Orders];
}

/// <summary>a + bT + cT ln T + dT² + eT³ + f/T + gT⁷ + hT⁻⁹ [J/mol], up to a temperature [K].</summary>
internal sealed record GibbsTerms(
    double EndK,
    double A,
    double B,
    double C,
    double D,
    double E,
    double F,
    double G,
    double H
)
{
    public static GibbsTerms Of(CsvRow row) =>
        new(
            row.NumberOrNull("tMaxK") ?? double.PositiveInfinity,
            row.NumberOrNull("a") ?? 0,
            row.NumberOrNull("b") ?? 0,
            row.NumberOrNull("c") ?? 0,
            row.NumberOrNull("d") ?? 0,
            row.NumberOrNull("e") ?? 0,
            row.NumberOrNull("f") ?? 0,
            row.NumberOrNull("g") ?? 0,
            row.NumberOrNull("h") ?? 0
        );

    /// <summary>The energy, or its enthalpy G - T dG/dT, which is linear in the same coefficients.</summary>
    public double At(in Powers t, bool enthalpy) =>
        enthalpy
            ? A - C * t.T - D * t.T2 - 2 * E * t.T3 + 2 * F / t.T - 6 * G * t.T7 + 10 * H / t.T9
            : A + B * t.T + C * t.TLnT + D * t.T2 + E * t.T3 + F / t.T + G * t.T7 + H / t.T9;

    /// <summary>The stretch that holds at a temperature.</summary>
    public static GibbsTerms Stretch(List<GibbsTerms> stretches, double temperatureK)
    {
        foreach (GibbsTerms stretch in stretches)
        {
            if (temperatureK <= stretch.EndK)
            {
                return stretch;
            }
        }
        return stretches[^1];
    }

    /// <summary>Powers of the temperature, computed once for all terms.</summary>
    internal readonly record struct Powers(double T, double TLnT, double T2, double T3, double T7, double T9)
    {
        public static Powers Of(double temperatureK)
        {
            double t2 = temperatureK * temperatureK;
            double t3 = t2 * temperatureK;
            double t7 = t3 * t3 * temperatureK;
            return new Powers(temperatureK, temperatureK * Math.Log(temperatureK), t2, t3, t7, t7 * t2);
        }
    }
}
