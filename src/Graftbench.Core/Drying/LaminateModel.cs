using System.Globalization;
using Graftbench.Core.Facts;
using Graftbench.Core.Jobs;
using Graftbench.Core.Physics.Diffusion;

namespace Graftbench.Core.Drying;

/// <summary>Drying of the bare laminate through its thickness.</summary>
/// <remarks>
/// One published study gives 8 h at 120 °C from 11 600 to 800 ppm for bare epoxy glass of a thickness that its abstract does
/// not state, and no activation energy. Both ends of both unknowns are computed and the whole range is shown. Copper planes
/// bar the way: then no number of hours here is a proof, and weighing is.
/// </remarks>
public static class LaminateModel
{
    /// <summary>Source id of the study.</summary>
    public const string SourceId = "fr4-drying-study";

    private const double StudyC = 120;
    private const double SaturationHumidityPercent = 85;

    private static readonly Arrhenius[] Laws = (
        from diffusivity in new[] { "laminate.d120-thick", "laminate.d120-thin" }
        from activation in new[] { "laminate.ea-low", "laminate.ea-high" }
        select Arrhenius.Through(Constants.Value(diffusivity), StudyC, Constants.Value(activation))
    ).ToArray();

    /// <summary>Hours to reach a remaining fraction by the fastest and by the slowest of the laws.</summary>
    /// <param name="thicknessMm">Thickness of the board [mm].</param>
    /// <param name="remainingFraction">Fraction of the first moisture that may be left, 0 to 1.</param>
    /// <param name="temperatureC">Temperature [°C].</param>
    /// <returns>Shorter and longer end [h].</returns>
    public static (double LowH, double HighH) RangeH(double thicknessMm, double remainingFraction, double temperatureC)
    {
        double pathM = Units.Metres(thicknessMm);
        double fourier = Slab.FourierNumber(remainingFraction);
        List<double> hours = Laws.Select(law => Units.Hours(fourier * pathM * pathM / law.AtM2PerS(temperatureC)))
            .ToList();
        return (hours.Min(), hours.Max());
    }

    /// <summary>Moisture of saturated laminate in air of a humidity [% by weight]: proportional to humidity.</summary>
    /// <param name="humidityPercent">Relative humidity [% RH].</param>
    public static double EquilibriumPercent(double humidityPercent) =>
        Constants.Value("laminate.saturation") * humidityPercent / SaturationHumidityPercent;

    /// <summary>Balance with air of a humidity, as a fraction of saturation.</summary>
    /// <param name="humidityPercent">Relative humidity [% RH].</param>
    internal static double Fraction(double humidityPercent) => humidityPercent / SaturationHumidityPercent;

    /// <summary>Diffusivity by the slowest of the laws [m²/s].</summary>
    /// <param name="temperatureC">Temperature [°C].</param>
    internal static double SlowestM2PerS(double temperatureC) => Laws.Min(law => law.AtM2PerS(temperatureC));

    /// <summary>Diffusivity by the fastest of the laws [m²/s].</summary>
    /// <param name="temperatureC">Temperature [°C].</param>
    internal static double FastestM2PerS(double temperatureC) => Laws.Max(law => law.AtM2PerS(temperatureC));

    /// <summary>The answer for a board in a dryer, from what its log left in it.</summary>
    /// <param name="board">The board.</param>
    /// <param name="state">What the log left in it.</param>
    /// <param name="targetPercent">Moisture that may be left [% by weight].</param>
    /// <param name="temperatureC">Temperature of the board [°C].</param>
    /// <param name="humidityPercent">Humidity inside the dryer [% RH].</param>
    public static LaminateDrying Answer(
        Board board,
        LaminateState state,
        double targetPercent,
        double temperatureC,
        double humidityPercent
    )
    {
        double saturation = Constants.Value("laminate.saturation");
        double start = saturation * state.Slow.MeanFraction;
        double floor = EquilibriumPercent(humidityPercent);
        bool planes =
            board.SolidPlanes == YesNo.Yes || (board.SolidPlanes == YesNo.Unknown && (board.CopperLayers ?? 4) > 2);
        double? planeDays = planes ? PlaneDays(temperatureC) : null;
        string copper = planes
            ? string.Create(
                CultureInfo.InvariantCulture,
                $" Solid copper bars the way: laminate between planes dries sideways, {Constants.Value("laminate.plane-distance"):0} mm between openings takes about {planeDays:0} days at {temperatureC:0.#} °C. No hours here prove the inside dry; weighing does."
            )
            : "";
        if (state.Dry)
        {
            return Build(0, 0, $"Dried on record, and not open for longer than a dried board may be.{copper}");
        }
        if (start <= targetPercent)
        {
            return Build(
                0,
                0,
                string.Create(
                    CultureInfo.InvariantCulture,
                    $"At {start:0.00} % it is below {targetPercent:0.00} % already.{copper}"
                )
            );
        }
        if (floor >= targetPercent)
        {
            return Build(
                null,
                null,
                string.Create(
                    CultureInfo.InvariantCulture,
                    $"This air keeps {floor:0.000} % in the laminate, more than the {targetPercent:0.000} % that may be left: hotter, or with desiccant.{copper}"
                )
            );
        }
        double lowH = LeftH(state.Fast, FastestM2PerS(temperatureC));
        double highH = LeftH(state.Slow, SlowestM2PerS(temperatureC));
        return Build(
            lowH,
            highH,
            string.Create(
                CultureInfo.InvariantCulture,
                $"Laminate without copper: still {lowH:0.#} to {highH:0.#} h from {start:0.00} to {targetPercent:0.00} % by weight, the range of what is not known about it.{copper}"
            )
        );

        double LeftH(SlabMoisture slab, double diffusivityM2PerS) =>
            Units.Hours(slab.TimeToMeanS(diffusivityM2PerS, floor / saturation, targetPercent / saturation) ?? 0);

        LaminateDrying Build(double? low, double? high, string says) =>
            new(low, high, targetPercent, start, floor, planes, planeDays, says, SourceId);
    }

    // 90 % loss over the distance between openings, by what the study gives for a 1.6 mm board, the slower of the two activation energies.
    private static double PlaneDays(double temperatureC)
    {
        double pathM = Units.Metres(Constants.Value("laminate.plane-distance"));
        double slowest = Math.Min(Laws[0].AtM2PerS(temperatureC), Laws[1].AtM2PerS(temperatureC));
        double timeH = Units.Hours(Slab.FourierNumber(0.1) * pathM * pathM / slowest);
        return timeH / Units.HoursPerDay;
    }
}
