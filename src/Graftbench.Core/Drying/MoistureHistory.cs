using Graftbench.Core.Facts;
using Graftbench.Core.Jobs;
using Graftbench.Core.Physics.Diffusion;

namespace Graftbench.Core.Drying;

/// <summary>Moisture in a body after all that its log says.</summary>
/// <remarks>
/// Taking up: the standard's own law, the slow one up to 60 % RH and the fast one above it. Giving off: the law fitted to
/// the bake table, slower than either at bench temperatures. Both choices err towards more moisture. Saturation is
/// counted at 60 % RH and taken as proportional to humidity and independent of temperature.
/// </remarks>
public static class MoistureHistory
{
    private static readonly Arrhenius SlowUptake = new(
        Constants.Value("mould.slow.d0"),
        Constants.Value("mould.standard.ea")
    );
    private static readonly Arrhenius FastUptake = new(
        Constants.Value("mould.fast.d0"),
        Constants.Value("mould.standard.ea")
    );

    /// <summary>Moisture at the end of the log.</summary>
    /// <param name="body">The body.</param>
    /// <param name="exposures">Its exposures, not overlapping.</param>
    /// <param name="walk">What the floor-life walk found.</param>
    /// <param name="makersBag">True where a dry bag as the first entry is the maker's.</param>
    /// <param name="room">Climate of the room where an entry does not say.</param>
    /// <param name="now">Now.</param>
    /// <returns>The slab at <paramref name="now"/>; saturated where nothing better is known.</returns>
    public static SlabMoisture At(
        MoistBody body,
        IEnumerable<Exposure> exposures,
        FloorLifeWalk walk,
        bool makersBag,
        Climate room,
        DateTimeOffset now
    )
    {
        List<Exposure> ordered = exposures
            .Where(exposure => exposure.From < now)
            .OrderBy(exposure => exposure.From)
            .ToList();
        // A log that does not start dry, or was lost on the way, counts as saturated up to its first bake: a room never dries it on paper.
        bool startsDry = makersBag && walk.DryStart is not null && ordered[0].Place == ExposurePlace.DryBag;
        int begin = startsDry ? 1 : ordered.FindIndex(exposure => exposure.Place == ExposurePlace.Bake);
        SlabMoisture slab = new(BakeModel.OpenThicknessMm(body), body.PlanesBarMoisture, startsDry ? 0 : 1);
        if (begin < 0)
        {
            return slab;
        }
        DateTimeOffset at = startsDry ? ordered[begin - 1].To ?? now : ordered[begin].From;
        for (int i = begin; i < ordered.Count; i++)
        {
            Exposure exposure = ordered[i];
            if (exposure.From - at > FloorLifeLog.GapAllowed)
            {
                Hold(slab, Climate.Reference, (exposure.From - at).TotalHours);
            }
            DateTimeOffset to = exposure.To is { } stated && stated < now ? stated : now;
            double hours =
                exposure.Place == ExposurePlace.Bake
                    ? BakeLog.EffectiveH(exposure, now)
                    : (to - exposure.From).TotalHours;
            Hold(slab, ClimateOf(exposure, room), hours);
            at = to;
        }
        if (now - at > FloorLifeLog.GapAllowed)
        {
            Hold(slab, Climate.Reference, (now - at).TotalHours);
        }
        return slab;
    }

    private static Climate ClimateOf(Exposure exposure, Climate room) =>
        exposure.Place switch
        {
            ExposurePlace.Bake => new Climate(
                exposure.TemperatureC ?? room.TemperatureC,
                BakeAdvice.HumidityPercent(exposure, room)
            ),
            ExposurePlace.DryBag => new Climate(
                exposure.TemperatureC ?? room.TemperatureC,
                Constants.Value("cabinet.dry-pack")
            ),
            _ => new Climate(
                exposure.TemperatureC ?? Climate.Reference.TemperatureC,
                exposure.HumidityPercent ?? Climate.Reference.HumidityPercent
            ),
        };

    private static void Hold(SlabMoisture slab, Climate climate, double timeH)
    {
        double equilibrium = BakeModel.FloorFraction(climate.HumidityPercent);
        bool takesUp = equilibrium > slab.MeanFraction;
        Arrhenius law =
            !takesUp ? BakeModel.Mould
            : climate.HumidityPercent > Climate.Reference.HumidityPercent ? FastUptake
            : SlowUptake;
        slab.Hold(law.AtM2PerS(climate.TemperatureC), equilibrium, Units.Seconds(timeH));
    }
}
