using Graftbench.Core.Findings;

namespace Graftbench.Core.Planning;

/// <summary>What the images of a job's flash chip say, in short, for question 8.</summary>
/// <param name="Verdict">Worst of its steps; unknown where one was not looked at.</param>
/// <param name="Answer">The answer in one line.</param>
/// <param name="Next">What to do next; null where nothing is to be done.</param>
/// <param name="Findings">The findings that decide it, worst first.</param>
public sealed record FirmwareSummary(Verdict Verdict, string Answer, string? Next, IReadOnlyList<Finding> Findings);
