using System.Globalization;
using Graftbench.Core.Facts;
using Graftbench.Core.Jobs;

namespace Graftbench.Core.Drying;

/// <summary>Temperature and humidity of the air around a part.</summary>
/// <param name="TemperatureC">Temperature [°C].</param>
/// <param name="HumidityPercent">Relative humidity at that temperature [% RH].</param>
public readonly record struct Climate(double TemperatureC, double HumidityPercent)
{
    /// <summary>The climate that floor lives are counted at: 30 °C / 60 % RH.</summary>
    public static Climate Reference { get; } =
        new(Constants.Value("reference.temperature"), Constants.Value("reference.humidity"));

    /// <inheritdoc/>
    public override string ToString() =>
        string.Create(CultureInfo.InvariantCulture, $"{TemperatureC:0.#} °C / {HumidityPercent:0.#} % RH");
}

/// <summary>Floor life of a body in one climate.</summary>
/// <param name="LifeH">Floor life [h], infinite where the climate sets no limit; null where no figure is published.</param>
/// <param name="Says">Which row, or why there is no figure.</param>
/// <param name="Source">Source id.</param>
public sealed record FloorLifeInClimate(double? LifeH, string Says, string Source);

/// <summary>Floor lives by level and climate.</summary>
public static class FloorLife
{
    /// <summary>Source id of the derating block.</summary>
    public const string DeratingSourceId = "jstd-033-derating";

    /// <summary>Thinnest body of the published block [mm].</summary>
    public const double BlockThicknessMm = 3.1;

    /// <summary>Thinnest ball-grid body of the published block [mm].</summary>
    public const double BlockBallGridThicknessMm = 1;

    private const double HottestUnlimitedC = 30;
    private const double MostHumidUnlimitedPercent = 85;

    private static readonly Dictionary<MoistureLevel, List<(double HumidityPercent, double AtC, double? LifeH)>> Block =
        CsvTable
            .Load("floor-life-derating")
            .Rows.GroupBy(row => MoistureLevels.Parse(row["level"]))
            .ToDictionary(
                group => group.Key,
                group =>
                    group
                        .Select(row =>
                            (
                                row.Number("humidity_percent"),
                                row.Number("temperature_c"),
                                row.NumberOrNull("days") * Units.HoursPerDay
                            )
                        )
                        .ToList()
            );

    /// <summary>True where the published block of the derating table covers the body.</summary>
    public static bool InPublishedBlock(MoistBody body) =>
        body.ThicknessMm >= BlockThicknessMm || (body.BallGrid && body.ThicknessMm >= BlockBallGridThicknessMm);

    /// <summary>Floor life in a climate.</summary>
    /// <param name="body">The body; its level must be known.</param>
    /// <param name="climate">Air around it.</param>
    /// <returns>
    /// The published cell at the next higher humidity and temperature; the rated life up to 30 °C / 60 % RH where the body is
    /// outside the published block; otherwise no figure, with the reason.
    /// </returns>
    public static FloorLifeInClimate Find(MoistBody body, Climate climate)
    {
        LevelRow level = MoistureLevels.Find(body.Level);
        string name = MoistureLevels.Name(body.Level);
        if (body.Level == MoistureLevel.L1)
        {
            return climate is { TemperatureC: <= HottestUnlimitedC, HumidityPercent: <= MostHumidUnlimitedPercent }
                ? new FloorLifeInClimate(
                    double.PositiveInfinity,
                    "Level 1 has no floor life up to 30 °C / 85 % RH.",
                    level.Source
                )
                : new FloorLifeInClimate(
                    null,
                    $"Level 1 is unlimited up to 30 °C / 85 % RH only, not at {climate}.",
                    level.Source
                );
        }
        if (body.Level == MoistureLevel.L6)
        {
            return new FloorLifeInClimate(
                0,
                "Level 6 has no floor life: bake before every use, then the time on the label.",
                level.Source
            );
        }
        if (InPublishedBlock(body) && Block.TryGetValue(body.Level, out var cells))
        {
            var candidates = cells
                .Where(cell => cell.HumidityPercent >= climate.HumidityPercent && cell.AtC >= climate.TemperatureC)
                .OrderBy(cell => cell.HumidityPercent)
                .ThenBy(cell => cell.AtC)
                .ToList();
            if (candidates.Count == 0)
            {
                return new FloorLifeInClimate(
                    null,
                    $"No floor life is published at {climate}: the table ends at 35 °C and 90 % RH.",
                    DeratingSourceId
                );
            }
            (double humidityPercent, double atC, double? lifeH) = candidates[0];
            FormattableString cellName = $"level {name}, cell {atC:0} °C / {humidityPercent:0} % RH";
            return new FloorLifeInClimate(
                lifeH ?? double.PositiveInfinity,
                cellName.ToString(CultureInfo.InvariantCulture),
                DeratingSourceId
            );
        }
        if (
            climate.TemperatureC <= Climate.Reference.TemperatureC
            && climate.HumidityPercent <= Climate.Reference.HumidityPercent
        )
        {
            return new FloorLifeInClimate(
                level.RatedH,
                $"level {name}, rated floor life up to 30 °C / 60 % RH",
                level.Source
            );
        }
        return new FloorLifeInClimate(
            null,
            $"No floor life is published for this body at {climate}: the seen part of the table covers bodies from 3.1 mm and ball-grid bodies from 1 mm, levels 2a to 5a.",
            DeratingSourceId
        );
    }
}
