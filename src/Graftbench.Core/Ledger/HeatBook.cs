using System.Globalization;
using Graftbench.Core.Drying;
using Graftbench.Core.Facts;
using Graftbench.Core.Findings;
using Graftbench.Core.Jobs;
using static System.FormattableString;

namespace Graftbench.Core.Ledger;

/// <summary>Counts the heats of every board and chip beside the guideline.</summary>
public static class HeatBook
{
    private static readonly HeatKind[] Whole = [HeatKind.Lift, HeatKind.Clean, HeatKind.BallAttach, HeatKind.Place];

    /// <summary>The ledger of a job.</summary>
    public static HeatLedger Of(Job job)
    {
        List<HeatAccount> accounts = [];
        foreach (Chip chip in job.Chips.Where(chip => chip.To != ChipPlace.Scrap))
        {
            accounts.Add(
                Account(
                    job,
                    chip.Id,
                    $"chip {chip.Id}",
                    PlannedFor(job, chip),
                    chip.From == ChipPlace.Shelf ? 0 : 1,
                    HeatGuidelines.Chip
                )
            );
        }
        HeatKind[] hostPlan =
        [
            .. Lifts(job, ChipPlace.Host),
            HeatKind.Clean,
            .. job.Chips.Where(chip => chip.To == ChipPlace.Host).Select(_ => HeatKind.Place),
        ];
        accounts.Add(Account(job, "host", "host board", hostPlan, 1, HeatGuidelines.Board));
        if (job.Donor is not null)
        {
            accounts.Add(Account(job, "donor", "donor board", Lifts(job, ChipPlace.Donor), 1, HeatGuidelines.Board));
        }
        return new HeatLedger(accounts, Finding.WorstFirst(accounts.SelectMany(FindingsOf)));
    }

    // A chip from a board is lifted, cleaned, balled and placed; one from the shelf is placed, and balled again only where balls are laid out for it.
    private static HeatKind[] PlannedFor(Job job, Chip chip) =>
        chip switch
        {
            { From: ChipPlace.Shelf } when job.Materials.BallDiameterMm is null => [HeatKind.Place],
            { From: ChipPlace.Shelf } => [HeatKind.Clean, HeatKind.BallAttach, HeatKind.Place],
            { To: ChipPlace.Shelf } => [HeatKind.Lift],
            _ => Whole,
        };

    // One lift for each chip that leaves the board.
    private static IEnumerable<HeatKind> Lifts(Job job, ChipPlace board) =>
        job.Chips.Where(chip => chip.From == board).Select(_ => HeatKind.Lift);

    /// <summary>Whether a heat wants a decision on record: a repeat, once it is an extra one.</summary>
    /// <param name="job">The job with the heats so far.</param>
    /// <param name="heat">A heat to be added, or one of the job's.</param>
    public static bool NeedsDecision(Job job, Heat heat)
    {
        Job with = job.History.Heats.Contains(heat)
            ? job
            : job with
            {
                History = job.History with { Heats = [.. job.History.Heats, heat] },
            };
        HeatAccount? account = Of(with).Accounts.FirstOrDefault(account => account.Id == heat.Of);
        return account is not null && ExtraHeats(account).Any(extra => extra.Heat == heat);
    }

    private static HeatAccount Account(
        Job job,
        string id,
        string title,
        IEnumerable<HeatKind> plan,
        double builds,
        HeatCount guideline
    )
    {
        List<Heat> spent = job
            .History.Heats.Where(heat => string.Equals(heat.Of, id, StringComparison.Ordinal))
            .OrderBy(heat => heat.At)
            .ToList();
        double assumed = spent.Exists(heat => heat.Kind == HeatKind.Build) ? 0 : builds;
        List<HeatKind> open = [.. plan];
        HeatKind? last = open.Count > 0 ? open[^1] : null;
        spent.ForEach(heat => open.Remove(heat.Kind));
        // Once the last step is done, the steps before it are not to come any more: they were made cold, or not written down.
        if (last is { } end && !open.Contains(end))
        {
            open.Clear();
        }
        List<PlannedHeat> planned = open.Select(kind => (kind, count: HeatGuidelines.Step(kind)))
            .Select(step => new PlannedHeat(step.kind, step.count.LowNumber, step.count.HighNumber, step.count.Source))
            .ToList();
        return new HeatAccount(
            id,
            title,
            spent,
            assumed + spent.Sum(Counts),
            assumed,
            planned,
            planned.Sum(heat => heat.LowNumber),
            planned.Sum(heat => heat.HighNumber),
            guideline.HighNumber,
            guideline.Source
        );
    }

    // A heat on record happened once, however many tries its kind may take; cleaning and a neighbour's heat count at their upper end.
    private static double Counts(Heat heat) => Math.Min(1, HeatGuidelines.Step(heat.Kind).HighNumber);

    private static IEnumerable<Finding> FindingsOf(HeatAccount account)
    {
        double low = account.SpentNumber + account.PlannedLowNumber;
        double high = account.SpentNumber + account.PlannedHighNumber;
        string value = Invariant($"{account.SpentNumber:0.#} spent, {low:0.#} to {high:0.#} at the end");
        string limit = Invariant($"{account.GuidelineNumber:0} in the guideline");
        if (high > account.GuidelineNumber)
        {
            yield return new Finding(
                Verdict.Warning,
                "heats.over-guideline",
                account.Title,
                "More heats than the guideline, as with almost every moved chip: it is never within rating.",
                value,
                limit,
                account.GuidelineSource,
                "Spend no heat that is not planned; an extra one is a decision to be written down."
            );
        }
        foreach ((Heat heat, double number) in ExtraHeats(account))
        {
            if (string.IsNullOrWhiteSpace(heat.Decision))
            {
                yield return new Finding(
                    Verdict.FixFirst,
                    "heats.no-decision",
                    account.Title,
                    $"An extra heat on {heat.At.ToString("yyyy-MM-dd HH:mm", CultureInfo.InvariantCulture)} has no decision on record.",
                    Invariant($"{number:0.#} heats then"),
                    limit,
                    account.GuidelineSource,
                    "Write down who decided on it and why."
                );
            }
        }
        if (account.AssumedNumber > 0)
        {
            yield return new Finding(
                Verdict.Unknown,
                "heats.before-the-job",
                account.Title,
                "Heats from before this job are not on record: one build is assumed, it may have been more.",
                Invariant($"{account.AssumedNumber:0} assumed"),
                limit,
                HeatGuidelines.Step(HeatKind.Build).Source,
                "Ask about earlier repairs, look for flux residue and disturbed parts."
            );
        }
    }

    // A repeated heat is a choice, and so is a repeat of any kind but cleaning once the guideline is passed.
    private static IEnumerable<(Heat Heat, double Number)> ExtraHeats(HeatAccount account)
    {
        double running = account.AssumedNumber;
        foreach (Heat heat in account.Spent)
        {
            running += Counts(heat);
            bool repeat =
                heat.Kind != HeatKind.Clean
                && account.Spent.Any(other => other.Kind == heat.Kind && other.At < heat.At);
            if (heat.Kind == HeatKind.Again || (repeat && running > account.GuidelineNumber))
            {
                yield return (heat, running);
            }
        }
    }
}
