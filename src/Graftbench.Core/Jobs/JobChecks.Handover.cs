namespace Graftbench.Core.Jobs;

/// <content>What is told and given at hand-over.</content>
internal static partial class JobChecks
{
    private const int MostWarrantyAheadDays = 366;

    private static IEnumerable<JobCheck> Handovers(Job job, DateTimeOffset now)
    {
        if (job.Handover is not { } note)
        {
            yield break;
        }
        foreach (
            (string field, string what, DateTimeOffset? moment) in new[]
            {
                ("handedOverAt", "It was handed over before it was taken in.", note.HandedOverAt),
                ("warrantyFrom", "The warranty starts before the job was taken in.", note.WarrantyFrom),
            }
        )
        {
            if (moment is { } at && job.OpenedAt is { } opened && at < opened)
            {
                yield return Failed(
                    what,
                    Moment(at),
                    $"from {Moment(opened)} (openedAt)",
                    "Check both dates.",
                    $"handover.{field}",
                    "openedAt"
                );
            }
        }
        if (note.WarrantyFrom is { } from && from > now.AddDays(MostWarrantyAheadDays))
        {
            yield return Failed(
                "The warranty starts more than a year ahead.",
                Moment(from),
                $"until {Moment(now.AddDays(MostWarrantyAheadDays))}",
                "Check the year.",
                "handover.warrantyFrom"
            );
        }
    }
}
