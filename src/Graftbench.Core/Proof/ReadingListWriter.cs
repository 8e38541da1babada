using System.Globalization;
using System.Text;
using Graftbench.Core.Facts;

namespace Graftbench.Core.Proof;

/// <summary>Writes lists of readings: comma between columns, a point in numbers, values in Ω, V and A.</summary>
internal static class ReadingListWriter
{
    public static string Write(IEnumerable<Reading> readings)
    {
        StringBuilder text = new();
        text.AppendJoin(',', ReadingColumns.All.Select(one => one.Column)).Append('\n');
        foreach (Reading reading in readings)
        {
            text.AppendJoin(',', ReadingColumns.All.Select(one => CsvCell.Quoted(Cell(reading, one.Column))))
                .Append('\n');
        }
        return text.ToString();
    }

    private static string Cell(Reading reading, string column) =>
        column switch
        {
            "net" => Words(reading.Net),
            "to" => Words(reading.To ?? ""),
            "kind" => ReadingColumns.Word(ReadingColumns.Kinds, reading.Kind),
            "value" => reading.Value.Number is { } number ? Number(number) : "OL",
            "unit" => ElectricalUnits.Sign(ElectricalUnits.Of(reading.Kind)),
            "state" => ReadingColumns.Word(ReadingColumns.States, reading.State),
            "polarity" => reading.Polarity is { } polarity
                ? ReadingColumns.Word(ReadingColumns.Polarities, polarity)
                : "",
            "meter" => Words(reading.Meter ?? ""),
            "person" => Words(reading.Person ?? ""),
            "repeat" => reading.Repeat?.ToString(CultureInfo.InvariantCulture) ?? "",
            "temperature" => Number(reading.BoardC),
            "when" => reading.At?.ToString("yyyy-MM-dd'T'HH:mm:ss.FFFFFFFzzz", CultureInfo.InvariantCulture) ?? "",
            "x" => Number(reading.XMm),
            "y" => Number(reading.YMm),
            "ball" => Words(reading.Ball ?? ""),
            "junctions" => reading.Junctions?.ToString(CultureInfo.InvariantCulture) ?? "",
            "leads" => reading.Leads == LeadState.NotSaid
                ? ""
                : ReadingColumns.Word(ReadingColumns.Leads, reading.Leads),
            "revision" => Words(reading.Revision ?? ""),
            _ => Words(reading.Note ?? ""),
        };

    // Shortest text that reads back to the same number.
    private static string Number(double? number) => number?.ToString("R", CultureInfo.InvariantCulture) ?? "";

    // A line end would begin another reading.
    private static string Words(string text) => CsvCell.Defused(text.ReplaceLineEndings(" ").Trim());
}
