using Graftbench.Core.Drying;
using Graftbench.Core.Jobs;

namespace Graftbench.Core.Ledger;

/// <summary>Where a job stands by what is written down, so that nobody has to say it a second time.</summary>
public static class StageRecord
{
    /// <summary>The job, moved on to the stage that a new line of its record shows; never moved back.</summary>
    /// <remarks>
    /// A bake that was begun: drying. Everything lifted that leaves a board: preparing. Everything placed that goes onto the host:
    /// inspecting. Later stages are a person's word, and so is a stage that was set back: only what the new line adds moves a job on.
    /// </remarks>
    /// <param name="before">The job before the line.</param>
    /// <param name="after">The job with it.</param>
    public static Job Forward(Job before, Job after)
    {
        ArgumentNullException.ThrowIfNull(before);
        ArgumentNullException.ThrowIfNull(after);
        JobStage shown = Shown(after);
        return shown > Shown(before) && shown > after.Stage ? after with { Stage = shown } : after;
    }

    private static JobStage Shown(Job job)
    {
        if (All(job.Chips.Where(chip => chip.To == ChipPlace.Host), chip => ChipWhereabouts.PlacedAt(job, chip)))
        {
            return JobStage.Inspecting;
        }
        if (
            All(
                job.Chips.Where(chip => chip.From is ChipPlace.Host or ChipPlace.Donor),
                chip => ChipWhereabouts.LiftedAt(job, chip)
            )
        )
        {
            return JobStage.Preparing;
        }
        return job.History.Exposures.Any(stay => stay.Place == ExposurePlace.Bake && stay.From >= job.OpenedAt)
            ? JobStage.Drying
            : JobStage.Intake;
    }

    private static bool All(IEnumerable<Chip> chips, Func<Chip, DateTimeOffset?> done) =>
        chips.Select(done).ToList() is { Count: > 0 } moments && moments.TrueForAll(moment => moment is not null);
}
