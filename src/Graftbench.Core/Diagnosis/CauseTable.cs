using Graftbench.Core.Facts;

namespace Graftbench.Core.Diagnosis;

/// <summary>Where a cause lies, in the words of the question: joints, chip, firmware, or elsewhere.</summary>
public enum CausePart
{
    /// <summary>The solder joints under the chip.</summary>
    Joints,

    /// <summary>The chip or its package, or that it does not suit the board.</summary>
    Chip,

    /// <summary>Lands, traces, vias and other parts of the board.</summary>
    Board,

    /// <summary>What the boot memory holds.</summary>
    Firmware,

    /// <summary>What is plugged, screwed and fused.</summary>
    Assembly,

    /// <summary>None of these.</summary>
    Other,
}

/// <summary>A cause that may stand behind a board that does not work.</summary>
/// <param name="Id">Its name: <c>open-edge</c>.</param>
/// <param name="Title">What a person reads.</param>
/// <param name="Part">Where it lies.</param>
/// <param name="PriorFraction">Share of cases before any test.</param>
public sealed record Cause(string Id, string Title, CausePart Part, double PriorFraction);

/// <summary>What a test may show.</summary>
/// <param name="Id">Its name: <c>open</c>.</param>
/// <param name="Words">What a person reads.</param>
public sealed record TestOutcome(string Id, string Words);

/// <summary>A test of a board.</summary>
/// <param name="Id">Its name: <c>diode</c>.</param>
/// <param name="Title">What a person reads.</param>
/// <param name="TakesMin">How long it takes at the bench [min].</param>
/// <param name="NeedsPower">Whether the board is powered for it.</param>
/// <param name="Destructive">Whether it spoils something.</param>
/// <param name="Group">Tests that see much the same thing share a group; null where it stands alone.</param>
/// <param name="Outcomes">What it may show, two or more; the last one is the rest.</param>
public sealed record BoardTest(
    string Id,
    string Title,
    double TakesMin,
    bool NeedsPower,
    bool Destructive,
    string? Group,
    IReadOnlyList<TestOutcome> Outcomes
);

/// <summary>Causes, tests, and the chance of each outcome under each cause.</summary>
/// <remarks>
/// Rows are Dirichlet means: <see cref="Standard"/> holds the estimates of <c>data/diagnosis-causes.csv</c>, and
/// <see cref="With"/> moves them by closed cases. A row of chances sums to 1 and holds no zero and no one.
/// </remarks>
public sealed partial class CauseTable
{
    /// <summary>Cases that the priors count as (an estimate, shown and editable).</summary>
    public const double PriorStrengthNumber = 20;

    /// <summary>Cases that each row of chances counts as (an estimate, shown and editable).</summary>
    public const double RowStrengthNumber = 5;

    private const double SumTolerance = 1e-6;
    private static readonly Lazy<CauseTable> LazyStandard = new(Load);
    private readonly double[][][] chances;
    private readonly double[][] strengths;
    private readonly int[][] counted;

    /// <summary>Takes a table.</summary>
    /// <param name="causes">Causes; their priors sum to 1.</param>
    /// <param name="tests">Tests.</param>
    /// <param name="chanceFraction">Chances by cause, test and outcome.</param>
    /// <exception cref="ArgumentException">A row does not sum to 1, holds a zero, or has another length.</exception>
    public CauseTable(
        IReadOnlyList<Cause> causes,
        IReadOnlyList<BoardTest> tests,
        IReadOnlyList<IReadOnlyList<IReadOnlyList<double>>> chanceFraction
    )
    {
        ArgumentNullException.ThrowIfNull(causes);
        ArgumentNullException.ThrowIfNull(tests);
        ArgumentNullException.ThrowIfNull(chanceFraction);
        if (RowProblem([.. causes.Select(cause => cause.PriorFraction)]) is { } prior)
        {
            throw new ArgumentException($"Priors of the causes: {prior}", nameof(causes));
        }
        Causes = causes;
        Tests = tests;
        this.chances = [.. chanceFraction.Select(cause => cause.Select(row => row.ToArray()).ToArray())];
        strengths = [.. causes.Select(_ => Enumerable.Repeat(RowStrengthNumber, tests.Count).ToArray())];
        counted = [.. causes.Select(_ => new int[tests.Count])];
        if (this.chances.Length != causes.Count || this.chances.Any(cause => cause.Length != tests.Count))
        {
            throw new ArgumentException("Needs a row of chances for every cause and test.", nameof(chanceFraction));
        }
        for (int c = 0; c < causes.Count; c++)
        {
            for (int t = 0; t < tests.Count; t++)
            {
                double[] row = this.chances[c][t];
                string? problem = row.Length != tests[t].Outcomes.Count ? $"has {row.Length} chances" : RowProblem(row);
                if (problem is not null)
                {
                    throw new ArgumentException(
                        $"{causes[c].Id}, test {tests[t].Id}: {problem}",
                        nameof(chanceFraction)
                    );
                }
            }
        }
    }

    /// <summary>The estimates that come with the program.</summary>
    public static CauseTable Standard => LazyStandard.Value;

    /// <summary>Causes, in the table's order.</summary>
    public IReadOnlyList<Cause> Causes { get; }

    /// <summary>Tests, in the table's order.</summary>
    public IReadOnlyList<BoardTest> Tests { get; }

    /// <summary>Chance of an outcome if a cause holds.</summary>
    /// <param name="cause">Number of the cause.</param>
    /// <param name="test">Number of the test.</param>
    /// <param name="outcome">Number of the outcome.</param>
    public double ChanceFraction(int cause, int test, int outcome) => chances[cause][test][outcome];

    /// <summary>Number of a test; -1 where there is none of that name.</summary>
    public int TestOf(string id) => Tests.Index().FirstOrDefault(one => one.Item.Id == id, (-1, null!)).Index;

    /// <summary>Number of a cause; -1 where there is none of that name.</summary>
    public int CauseOf(string id) => Causes.Index().FirstOrDefault(one => one.Item.Id == id, (-1, null!)).Index;

    private static string? RowProblem(double[] row)
    {
        double sum = row.Sum();
        return row.Any(chance => !(chance > 0 && chance < 1))
                ? "every chance must lie between 0 and 1, without the ends; a thing that was never seen is not impossible."
            : Math.Abs(sum - 1) > SumTolerance
                ? FormattableString.Invariant($"the chances sum to {sum:0.######}, not to 1.")
            : null;
    }

    private static CauseTable Load()
    {
        List<BoardTest> tests = [.. CsvTable.Load("diagnosis-tests").Rows.Select(Test)];
        IReadOnlyList<CsvRow> rows = CsvTable.Load("diagnosis-causes").Rows;
        List<Cause> causes =
        [
            .. rows.Select(row => new Cause(
                row["cause"],
                row["title"],
                FactNames<CausePart>.Parse(row, "part"),
                row.Number("prior")
            )),
        ];
        return new CauseTable(
            causes,
            tests,
            [.. rows.Select(row => tests.Select(test => Chances(row, test)).ToArray())]
        );
    }

    private static double[] Chances(CsvRow row, BoardTest test)
    {
        double[] told = [.. test.Outcomes.SkipLast(1).Select(outcome => row.Number($"{test.Id}.{outcome.Id}"))];
        return [.. told, 1 - told.Sum()];
    }

    private static BoardTest Test(CsvRow row) =>
        new(
            row["test"],
            row["title"],
            row.Number("minutes"),
            row["power"] == "yes",
            row["destructive"] == "yes",
            row["group"] is { Length: > 0 } group ? group : null,
            [
                .. row["outcomes"]
                    .Split('|')
                    .Select(part => part.Split('=', 2))
                    .Select(part => new TestOutcome(part[0], part[1])),
            ]
        );
}
