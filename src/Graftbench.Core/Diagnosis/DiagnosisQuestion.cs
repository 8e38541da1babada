using Graftbench.Core.Findings;
using Graftbench.Core.Planning;
using static System.FormattableString;

namespace Graftbench.Core.Diagnosis;

/// <summary>Question 9 in short, for the plan of a job.</summary>
public static class DiagnosisQuestion
{
    private const string Estimate = "graftbench-estimate";
    private const string Board = "board that does not work";

    /// <summary>The answer in short.</summary>
    /// <param name="table">The table that was asked.</param>
    /// <param name="seen">What tests have shown.</param>
    /// <param name="answer">The answer to that.</param>
    /// <param name="closing">How the case was closed; null while it is open.</param>
    /// <returns>Null where nothing was tested and nothing was closed.</returns>
    public static QuestionSummary? Summary(
        CauseTable table,
        IReadOnlyList<TestSeen> seen,
        DiagnosisAnswer answer,
        CaseClosing? closing
    )
    {
        ArgumentNullException.ThrowIfNull(table);
        ArgumentNullException.ThrowIfNull(seen);
        ArgumentNullException.ThrowIfNull(answer);
        if (closing is not null)
        {
            return new QuestionSummary(Verdict.Ok, Closed(table, closing), null, []);
        }
        if (seen.Count == 0)
        {
            return null;
        }
        // The surest cause is still a chance: named or not, it stays a finding until the case is closed.
        Finding own = answer.Named is { } named
            ? new Finding(
                Verdict.FixFirst,
                "diagnosis.named",
                Board,
                $"{named.Cause.Title}.",
                Invariant($"{100 * named.Fraction:0} in 100"),
                Invariant($"named from {100 * Diagnoser.NamedFraction:0} in 100 on"),
                Estimate,
                answer.Next
            )
            : new Finding(
                Verdict.Warning,
                "diagnosis.open",
                Board,
                "The cause is not decided.",
                Invariant($"{100 * answer.Causes[0].Fraction:0} in 100 for the likeliest"),
                Invariant($"named from {100 * Diagnoser.NamedFraction:0} in 100 on"),
                Estimate,
                answer.Next
            );
        IReadOnlyList<Finding> findings = Finding.WorstFirst([own, .. answer.Findings]);
        return new QuestionSummary(Finding.Worst(findings), answer.Answer, answer.Next, findings);
    }

    /// <summary>A closed case in one line.</summary>
    public static string Closed(CauseTable table, CaseClosing closing)
    {
        ArgumentNullException.ThrowIfNull(table);
        ArgumentNullException.ThrowIfNull(closing);
        string cause =
            closing.CauseId is { } id && table.CauseOf(id) is >= 0 and int c
                ? table.Causes[c].Title
                : "no cause was found";
        return $"Closed: {cause}; {CaseClosing.Words(closing.Proof)}.";
    }
}
