using Graftbench.Core.Findings;
using Graftbench.Core.Reviewing;

namespace Graftbench.Cli;

/// <summary>A reviewed run for the terminal.</summary>
internal static class ReviewText
{
    private const int MostMarks = 20;

    /// <summary>Spells a review.</summary>
    /// <param name="review">The run.</param>
    /// <param name="readAs">How the log was read; null for a run of the store.</param>
    /// <param name="other">Another run; null for none.</param>
    /// <param name="overlay">How the two compare; null without another.</param>
    /// <param name="ledger">Lines proposed for the heat ledger.</param>
    public static string Of(
        RunReview review,
        string? readAs,
        RunReview? other,
        RunOverlay? overlay,
        IReadOnlyList<ProposedHeat> ledger
    )
    {
        Page page = new();
        string simulation = review.Simulated ? $"  [{ReviewWords.Simulation}: not a real board]" : "";
        page.Add($"{review.Title}{simulation}");
        page.Add(
            $"{Clock(review.DurationS)} of log{(review.Interrupted ? ", cut off" : "")}; {review.EstimateWords}",
            2
        );
        if (readAs is not null)
        {
            page.Add($"read as: {readAs}", 9);
        }
        page.Add();
        page.Add(review.Answer, 2);
        AddChecks(page, review);
        AddFigures(page, review);
        if (other is not null && overlay is not null)
        {
            AddOverlay(page, other, overlay);
        }
        if (review.Marks.Count > 0)
        {
            page.Add();
            page.Add("Marks");
            foreach (RunMark mark in review.Marks.Take(MostMarks))
            {
                page.Add($"  {Clock(mark.TimeS)}", $"{mark.Kind} {mark.Text}", 9);
            }
            if (review.Marks.Count > MostMarks)
            {
                page.Add($"  and {review.Marks.Count - MostMarks} more");
            }
        }
        if (ledger.Count > 0)
        {
            page.Add();
            page.Add("For the heat ledger (written only when you confirm it)");
            foreach (ProposedHeat line in ledger)
            {
                page.Add(
                    $"  {line.Says}{(line.NeedsDecision ? " An extra heat: it needs a decision on record." : "")}",
                    4
                );
            }
        }
        page.Add();
        DryingText.AddFindings(page, review.Findings);
        return page.ToString();
    }

    private static void AddChecks(Page page, RunReview review)
    {
        if (review.Checks.Count == 0)
        {
            return;
        }
        page.Add();
        page.Add("Against limits, worst first (ranges in brackets)");
        foreach (ReviewCheck check in review.Checks)
        {
            string side = check.LimitIsLeast ? "at least" : "at most";
            if (check.Verdict == Verdict.Ok)
            {
                page.Add(
                    $"  ok        {check.Figure.Subject}, {check.Figure.Title}: {ReviewWords.Of(check.Figure)}; {side} {ReviewWords.Digits(check.Limit, check.Figure.Unit)}",
                    12
                );
                continue;
            }
            string planned = check.Planned is double plan
                ? $"; planned {ReviewWords.Digits(plan, check.Figure.Unit)}"
                : "";
            string basis = check.Figure.Value is null ? "" : $", {ReviewWords.Basis(check.Figure)}";
            page.Add(
                $"  {Say.Verdict(check.Verdict), -10}{check.Figure.Subject}, {check.Figure.Title}: {ReviewWords.Of(check.Figure)}{basis}; {side} {ReviewWords.Digits(check.Limit, check.Figure.Unit)}{(check.Hard ? "" : ", a goal")}{planned} [{check.Source}]",
                12
            );
        }
    }

    private static void AddFigures(Page page, RunReview review)
    {
        page.Add();
        page.Add("Figures");
        foreach (
            IGrouping<(string, FigureBasis), ReviewFigure> group in review.Figures.GroupBy(one =>
                (one.Subject, one.Basis)
            )
        )
        {
            page.Add($"  {group.Key.Item1}, {ReviewWords.Basis(group.First())}");
            foreach (ReviewFigure figure in group.DistinctBy(one => one.Title))
            {
                page.Add($"    {figure.Title}: {ReviewWords.Of(figure)}", 6);
            }
        }
    }

    private static void AddOverlay(Page page, RunReview other, RunOverlay overlay)
    {
        page.Add();
        page.Add(
            $"Beside {other.Title}: {overlay.AlignedBy}; its times are moved by {ReviewWords.Digits(overlay.ShiftS, "°C")} s",
            2
        );
        foreach (OverlayFigure pair in overlay.Figures)
        {
            string unit = pair.First.Unit;
            string difference = pair.Difference is double by
                ? $"{(by >= 0 ? "+" : "")}{ReviewWords.Digits(by, unit)} {unit}, {Words(pair.Differs)}"
                : "not known";
            page.Add(
                $"  {pair.First.Subject}, {pair.First.Title}: {ReviewWords.Of(pair.First)} and {ReviewWords.Of(pair.Second)}: {difference}",
                4
            );
        }
    }

    private static string Words(bool? differs) =>
        differs switch
        {
            true => "differs",
            false => "within the uncertainty",
            _ => "cannot be told",
        };

    private static string Clock(double timeS)
    {
        int whole = (int)Math.Round(timeS);
        return $"{whole / 60}:{whole % 60:00}";
    }
}
