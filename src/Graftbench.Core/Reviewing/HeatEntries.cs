using Graftbench.Core.Facts;
using Graftbench.Core.Heating;
using Graftbench.Core.Jobs;
using Graftbench.Core.Ledger;
using static System.FormattableString;

namespace Graftbench.Core.Reviewing;

/// <summary>A line that a review proposes for the heat ledger.</summary>
/// <param name="Heat">The line; null where the run was no heat for it.</param>
/// <param name="Of">Board or chip it is for: <c>host</c>, <c>donor</c> or the chip's id.</param>
/// <param name="Says">What it says, or why there is none, one sentence.</param>
/// <param name="NeedsDecision">Whether it is an extra heat that wants a decision on record.</param>
public sealed record ProposedHeat(Heat? Heat, string Of, string Says, bool NeedsDecision);

/// <summary>What a heat has cost chip and board, for the ledger: proposed by the review, written when a person confirms.</summary>
/// <remarks>
/// A run counts as a heat for a body that was above 200 °C, or above first melt of its solder where that is lower: the
/// temperature from which boards are to be baked before (J-STD-033) and joints change. Each line names the run, so that it is not
/// written twice. A simulated run gives none.
/// </remarks>
public static class HeatEntries
{
    private const double CountsFromC = 200;
    private const double LeastPeakC = 100;
    private const double MostPeakC = 450;
    private const int MostWhy = 400;

    /// <summary>Lines that a review proposes.</summary>
    /// <param name="review">The review.</param>
    /// <param name="job">The job.</param>
    /// <param name="runId">The run's id.</param>
    /// <param name="at">When the heat began.</param>
    public static IReadOnlyList<ProposedHeat> Propose(RunReview review, Job job, string runId, DateTimeOffset at)
    {
        ArgumentNullException.ThrowIfNull(review);
        ArgumentNullException.ThrowIfNull(job);
        ArgumentException.ThrowIfNullOrWhiteSpace(runId);
        if (review.Simulated || review.Task is not { } task)
        {
            return [];
        }
        Chip? chip = job.Chips.FirstOrDefault(one => one.Id == review.ChipId);
        List<ProposedHeat> found = [];
        if (chip is not null)
        {
            found.Add(Line(review, job, runId, at, task, chip.Id, $"{chip.Id} body"));
        }
        if (task != HeatTask.AttachBalls)
        {
            bool donor = task == HeatTask.Lift && chip?.From == ChipPlace.Donor && job.Donor is not null;
            found.Add(Line(review, job, runId, at, task, donor ? "donor" : "host", null));
        }
        return found;
    }

    /// <summary>Whether a run is in a job's ledger already, and for what.</summary>
    /// <param name="job">The job.</param>
    /// <param name="runId">The run's id.</param>
    public static IReadOnlyList<Heat> Written(Job job, string runId)
    {
        ArgumentNullException.ThrowIfNull(job);
        string mark = Mark(runId);
        return [.. job.History.Heats.Where(heat => heat.Why?.Contains(mark, StringComparison.Ordinal) == true)];
    }

    /// <summary>The job with the proposed lines; those that it has already are not written again.</summary>
    /// <param name="job">The job.</param>
    /// <param name="runId">The run's id.</param>
    /// <param name="lines">Lines that were confirmed.</param>
    /// <param name="decision">Who decided on an extra heat and why; null where none is asked for.</param>
    public static Job Write(Job job, string runId, IReadOnlyList<ProposedHeat> lines, string? decision = null)
    {
        ArgumentNullException.ThrowIfNull(job);
        ArgumentNullException.ThrowIfNull(lines);
        HashSet<string> written = [.. Written(job, runId).Select(heat => heat.Of)];
        List<Heat> added =
        [
            .. lines
                .Where(line => line.Heat is not null && !written.Contains(line.Of))
                .Select(line =>
                    line.NeedsDecision && !string.IsNullOrWhiteSpace(decision)
                        ? line.Heat! with
                        {
                            Decision = decision.Trim(),
                        }
                        : line.Heat!
                ),
        ];
        if (added.Count == 0)
        {
            return job;
        }
        Job ended = added.Aggregate(job, (so, heat) => HeatRecord.EndStays(so, heat.Of, heat.Kind, heat.At));
        return StageRecord.Forward(
            job,
            ended with
            {
                History = ended.History with { Heats = [.. ended.History.Heats, .. added] },
            }
        );
    }

    private static ProposedHeat Line(
        RunReview review,
        Job job,
        string runId,
        DateTimeOffset at,
        HeatTask task,
        string of,
        string? subject
    )
    {
        double countsC = Math.Min(CountsFromC, review.SolidusC ?? CountsFromC);
        ReviewFigure? peak = Hottest(review, subject, "peak");
        string name = subject is null ? $"{of} board" : $"chip {of}";
        if (peak?.Value is not double peakC)
        {
            return Made(
                null,
                "its temperature is not known, so nothing can be said but that it was heated",
                Invariant($"{name}: ")
            );
        }
        if ((peak.High ?? double.PositiveInfinity) < countsC)
        {
            return new ProposedHeat(
                null,
                of,
                Invariant($"{name}: no heat to count, it stayed below {countsC:0} °C ({ReviewWords.Of(peak)})."),
                false
            );
        }
        ReviewFigure? above = Hottest(review, subject, "above");
        return Made(
            Math.Clamp(Math.Round(peakC, 1), LeastPeakC, MostPeakC),
            Invariant(
                $"peak {ReviewWords.Of(peak)}, {ReviewWords.Basis(peak)}{(above?.Value is null ? "" : ", " + above.Title + " " + ReviewWords.Of(above))}"
            ),
            $"{name}: "
        );

        ProposedHeat Made(double? peakAtC, string says, string head)
        {
            double? aboveS = Hottest(review, subject, "above")?.Value;
            string why = $"{Mark(runId)} counted from {countsC:0} °C; {says}.";
            Heat heat = new()
            {
                Of = of,
                At = at,
                Kind = task switch
                {
                    HeatTask.Lift => HeatKind.Lift,
                    HeatTask.AttachBalls => HeatKind.BallAttach,
                    _ => HeatKind.Place,
                },
                PeakC = peakAtC,
                AboveLiquidusS = aboveS is double s && peakAtC is not null ? Math.Clamp(Math.Round(s), 0, 7200) : null,
                Why = why.Length <= MostWhy ? why : why[..MostWhy],
            };
            return new ProposedHeat(heat, of, head + says + ".", HeatBook.NeedsDecision(job, heat));
        }
    }

    // The hottest that is known of a body: for a board the joints and the underside, for a chip its top and its joints.
    private static ReviewFigure? Hottest(RunReview review, string? subject, string key) =>
        review
            .Figures.Where(figure =>
                figure.Key == key
                && figure.Value is not null
                && (
                    figure.Subject == "hottest joint"
                    || figure.Subject == subject
                    || (subject is null && figure.Subject == "underside")
                )
            )
            .MaxBy(figure => figure.Value);

    private static string Mark(string runId) => $"[run {runId}]";
}
