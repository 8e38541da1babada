using Graftbench.Core.Facts;
using Graftbench.Core.Jobs;

namespace Graftbench.Core.Insight;

/// <summary>Answers what the shop has learned from its cases.</summary>
public static class InsightPlanner
{
    private static readonly WorkStep[] DoneAgain =
    [
        WorkStep.Lift,
        WorkStep.ChipClean,
        WorkStep.Balls,
        WorkStep.Lands,
        WorkStep.Place,
        WorkStep.Inspect,
        WorkStep.Proof,
    ];

    private static readonly Dictionary<WorkStep, string> UsualSteps = new()
    {
        [WorkStep.Intake] = "intake",
        [WorkStep.Strip] = "strip",
        [WorkStep.Baseline] = "baseline",
        [WorkStep.Dump] = "dump",
        [WorkStep.Lift] = "lift",
        [WorkStep.ChipClean] = "clean-chip",
        [WorkStep.Balls] = "ball-attach",
        [WorkStep.Lands] = "lands",
        [WorkStep.Place] = "place",
        [WorkStep.Inspect] = "inspect",
        [WorkStep.Clean] = "clean-board",
        [WorkStep.Proof] = "proof",
        [WorkStep.FirstPower] = "first-power",
        [WorkStep.Firmware] = "firmware",
        [WorkStep.Rebuild] = "rebuild",
        [WorkStep.Soak] = "soak",
        [WorkStep.HandOver] = "hand-over",
    };

    /// <summary>Answers a question.</summary>
    /// <param name="cases">The cases, in any order.</param>
    /// <param name="question">What is asked.</param>
    public static InsightAnswer Answer(IEnumerable<InsightCase> cases, InsightQuestion question)
    {
        ArgumentNullException.ThrowIfNull(cases);
        ArgumentNullException.ThrowIfNull(question);
        Require.Within(question.WatchDays, 1, InsightQuestion.MostWatchDays);
        Known[] known =
        [
            .. cases
                .Where(one => question.Since is not { } since || one.CountedAt >= since)
                .Select(one => new Known(one, one.Outcome(question.AsOf, question.WatchDays))),
        ];
        OutcomeCounts counts = Count(known);
        (IReadOnlyList<InsightTable> tables, int comparisons) = Compared([
            .. Enum.GetValues<InsightDimension>().Select(dimension => Grouped(dimension, known)),
        ]);
        IReadOnlyList<StepTime> times = Times(known);
        double failsAtMost = 1 - counts.Share.LowFraction;
        return new InsightAnswer(
            question,
            counts,
            known.Count(one => one is { Outcome: CaseOutcome.Worked, Case.ReturnedAt: not null }),
            comparisons,
            tables,
            SurvivalCurve.Of(known.Select(one => one.Case.Span(question.AsOf)).OfType<KnownSpan>()),
            times,
            Costs(known, counts.Decided, failsAtMost),
            Rework(times, counts.Decided, failsAtMost),
            Donors(known)
        );
    }

    private sealed record Known(InsightCase Case, CaseOutcome Outcome)
    {
        public bool Decided => Outcome is CaseOutcome.Worked or CaseOutcome.CameBack or CaseOutcome.DidNotWork;

        public bool Ended => Outcome != CaseOutcome.Open;
    }

    private static OutcomeCounts Count(IReadOnlyCollection<Known> cases)
    {
        int Of(CaseOutcome outcome) => cases.Count(one => one.Outcome == outcome);
        return new OutcomeCounts(
            Of(CaseOutcome.Worked),
            Of(CaseOutcome.CameBack),
            Of(CaseOutcome.DidNotWork),
            Of(CaseOutcome.TooEarly),
            Of(CaseOutcome.Open),
            Of(CaseOutcome.NotDated)
        );
    }

    // Names that differ in capitals only are one group; it is called as most of its cases write it.
    private static InsightTable Grouped(InsightDimension dimension, IReadOnlyList<Known> cases)
    {
        InsightGroup[] groups =
        [
            .. cases
                .GroupBy(one => one.Case.Groups.Of(dimension), StringComparer.OrdinalIgnoreCase)
                .Select(group =>
                {
                    OutcomeCounts counts = Count([.. group]);
                    string name = group
                        .GroupBy(one => one.Case.Groups.Of(dimension), StringComparer.Ordinal)
                        .OrderByDescending(spelling => spelling.Count())
                        .ThenBy(spelling => spelling.Key, StringComparer.Ordinal)
                        .First()
                        .Key;
                    return new InsightGroup(name, counts, counts.Share, GroupVerdict.NotCompared, null);
                })
                .OrderBy(group => group.Name.Length == 0)
                .ThenByDescending(group => group.Counts.Decided)
                .ThenByDescending(group => group.Counts.All)
                .ThenBy(group => group.Name, StringComparer.Ordinal),
        ];
        InsightGroup[] known = [.. groups.Where(group => group.Name.Length > 0)];
        if (known.Length <= InsightTable.MostGroups)
        {
            return new InsightTable(dimension, groups);
        }
        OutcomeCounts rest = known
            .Skip(InsightTable.MostGroups)
            .Select(group => group.Counts)
            .Aggregate(
                (one, other) =>
                    new OutcomeCounts(
                        one.Worked + other.Worked,
                        one.CameBack + other.CameBack,
                        one.DidNotWork + other.DidNotWork,
                        one.TooEarly + other.TooEarly,
                        one.Open + other.Open,
                        one.NotDated + other.NotDated
                    )
            );
        return new InsightTable(
            dimension,
            [
                .. known.Take(InsightTable.MostGroups),
                new InsightGroup(InsightTable.Others, rest, rest.Share, GroupVerdict.NotCompared, null),
                .. groups.Where(group => group.Name.Length == 0),
            ]
        );
    }

    /// <summary>Holds each known group against the other known groups of its dimension, and corrects for the number of comparisons.</summary>
    private static (IReadOnlyList<InsightTable> Tables, int Comparisons) Compared(IReadOnlyList<InsightTable> tables)
    {
        List<(int Table, int Group, bool Better)> tests = [];
        int comparisons = 0;
        List<int> testOf = [];
        List<double> chances = [];
        for (int t = 0; t < tables.Count; t++)
        {
            InsightGroup[] groups =
            [
                .. tables[t].Groups.Where(group => group.Name.Length > 0 && group.Counts.Decided > 0),
            ];
            int hits = groups.Sum(group => group.Share.Hits);
            int total = groups.Sum(group => group.Share.Total);
            for (int g = 0; g < groups.Length && groups.Length > 1; g++)
            {
                if (groups[g].Name == InsightTable.Others)
                {
                    continue;
                }
                CountedShare one = groups[g].Share;
                int otherHits = hits - one.Hits;
                int otherTotal = total - one.Total;
                double chance = GroupTests.Fisher(one.Hits, one.Total - one.Hits, otherHits, otherTotal - otherHits);
                // Of two groups each is the rest of the other: one comparison, told from both sides.
                if (groups.Length > 2 || g == 0)
                {
                    chances.Add(chance);
                    comparisons++;
                }
                testOf.Add(chances.Count - 1);
                bool better = one.PointFraction > (double)otherHits / otherTotal;
                tests.Add((t, tables[t].Groups.ToList().IndexOf(groups[g]), better));
            }
        }
        IReadOnlyList<double> corrected = GroupTests.Holm(chances);
        InsightGroup[][] result = [.. tables.Select(table => table.Groups.ToArray())];
        for (int i = 0; i < tests.Count; i++)
        {
            double chance = corrected[testOf[i]];
            GroupVerdict verdict =
                chance >= GroupTests.NamedBelowFraction ? GroupVerdict.Chance
                : tests[i].Better ? GroupVerdict.Better
                : GroupVerdict.Worse;
            ref InsightGroup group = ref result[tests[i].Table][tests[i].Group];
            group = group with { Verdict = verdict, ChanceFraction = chance };
        }
        return ([.. tables.Select((table, t) => table with { Groups = result[t] })], comparisons);
    }

    private static IReadOnlyList<StepTime> Times(IReadOnlyList<Known> cases) =>
        [
            .. Enum.GetValues<WorkStep>()
                .Select(step =>
                {
                    BenchStep? usual = UsualSteps.TryGetValue(step, out string? name) ? BenchMinutes.Of(name) : null;
                    return new StepTime(
                        step,
                        Quartiles.Of(
                            cases
                                .Where(one => one.Ended)
                                .Select(one => one.Case.Spent.FirstOrDefault(spent => spent.What == step)?.SpentMin)
                                .OfType<double>()
                        ),
                        usual?.LowMin,
                        usual?.HighMin
                    );
                })
                .Where(time => time.Jobs.Number > 0),
        ];

    private static IReadOnlyList<CostTable> Costs(IReadOnlyList<Known> cases, int decided, double failsAtMost) =>
        [
            .. cases
                .Where(one => one.Ended && one.Case.Spent.Any(spent => spent.Cost is not null))
                .GroupBy(one => one.Case.Currency, StringComparer.Ordinal)
                .OrderByDescending(group => group.Count())
                .ThenBy(group => group.Key, StringComparer.Ordinal)
                .Select(group =>
                {
                    Quartiles parts = Quartiles.Of(
                        group
                            .Select(one => one.Case.Spent.FirstOrDefault(spent => spent.What == WorkStep.Parts)?.Cost)
                            .OfType<double>()
                    );
                    return new CostTable(
                        group.Key,
                        Quartiles.Of(group.Select(one => one.Case.Spent.Sum(spent => spent.Cost ?? 0))),
                        parts,
                        parts.Median is { } donor && decided > 0
                            ? new FailureReserve(failsAtMost, donor, failsAtMost * donor)
                            : null
                    );
                }),
        ];

    private static ReworkTime Rework(IReadOnlyList<StepTime> times, int decided, double failsAtMost)
    {
        List<WorkStep> missing = [];
        double sum = 0;
        foreach (WorkStep step in DoneAgain)
        {
            if (times.FirstOrDefault(time => time.What == step)?.Jobs.Median is { } median)
            {
                sum += median;
            }
            else
            {
                missing.Add(step);
            }
        }
        return missing.Count > 0
            ? new ReworkTime(null, null, missing)
            : new ReworkTime(sum, decided > 0 ? failsAtMost * sum : null, []);
    }

    private static IReadOnlyList<DonorYield> Donors(IReadOnlyList<Known> cases) =>
        [
            .. cases
                .Where(one => one.Case.DonorChips > 0)
                .GroupBy(one => one.Case.DonorSource, StringComparer.OrdinalIgnoreCase)
                .Select(group =>
                {
                    Known[] decided = [.. group.Where(one => one.Decided && one.Case.TransplantFromDonor)];
                    return new DonorYield(
                        group.Key,
                        group.Count(),
                        group.Sum(one => one.Case.DonorChips),
                        CountedShare.Of(decided.Count(one => one.Outcome == CaseOutcome.Worked), decided.Length)
                    );
                })
                .OrderBy(one => one.Source.Length == 0)
                .ThenByDescending(one => one.Lifted)
                .ThenBy(one => one.Source, StringComparer.Ordinal)
                .Take(InsightTable.MostGroups),
        ];
}
