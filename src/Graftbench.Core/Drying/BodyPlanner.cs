using System.Globalization;
using Graftbench.Core.Findings;
using Graftbench.Core.Jobs;
using Graftbench.Core.Physics.Diffusion;
using static System.FormattableString;

namespace Graftbench.Core.Drying;

/// <summary>Plans one body.</summary>
internal static class BodyPlanner
{
    private const int ProfileDepths = 33;
    private const int ProfileTimes = 25;
    private const double MeltLeadFreeC = 217;

    /// <summary>A planned body and the bake that already counts for it.</summary>
    /// <param name="Drying">The answer.</param>
    /// <param name="CreditFraction">Share of the bake that is done.</param>
    public sealed record Planned(BodyDrying Drying, double CreditFraction);

    /// <summary>Plans a body for a temperature.</summary>
    /// <param name="item">The body.</param>
    /// <param name="usedC">Temperature of the parts [°C]; null where not known.</param>
    /// <param name="humidityPercent">Humidity inside [% RH].</param>
    /// <param name="spreadDeltaK">Spread of the dryer [K]; null where not stated.</param>
    /// <param name="room">Climate of the room.</param>
    /// <param name="now">Now.</param>
    public static Planned Plan(
        BodyToDry item,
        double? usedC,
        double humidityPercent,
        double? spreadDeltaK,
        Climate room,
        DateTimeOffset now
    )
    {
        MoistBody body = item.Body;
        FloorLifeWalk walk = FloorLifeLog.Walk(body, item.Exposures, item.MakersBag, room, now);
        FloorLifeOver over = Over(walk.Clock);
        BakeAdvice advice = usedC is { } temperatureC
            ? BakeAdvice.For(body, over, temperatureC, humidityPercent, spreadDeltaK)
            : new BakeAdvice(
                new TableAnswer(false, null, "The dryer's temperature is not known.", null, BakeTable.SourceId),
                null,
                null,
                "the dryer's temperature is not known"
            );
        bool dry =
            body.Level == MoistureLevel.L1 || walk.Clock.State is FloorLifeState.Unlimited or FloorLifeState.Within;
        SlabMoisture slab = MoistureHistory.At(body, item.Exposures, walk, item.MakersBag, room, now);
        BodyDrying drying = new(
            item.Ref,
            body.Level,
            body.Level != MoistureLevel.Unknown,
            body.ThicknessMm,
            item.ThicknessKnown,
            body.LargeOrStacked,
            walk.Clock,
            advice.Table,
            advice.Diffusion,
            dry ? 0 : advice.AdviceH,
            dry ? "within floor life, no bake needed" : advice.Why,
            Left(body, slab, over, dry),
            dry || usedC is null || advice.AdviceH is null
                ? null
                : Profile(body, usedC.Value, humidityPercent, advice.AdviceH.Value),
            Findings(item, advice, walk.Clock, dry)
        );
        return new Planned(drying, dry ? 0 : walk.CreditFraction);
    }

    /// <summary>Column pair of the bake table that a clock leads to.</summary>
    public static FloorLifeOver Over(FloorLifeClock clock) =>
        clock.State == FloorLifeState.Over ? FloorLifeOver.UpTo72H : FloorLifeOver.MoreThan72H;

    /// <summary>Moisture through a saturated body over a bake and a quarter of it more.</summary>
    public static MoistureProfile Profile(MoistBody body, double usedC, double humidityPercent, double hours)
    {
        double thicknessMm = BakeModel.OpenThicknessMm(body);
        double diffusivity = BakeModel.Mould.AtM2PerS(usedC);
        double floor = BakeModel.FloorFraction(humidityPercent);
        double[] depthMm = Enumerable
            .Range(0, ProfileDepths)
            .Select(i => thicknessMm * i / (ProfileDepths - 1))
            .ToArray();
        double[] timeH = new double[ProfileTimes];
        double[] mean = new double[ProfileTimes];
        double[] fraction = new double[ProfileTimes * ProfileDepths];
        SlabMoisture slab = new(thicknessMm, body.PlanesBarMoisture, 1);
        for (int t = 0; t < ProfileTimes; t++)
        {
            // Squares put the moments where most happens.
            double share = (double)t / (ProfileTimes - 1);
            timeH[t] = 1.25 * hours * share * share;
            if (t > 0)
            {
                slab.Hold(diffusivity, floor, Units.Seconds(timeH[t] - timeH[t - 1]));
            }
            mean[t] = slab.MeanFraction;
            for (int z = 0; z < ProfileDepths; z++)
            {
                fraction[t * ProfileDepths + z] = slab.AtFraction(depthMm[z]);
            }
        }
        return new MoistureProfile(depthMm, timeH, fraction, mean, body.PlanesBarMoisture);
    }

    private static MoistureLeft Left(MoistBody body, SlabMoisture slab, FloorLifeOver over, bool dry)
    {
        double mean = slab.MeanFraction;
        double worst = slab.WorstFraction(9);
        double target = body.Level == MoistureLevel.L1 ? 1 : BakeModel.TargetFraction(body.Level, over);
        double steamMPa = WaterVapour.SaturationPa(MeltLeadFreeC) / 1e6;
        FormattableString says = dry
            ? (FormattableString)$"Within floor life; about {mean * 100:0} % of saturation inside by the model."
            : $"Heated now it holds about {mean * 100:0} % of saturation, {target * 100:0} % may be left: water inside reaches {steamMPa:0.0} MPa at {MeltLeadFreeC:0} °C and can split the body.";
        return new MoistureLeft(mean, worst, target, steamMPa, says.ToString(CultureInfo.InvariantCulture));
    }

    private static List<Finding> Findings(BodyToDry item, BakeAdvice advice, FloorLifeClock clock, bool dry)
    {
        List<Finding> findings = [];
        MoistBody body = item.Body;
        if (dry)
        {
            if (clock.State == FloorLifeState.Unknown)
            {
                findings.Add(
                    new Finding(
                        Verdict.Unknown,
                        "drying.level-1-climate",
                        item.Ref,
                        "Level 1 is unlimited up to 30 °C / 85 % RH only, and it has been in a climate beyond that.",
                        Source: clock.Source,
                        Todo: "Bake it like level 2 if the job cannot take a risk."
                    )
                );
            }
            return findings;
        }
        if (body.ThicknessMm > BakeTable.ThickestMm)
        {
            findings.Add(
                new Finding(
                    Verdict.Unknown,
                    "drying.thicker-than-table",
                    item.Ref,
                    "The body is thicker than the standard's table reaches; only diffusion gives an answer.",
                    Invariant($"{body.ThicknessMm:0.##} mm"),
                    Invariant($"{BakeTable.ThickestMm:0.0} mm"),
                    BakeTable.SourceId,
                    "Prove it dry by weighing."
                )
            );
        }
        else if (
            advice is { Table.Hours: { } tableH, Diffusion.Hours: { } diffusionH }
            && body.ThicknessMm > 2
            && !body.LargeOrStacked
            && diffusionH > tableH
        )
        {
            findings.Add(
                new Finding(
                    Verdict.Warning,
                    "drying.table-is-capped",
                    item.Ref,
                    "Above 2 mm the table's hours are capped and do not follow the thickness; diffusion asks for more.",
                    Invariant($"{diffusionH:0} h by diffusion"),
                    Invariant($"{tableH:0} h in the table"),
                    BakeModel.SourceId,
                    "Keep to the longer time, or prove it dry by weighing."
                )
            );
        }
        return findings;
    }
}
