using Graftbench.Core.Facts;
using Graftbench.Core.Jobs;
using Graftbench.Core.Physics.Diffusion;

namespace Graftbench.Core.Drying;

/// <summary>Moisture in a board's laminate after all that its log says.</summary>
/// <param name="Slow">The laminate by the slowest law of drying.</param>
/// <param name="Fast">The laminate by the fastest law of drying.</param>
/// <param name="Dry">True where it was dried on record and has not lain open longer than a dried board may.</param>
public sealed record LaminateState(SlabMoisture Slow, SlabMoisture Fast, bool Dry);

/// <summary>Walks the exposure log of a board for its laminate.</summary>
/// <remarks>
/// The laminate starts saturated, since nothing before the log is known. In the open it nears the balance of that air: giving
/// off by the slow law, taking up by the fast one, so that a second in a dry room changes nothing. In the dryer it dries by
/// each of the two laws. Fractions are of saturation at 85 % RH.
/// </remarks>
public static class LaminateLog
{
    /// <summary>Hours that a dried board may lie open: one fabricator solders epoxy glass within 24 h [h].</summary>
    public const double OpenWindowH = 24;

    /// <summary>Walks the log.</summary>
    /// <param name="board">The board.</param>
    /// <param name="exposures">Its exposures, bakes at the temperature of their coldest parts.</param>
    /// <param name="room">Climate where an entry does not say.</param>
    /// <param name="targetPercent">Moisture that may be left [% by weight].</param>
    /// <param name="weighedDry">True where the last bake's weighings came to rest.</param>
    /// <param name="now">Now.</param>
    public static LaminateState Walk(
        Board board,
        IReadOnlyList<Exposure> exposures,
        Climate room,
        double targetPercent,
        bool weighedDry,
        DateTimeOffset now
    )
    {
        double target = targetPercent / Constants.Value("laminate.saturation");
        SlabMoisture slow = new(board.ThicknessMm, false, 1);
        SlabMoisture fast = new(board.ThicknessMm, false, 1);
        bool dry = false;
        double openH = 0;
        List<Exposure> ordered =
        [
            .. exposures.Where(exposure => exposure.From < now).OrderBy(exposure => exposure.From),
        ];
        Exposure? lastBake = ordered.LastOrDefault(exposure => exposure.Place == ExposurePlace.Bake);
        DateTimeOffset? at = null;
        foreach (Exposure exposure in ordered)
        {
            if (at is { } before && exposure.From > before)
            {
                Open((exposure.From - before).TotalHours, null, null);
            }
            DateTimeOffset to = exposure.To is { } stated && stated < now ? stated : now;
            Take(exposure, (to - exposure.From).TotalHours);
            at = to;
        }
        if (at is { } last && now > last)
        {
            Open((now - last).TotalHours, null, null);
        }
        return new LaminateState(slow, fast, dry);

        void Take(Exposure exposure, double hours)
        {
            switch (exposure.Place)
            {
                case ExposurePlace.Bake when exposure.TemperatureC is { } bakeC:
                    double floor = LaminateModel.Fraction(BakeAdvice.HumidityPercent(exposure, room));
                    double timeS = Units.Seconds(BakeLog.EffectiveH(exposure, now));
                    slow.Hold(LaminateModel.SlowestM2PerS(bakeC), floor, timeS);
                    fast.Hold(LaminateModel.FastestM2PerS(bakeC), floor, timeS);
                    if (slow.MeanFraction <= target || (weighedDry && floor < target && exposure == lastBake))
                    {
                        dry = true;
                        openH = 0;
                    }
                    break;
                case ExposurePlace.DryBag:
                case ExposurePlace.DryCabinet when exposure.HumidityPercent <= Constants.Value("cabinet.stops-clock"):
                    break;
                default:
                    Open(hours, exposure.TemperatureC, exposure.HumidityPercent);
                    break;
            }
        }

        void Open(double hours, double? temperatureC, double? humidityPercent)
        {
            openH += hours;
            dry &= openH <= OpenWindowH;
            double balance = humidityPercent is { } percent ? LaminateModel.Fraction(percent) : 1;
            double atC = temperatureC ?? room.TemperatureC;
            foreach (SlabMoisture slab in new[] { slow, fast })
            {
                double diffusivity =
                    balance > slab.MeanFraction ? LaminateModel.FastestM2PerS(atC) : LaminateModel.SlowestM2PerS(atC);
                slab.Hold(diffusivity, balance, Units.Seconds(hours));
            }
        }
    }
}
