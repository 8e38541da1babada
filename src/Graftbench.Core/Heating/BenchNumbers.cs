using Graftbench.Core.Facts;
using Graftbench.Core.Jobs;
using Graftbench.Core.Physics.Heat;

namespace Graftbench.Core.Heating;

/// <summary>Numbers of a bench that a trial can teach: names, words, and what they are before any trial.</summary>
public static class BenchNumbers
{
    /// <summary>All of them, in the order of documents.</summary>
    public static IReadOnlyList<CalibratedNumber> All { get; } = Enum.GetValues<CalibratedNumber>();

    /// <summary>Name of the factor in <see cref="HeatFactors"/>.</summary>
    public static string FactorOf(CalibratedNumber number) =>
        number switch
        {
            CalibratedNumber.FilmUnderNozzle => nameof(HeatFactors.TopFactor),
            CalibratedNumber.Spill => nameof(HeatFactors.SpillFactor),
            CalibratedNumber.FilmOverPreheater => nameof(HeatFactors.BottomFactor),
            CalibratedNumber.LossToRoom => nameof(HeatFactors.AmbientFactor),
            CalibratedNumber.Radiation => nameof(HeatFactors.RadiationFactor),
            CalibratedNumber.GasExcess => nameof(HeatFactors.GasExcessFactor),
            CalibratedNumber.PreheaterExcess => nameof(HeatFactors.PreheaterExcessFactor),
            CalibratedNumber.GasLag => nameof(HeatFactors.GasLagFactor),
            _ => nameof(HeatFactors.PreheaterLagFactor),
        };

    /// <summary>What it is, for a person.</summary>
    public static string Title(CalibratedNumber number) =>
        number switch
        {
            CalibratedNumber.FilmUnderNozzle => "Film under the nozzle",
            CalibratedNumber.Spill => "Gas that spills over beside the nozzle",
            CalibratedNumber.FilmOverPreheater => "Film over the bottom heater",
            CalibratedNumber.LossToRoom => "Loss to the room",
            CalibratedNumber.Radiation => "Radiation",
            CalibratedNumber.GasExcess => "Gas against what the tool shows",
            CalibratedNumber.PreheaterExcess => "Bottom heater against what it shows",
            CalibratedNumber.GasLag => "Lag of the gas",
            _ => "Lag of the bottom heater",
        };

    /// <summary>Its unit; empty for a share.</summary>
    public static string Unit(CalibratedNumber number) =>
        number switch
        {
            CalibratedNumber.FilmUnderNozzle or CalibratedNumber.FilmOverPreheater or CalibratedNumber.LossToRoom =>
                "W/m²K",
            CalibratedNumber.GasLag or CalibratedNumber.PreheaterLag => "s",
            _ => "",
        };

    /// <summary>What it is taken for without a trial: the bench's own entry, else the usual figure, in its unit.</summary>
    public static double BaseNumber(HeatTools tools, CalibratedNumber number) =>
        number switch
        {
            CalibratedNumber.FilmUnderNozzle => tools.Gas.FilmWPerM2K ?? HeatFilms.Of("film.top").Value,
            CalibratedNumber.Spill => HeatFilms.Of("film.spill-near").Value,
            CalibratedNumber.FilmOverPreheater => tools.Preheater.FilmWPerM2K
                ?? HeatFilms
                    .Of(
                        tools.Preheater.Kind switch
                        {
                            PreheaterKind.HotAir => "film.bottom-hot-air",
                            PreheaterKind.Infrared => "film.bottom-infrared",
                            PreheaterKind.Plate => "film.bottom-plate",
                            _ => "film.bottom-unknown",
                        }
                    )
                    .Value,
            CalibratedNumber.LossToRoom => HeatFilms.Of("film.room-top").Value,
            CalibratedNumber.Radiation => HeatFilms.Of("emissivity.board").Value,
            CalibratedNumber.GasExcess => HeatFilms.Of("excess.gas").Value,
            CalibratedNumber.PreheaterExcess => HeatFilms.Of("excess.preheater").Value,
            CalibratedNumber.GasLag => tools.Gas.LagS ?? HeatFilms.Of("lag.gas").Value,
            _ => tools.Preheater.LagS ?? HeatFilms.Of("lag.preheater").Value,
        };
}
