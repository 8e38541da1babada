using Graftbench.Core.Facts;
using Graftbench.Core.Jobs;

namespace Graftbench.Core.Drying;

/// <summary>What a logged bake counts for.</summary>
public static class BakeLog
{
    // A spread taken off and put on again may leave a last digit [K].
    private const double Rounding = 1e-9;

    /// <summary>Hours of a bake that count: its length less every break longer than 15 min.</summary>
    /// <param name="bake">A bake.</param>
    /// <param name="now">Now, where the bake still runs.</param>
    /// <returns>Hours [h], 0 or above.</returns>
    /// <remarks>A break above 15 min does not count as bake; the bake is extended by the length of the break.</remarks>
    public static double EffectiveH(Exposure bake, DateTimeOffset now)
    {
        DateTimeOffset end = bake.To ?? now;
        TimeSpan length = end - bake.From;
        foreach (Break pause in bake.Breaks)
        {
            DateTimeOffset from = pause.From < bake.From ? bake.From : pause.From;
            DateTimeOffset to = pause.To > end ? end : pause.To;
            if (to - from > TimeSpan.FromMinutes(Constants.Value("break.minutes")))
            {
                length -= to - from;
            }
        }
        return Math.Max(0, length.TotalHours);
    }

    /// <summary>When a bake of a given length ends, breaks included.</summary>
    /// <param name="start">Begin.</param>
    /// <param name="bakeH">Hours of bake [h].</param>
    /// <param name="breaks">Breaks so far.</param>
    public static DateTimeOffset EndsAt(DateTimeOffset start, double bakeH, IReadOnlyList<Break> breaks)
    {
        DateTimeOffset end = start.AddHours(bakeH);
        foreach (Break pause in breaks.OrderBy(pause => pause.From))
        {
            TimeSpan length = pause.To - pause.From;
            if (pause.From < end && length > TimeSpan.FromMinutes(Constants.Value("break.minutes")))
            {
                end += length;
            }
        }
        return end;
    }

    /// <summary>Hours spent above 90 °C.</summary>
    /// <param name="bakes">Bakes of one part.</param>
    /// <param name="now">Now, for a bake that still runs.</param>
    /// <param name="plannedH">Hours that the plan adds [h].</param>
    /// <param name="plannedC">Temperature of those hours [°C]; null where nothing is planned.</param>
    /// <param name="spreadDeltaK">How much hotter than all these temperatures the hottest parts were and will be [K].</param>
    public static BakeBudget Budget(
        IEnumerable<Exposure> bakes,
        DateTimeOffset now,
        double plannedH,
        double? plannedC,
        double spreadDeltaK = 0
    )
    {
        double above = Constants.Value("budget.above");
        double hottest = Constants.Value("budget.hottest");
        double spent = 0;
        double overheated = 0;
        foreach (
            Exposure bake in bakes.Where(exposure =>
                exposure.Place == ExposurePlace.Bake && exposure.TemperatureC + spreadDeltaK > above
            )
        )
        {
            double hours = EffectiveH(bake, now);
            spent += hours;
            if (bake.TemperatureC + spreadDeltaK > hottest + Rounding)
            {
                overheated += hours;
            }
        }
        return new BakeBudget(
            spent,
            Constants.Value("budget.hours"),
            plannedC + spreadDeltaK > above + Rounding ? plannedH : 0,
            overheated
        );
    }

    /// <summary>Bake at the end of a log that counts as one, as hours at 125 °C.</summary>
    /// <param name="exposures">Exposures of one board or chip.</param>
    /// <param name="now">Now.</param>
    /// <returns>Hours at 125 °C [h]; 0 where the last bake is followed by more than an hour in the open.</returns>
    public static double TrailingCreditAt125H(IEnumerable<Exposure> exposures, DateTimeOffset now)
    {
        (_, double creditH, double openAfterH) = LastBake(exposures, now);
        return openAfterH > FloorLifeLog.BetweenBakes.TotalHours ? 0 : creditH;
    }

    /// <summary>The last bake of a log with the bakes before it that count as one with it.</summary>
    /// <param name="exposures">Exposures of one board or chip.</param>
    /// <param name="now">Now.</param>
    /// <returns>Its begin, null where there is none; its hours at 125 °C [h]; the open hours after it [h].</returns>
    public static (DateTimeOffset? From, double CreditAt125H, double OpenAfterH) LastBake(
        IEnumerable<Exposure> exposures,
        DateTimeOffset now
    )
    {
        DateTimeOffset? from = null;
        double creditH = 0;
        double openH = 0;
        double openAfterH = 0;
        DateTimeOffset later = now;
        foreach (
            Exposure exposure in exposures
                .Where(exposure => exposure.From < now)
                .OrderByDescending(exposure => exposure.From)
        )
        {
            DateTimeOffset to = exposure.To is { } stated && stated < now ? stated : now;
            openH += Math.Max(0, (later - to).TotalHours);
            if (exposure.Place is ExposurePlace.Room or ExposurePlace.Bag)
            {
                openH += (to - exposure.From).TotalHours;
            }
            if (from is not null && openH > FloorLifeLog.BetweenBakes.TotalHours)
            {
                break;
            }
            if (exposure.Place == ExposurePlace.Bake)
            {
                openAfterH = from is null ? openH : openAfterH;
                from = exposure.From;
                openH = 0;
                creditH += CountsAt125H(exposure, now);
            }
            later = exposure.From;
        }
        return (from, creditH, openAfterH);
    }

    private static double CountsAt125H(Exposure bake, DateTimeOffset now) =>
        bake.TemperatureC is { } bakeC && bakeC >= BakeModel.ColdestC && bakeC <= BakeModel.HottestC
            ? EffectiveH(bake, now) / BakeModel.Mould.TimeRatio(bakeC, BakeModel.HottestC)
            : 0;
}
