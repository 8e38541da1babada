using Graftbench.Core.Facts;
using Graftbench.Core.Jobs;

namespace Graftbench.Core.Drying;

/// <summary>One moisture level: its floor life and the rule for short exposures.</summary>
/// <param name="Level">The level.</param>
/// <param name="RatedH">Floor life at 30 °C / 60 % RH or below [h]; null where there is no limit.</param>
/// <param name="ShortExposureH">Longest exposure that dry storage undoes [h]; null where the rule does not cover the level.</param>
/// <param name="ShortDryHumidityPercent">Humidity of that dry storage [% RH].</param>
/// <param name="ShortDryFactorNumber">Dry storage must last this many times the exposure.</param>
/// <param name="Confidence">Confidence mark.</param>
/// <param name="Source">Source id.</param>
public sealed record LevelRow(
    MoistureLevel Level,
    double? RatedH,
    double? ShortExposureH,
    double? ShortDryHumidityPercent,
    double? ShortDryFactorNumber,
    Confidence Confidence,
    string Source
);

/// <summary>The moisture levels, from <c>data/floor-life.csv</c>.</summary>
public static class MoistureLevels
{
    private static readonly Dictionary<string, MoistureLevel> ByName = new(StringComparer.Ordinal)
    {
        ["1"] = MoistureLevel.L1,
        ["2"] = MoistureLevel.L2,
        ["2a"] = MoistureLevel.L2A,
        ["3"] = MoistureLevel.L3,
        ["4"] = MoistureLevel.L4,
        ["5"] = MoistureLevel.L5,
        ["5a"] = MoistureLevel.L5A,
        ["6"] = MoistureLevel.L6,
    };

    private static readonly Dictionary<MoistureLevel, LevelRow> Rows = CsvTable
        .Load("floor-life")
        .Rows.Select(row => new LevelRow(
            Parse(row["level"]),
            row.NumberOrNull("hours"),
            row.NumberOrNull("short_exposure_h"),
            row.NumberOrNull("short_dry_humidity_percent"),
            row.NumberOrNull("short_dry_factor"),
            row.Confidence,
            row["source"]
        ))
        .ToDictionary(row => row.Level);

    /// <summary>The level that stands in for an unknown one: the most sensitive that has a row in every table.</summary>
    public const MoistureLevel StandIn = MoistureLevel.L5A;

    /// <summary>The level of a name in the tables: <c>2a</c>.</summary>
    /// <exception cref="KeyNotFoundException">No such level.</exception>
    public static MoistureLevel Parse(string name) => ByName[name];

    /// <summary>The name of a level as printed on a label: <c>2a</c>.</summary>
    public static string Name(MoistureLevel level) =>
        level == MoistureLevel.Unknown ? "unknown" : ByName.First(pair => pair.Value == level).Key;

    /// <summary>The row of a known level.</summary>
    /// <exception cref="KeyNotFoundException">The level is unknown.</exception>
    public static LevelRow Find(MoistureLevel level) => Rows[level];

    /// <summary>The level whose row in the bake table is used: level 6 bakes as 5a.</summary>
    public static MoistureLevel BakeRow(MoistureLevel level) =>
        level is MoistureLevel.L6 or MoistureLevel.Unknown ? MoistureLevel.L5A : level;
}
