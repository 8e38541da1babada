using System.Globalization;
using Graftbench.Core.Insight;
using static System.FormattableString;

namespace Graftbench.Cli;

/// <summary>What the shop has learned, as text for the terminal.</summary>
internal static class InsightText
{
    private const int MostNamed = 10;
    private const int Column = 40;

    public static Page Of(InsightAnswer answer, IReadOnlyList<string> unread)
    {
        Page page = new();
        OutcomeCounts counts = answer.Counts;
        page.Add(
            counts.All == 0 ? "No job to count."
            : counts.Decided == 0 ? Invariant($"No job is decided yet; {counts.All} {Jobs(counts.All)} in all.")
            : $"{InsightWords.Of(counts.Share)} decided jobs worked."
        );
        if (counts.All > 0)
        {
            int days = answer.Question.WatchDays;
            page.Add(
                $"    worked for {days} days",
                $"{counts.Worked}, {answer.CameBackLater} of them came back later",
                Column
            );
            page.Add("    came back", Invariant($"{counts.CameBack}"), Column);
            page.Add("    did not work", Invariant($"{counts.DidNotWork}"), Column);
            page.Add("    too early to say, in no rate", Invariant($"{counts.TooEarly}"), Column);
            page.Add("    on the bench, in no rate", Invariant($"{counts.Open}"), Column);
            page.Add("    handed over on an unknown day, in no rate", Invariant($"{counts.NotDated}"), Column + 8);
        }
        if (unread.Count > 0)
        {
            page.Add(
                $"Not counted, since they cannot be read: {string.Join(", ", unread.Take(MostNamed))}{(unread.Count > MostNamed ? " ..." : "")}",
                4
            );
        }
        if (counts.Decided > 0)
        {
            Groups(page, answer);
        }
        Curve(page, answer.Curve);
        Times(page, answer);
        Donors(page, answer);
        return page;
    }

    private static string Jobs(int number) => number == 1 ? "job" : "jobs";

    private static void Groups(Page page, InsightAnswer answer)
    {
        page.Add().Add("WHAT MADE A DIFFERENCE");
        string[] differences = [.. answer.Differences];
        foreach (string difference in differences)
        {
            page.Add(difference + ".", 4);
        }
        if (differences.Length == 0)
        {
            page.Add(answer.Comparisons == 0 ? "Nothing to compare yet." : "No difference can be told from chance.");
        }
        page.Add(
            Invariant(
                $"{answer.Comparisons} {(answer.Comparisons == 1 ? "comparison" : "comparisons")}, corrected for their number. {InsightAnswer.NotAtRandom}"
            )
        );
        foreach (InsightTable table in answer.Tables)
        {
            page.Add(InsightWords.Of(table.Dimension));
            foreach (InsightGroup group in table.Groups)
            {
                int open = group.Counts.All - group.Counts.Decided;
                page.Add(
                    "    " + InsightWords.Group(group.Name),
                    Invariant(
                        $"{InsightWords.Of(group.Share)}{Interval(group.Share)}{(open > 0 ? $"; {open} not decided" : "")}; {InsightAnswer.Words(group)}"
                    ),
                    Column + 12
                );
            }
        }
    }

    private static void Curve(Page page, SurvivalCurve curve)
    {
        page.Add().Add("HOW LONG THEY WORK");
        if (curve.ShownUntilDays <= 0)
        {
            page.Add(
                Invariant(
                    $"{curve.Number} handed over as working; a curve is told from {SurvivalCurve.FewestAtRisk} on."
                )
            );
            return;
        }
        page.Add(
            Invariant(
                $"{curve.Number} handed over as working, {curve.CameBack} came back; told until day {curve.ShownUntilDays:0}, as far as {SurvivalCurve.FewestAtRisk} are known."
            )
        );
        double told = 0;
        foreach (double day in new[] { 0, 7, 30, 90, 180, 365, curve.ShownUntilDays })
        {
            if (day > curve.ShownUntilDays || (day > 0 && day <= told))
            {
                continue;
            }
            told = day;
            SurvivalStep? step = curve.At(day);
            page.Add(
                Invariant($"    day {day:0}"),
                step is null
                    ? $"1.00 ({Share(curve.StartLowFraction)} to 1.00), {curve.KnownAt(day)} known"
                    : $"{Share(step.WorksFraction)} ({Share(step.LowFraction)} to {Share(step.HighFraction)}), {curve.KnownAt(day)} known",
                16
            );
        }
    }

    private static void Times(Page page, InsightAnswer answer)
    {
        page.Add().Add("TIME AND COST");
        if (answer.Times.Count == 0 && answer.Costs.Count == 0)
        {
            page.Add("No ended job has minutes or costs yet.");
            return;
        }
        foreach (StepTime time in answer.Times)
        {
            Quartiles jobs = time.Jobs;
            string usual = time is { UsualLowMin: { } low, UsualHighMin: { } high }
                ? Invariant($"; usual {low:0.#} to {high:0.#}")
                : "";
            page.Add("    " + InsightWords.Of(time.What), Figures(jobs, " min") + usual, Column - 12);
        }
        foreach (CostTable cost in answer.Costs)
        {
            string unit = cost.Currency.Length == 0 ? "" : " " + cost.Currency;
            page.Add("    cost of a job", Figures(cost.Jobs, unit), Column - 12);
            page.Add(
                "    put aside for each job",
                cost.Reserve is { } reserve
                    ? Invariant(
                        $"{reserve.ReserveCost:0.00}{unit}: as many as {reserve.FailsAtMostFraction:0.00} may fail, parts and donor cost {reserve.DonorCost:0.00}{unit}"
                    )
                    : "not said: too few jobs with parts, or none decided",
                Column - 12
            );
        }
        page.Add(
            "    second attempt",
            answer.Rework is { SpentMin: { } again }
                ? Invariant(
                    $"{again:0} min{(answer.Rework.ReserveMin is { } aside ? Invariant($", put aside {aside:0} min for each job") : "")}"
                )
                : $"not said: no median for {string.Join(", ", answer.Rework.Missing.Select(step => InsightWords.Of(step).ToLowerInvariant()))}",
            Column - 12
        );
    }

    private static void Donors(Page page, InsightAnswer answer)
    {
        if (answer.Donors.Count == 0)
        {
            return;
        }
        page.Add().Add("WHAT DONORS YIELD");
        foreach (DonorYield donor in answer.Donors)
        {
            page.Add(
                "    " + InsightWords.Group(donor.Source),
                Invariant(
                    $"{donor.Donors} {(donor.Donors == 1 ? "donor" : "donors")}, {donor.Lifted} chips lifted; worked {InsightWords.Of(donor.Share)}"
                ),
                Column
            );
        }
    }

    private static string Figures(Quartiles jobs, string unit) =>
        jobs is { LowerQuartile: { } lower, Median: { } median, UpperQuartile: { } upper }
            ? Invariant(
                $"median {median:0.##}{unit}, half from {lower:0.##} to {upper:0.##}, all from {jobs.Least:0.##} to {jobs.Most:0.##}, {jobs.Number} jobs"
            )
            : Invariant(
                $"{jobs.Number} {Jobs(jobs.Number)}, {jobs.Least:0.##} to {jobs.Most:0.##}{unit}; no median from fewer than {Quartiles.Fewest}"
            );

    // From ten cases on the interval stands beside the percentage already.
    private static string Interval(CountedShare share) =>
        share.HasPercent ? "" : $", may be {Share(share.LowFraction)} to {Share(share.HighFraction)}";

    private static string Share(double share) => share.ToString("0.00", CultureInfo.InvariantCulture);
}
