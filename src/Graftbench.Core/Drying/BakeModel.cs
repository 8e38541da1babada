using System.Globalization;
using Graftbench.Core.Facts;
using Graftbench.Core.Jobs;
using Graftbench.Core.Physics.Diffusion;

namespace Graftbench.Core.Drying;

/// <summary>Bake time of a plastic body by diffusion, for any dryer.</summary>
/// <remarks>
/// A body is a slab with two open faces, or one where planes bar the way down. Drying ends when the mean moisture has
/// fallen to the fraction that the bake table itself leaves behind for that level. The constants were fitted to the 72
/// cells of the table's two thinner classes: they carry the table to other temperatures, they are not a measurement of
/// the body on the bench. See docs/models/drying.md.
/// </remarks>
public static class BakeModel
{
    /// <summary>Name and version of the model, for the record.</summary>
    public const string Name = "slab fitted to the bake table, version 1";

    /// <summary>Source id of the fitted constants.</summary>
    public const string SourceId = "graftbench-fit";

    /// <summary>Spread of the parts' temperature that the band allows for where the dryer's is not stated, 95 % [K].</summary>
    public const double AssumedSpreadDeltaK = 3;

    /// <summary>The fitted law of the plastic body.</summary>
    public static Arrhenius Mould { get; } = new(Constants.Value("mould.d0"), Constants.Value("mould.ea"));

    /// <summary>Coldest dryer that the fitted cells reach [°C]; below it there is no answer.</summary>
    public static double ColdestC { get; } = Constants.Value("mould.data-from");

    /// <summary>Hottest dryer, which is also the hottest bake allowed at a user's site [°C].</summary>
    public static double HottestC { get; } = Constants.Value("mould.valid-to");

    /// <summary>Coldest dryer that the constants are meant for [°C]; below it the answer carries a warning.</summary>
    public static double MeantFromC { get; } = Constants.Value("mould.valid-from");

    /// <summary>Moisture fraction that may be left in a body of this level.</summary>
    /// <param name="level">Level; 6 and unknown take the row of 5a.</param>
    /// <param name="over">How far the floor life was exceeded.</param>
    /// <returns>Fraction of the saturated body.</returns>
    public static double TargetFraction(MoistureLevel level, FloorLifeOver over) =>
        Constants.Value(
            $"left.{(over == FloorLifeOver.MoreThan72H ? "long" : "short")}.{MoistureLevels.Name(MoistureLevels.BakeRow(level))}"
        );

    /// <summary>Moisture fraction that air of a humidity keeps in a body for ever: linear sorption.</summary>
    /// <param name="humidityPercent">Relative humidity at the body's temperature [% RH].</param>
    public static double FloorFraction(double humidityPercent) =>
        humidityPercent / Constants.Value("reference.humidity");

    /// <summary>Thickness of the slab with two open faces that dries like the body.</summary>
    /// <returns>Length [mm]: the body, or twice the part above the substrate where planes bar the way down.</returns>
    public static double PathMm(MoistBody body) =>
        body.PlanesBarMoisture ? 2 * OpenThicknessMm(body) : body.ThicknessMm;

    /// <summary>Thickness in which moisture moves: without the substrate where planes in it bar the way [mm].</summary>
    public static double OpenThicknessMm(MoistBody body) =>
        body.PlanesBarMoisture ? body.ThicknessMm - (body.SubstrateThicknessMm ?? 0) : body.ThicknessMm;

    /// <summary>Time for a saturated slab with two open faces to dry to a mean fraction.</summary>
    /// <param name="pathMm">Thickness between the open faces [mm].</param>
    /// <param name="targetFraction">Mean fraction to reach, 0 to 1.</param>
    /// <param name="floorFraction">Fraction that the air keeps in it.</param>
    /// <param name="temperatureC">Temperature of the body [°C].</param>
    /// <returns>Hours [h]; null where the air never lets it get there.</returns>
    public static double? SlabH(double pathMm, double targetFraction, double floorFraction, double temperatureC)
    {
        if (floorFraction >= targetFraction)
        {
            return null;
        }
        double left = (targetFraction - floorFraction) / (1 - floorFraction);
        double pathM = Units.Metres(pathMm);
        return Units.Hours(Slab.FourierNumber(left) * pathM * pathM / Mould.AtM2PerS(temperatureC));
    }

    /// <summary>The table's row carried to a temperature between its columns by the fitted activation energy.</summary>
    /// <returns>Hours [h], the longer of the carries from the two neighbouring columns; null where the row has neither.</returns>
    public static double? CarriedRowH(MoistBody body, FloorLifeOver over, double temperatureC)
    {
        double? hotter = Carry(BakeTable.ColumnsC.Where(column => column >= temperatureC).Order());
        double? colder = Carry(BakeTable.ColumnsC.Where(column => column <= temperatureC).OrderDescending());
        return hotter is null ? colder
            : colder is null ? hotter
            : Math.Max(hotter.Value, colder.Value);

        double? Carry(IEnumerable<double> columnsC) =>
            columnsC
                .Select(column => (column, hours: BakeTable.HoursH(body, over, column)))
                .Where(cell => cell.hours is not null)
                .Select(cell => cell.hours * Mould.TimeRatio(temperatureC, cell.column))
                .FirstOrDefault();
    }

    /// <summary>The answer by diffusion for a body in a dryer.</summary>
    /// <param name="body">The body.</param>
    /// <param name="over">How far the floor life was exceeded.</param>
    /// <param name="temperatureC">Temperature of the parts [°C].</param>
    /// <param name="humidityPercent">Humidity inside at that temperature [% RH].</param>
    /// <param name="spreadDeltaK">Half width of the parts' temperature, 95 % [K]; null takes <see cref="AssumedSpreadDeltaK"/>.</param>
    /// <returns>The answer; null outside 40-125 °C, for level 1, or where the air is too wet for the target.</returns>
    public static DiffusionAnswer? Answer(
        MoistBody body,
        FloorLifeOver over,
        double temperatureC,
        double humidityPercent,
        double? spreadDeltaK
    )
    {
        if (body.Level == MoistureLevel.L1 || temperatureC < ColdestC || temperatureC > HottestC)
        {
            return null;
        }
        double target = TargetFraction(body.Level, over);
        double floor = FloorFraction(humidityPercent);
        double pathMm = PathMm(body);
        double? slabH = SlabH(pathMm, target, floor, temperatureC);
        if (slabH is null)
        {
            return null;
        }
        double? carriedH = CarriedRowH(body, over, temperatureC);
        double hours = Math.Max(slabH.Value, carriedH ?? 0);
        double band = BandFactor(temperatureC, spreadDeltaK ?? AssumedSpreadDeltaK);
        double diffusivity = Mould.AtM2PerS(temperatureC);
        string way = body.PlanesBarMoisture
            ? $"only the top {OpenThicknessMm(body):0.##} mm dries, through one face"
            : $"{body.ThicknessMm:0.##} mm dries through both faces";
        FormattableString says =
            $"{way}; D = {diffusivity:0.00e+0} m²/s (D0 {Mould.D0M2PerS:0.00e+0} m²/s, Ea {Mould.ActivationEv:0.000} eV); down to {target * 100:0} % of saturation, the air itself keeps {floor * 100:0.#} %. Estimate, 95 % band ×/÷ {band:0.00}.";
        return new DiffusionAnswer(
            hours,
            hours / band,
            hours * band,
            slabH.Value,
            carriedH,
            target,
            floor,
            pathMm,
            diffusivity,
            says.ToString(CultureInfo.InvariantCulture),
            SourceId
        );
    }

    /// <summary>Factor of the 95 % band around a bake time.</summary>
    /// <param name="temperatureC">Temperature [°C].</param>
    /// <param name="spreadDeltaK">Half width of the parts' temperature, 95 % [K].</param>
    /// <returns>Factor above 1: times and divided by.</returns>
    /// <remarks>
    /// Misfit of the model, error of the activation energy over the distance from 125 °C, and the dryer's spread, added in
    /// squares as logarithms, two standard deviations. Compounds differ by more than that: the law of the slowest and the
    /// fastest compound in the standard lie a factor of 11 apart, so the band is of the table's model, not of every body.
    /// </remarks>
    public static double BandFactor(double temperatureC, double spreadDeltaK)
    {
        double k = Arrhenius.BoltzmannEvPerK;
        double t = Units.Kelvin(temperatureC);
        double misfit = Math.Log(Constants.Value("mould.fit-factor"));
        double energy = Constants.Deviation("mould.ea") * Math.Abs(1 / (k * t) - 1 / (k * Units.Kelvin(HottestC)));
        double spread = Mould.ActivationEv / (k * t * t) * spreadDeltaK / 2;
        return Math.Exp(2 * Math.Sqrt(misfit * misfit + energy * energy + spread * spread));
    }
}
