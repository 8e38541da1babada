using Graftbench.Core.Drying;
using Graftbench.Core.Jobs;

namespace Graftbench.Core.Ledger;

/// <summary>What a heat that is written down brings with it: the other body that was hot, and stays that end with it.</summary>
public static class HeatRecord
{
    /// <summary>How far apart two lines of one heat may lie [h].</summary>
    private static readonly TimeSpan SameHeat = TimeSpan.FromHours(2);

    /// <summary>The board that is heated with a chip, or the chip that is heated with a board; null where it is none, or where it may be one of several.</summary>
    /// <param name="job">The job before the heat.</param>
    /// <param name="of">Board or chip that the heat is written down for: <c>host</c>, <c>donor</c> or the chip's id.</param>
    /// <param name="kind">What the heat is for; only lifting, placing and heating again touch a chip and a board at once.</param>
    public static string? Partner(Job job, string of, HeatKind kind)
    {
        ArgumentNullException.ThrowIfNull(job);
        if (kind is not (HeatKind.Lift or HeatKind.Place or HeatKind.Again))
        {
            return null;
        }
        if (job.Chips.FirstOrDefault(chip => chip.Id == of) is { } heated)
        {
            return BoardOf(job, heated, kind);
        }
        List<Chip> chips =
        [
            .. job.Chips.Where(chip =>
                BoardOf(job, chip, kind) == of
                && kind switch
                {
                    HeatKind.Lift => ChipWhereabouts.PlacedAt(job, chip) is null,
                    HeatKind.Place => ChipWhereabouts.PlacedAt(job, chip) is null,
                    _ => ChipWhereabouts.PlacedAt(job, chip) is not null,
                }
            ),
        ];
        return chips.Count == 1 ? chips[0].Id : null;
    }

    /// <summary>Whether a heat of that kind is on record for a board or chip about that time.</summary>
    /// <param name="job">The job.</param>
    /// <param name="of">Board or chip.</param>
    /// <param name="kind">What it was for.</param>
    /// <param name="at">When.</param>
    public static bool Has(Job job, string of, HeatKind kind, DateTimeOffset at)
    {
        ArgumentNullException.ThrowIfNull(job);
        return job.History.Heats.Any(heat =>
            heat.Of == of && heat.Kind == kind && (heat.At - at).Duration() <= SameHeat
        );
    }

    /// <summary>The job with the stays ended that cannot go on through a heat.</summary>
    /// <remarks>
    /// What is heated at the bench is out of the dryer, and lies in the room from then on, as a chip does that was lifted to be used; a
    /// chip that is placed shares the stays of its board from then on. A stay that has its end is left as it was written.
    /// </remarks>
    /// <param name="job">The job.</param>
    /// <param name="of">Board or chip that is heated.</param>
    /// <param name="kind">What for.</param>
    /// <param name="at">When.</param>
    public static Job EndStays(Job job, string of, HeatKind kind, DateTimeOffset at)
    {
        ArgumentNullException.ThrowIfNull(job);
        bool placed = kind == HeatKind.Place && job.Chips.Any(chip => chip.Id == of && chip.To == ChipPlace.Host);
        List<Exposure> stays = [.. job.History.Exposures];
        // A lifted chip that is still wanted lies at the bench, until something else is written down.
        bool inRoom = kind == HeatKind.Lift && job.Chips.Any(chip => chip.Id == of && chip.To != ChipPlace.Scrap);
        for (int i = 0; i < stays.Count; i++)
        {
            Exposure stay = stays[i];
            bool bake = stay.Place == ExposurePlace.Bake;
            if (stay.Of == of && stay.To is null && stay.From < at && (placed || bake))
            {
                stays[i] = stay with { To = at };
                inRoom |= bake && !placed;
            }
        }
        if (inRoom && stays.TrueForAll(stay => stay.Of != of || stay.To <= at))
        {
            stays.Add(
                new Exposure
                {
                    Of = of,
                    Place = ExposurePlace.Room,
                    From = at,
                    To = PlacedNext(job, of, at),
                    TemperatureC = job.Bench.RoomC,
                    HumidityPercent = job.Bench.RoomHumidityPercent,
                }
            );
        }
        return job with { History = job.History with { Exposures = stays } };
    }

    // A heat that is written down late may lie before the placing that ends the chip's own stays.
    private static DateTimeOffset? PlacedNext(Job job, string of, DateTimeOffset at) =>
        job
            .History.Heats.Where(heat => heat.Of == of && heat.Kind == HeatKind.Place && heat.At > at)
            .Min(heat => (DateTimeOffset?)heat.At);

    private static string? BoardOf(Job job, Chip chip, HeatKind kind)
    {
        ChipPlace? board = kind switch
        {
            HeatKind.Place => chip.To == ChipPlace.Host ? ChipPlace.Host : null,
            _ => ChipWhereabouts.Of(job, chip),
        };
        return board switch
        {
            ChipPlace.Host => "host",
            ChipPlace.Donor when job.Donor is not null => "donor",
            _ => null,
        };
    }
}
