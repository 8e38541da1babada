using Graftbench.Core.Drying;
using Graftbench.Core.Jobs;

namespace Graftbench.Core.Ledger;

/// <summary>Where a job stands by what is written down, so that nobody has to say it a second time.</summary>
public static class StageRecord
{
    /// <summary>The job, moved on to the stage that its record shows; never moved back.</summary>
    /// <remarks>
    /// A bake that was begun: drying. Everything lifted that leaves the host: preparing. Everything placed that goes onto it: inspecting.
    /// Later stages are a person's word.
    /// </remarks>
    /// <param name="job">The job.</param>
    public static Job Forward(Job job)
    {
        ArgumentNullException.ThrowIfNull(job);
        JobStage shown = Shown(job);
        return shown > job.Stage ? job with { Stage = shown } : job;
    }

    private static JobStage Shown(Job job)
    {
        if (All(job.Chips.Where(chip => chip.To == ChipPlace.Host), chip => ChipWhereabouts.PlacedAt(job, chip)))
        {
            return JobStage.Inspecting;
        }
        if (All(job.Chips.Where(chip => chip.From == ChipPlace.Host), chip => ChipWhereabouts.LiftedAt(job, chip)))
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
