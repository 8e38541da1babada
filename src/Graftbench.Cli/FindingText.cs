using Graftbench.Core.Findings;

namespace Graftbench.Cli;

/// <summary>Findings as a person reads them.</summary>
internal static class FindingText
{
    /// <summary>Adds findings below an empty line; nothing where there are none.</summary>
    public static void Add(Page page, IEnumerable<Finding> findings)
    {
        bool first = true;
        foreach (Finding finding in findings)
        {
            if (first)
            {
                page.Add();
                first = false;
            }
            page.Add($"{Say.Verdict(finding.Verdict)}: {finding.Where}: {finding.What}", 4);
            if (finding.Value is not null || finding.Limit is not null)
            {
                page.Add(
                    $"    {finding.Value}{(finding.Limit is null ? "" : $", limit {finding.Limit} ({finding.Source})")}",
                    6
                );
            }
            if (finding.Todo is not null)
            {
                page.Add($"    → {finding.Todo}", 6);
            }
        }
    }
}
