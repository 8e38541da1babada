using Graftbench.Core.Jobs;
using Graftbench.Core.Physics.Diffusion;

namespace Graftbench.Core.Drying;

/// <summary>The two answers for one body in one dryer, and the more cautious of them.</summary>
/// <param name="Table">Answer of the table.</param>
/// <param name="Diffusion">Answer by diffusion; null where it cannot be given.</param>
/// <param name="AdviceH">The longer of the two [h]; null where there is neither.</param>
/// <param name="Why">Which of them decides.</param>
public sealed record BakeAdvice(TableAnswer Table, DiffusionAnswer? Diffusion, double? AdviceH, string Why)
{
    /// <summary>Both answers for a body in a dryer.</summary>
    /// <param name="body">The body.</param>
    /// <param name="over">How far the floor life was exceeded.</param>
    /// <param name="temperatureC">Temperature of the parts [°C].</param>
    /// <param name="humidityPercent">Humidity inside at that temperature [% RH].</param>
    /// <param name="spreadDeltaK">Half width of the parts' temperature [K]; null where not stated.</param>
    public static BakeAdvice For(
        MoistBody body,
        FloorLifeOver over,
        double temperatureC,
        double humidityPercent,
        double? spreadDeltaK
    )
    {
        TableAnswer table = BakeTable.Lookup(body, over, temperatureC, humidityPercent);
        DiffusionAnswer? diffusion = BakeModel.Answer(body, over, temperatureC, humidityPercent, spreadDeltaK);
        return (table.Hours, diffusion?.Hours) switch
        {
            ({ } tableH, { } diffusionH) when tableH >= diffusionH => new BakeAdvice(
                table,
                diffusion,
                tableH,
                "the standard's table, the longer of the two"
            ),
            ({ }, { } diffusionH) => new BakeAdvice(table, diffusion, diffusionH, "diffusion, the longer of the two"),
            ({ } tableH, null) => new BakeAdvice(
                table,
                diffusion,
                tableH,
                "the standard's table; diffusion gives no answer here"
            ),
            (null, { } diffusionH) => new BakeAdvice(
                table,
                diffusion,
                diffusionH,
                "diffusion; the standard's table does not apply here"
            ),
            _ => new BakeAdvice(table, diffusion, null, WhyNeither(body, over, temperatureC, humidityPercent)),
        };
    }

    /// <summary>Humidity of a logged bake: as logged, or that of the room's air once heated [% RH].</summary>
    public static double HumidityPercent(Exposure bake, Climate room) =>
        bake.HumidityPercent
        ?? WaterVapour.HumidityInBoxPercent(
            room.TemperatureC,
            room.HumidityPercent,
            bake.TemperatureC ?? room.TemperatureC
        );

    private static string WhyNeither(MoistBody body, FloorLifeOver over, double temperatureC, double humidityPercent)
    {
        if (body.Level == MoistureLevel.L1)
        {
            return "level 1 needs no bake";
        }
        if (temperatureC < BakeModel.ColdestC || temperatureC > BakeModel.HottestC)
        {
            return string.Create(
                System.Globalization.CultureInfo.InvariantCulture,
                $"no answer at {temperatureC:0.#} °C: the model reaches from {BakeModel.ColdestC:0} to {BakeModel.HottestC:0} °C"
            );
        }
        return string.Create(
            System.Globalization.CultureInfo.InvariantCulture,
            $"never dry in this air: {humidityPercent:0.0} % RH keeps {BakeModel.FloorFraction(humidityPercent) * 100:0} % of saturation in the body, {BakeModel.TargetFraction(body.Level, over) * 100:0} % may be left"
        );
    }
}
