using Graftbench.Core.Findings;
using Graftbench.Core.Fit;
using Graftbench.Core.Fit.Maps;
using static System.FormattableString;

namespace Graftbench.Cli;

/// <summary>A fit sheet as a person reads it.</summary>
internal static class FitText
{
    private const int Column = 12;

    public static string Of(FitSheet sheet)
    {
        Page page = new();
        page.Add($"Will chip {sheet.Chip.Id} work on this board?");
        page.Add($"{Say.Verdict(sheet.Verdict)}: {sheet.Answer}", 2);
        if (sheet.Next is { } next)
        {
            page.Add("→ " + next, 2);
        }
        page.Add();
        foreach (FitRow row in sheet.Rows)
        {
            page.Add(Say.Verdict(row.Verdict), row.Title, Column);
            foreach (Finding finding in row.Findings)
            {
                string value = finding.Value is { } found
                    ? $" ({found}{(finding.Limit is { } limit ? $"; {limit}" : "")})"
                    : "";
                string weighs = finding.Verdict == row.Verdict ? "" : $"{Say.Verdict(finding.Verdict)}: ";
                page.Add("", $"{weighs}{finding.Where}: {finding.What}{value} [{finding.Source}]", Column);
                if (finding.Todo is { } todo && finding.Verdict != Verdict.Ok)
                {
                    page.Add("", $"→ {todo}", Column);
                }
            }
        }
        if (sheet.Comparison is { } comparison)
        {
            page.Add();
            page.Add("Balls that agree, by how the chip's list is turned");
            page.Add(
                "",
                string.Join(
                    ", ",
                    comparison.Scores.Select(score => Invariant($"{MapComparer.Words(score.Turn)} {score.AgreeNumber}"))
                ),
                Column
            );
        }
        return page.ToString();
    }
}
