using Graftbench.Core.Findings;
using Graftbench.Core.Fit.Rules;
using Graftbench.Core.Jobs;
using Graftbench.Core.Planning;
using static System.FormattableString;

namespace Graftbench.Core.Fit;

/// <summary>Computes the fit sheet: every rule, one verdict over all.</summary>
public static class FitPlanner
{
    /// <summary>Code of the finding that stands for everything that was not checked.</summary>
    public const string NotChecked = "fit.not-checked";

    /// <summary>The chip of a job that goes to the host and comes from elsewhere; null where there is none.</summary>
    /// <param name="job">The job.</param>
    public static Chip? Main(Job job)
    {
        ArgumentNullException.ThrowIfNull(job);
        return job.Chips.FirstOrDefault(chip => chip.To == ChipPlace.Host && chip.From != ChipPlace.Host);
    }

    /// <summary>The ball list that the board is made for: its own, else that of the chip that is replaced.</summary>
    /// <param name="job">The job.</param>
    /// <param name="chip">The chip that goes to the host.</param>
    public static BallListFile? HostList(Job job, Chip chip)
    {
        ArgumentNullException.ThrowIfNull(job);
        return job.Host.Gives?.BallList ?? ChipSites.ReplacedBy(job, chip, ChipPlace.Host)?.BallList;
    }

    /// <summary>Whether anything was entered that only this question asks for.</summary>
    /// <param name="request">What would be computed.</param>
    public static bool IsBegun(FitRequest request)
    {
        ArgumentNullException.ThrowIfNull(request);
        return request.Job.Host.Gives is not null
            || request.Chip.Needs is not null
            || request.HostMap is not null
            || request.ChipMap is not null
            || request.MapFindings.Count > 0;
    }

    /// <summary>The sheet.</summary>
    /// <param name="request">What it is computed of.</param>
    public static FitSheet Sheet(FitRequest request)
    {
        ArgumentNullException.ThrowIfNull(request);
        FitContext context = new(request);
        List<FitRow> rows =
        [
            .. FitRules.All.Select(rule => new FitRow(
                rule.Id,
                rule.Title,
                rule.Asks,
                Finding.WorstFirst(rule.Check(context, rule).Select(finding => Waivers.Apply(request.Job, finding)))
            )),
        ];
        Verdict verdict = Verdict.Ok;
        foreach (FitRow row in rows)
        {
            verdict = Worse(verdict, row.Verdict);
        }
        List<(string Name, double Gib)> memory = SystemRules.MemoryLimits(context);
        return new FitSheet(
            request.Chip,
            context.Replaced,
            verdict,
            Line(rows, verdict),
            Next(rows),
            rows,
            context.Comparison,
            RailWindows.Drawn(context.Rails),
            context.Heat,
            memory.Count > 0 ? memory.Min(limit => limit.Gib) : null
        );
    }

    /// <summary>The answer for question 1: what stops, what warns, and in one finding what was not checked.</summary>
    /// <param name="sheet">The sheet.</param>
    public static QuestionSummary Summary(FitSheet sheet)
    {
        ArgumentNullException.ThrowIfNull(sheet);
        List<Finding> findings =
        [
            .. sheet.Findings.Where(finding =>
                finding.Verdict is Verdict.Blocker or Verdict.FixFirst or Verdict.Warning
            ),
        ];
        List<FitRow> open = Open(sheet.Rows);
        if (open.Count > 0)
        {
            findings.Add(
                new Finding(
                    Verdict.Unknown,
                    NotChecked,
                    $"chip {sheet.Chip.Id}",
                    Invariant(
                        $"{open.Count} of {sheet.Rows.Count} rules of the fit sheet could not be checked in full."
                    ),
                    string.Join(", ", open.Select(row => row.Title)),
                    Source: "fit-rules",
                    Todo: "Open the fit sheet: each rule says what it lacks. Set aside with a reason what does not apply."
                )
            );
        }
        return new QuestionSummary(sheet.Verdict, sheet.Answer, sheet.Next, Finding.WorstFirst(findings));
    }

    // What nobody checked weighs more than a warning: a warning beside it must not make it look known.
    private static Verdict Worse(Verdict a, Verdict b) => Rank(b) < Rank(a) ? b : a;

    private static int Rank(Verdict verdict) =>
        verdict switch
        {
            Verdict.Blocker => 0,
            Verdict.FixFirst => 1,
            Verdict.Unknown => 2,
            Verdict.Warning => 3,
            _ => 4,
        };

    private static List<FitRow> Open(IReadOnlyList<FitRow> rows) =>
        [.. rows.Where(row => row.Findings.Any(finding => finding.Verdict == Verdict.Unknown))];

    private static string Line(List<FitRow> rows, Verdict verdict)
    {
        Finding First(Verdict of) => rows.SelectMany(row => row.Findings).First(finding => finding.Verdict == of);
        int open = Open(rows).Count;
        string left = open > 0 ? Invariant($" {open} of {rows.Count} rules could not be checked.") : "";
        return verdict switch
        {
            Verdict.Blocker => $"No. {Short(First(Verdict.Blocker))}{left}",
            Verdict.FixFirst => $"Not yet. {Short(First(Verdict.FixFirst))}{left}",
            Verdict.Unknown when open == rows.Count => "Not known: nothing that decides it is entered.",
            Verdict.Unknown => $"Nothing found against it, but not known:{left}",
            Verdict.Warning => $"Yes, with care. {Short(First(Verdict.Warning))}",
            _ => "Yes: every rule was checked and passes.",
        };
    }

    private static string Short(Finding finding) =>
        finding.Value is { Length: < 80 } value
            ? $"{finding.Where}: {finding.What} ({value})"
            : $"{finding.Where}: {finding.What}";

    private static string? Next(List<FitRow> rows) =>
        rows.SelectMany(row => row.Findings)
            .Where(finding => finding.Todo is not null)
            .OrderBy(finding => Rank(finding.Verdict))
            .FirstOrDefault()
            ?.Todo;
}
