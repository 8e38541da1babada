using Graftbench.Core.Drying;
using Graftbench.Core.Findings;

namespace Graftbench.Cli;

/// <summary>The drying answer in short, and with its reasons.</summary>
internal static class DryingText
{
    private const int Column = 14;

    /// <summary>One block for each board and loose chip: what to do, and when it is ready.</summary>
    public static void Add(Page page, DryingPlan drying)
    {
        page.Add("Drying");
        page.Add("  dryer", ClimateLine(drying.Climate), Column);
        foreach (SubjectDrying subject in drying.Subjects)
        {
            AddAnswer(page, subject, drying.ComputedAt);
        }
    }

    private static void AddAnswer(Page page, SubjectDrying subject, DateTimeOffset now)
    {
        string used = subject.UsedC is { } usedC ? $" at {Say.Celsius(usedC)}" : "";
        string answer = subject switch
        {
            { State: DryingState.ToDry or DryingState.InDryer, AdviceH: { } hours } =>
                $"{Say.State(subject.State)}: {Say.Hours(hours)}{used}",
            { State: DryingState.NoAnswer, AdviceH: { } hours } =>
                $"{Say.State(subject.State)}; {Say.Hours(hours)}{used} if it were possible",
            _ => Say.State(subject.State),
        };
        page.Add($"  {subject.Title}: {answer}", 4);
        bool toDry = subject.State is DryingState.ToDry or DryingState.InDryer or DryingState.NoAnswer;
        if (subject.ReadyAt is { } ready)
        {
            string start = subject.StartAt is { } from ? $", in at {Say.Moment(from, now)}" : "";
            page.Add("    ready", ready <= now ? "now" : Say.Moment(ready, now) + start, Column);
        }
        page.Add("    because", subject.AdviceWhy, Column);
        if (toDry && subject.CapC is { } cap)
        {
            page.Add("    at most", $"{Say.Celsius(cap)}{(subject.CapReason is { } why ? $": {why}" : "")}", Column);
        }
        if (subject.RemoveFirst.Count > 0)
        {
            page.Add(
                "    take off",
                string.Join(
                    "; ",
                    subject.RemoveFirst.Select(part =>
                        part.LimitC is { } limit ? $"{part.Ref} ({Say.Celsius(limit)})" : part.Ref
                    )
                ),
                Column
            );
        }
        if (subject.UseBy is { } useBy)
        {
            page.Add(
                "    use by",
                $"{Say.Moment(useBy, now)}{(subject.UseByWhy is { } why ? $": {why}" : "")}",
                Column
            );
        }
    }

    /// <summary>Everything behind the answer for one board or chip.</summary>
    public static void AddReasons(Page page, SubjectDrying subject)
    {
        foreach (RemoveFirst part in subject.RemoveFirst)
        {
            page.Add($"    take off {part.Ref}: {part.Why} [{part.Source}]", 6);
        }
        if (subject.Laminate is { } laminate)
        {
            page.Add($"    board: {laminate.Says} [{laminate.Source}]", 6);
        }
        page.Add(
            $"    above 90 °C: {Say.Hours(subject.Budget.SpentH)} spent, {Say.Hours(subject.Budget.PlannedH)} planned, "
                + $"{Say.HoursLeft(subject.Budget.LeftH)} left of {Say.Hours(subject.Budget.LimitH)}",
            6
        );
        if (subject.Weighing is { } weighing)
        {
            page.Add($"    weighings: {weighing.Says}", 6);
        }
        foreach (BodyDrying body in subject.Bodies)
        {
            AddBody(page, body);
        }
    }

    private static void AddBody(Page page, BodyDrying body)
    {
        string level = $"moisture level {MoistureLevels.Name(body.Level)}{(body.LevelKnown ? "" : " (assumed)")}";
        string thickness = $"{body.ThicknessMm:0.##} mm{(body.ThicknessKnown ? "" : " (assumed)")}";
        page.Add(
            $"    body {body.Ref}: {level}, {thickness}{(body.OverLargeWithPlanes ? ", row of large or stacked bodies" : "")}",
            6
        );
        page.Add("      floor life", $"{body.FloorLife.Says} [{body.FloorLife.Source}]", 20);
        foreach (string step in body.FloorLife.Steps)
        {
            page.Add("        - " + step, 10);
        }
        page.Add(
            "      table",
            $"{(body.Table.Hours is { } table ? Say.Hours(table) + ": " : "")}{body.Table.Says} [{body.Table.Source}]",
            20
        );
        if (body.Diffusion is { } diffusion)
        {
            page.Add(
                "      diffusion",
                $"{Say.Hours(diffusion.Hours)} ({Say.HoursLeft(diffusion.LowH)} to {Say.Hours(diffusion.HighH)}): {diffusion.Says} [{diffusion.Source}]",
                20
            );
        }
        page.Add("      advice", $"{(body.AdviceH is { } advice ? Say.Hours(advice) + ": " : "")}{body.AdviceWhy}", 20);
        page.Add("      heated now", body.IfHeatedNow.Says, 20);
    }

    /// <summary>Findings, worst first, with what to do; those that are fine are only counted.</summary>
    public static void AddFindings(Page page, IReadOnlyList<Finding> findings)
    {
        List<Finding> shown = findings.Where(finding => finding.Verdict != Verdict.Ok).ToList();
        int fine = findings.Count - shown.Count;
        page.Add($"Findings{(fine > 0 ? $" ({fine} more {(fine == 1 ? "is" : "are")} ok)" : "")}");
        if (shown.Count == 0)
        {
            page.Add("  none");
        }
        foreach (Finding finding in shown.Where(finding => finding.Verdict != Verdict.Unknown))
        {
            string value = finding.Value is null ? "" : $" {finding.Value}";
            string limit = finding.Limit is null ? "" : $", limit {finding.Limit}";
            string numbers = value.Length + limit.Length > 0 ? $" ({(value + limit).TrimStart(' ', ',')})" : "";
            string source = finding.Source is null ? "" : $" [{finding.Source}]";
            page.Add("  " + Say.Verdict(finding.Verdict), $"{finding.Where}: {finding.What}{numbers}{source}", Column);
            if (finding.Todo is { } todo)
            {
                page.Add("", "→ " + todo, Column);
            }
        }
        AddUnknown(page, [.. shown.Where(finding => finding.Verdict == Verdict.Unknown)]);
    }

    // What could not be checked is many small things: alike ones share a line, and the sheet says the rest.
    private static void AddUnknown(Page page, IReadOnlyList<Finding> unknown)
    {
        if (unknown.Count == 0)
        {
            return;
        }
        page.Add("Could not be checked; unknown is not ok");
        foreach (IGrouping<string, Finding> alike in unknown.GroupBy(finding => finding.What))
        {
            string where = string.Join(", ", alike.Select(finding => finding.Where).Distinct(StringComparer.Ordinal));
            page.Add($"  {where}: {alike.Key}", 4);
        }
    }

    /// <summary>What had to be assumed.</summary>
    public static void AddAssumptions(Page page, IReadOnlyList<Assumption> assumptions)
    {
        if (assumptions.Count == 0)
        {
            return;
        }
        page.Add("Assumed");
        foreach (Assumption assumption in assumptions)
        {
            page.Add($"  {assumption.Where}: {assumption.What} [{assumption.Source}]", 4);
        }
    }

    private static string ClimateLine(DryerClimate climate)
    {
        string set = climate.SetC is { } setC ? Say.Celsius(setC) : "temperature unknown";
        string humidity = climate.HumidityPercent is { } percent ? $"{percent:0.#} % RH" : "humidity unknown";
        return $"{set}, {humidity}: {climate.How}";
    }
}
