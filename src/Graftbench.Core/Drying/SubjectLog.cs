using Graftbench.Core.Facts;
using Graftbench.Core.Jobs;

namespace Graftbench.Core.Drying;

/// <summary>The exposure log of a board or chip as the drying answer counts it.</summary>
/// <remarks>
/// The coldest parts in a dryer lag its temperature by its spread and its begin by the warm-up: what a bake did is counted for
/// them, whether it is planned, runs or is over. A break above an hour is no part of a bake but a time in the room.
/// </remarks>
internal static class SubjectLog
{
    /// <summary>Entries of one board or chip as written.</summary>
    public static IReadOnlyList<Exposure> Logged(Job job, string id) =>
        [.. job.History.Exposures.Where(exposure => string.Equals(exposure.Of, id, StringComparison.Ordinal))];

    /// <summary>Entries of one board or chip as they count.</summary>
    /// <param name="job">The job.</param>
    /// <param name="id"><c>host</c>, <c>donor</c> or a chip's id.</param>
    /// <param name="room">Climate of the bench's room: that of long breaks, and after the first bake of every stay in a room that says no other.</param>
    /// <param name="warmUpH">Warm-up of the dryer [h].</param>
    /// <param name="now">Now.</param>
    public static IReadOnlyList<Exposure> Counted(Job job, string id, Climate room, double warmUpH, DateTimeOffset now)
    {
        IReadOnlyList<Exposure> logged = Logged(job, id);
        DateTimeOffset? firstBake = logged
            .Where(exposure => exposure.Place == ExposurePlace.Bake && exposure.From >= job.OpenedAt)
            .Min(exposure => (DateTimeOffset?)exposure.From);
        return
        [
            .. logged.SelectMany(exposure =>
                exposure.Place == ExposurePlace.Bake
                    ? Pieces(exposure, room, now)
                        .SelectMany(piece => Coldest(piece, job.Dryer.SpreadDeltaK ?? 0, warmUpH, now))
                    :
                    [
                        exposure.Place == ExposurePlace.Room && exposure.From > firstBake
                            ? InRoom(exposure, room)
                            : exposure,
                    ]
            ),
        ];
    }

    // What came out of this bench's dryer lies in this bench's room, as in a long break; before that it may have lain anywhere.
    private static Exposure InRoom(Exposure exposure, Climate room) =>
        exposure with
        {
            TemperatureC = exposure.TemperatureC ?? room.TemperatureC,
            HumidityPercent = exposure.HumidityPercent ?? room.HumidityPercent,
        };

    // A bake with long breaks is several bakes with the room between them.
    private static IEnumerable<Exposure> Pieces(Exposure bake, Climate room, DateTimeOffset now)
    {
        DateTimeOffset from = bake.From;
        foreach (
            Break pause in bake
                .Breaks.Where(pause => pause.To - pause.From > FloorLifeLog.BetweenBakes)
                .OrderBy(pause => pause.From)
        )
        {
            if (pause.From > from)
            {
                yield return bake with
                {
                    From = from,
                    To = pause.From,
                    Breaks = Within(bake, from, pause.From),
                };
            }
            yield return new Exposure
            {
                Of = bake.Of,
                Place = ExposurePlace.Room,
                From = pause.From,
                To = pause.To,
                TemperatureC = room.TemperatureC,
                HumidityPercent = room.HumidityPercent,
            };
            from = pause.To;
        }
        if (bake.To is null || bake.To > from)
        {
            yield return bake with
            {
                From = from,
                Breaks = Within(bake, from, bake.To ?? now),
            };
        }
    }

    private static List<Break> Within(Exposure bake, DateTimeOffset from, DateTimeOffset to) =>
        [.. bake.Breaks.Where(pause => pause.From >= from && pause.To <= to)];

    // The warm-up stands as a break at the begin, so that the log has no gap; one below a break's own limit counts as well.
    private static IEnumerable<Exposure> Coldest(Exposure bake, double spreadDeltaK, double warmUpH, DateTimeOffset now)
    {
        Exposure cold = bake with { TemperatureC = bake.TemperatureC - spreadDeltaK };
        DateTimeOffset warm = bake.From.AddHours(warmUpH);
        DateTimeOffset end = bake.To is { } to && to < now ? to : now;
        if (warmUpH <= 0 || end <= bake.From)
        {
            return [cold];
        }
        Break warmUp = new() { From = bake.From, To = warm < end ? warm : end };
        return [cold with { Breaks = [warmUp, .. bake.Breaks.Where(pause => pause.From >= warmUp.To)] }];
    }
}
