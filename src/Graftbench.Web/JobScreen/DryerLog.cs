using Graftbench.Core.Jobs;
using Graftbench.Core.Ledger;

namespace Graftbench.Web.JobScreen;

/// <summary>What the two dryer buttons write into the exposure log.</summary>
internal static class DryerLog
{
    /// <summary>Ends where the subject is now and begins a bake at the dryer's set temperature; the job stands at drying, if it was not further.</summary>
    public static Job PutIn(Job job, string of, DateTimeOffset now) =>
        StageRecord.Forward(
            job,
            Begin(
                job,
                of,
                now,
                ExposurePlace.Bake,
                job.Dryer.SetC,
                job.Dryer.Air == DryerAir.Stated ? job.Dryer.HumidityPercent : null
            )
        );

    /// <summary>Ends the bake; from here on the subject lies in the room.</summary>
    public static Job TakeOut(Job job, string of, DateTimeOffset now) =>
        Begin(job, of, now, ExposurePlace.Room, job.Bench.RoomC, job.Bench.RoomHumidityPercent);

    /// <summary>Ends a stay that goes on, where another begins.</summary>
    /// <param name="job">The job.</param>
    /// <param name="of">Board or chip.</param>
    /// <param name="at">When the other begins.</param>
    public static Job EndOpen(Job job, string of, DateTimeOffset at) =>
        job with
        {
            History = job.History with
            {
                Exposures =
                [
                    .. job.History.Exposures.Select(stay =>
                        stay.Of == of && stay.To is null && stay.From < at ? stay with { To = at } : stay
                    ),
                ],
            },
        };

    // Ends where the subject is and begins a stay elsewhere.
    private static Job Begin(
        Job job,
        string of,
        DateTimeOffset now,
        ExposurePlace place,
        double? temperatureC,
        double? humidityPercent
    )
    {
        Exposure next = new()
        {
            Of = of,
            Place = place,
            From = now,
            TemperatureC = temperatureC,
            HumidityPercent = humidityPercent,
        };
        return job with { History = job.History with { Exposures = [.. Ended(job, of, now), next] } };
    }

    private static IEnumerable<Exposure> Ended(Job job, string of, DateTimeOffset now) =>
        job
            .History.Exposures.Where(exposure => exposure.Of != of || exposure.From < now)
            .Select(exposure =>
                exposure.Of == of && (exposure.To is null || exposure.To > now) ? exposure with { To = now } : exposure
            );
}
