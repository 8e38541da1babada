using Graftbench.Core.Facts;
using static System.FormattableString;

namespace Graftbench.Core.Diagnosis;

/// <summary>A row of the table as somebody edited it, with how many cases it counts as.</summary>
/// <param name="CauseId">The cause; null for the shares of all causes before any test.</param>
/// <param name="TestId">The test; null together with the cause.</param>
/// <param name="ChanceFraction">Chances of the outcomes, or shares of the causes, in the table's order; they sum to 1.</param>
/// <param name="StrengthNumber">Cases that the row counts as, above 0.</param>
public sealed record TableEdit(
    string? CauseId,
    string? TestId,
    IReadOnlyList<double> ChanceFraction,
    double StrengthNumber
);

public sealed partial class CauseTable
{
    /// <summary>Most cases that a row may count as (our own limit).</summary>
    public const double MostStrengthNumber = 10_000;

    /// <summary>Closed cases that moved the shares of the causes.</summary>
    public int CasesNumber { get; private init; }

    /// <summary>Cases that the shares of the causes count as.</summary>
    public double SharesStrengthNumber { get; private init; } = PriorStrengthNumber;

    /// <summary>Cases that a row counts as.</summary>
    /// <param name="cause">Number of the cause.</param>
    /// <param name="test">Number of the test.</param>
    public double StrengthNumber(int cause, int test) => strengths[cause][test];

    /// <summary>Closed cases that moved a row.</summary>
    /// <param name="cause">Number of the cause.</param>
    /// <param name="test">Number of the test.</param>
    public int RowCasesNumber(int cause, int test) => counted[cause][test];

    /// <summary>What is wrong with an edit; null where it can be taken.</summary>
    public string? Problem(TableEdit edit)
    {
        ArgumentNullException.ThrowIfNull(edit);
        int cause = edit.CauseId is null ? -1 : CauseOf(edit.CauseId);
        int test = edit.TestId is null ? -1 : TestOf(edit.TestId);
        bool shares = edit is { CauseId: null, TestId: null };
        if (!shares && cause < 0)
        {
            return $"there is no cause '{edit.CauseId}'.";
        }
        if (!shares && test < 0)
        {
            return $"there is no test '{edit.TestId}'.";
        }
        int due = shares ? Causes.Count : Tests[test].Outcomes.Count;
        return edit.ChanceFraction.Count != due
                ? Invariant($"it has {edit.ChanceFraction.Count} chances; {due} are due.")
            : !(edit.StrengthNumber > 0 && edit.StrengthNumber <= MostStrengthNumber)
                ? Invariant(
                    $"it counts as {edit.StrengthNumber:0.###} cases: above 0 and up to {MostStrengthNumber:0}, our own limit."
                )
            : RowProblem([.. edit.ChanceFraction]);
    }

    /// <summary>The table with rows as they were edited, of a row that was edited twice the last way.</summary>
    /// <param name="edits">Edits, the oldest first; those with a <see cref="Problem"/> change nothing.</param>
    public CauseTable Edited(IEnumerable<TableEdit> edits)
    {
        ArgumentNullException.ThrowIfNull(edits);
        List<Cause> causes = [.. Causes];
        double[][][] rows = [.. chances.Select(cause => cause.ToArray())];
        double[][] strong = [.. strengths.Select(cause => cause.ToArray())];
        double shares = SharesStrengthNumber;
        foreach (TableEdit edit in edits.Where(edit => Problem(edit) is null))
        {
            if (edit.CauseId is null)
            {
                causes = [.. causes.Select((cause, c) => cause with { PriorFraction = edit.ChanceFraction[c] })];
                shares = edit.StrengthNumber;
            }
            else
            {
                (int cause, int test) = (CauseOf(edit.CauseId), TestOf(edit.TestId!));
                rows[cause][test] = [.. edit.ChanceFraction];
                strong[cause][test] = edit.StrengthNumber;
            }
        }
        return new CauseTable(causes, Tests, rows, strong, counted)
        {
            SharesStrengthNumber = shares,
            CasesNumber = CasesNumber,
        };
    }

    /// <summary>The table moved by closed cases: the mean of each Dirichlet row after its counts.</summary>
    /// <param name="cases">Cases whose cause is proven; of a test that a case saw twice the last counts.</param>
    /// <param name="priorStrengthNumber">Cases that the priors count as, above 0; the table's own where null.</param>
    /// <param name="rowStrengthNumber">Cases that each row counts as, above 0; the table's own where null.</param>
    public CauseTable With(
        IReadOnlyList<ClosedCase> cases,
        double? priorStrengthNumber = null,
        double? rowStrengthNumber = null
    )
    {
        ArgumentNullException.ThrowIfNull(cases);
        double shares = priorStrengthNumber ?? SharesStrengthNumber;
        Require.FinitePositive(shares);
        if (rowStrengthNumber is { } given)
        {
            Require.FinitePositive(given);
        }
        List<ClosedCase> known = [.. cases.Where(one => CauseOf(one.CauseId) >= 0)];
        List<Cause> causes =
        [
            .. Causes.Select(cause =>
                cause with
                {
                    PriorFraction =
                        ((shares * cause.PriorFraction) + known.Count(one => one.CauseId == cause.Id))
                        / (shares + known.Count),
                }
            ),
        ];
        double[][][] moved = [.. chances.Select(cause => cause.ToArray())];
        int[][] numbers = [.. counted.Select(cause => cause.ToArray())];
        foreach ((int c, Cause cause) in Causes.Index())
        {
            TestSeen[] seen =
            [
                .. known
                    .Where(one => one.CauseId == cause.Id)
                    .SelectMany(one => one.Seen.GroupBy(test => test.TestId).Select(test => test.Last())),
            ];
            foreach ((int t, BoardTest test) in Tests.Index())
            {
                int[] counts =
                [
                    .. test.Outcomes.Select(outcome =>
                        seen.Count(one => one.TestId == test.Id && one.OutcomeId == outcome.Id)
                    ),
                ];
                double strength = rowStrengthNumber ?? strengths[c][t];
                numbers[c][t] += counts.Sum();
                moved[c][t] =
                [
                    .. chances[c]
                        [t]
                        .Select((chance, o) => ((strength * chance) + counts[o]) / (strength + counts.Sum())),
                ];
            }
        }
        return new CauseTable(causes, Tests, moved, strengths, numbers)
        {
            SharesStrengthNumber = shares,
            CasesNumber = CasesNumber + known.Count,
        };
    }

    private CauseTable(
        IReadOnlyList<Cause> causes,
        IReadOnlyList<BoardTest> tests,
        double[][][] chances,
        double[][] strengths,
        int[][] counted
    )
        : this(causes, tests, chances)
    {
        this.strengths = strengths;
        this.counted = counted;
    }
}
