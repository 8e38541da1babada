using System.Globalization;
using Graftbench.Core.Facts;
using Graftbench.Core.Jobs;

namespace Graftbench.Core.Drying;

/// <summary>How far a floor life has been exceeded: the column pair of the bake table.</summary>
public enum FloorLifeOver
{
    /// <summary>By more than 72 h, or unknown.</summary>
    MoreThan72H,

    /// <summary>By at most 72 h.</summary>
    UpTo72H,
}

/// <summary>A body as the bake table and the diffusion model see it.</summary>
/// <param name="Level">Moisture level; unknown is answered with the most sensitive row.</param>
/// <param name="ThicknessMm">Body thickness without balls or leads [mm].</param>
/// <param name="LengthMm">Longer or shorter side [mm]; null where not known.</param>
/// <param name="WidthMm">The other side [mm]; null where not known.</param>
/// <param name="BallGrid">True for a ball-grid body.</param>
/// <param name="InternalPlanes">Whether the substrate has solid planes; unknown counts as yes above 17 mm, where the standard asks.</param>
/// <param name="StackedDie">Whether dies are stacked; unknown counts as no and is said.</param>
/// <param name="SubstrateThicknessMm">Substrate, part of the body thickness [mm]; null where not known.</param>
public sealed record MoistBody(
    MoistureLevel Level,
    double ThicknessMm,
    double? LengthMm,
    double? WidthMm,
    bool BallGrid,
    YesNo InternalPlanes,
    YesNo StackedDie,
    double? SubstrateThicknessMm = null
)
{
    /// <summary>Side above which a ball-grid body with planes falls under the large-body row [mm].</summary>
    public const double LargeSideMm = 17;

    /// <summary>True where a side is over 17 mm, or the sides are not known.</summary>
    public bool LargeSides =>
        LengthMm is null || WidthMm is null || Math.Max(LengthMm.Value, WidthMm.Value) > LargeSideMm;

    /// <summary>True where the way down may be barred by planes in the substrate.</summary>
    public bool PlanesBarMoisture =>
        BallGrid && (InternalPlanes == YesNo.Yes || (InternalPlanes == YesNo.Unknown && LargeSides));

    /// <summary>True where the row for large ball-grid bodies with planes, or stacked dies, applies.</summary>
    public bool LargeOrStacked => StackedDie == YesNo.Yes || (PlanesBarMoisture && LargeSides);
}

/// <summary>The bake table of the moisture standard, from <c>data/bake-table.csv</c>.</summary>
public static class BakeTable
{
    /// <summary>The revision that the table stands for.</summary>
    public const string Revision = "J-STD-033B.1 Table 4-1";

    /// <summary>Source id of the table.</summary>
    public const string SourceId = "jstd-033-bake-table";

    /// <summary>Thickest body that the table covers [mm].</summary>
    public const double ThickestMm = 4.5;

    private sealed record Cell(
        string Row,
        double OverMm,
        double UpToMm,
        MoistureLevel Level,
        double AtC,
        FloorLifeOver Over,
        double TimeH,
        string Mark
    );

    private static readonly List<Cell> Cells = CsvTable
        .Load("bake-table")
        .Rows.Select(row => new Cell(
            row["row"],
            row.Number("over_mm"),
            row.Number("up_to_mm"),
            MoistureLevels.Parse(row["level"]),
            row.Number("temperature_c"),
            row["over"] == "long" ? FloorLifeOver.MoreThan72H : FloorLifeOver.UpTo72H,
            row.Number("hours"),
            row["confidence"]
        ))
        .ToList();

    /// <summary>Temperatures that the table has a column for [°C], hottest first.</summary>
    public static IReadOnlyList<double> ColumnsC { get; } =
        Cells.Select(cell => cell.AtC).Distinct().OrderDescending().ToList();

    /// <summary>Hours in the table for a body at a column's temperature, without looking at the air.</summary>
    /// <param name="body">The body.</param>
    /// <param name="over">How far the floor life was exceeded.</param>
    /// <param name="columnC">One of <see cref="ColumnsC"/> [°C].</param>
    /// <returns>Hours [h]; null where the table has no such cell.</returns>
    public static double? HoursH(MoistBody body, FloorLifeOver over, double columnC) =>
        FindCell(body, over, columnC)?.TimeH;

    /// <summary>What the table says for a body in a dryer.</summary>
    /// <param name="body">The body.</param>
    /// <param name="over">How far the floor life was exceeded.</param>
    /// <param name="temperatureC">Temperature of the parts [°C].</param>
    /// <param name="humidityPercent">Humidity of the air inside [% RH]; null where it is not known.</param>
    public static TableAnswer Lookup(MoistBody body, FloorLifeOver over, double temperatureC, double? humidityPercent)
    {
        if (body.Level == MoistureLevel.L1)
        {
            return new TableAnswer(
                false,
                null,
                "Level 1 has no floor life; the table has no row for it.",
                null,
                SourceId
            );
        }
        if (body.ThicknessMm > ThickestMm)
        {
            return Refuse(
                Format($"A body of {body.ThicknessMm:0.##} mm is outside the table, which ends at {ThickestMm:0.0} mm.")
            );
        }
        if (!ColumnsC.Contains(temperatureC))
        {
            string columns = string.Join(", ", ColumnsC.Select(column => Format($"{column:0}")));
            return Refuse(
                Format(
                    $"The standard does not apply at {temperatureC:0.#} °C: its table has columns for {columns} °C only."
                )
            );
        }
        Cell? cell = FindCell(body, over, temperatureC);
        if (cell is null)
        {
            return Refuse(
                Format(
                    $"The row for {RowName(body)} gives no value in the {temperatureC:0} °C column; its 125 °C column does."
                )
            );
        }
        double dryAirPercent = Constants.Value("table.dry-air");
        if (temperatureC < ColumnsC[0] && humidityPercent is null)
        {
            return Refuse(
                Format(
                    $"The {temperatureC:0} °C column needs air at {dryAirPercent:0} % RH or less, and the air of this dryer is not known."
                )
            );
        }
        if (temperatureC < ColumnsC[0] && humidityPercent > dryAirPercent)
        {
            return Refuse(
                Format(
                    $"The {temperatureC:0} °C column needs air at {dryAirPercent:0} % RH or less; this dryer has {humidityPercent:0.0} % RH."
                )
            );
        }
        string column = over == FloorLifeOver.MoreThan72H ? "exceeded by more than 72 h" : "exceeded by at most 72 h";
        string level = MoistureLevels.Name(cell.Level);
        double ruleH = Constants.Value("table.unknown-level");
        if (body.Level == MoistureLevel.Unknown && temperatureC.Equals(ColumnsC[0]) && cell.TimeH < ruleH)
        {
            string rule = Format(
                $"Level unknown: one published shop rule, {ruleH:0} h at {temperatureC:0} °C, is longer than row 5a with {cell.TimeH:0} h."
            );
            return new TableAnswer(true, ruleH, rule, "C", Constants.Source("table.unknown-level"));
        }
        string says = Format(
            $"{Revision}: row {RowName(body)}, level {level}, column {temperatureC:0} °C, floor life {column}."
        );
        return new TableAnswer(true, cell.TimeH, says, cell.Mark, SourceId);
    }

    /// <summary>The row of the table that a body falls into, in words.</summary>
    public static string RowName(MoistBody body) =>
        body switch
        {
            { ThicknessMm: > ThickestMm } => "none (thicker than 4.5 mm)",
            { StackedDie: YesNo.Yes } => "stacked dies",
            { LargeOrStacked: true } => "ball-grid body over 17 × 17 mm with planes",
            { ThicknessMm: <= 1.4 } => "body up to 1.4 mm",
            { ThicknessMm: <= 2.0 } => "body above 1.4 up to 2.0 mm",
            _ => "body above 2.0 up to 4.5 mm",
        };

    private static Cell? FindCell(MoistBody body, FloorLifeOver over, double columnC)
    {
        MoistureLevel level = MoistureLevels.BakeRow(body.Level);
        if (level == MoistureLevel.L1 || body.ThicknessMm > ThickestMm)
        {
            return null;
        }
        // The large-body row prints only the long 125 °C cell; its short columns are those of the plain rows.
        string row = body.LargeOrStacked && over == FloorLifeOver.MoreThan72H ? "large-or-stacked" : "body";
        return Cells.FirstOrDefault(cell =>
            cell.Row == row
            && cell.Level == level
            && cell.Over == over
            && cell.AtC.Equals(columnC)
            && body.ThicknessMm > cell.OverMm
            && body.ThicknessMm <= cell.UpToMm
        );
    }

    private static TableAnswer Refuse(string why) => new(false, null, why, null, SourceId);

    private static string Format(FormattableString text) => text.ToString(CultureInfo.InvariantCulture);
}
