using Graftbench.Core.Findings;
using static System.FormattableString;

namespace Graftbench.Core.Diagnosis;

/// <summary>Weighs causes against what was seen, and says what to test or to do next.</summary>
public static class Diagnoser
{
    /// <summary>Chance from which a cause is named (an estimate): below it only the order is told.</summary>
    public const double NamedFraction = 0.75;

    private const string Estimate = "graftbench-estimate";
    private const string RailTest = "rail";
    private const string RailLow = "low";
    private const double FitsLeast = 0.05;

    // Below this a fault of the firmware counts as ruled out before a heat.
    private const double OpenFraction = 0.1;

    // Below this a test tells next to nothing more.
    private const double TellsLeastBits = 0.02;

    /// <summary>The answer to what was seen.</summary>
    /// <exception cref="ArgumentException">A test or outcome is not in the table.</exception>
    public static DiagnosisAnswer Answer(DiagnosisRequest request)
    {
        ArgumentNullException.ThrowIfNull(request);
        CauseTable table = request.Table;
        List<TestSeen> newest = Newest(request.Seen);
        double[] posterior = Inference.PosteriorFraction(table, newest);
        List<RankedCause> causes =
        [
            .. table
                .Causes.Select(
                    (cause, c) =>
                    {
                        List<Reason> reasons = [.. newest.Select(one => Weighed(table, one, c))];
                        return new RankedCause(
                            cause,
                            posterior[c],
                            [
                                .. reasons
                                    .Where(one => one.WeightBits > 0)
                                    .OrderByDescending(one => one.WeightBits)
                                    .Take(2),
                            ],
                            [.. reasons.Where(one => one.WeightBits < 0).OrderBy(one => one.WeightBits).Take(2)]
                        );
                    }
                )
                .OrderByDescending(one => one.Fraction),
        ];
        IReadOnlyList<RankedTest> tests = Tests(request, newest, posterior);
        IReadOnlyList<RankedAction> actions = RepairActions.Ranked(table, posterior, request.Heat);
        RankedCause? named = causes[0].Fraction >= request.NamedFraction ? causes[0] : null;
        RankedTest? best = named is null
            ? tests.FirstOrDefault(one => one.Barred is null && one.GainBits >= TellsLeastBits)
            : null;
        return new DiagnosisAnswer(
            named,
            Line(newest, causes, named),
            NextStep(best, actions),
            causes,
            tests,
            actions,
            Inference.EntropyBits(posterior),
            Finding.WorstFirst(Findings(request, newest, causes, tests, actions))
        )
        {
            Best = best,
        };
    }

    // Of a test that was done twice the newest counts.
    private static List<TestSeen> Newest(IReadOnlyList<TestSeen> seen) =>
        [.. seen.GroupBy(one => one.TestId).Select(group => group.Last())];

    private static Reason Weighed(CauseTable table, TestSeen seen, int cause)
    {
        double[] likelihood = Inference.LikelihoodFraction(table, seen);
        double others = 0;
        double prior = 0;
        for (int c = 0; c < likelihood.Length; c++)
        {
            if (c != cause)
            {
                others += table.Causes[c].PriorFraction * likelihood[c];
                prior += table.Causes[c].PriorFraction;
            }
        }
        BoardTest test = table.Tests[table.TestOf(seen.TestId)];
        return new Reason(
            test,
            test.Outcomes.First(one => one.Id == seen.OutcomeId),
            Math.Log2(likelihood[cause] * prior / others)
        );
    }

    private static List<RankedTest> Tests(DiagnosisRequest request, List<TestSeen> newest, double[] posterior)
    {
        CauseTable table = request.Table;
        string? noPower =
            request.NoPower
            ?? (
                newest.Exists(one => one.TestId == RailTest && one.OutcomeId == RailLow)
                    ? "No power: a rail is below half its baseline. Find the short first."
                    : null
            );
        HashSet<string> groups =
        [
            .. newest.Select(one => table.Tests[table.TestOf(one.TestId)].Group).OfType<string>(),
        ];
        return
        [
            .. table
                .Tests.Select(
                    (test, t) =>
                        (
                            test.Id,
                            Ranked: new RankedTest(
                                test,
                                Inference.GainBits(table, posterior, t),
                                test.NeedsPower ? noPower : null,
                                Note(test, groups)
                            )
                        )
                )
                .Where(one => !newest.Exists(done => done.TestId == one.Id))
                .Select(one => one.Ranked)
                .OrderBy(one => one.Barred is not null)
                .ThenByDescending(one => one.MilliBitsPerMin),
        ];
    }

    private static string? Note(BoardTest test, HashSet<string> groups)
    {
        List<string> notes = [];
        if (test.Group is { } group && groups.Contains(group))
        {
            notes.Add("A test that sees much the same thing was done: this one tells less than the number says.");
        }
        if (test.Destructive)
        {
            notes.Add("It spoils something: last.");
        }
        return notes.Count == 0 ? null : string.Join(" ", notes);
    }

    private static string Line(List<TestSeen> newest, List<RankedCause> causes, RankedCause? named)
    {
        if (newest.Count == 0)
        {
            return "Nothing was tested yet: the order is what is usual, no diagnosis.";
        }
        return named is not null
            ? Invariant($"{named.Cause.Title}: {100 * named.Fraction:0} in 100 by what was seen.")
            : Invariant(
                $"Not decided. First: {Small(causes[0].Cause.Title)}, {100 * causes[0].Fraction:0} in 100; then {Small(causes[1].Cause.Title)}, {100 * causes[1].Fraction:0} in 100."
            );
    }

    private static string NextStep(RankedTest? test, IReadOnlyList<RankedAction> actions)
    {
        RankedAction? action = actions.Count > 0 ? actions[0] : null;
        if (test is not null)
        {
            return Invariant(
                $"Test next: {Small(test.Test.Title)}, {test.Test.TakesMin:0} min, tells about {test.GainBits:0.00} bit."
            );
        }
        return action is null
            ? "Nothing is left that would help: hand the board to a second pair of eyes."
            : Invariant(
                $"Do next: {Small(action.Action.Title)}; it helps in {100 * action.FixesFraction:0} of 100 such cases{(action.Action.HeatsNumber > 0 ? ", and costs a heat" : "")}."
            );
    }

    private static IEnumerable<Finding> Findings(
        DiagnosisRequest request,
        List<TestSeen> newest,
        List<RankedCause> causes,
        IReadOnlyList<RankedTest> tests,
        IReadOnlyList<RankedAction> actions
    )
    {
        CauseTable table = request.Table;
        string strength = request.ClosedCasesNumber switch
        {
            0 => Invariant(
                $"estimates, each row counted as {CauseTable.RowStrengthNumber:0} cases; no closed case of this shop yet"
            ),
            int n => Invariant(
                $"estimates counted as {CauseTable.RowStrengthNumber:0} cases a row, and {n} closed {(n == 1 ? "case" : "cases")} of this shop"
            ),
        };
        yield return new Finding(
            Verdict.Warning,
            "diagnosis.estimates",
            "chances",
            $"The chances rest on {strength}.",
            Source: Estimate,
            Todo: "Close cases with their proven cause: the table learns only from those."
        );
        foreach (IGrouping<string, TestSeen> twice in request.Seen.GroupBy(one => one.TestId))
        {
            if (twice.Select(one => one.OutcomeId).Distinct().Count() > 1)
            {
                yield return new Finding(
                    Verdict.Warning,
                    "diagnosis.both-ways",
                    Title(table, twice.Key),
                    "It was seen one way and another: only the newest counts here.",
                    Source: Estimate,
                    Todo: "If the board was changed in between that is right. Else the fault comes and goes: repeat it, and enter how often it was tried."
                );
            }
        }
        foreach (
            IGrouping<string, BoardTest> group in newest
                .Select(one => table.Tests[table.TestOf(one.TestId)])
                .Where(test => test.Group is not null)
                .GroupBy(test => test.Group!)
                .Where(group => group.Count() > 1)
        )
        {
            yield return new Finding(
                Verdict.Warning,
                "diagnosis.dependent",
                string.Join(" and ", group.Select(test => Small(test.Title))),
                "These see much the same thing; counted as if they did not, the chances are surer than they should be.",
                Source: Estimate
            );
        }
        if (newest.Count > 1 && Explains(table, newest) is < FitsLeast and double fits)
        {
            yield return new Finding(
                Verdict.Warning,
                "diagnosis.no-single-cause",
                "all that was seen",
                "No single cause explains all of it well.",
                Invariant($"{fits:0.000} of what would fit best"),
                Invariant($"{FitsLeast:0.00}"),
                Estimate,
                "Repeat the test that fits least, and think of two faults at once: this weighs only one."
            );
        }
        if (tests.FirstOrDefault(one => one.Barred is not null) is { } barred)
        {
            yield return new Finding(
                Verdict.FixFirst,
                "diagnosis.no-power",
                "tests under power",
                barred.Barred!,
                Source: "common-practice",
                Todo: "Do the tests without power, or set the rail aside with a reason in the proof before power."
            );
        }
        if (
            request.HeatGuidelineNumber is { } guideline
            && actions.Count > 0
            && actions[0].Action.HeatsNumber > 0
            && request.Heat.SpentNumber + actions[0].Action.HeatsNumber > guideline
        )
        {
            yield return new Finding(
                Verdict.Warning,
                "diagnosis.heats",
                Small(actions[0].Action.Title),
                "It takes the count of heats past the guideline.",
                Invariant($"{request.Heat.SpentNumber + actions[0].Action.HeatsNumber:0.#} heats"),
                Invariant($"{guideline:0.#}"),
                "reflow-limit-makers",
                "Be sure that it is no firmware fault before another heat is spent."
            );
        }
        double firmware = causes.Where(one => one.Cause.Part == CausePart.Firmware).Sum(one => one.Fraction);
        if (newest.Count > 0 && causes[0].Cause.Part == CausePart.Joints && firmware > OpenFraction)
        {
            yield return new Finding(
                Verdict.Warning,
                "diagnosis.firmware-open",
                "firmware",
                "A firmware fault is not ruled out, and a heat would not mend it.",
                Invariant($"{100 * firmware:0} in 100"),
                Invariant($"{100 * OpenFraction:0} in 100"),
                Estimate,
                "Read the boot memory again and compare before the chip is heated."
            );
        }
    }

    // How well the best cause explains all that was seen, against outcomes each explained by its own best cause.
    private static double Explains(CauseTable table, List<TestSeen> newest)
    {
        double[][] rows = [.. newest.Select(one => Inference.LikelihoodFraction(table, one))];
        double best = Enumerable.Range(0, table.Causes.Count).Max(c => rows.Aggregate(1.0, (all, row) => all * row[c]));
        return best / rows.Aggregate(1.0, (all, row) => all * row.Max());
    }

    private static string Title(CauseTable table, string testId) => table.Tests[table.TestOf(testId)].Title;

    private static string Small(string title) =>
        title.Length > 1 && char.IsLower(title[1]) ? char.ToLowerInvariant(title[0]) + title[1..] : title;
}
