using Graftbench.Core.Diagnosis;
using Graftbench.Core.Findings;
using static System.FormattableString;

namespace Graftbench.Cli;

/// <summary>Causes, tests and actions as a person reads them.</summary>
internal static class DiagnosisText
{
    private const int Most = 6;
    private const int Column = 8;

    public static string Of(DiagnosisAnswer answer)
    {
        Page page = new();
        page.Add(answer.Answer);
        page.Add("→ " + answer.Next, 2);
        page.Add();
        page.Add(Invariant($"Causes, in 100 such cases (how open it still is: {answer.EntropyBits:0.00} bit)"));
        foreach (RankedCause one in answer.Causes.Take(Most))
        {
            page.Add(Invariant($"{100 * one.Fraction, 5:0.0}"), one.Cause.Title + Reasons(one), Column);
        }
        page.Add(
            Invariant($"{100 * answer.Causes.Skip(Most).Sum(one => one.Fraction), 5:0.0}"),
            Invariant($"{answer.Causes.Count - Most} others"),
            Column
        );
        page.Add();
        page.Add("Tests left, by what they tell per minute (thousandths of a bit)");
        foreach (RankedTest one in answer.Tests)
        {
            string note = one.Barred ?? one.Note ?? "";
            page.Add(
                Invariant($"{one.MilliBitsPerMin, 5:0.0}"),
                Invariant($"{one.Test.Title} ({one.Test.Id}), {one.Test.TakesMin:0} min")
                    + (one.Barred is null ? "" : ", barred")
                    + (note.Length > 0 ? $": {note}" : ""),
                Column
            );
        }
        page.Add();
        page.Add("What could be done, by chance to help per hour of cost");
        foreach (RankedAction one in answer.Actions.Take(Most))
        {
            page.Add(
                Invariant($"{100 * one.PerHourNumber, 5:0}"),
                Invariant($"{one.Action.Title}: helps in {100 * one.FixesFraction:0} of 100, costs {one.CostMin:0} min")
                    + (one.HeatsMin > 0 ? Invariant($", {one.HeatsMin:0} of them for heat") : ""),
                Column
            );
        }
        page.Add();
        foreach (Finding finding in answer.Findings)
        {
            page.Add($"{Say.Verdict(finding.Verdict)}: {finding.Where}: {finding.What}", 4);
            if (finding.Todo is not null)
            {
                page.Add($"    → {finding.Todo}", 6);
            }
        }
        return page.ToString();
    }

    /// <summary>Tests and causes of a table.</summary>
    public static string Tests(CauseTable table)
    {
        Page page = new();
        page.Add("Tests");
        foreach (BoardTest test in table.Tests)
        {
            page.Add(
                test.Id,
                Invariant($"{test.Title}, {test.TakesMin:0} min{(test.NeedsPower ? ", under power" : "")}"),
                14
            );
            foreach (TestOutcome outcome in test.Outcomes)
            {
                page.Add("", $"{test.Id}={outcome.Id}: {outcome.Words}", 14);
            }
        }
        page.Add();
        page.Add("Causes, and how many of 100 cases before any test (estimates)");
        foreach (Cause cause in table.Causes)
        {
            page.Add(cause.Id, Invariant($"{cause.Title}, {100 * cause.PriorFraction:0}"), 14);
        }
        return page.ToString();
    }

    private static string Reasons(RankedCause one)
    {
        string Told(IReadOnlyList<Reason> reasons) =>
            string.Join(
                ", ",
                reasons.Select(reason =>
                    Invariant($"{reason.Test.Id}={reason.Outcome.Id} {reason.WeightBits:+0.0;-0.0}")
                )
            );
        string because = one.For.Count > 0 ? $"; for it: {Told(one.For)}" : "";
        string against = one.Against.Count > 0 ? $"; against: {Told(one.Against)}" : "";
        return because + against;
    }
}
