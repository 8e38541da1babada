using System.Globalization;
using Graftbench.Core.Findings;
using Graftbench.Core.Jobs;
using static System.FormattableString;

namespace Graftbench.Core.Drying;

/// <summary>
/// Boards and chips that have no heat left in their job. They need not be dry any more; what counts is whether they were
/// dry when they were heated last.
/// </summary>
internal static class HeatsDone
{
    /// <summary>The last heat of a board or chip; null while one is still to come.</summary>
    /// <param name="job">The job. The host counts as done once every chip is placed and the job is past the placing.</param>
    /// <param name="id"><c>host</c>, <c>donor</c> or the chip's id.</param>
    public static DateTimeOffset? LastAt(Job job, string id)
    {
        if (id == "host")
        {
            return job.Stage < JobStage.Inspecting
                ? null
                : Last(job.Chips.Where(chip => chip.To == ChipPlace.Host), chip => ChipWhereabouts.PlacedAt(job, chip));
        }
        return id == "donor"
            ? Last(job.Chips.Where(chip => chip.From == ChipPlace.Donor), chip => ChipWhereabouts.LiftedAt(job, chip))
            : Last(
                job.Chips.Where(chip => chip.Id == id && chip.To is ChipPlace.Shelf or ChipPlace.Donor),
                chip => ChipWhereabouts.LiftedAt(job, chip)
            );
    }

    /// <summary>The job as it stood right before a moment: what came later is left out.</summary>
    public static Job Before(Job job, DateTimeOffset at) =>
        job with
        {
            Wishes = job.Wishes with { StartAt = null },
            History = job.History with
            {
                Heats = [.. job.History.Heats.Where(heat => heat.At < at)],
                Weighings = [.. job.History.Weighings.Where(weighing => weighing.At <= at)],
                Exposures =
                [
                    .. job
                        .History.Exposures.Where(stay => stay.From < at)
                        .Select(stay => stay.To > at ? stay with { To = at } : stay),
                ],
            },
        };

    /// <summary>The answer for a board or chip that has had its last heat.</summary>
    /// <param name="job">The job.</param>
    /// <param name="subject">What it would need before one more heat.</param>
    /// <param name="heatedAt">Its last heat.</param>
    /// <param name="then">How the job stood right before that heat.</param>
    public static SubjectDrying Of(
        Job job,
        SubjectDrying subject,
        DateTimeOffset heatedAt,
        IReadOnlyList<SubjectDrying> then
    )
    {
        string when = heatedAt.ToString("d MMM yyyy HH:mm", CultureInfo.InvariantCulture);
        List<SubjectDrying> wet =
        [
            .. then.Where(one => Heated(job, subject.Id).Contains(one.Id, StringComparer.Ordinal))
                .Where(one => one.State is not (DryingState.Dried or DryingState.NoBakeNeeded)),
        ];
        Finding finding =
            wet.Count == 0
                ? new Finding(
                    Verdict.Ok,
                    "drying.was-dry",
                    subject.Title,
                    $"It was dry when it was heated last, on {when}.",
                    Source: "jstd-033-board-rework"
                )
                : new Finding(
                    // Not a warning: the owner's sheet must not call it tested.
                    Verdict.Unknown,
                    "drying.heated-not-dry",
                    subject.Title,
                    $"Not known to have been dry when it was heated last, on {when}: {string.Join(", ", wet.Select(one => one.Title))}.",
                    Source: "jstd-033-board-rework",
                    Todo: "Look for bulged or cracked bodies and for blisters in the board, and write down what you see."
                );
        string more = subject.AdviceH is > 0 and { } hours
            ? Invariant($" Before one more it has to dry for {hours:0} h: {subject.AdviceWhy}.")
            : "";
        return subject with
        {
            State = DryingState.NoHeatLeft,
            AdviceWhy = $"No heat of this job is left. {finding.What}{more}",
            StartAt = null,
            ReadyAt = null,
            UseBy = null,
            UseByWhy = null,
            RemoveFirst = [],
            Findings = [finding],
        };
    }

    private static DateTimeOffset? Last(IEnumerable<Chip> chips, Func<Chip, DateTimeOffset?> heatedAt)
    {
        List<DateTimeOffset?> heats = [.. chips.Select(heatedAt)];
        return heats.Count > 0 && heats.TrueForAll(at => at is not null) ? heats.Max() : null;
    }

    // A board is heated with the chips that go onto it, a chip with the board that it comes from.
    private static IEnumerable<string> Heated(Job job, string id) =>
        id switch
        {
            "host" => job.Chips.Where(chip => chip.To == ChipPlace.Host).Select(chip => chip.Id).Prepend("host"),
            "donor" => ["donor"],
            _ => job.Chips.Where(chip => chip.Id == id).Select(chip => chip.From == ChipPlace.Donor ? "donor" : "host"),
        };
}
