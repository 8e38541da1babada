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
            With(
                job,
                Ended(job, of, now),
                new Exposure
                {
                    Of = of,
                    Place = ExposurePlace.Bake,
                    From = now,
                    TemperatureC = job.Dryer.SetC,
                    HumidityPercent = job.Dryer.Air == DryerAir.Stated ? job.Dryer.HumidityPercent : null,
                }
            )
        );

    /// <summary>Ends the bake; from here on the subject lies in the room.</summary>
    public static Job TakeOut(Job job, string of, DateTimeOffset now) =>
        With(
            job,
            Ended(job, of, now),
            new Exposure
            {
                Of = of,
                Place = ExposurePlace.Room,
                From = now,
                TemperatureC = job.Bench.RoomC,
                HumidityPercent = job.Bench.RoomHumidityPercent,
            }
        );

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

    private static Job With(Job job, IEnumerable<Exposure> ended, Exposure next) =>
        job with
        {
            History = job.History with { Exposures = [.. ended, next] },
        };

    private static IEnumerable<Exposure> Ended(Job job, string of, DateTimeOffset now) =>
        job
            .History.Exposures.Where(exposure => exposure.Of != of || exposure.From < now)
            .Select(exposure =>
                exposure.Of == of && (exposure.To is null || exposure.To > now) ? exposure with { To = now } : exposure
            );
}
