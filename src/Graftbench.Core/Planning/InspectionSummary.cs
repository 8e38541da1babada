using Graftbench.Core.Findings;

namespace Graftbench.Core.Planning;

/// <summary>What the pictures of a job say, in short, for question 6.</summary>
/// <param name="Verdict">Worst of what was looked at; unknown where balls or joints were not.</param>
/// <param name="Answer">The answer in one line.</param>
/// <param name="Next">What to do next; null where nothing is to be done.</param>
/// <param name="Findings">The findings that decide it, worst first.</param>
public sealed record InspectionSummary(Verdict Verdict, string Answer, string? Next, IReadOnlyList<Finding> Findings);
