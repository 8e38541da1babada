using Graftbench.Core.Findings;

namespace Graftbench.Core.Planning;

/// <summary>An answer that is made apart from the plan, in short, for its question.</summary>
/// <param name="Verdict">Worst of what was looked at; unknown where something that decides it was not.</param>
/// <param name="Answer">The answer in one line.</param>
/// <param name="Next">What to do next; null where nothing is to be done.</param>
/// <param name="Findings">The findings that decide it, worst first.</param>
/// <param name="Waivable">Whether the verdict follows its findings once they are waived; otherwise it stays at <paramref name="Verdict"/>.</param>
public sealed record QuestionSummary(
    Verdict Verdict,
    string Answer,
    string? Next,
    IReadOnlyList<Finding> Findings,
    bool Waivable = true
);
