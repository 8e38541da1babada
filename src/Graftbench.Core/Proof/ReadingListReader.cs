using System.Globalization;
using System.Text;
using Graftbench.Core.Facts;
using static System.FormattableString;

namespace Graftbench.Core.Proof;

/// <summary>Reads lists of readings: comma, semicolon or tab, columns in any order below a line that names them.</summary>
internal sealed class ReadingListReader
{
    private const int LongestShown = 60;
    private static readonly string[] Moments =
    [
        "yyyy-MM-dd'T'HH:mmK",
        "yyyy-MM-dd'T'HH:mm:ssK",
        "yyyy-MM-dd'T'HH:mm:ss.FFFFFFFK",
        "yyyy-MM-dd HH:mmK",
        "yyyy-MM-dd HH:mm:ssK",
        "yyyy-MM-dd HH:mm zzz",
    ];

    private readonly List<ReadingProblem> problems = [];
    private readonly List<Reading> readings = [];
    private readonly ReadingState? given;
    private Dictionary<string, int> at = [];
    private List<string> cells = [];
    private int line;
    private int columns;
    private int notListed;
    private bool wrong;

    private ReadingListReader(ReadingState? given) => this.given = given;

    public static ReadingListResult Read(string text, ReadingState? given)
    {
        ReadingListReader reader = new(given);
        reader.Run(text);
        return new ReadingListResult(reader.readings, reader.problems, reader.notListed);
    }

    private void Run(string text)
    {
        if (text.Length > ReadingList.MostCharacters)
        {
            Tell(
                Invariant(
                    $"The list has {text.Length} characters; at most {ReadingList.MostCharacters} are taken (our own limit)."
                ),
                "Split it."
            );
            return;
        }
        if (text.AsSpan(0, Math.Min(text.Length, 4096)).Contains('\0'))
        {
            Tell("The file is no text.", "Save the list as text: CSV.");
            return;
        }
        string[] lines = text.TrimStart('\uFEFF').Split('\n');
        char separator = Separator(lines);
        bool headed = false;
        int rows = 0;
        for (int i = 0; i < lines.Length; i++)
        {
            string row = lines[i].TrimEnd('\r');
            if (row.Trim().Length == 0 || row.TrimStart()[0] == '#')
            {
                continue;
            }
            line = i + 1;
            cells = Cells(row, separator);
            if (!headed)
            {
                if (!Heading())
                {
                    return;
                }
                headed = true;
            }
            else if (++rows > ReadingList.MostReadings)
            {
                Tell(
                    Invariant(
                        $"There are more than {ReadingList.MostReadings} readings (our own limit); this line and all below are left out."
                    ),
                    "Split the list."
                );
                return;
            }
            else
            {
                Row();
            }
        }
        line = 0;
        if (rows == 0)
        {
            Tell(
                headed ? "There is no reading below the line that names the columns." : "The list is empty.",
                "Give a line that names the columns and a line for each reading."
            );
        }
        TellDoubles();
    }

    private void Row()
    {
        wrong = false;
        if (cells.Skip(columns).Any(cell => cell.Trim().Length > 0))
        {
            Tell(
                "The line has more cells than the first line names.",
                "A decimal comma needs ; or tab between columns."
            );
        }
        string? net = Text("net");
        if (net is null)
        {
            Tell("The line names no net.", "Fill it in or strike the line.");
        }
        string? unit = Text("unit");
        ReadingKind? kind = Kind(unit);
        MeterValue? value = kind is { } known ? Value(known, unit) : null;
        ReadingState? state = One("state", ReadingColumns.States) ?? given;
        if (state is null && Text("state") is null)
        {
            Tell("The line names no state.", $"Write one of {ReadingColumns.Words(ReadingColumns.States)}.");
        }
        Reading read = new()
        {
            Net = net ?? "",
            Kind = kind ?? ReadingKind.Resistance,
            Value = value ?? MeterValue.Overload,
            State = state ?? ReadingState.Baseline,
            To = Text("to") is { } to && !IsGround(to) ? to : null,
            Polarity = One("polarity", ReadingColumns.Polarities),
            Meter = Text("meter"),
            Person = Text("person"),
            Repeat = Whole("repeat", 1, 1000),
            BoardC = Number("temperature", ReadingLimits.LeastBoardC, ReadingLimits.MostBoardC, "°C"),
            At = Moment(),
            XMm = Number("x", -ReadingLimits.MostPlaceMm, ReadingLimits.MostPlaceMm, "mm"),
            YMm = Number("y", -ReadingLimits.MostPlaceMm, ReadingLimits.MostPlaceMm, "mm"),
            Ball = Text("ball")?.ToUpperInvariant(),
            Junctions = Whole("junctions", 1, 1000),
            Leads = One("leads", ReadingColumns.Leads) ?? LeadState.NotSaid,
            Revision = Text("revision"),
            Note = Text("note"),
        };
        if (!wrong)
        {
            readings.Add(read);
        }
    }

    private ReadingKind? Kind(string? unit)
    {
        if (Text("kind") is not { } word)
        {
            // Ohm and ampere tell the kind; volts may be diode-mode.
            ReadingKind? byUnit =
                unit is not null && ElectricalUnits.Parse(unit) is { } told
                    ? told.Unit switch
                    {
                        ElectricalUnit.Ohm => ReadingKind.Resistance,
                        ElectricalUnit.Ampere => ReadingKind.Current,
                        _ => null,
                    }
                    : null;
            if (byUnit is null)
            {
                Tell(
                    "The line does not say what was measured.",
                    $"Write one of {ReadingColumns.Words(ReadingColumns.Kinds)} under kind."
                );
            }
            return byUnit;
        }
        ReadingKind? kind = ReadingColumns.Find(ReadingColumns.Kinds, word);
        if (kind is null)
        {
            Tell(
                $"'{Short(word)}' is no kind of reading.",
                $"Write one of {ReadingColumns.Words(ReadingColumns.Kinds)}."
            );
        }
        return kind;
    }

    private MeterValue? Value(ReadingKind kind, string? unit)
    {
        string text = Text("value") ?? "";
        // A unit in the cell wins over the column's, which is for cells without one.
        bool bare = text.Length > 0 && NumberScan.Length(text.Replace('−', '-')) == text.Length;
        ValueReading value = ReadingText.Parse(bare && unit is not null ? $"{text} {unit}" : text, kind);
        if (value.Problem is { } problem)
        {
            Tell(problem, "Correct the value or its unit.");
        }
        return value.Value;
    }

    private T? One<T>(string column, (T Value, string[] Words)[] table)
        where T : struct
    {
        if (Text(column) is not { } word)
        {
            return null;
        }
        T? found = ReadingColumns.Find(table, word);
        if (found is null)
        {
            Tell($"'{Short(word)}' is no {column}.", $"Write one of {ReadingColumns.Words(table)}.");
        }
        return found;
    }

    private int? Whole(string column, int least, int most)
    {
        if (Text(column) is not { } text)
        {
            return null;
        }
        if (
            int.TryParse(text, NumberStyles.None, CultureInfo.InvariantCulture, out int whole)
            && whole >= least
            && whole <= most
        )
        {
            return whole;
        }
        Tell(
            Invariant($"{column}: '{Short(text)}' is no whole number from {least} to {most}."),
            "Correct it or leave it empty."
        );
        return null;
    }

    private double? Number(string column, double least, double most, string unit)
    {
        if (Text(column) is not { } text)
        {
            return null;
        }
        string bare = text.EndsWith(unit, StringComparison.OrdinalIgnoreCase) ? text[..^unit.Length].TrimEnd() : text;
        if (NumberScan.TryParse(bare, out double number) && number >= least && number <= most)
        {
            return number;
        }
        Tell(
            Invariant($"{column}: '{Short(text)}' is no number from {least} to {most} {unit} (our own limit)."),
            "Correct it or leave it empty."
        );
        return null;
    }

    private DateTimeOffset? Moment()
    {
        if (Text("when") is not { } text)
        {
            return null;
        }
        bool offset = text.EndsWith('Z') || (text.Length > 6 && text[^6] is '+' or '-' && text[^3] == ':');
        if (
            offset
            && DateTimeOffset.TryParseExact(
                text,
                Moments,
                CultureInfo.InvariantCulture,
                DateTimeStyles.None,
                out DateTimeOffset moment
            )
            && moment.Year is >= 1980 and <= 2199
        )
        {
            return moment;
        }
        Tell(
            $"when: '{Short(text)}' is no moment from 1980 to 2199 with its offset from UTC.",
            "Write it like 2026-03-02T14:30+01:00 or 2026-03-02T13:30Z, or leave it empty."
        );
        return null;
    }

    private bool Heading()
    {
        columns = cells.Count;
        for (int i = 0; i < cells.Count; i++)
        {
            string name = Plain(cells[i]);
            foreach ((string column, string[] names) in ReadingColumns.All)
            {
                if (names.Contains(name) && at.TryAdd(column, i))
                {
                    break;
                }
            }
        }
        foreach ((string cell, int i) in cells.Select((cell, i) => (cell, i)))
        {
            if (cell.Trim().Length > 0 && !at.ContainsValue(i))
            {
                Tell(
                    $"The column '{Short(cell)}' is not known, or is named twice; it is left out.",
                    "Rename it, or strike it.",
                    stops: false
                );
            }
        }
        List<string> missing = [.. new[] { "net", "value" }.Where(column => !at.ContainsKey(column))];
        if (missing.Count > 0)
        {
            Tell(
                $"The first line names no column for {string.Join(" and ", missing)}: it is '{Short(string.Join(" | ", cells))}'.",
                "Name the columns in the first line: "
                    + string.Join(", ", ReadingColumns.All.Select(one => one.Column))
                    + "."
            );
        }
        return missing.Count == 0;
    }

    // The very same reading twice: typed twice, or a list pasted twice.
    private void TellDoubles()
    {
        int doubles =
            readings.Count(one => one.Repeat is not null || one.At is not null)
            - readings.Where(one => one.Repeat is not null || one.At is not null).Distinct().Count();
        if (doubles > 0)
        {
            Tell(
                Invariant(
                    $"{doubles} {(doubles == 1 ? "reading stands" : "readings stand")} twice, to the last cell: each counts as a repeat of its own."
                ),
                "Strike them if the list was pasted twice: repeats that are copies make the scatter look smaller than it is.",
                stops: false
            );
        }
    }

    private string? Text(string column)
    {
        string text = at.TryGetValue(column, out int i) && i < cells.Count ? CsvCell.Words(cells[i].Trim()) : "";
        if (text.Length > Reading.LongestText)
        {
            Tell(
                Invariant(
                    $"{column}: {text.Length} characters; at most {Reading.LongestText} are taken (our own limit)."
                ),
                "Shorten it."
            );
            return text[..Reading.LongestText];
        }
        return text.Length > 0 ? text : null;
    }

    private void Tell(string what, string todo, bool stops = true)
    {
        wrong |= stops;
        if (problems.Count < ReadingList.MostProblems)
        {
            problems.Add(new ReadingProblem(line, what, todo, stops));
        }
        else
        {
            notListed++;
        }
    }

    private static bool IsGround(string to) => to.ToUpperInvariant() is "GND" or "GROUND" or "0V";

    private static string Short(string text) => text.Length <= LongestShown ? text : text[..LongestShown] + "...";

    private static string Plain(string head)
    {
        string name = head.Trim().Replace('_', ' ').ToLowerInvariant();
        int unit = name.IndexOfAny(['[', '(']);
        return (unit > 0 ? name[..unit] : name).Trim();
    }

    // The sign that parts the first lines most evenly.
    private static char Separator(string[] lines)
    {
        List<string> first = [.. lines.Where(one => one.Trim().Length > 0 && one.TrimStart()[0] != '#').Take(20)];
        return new[] { '\t', ';', ',' }.MaxBy(sign =>
            first.Count == 0 ? 0 : first.Min(one => one.Count(c => c == sign))
        );
    }

    private static List<string> Cells(string row, char separator)
    {
        List<string> parts = [];
        StringBuilder cell = new();
        bool quoted = false;
        for (int i = 0; i < row.Length; i++)
        {
            char sign = row[i];
            if (sign == '"' && quoted && i + 1 < row.Length && row[i + 1] == '"')
            {
                cell.Append('"');
                i++;
            }
            else if (sign == '"')
            {
                quoted = !quoted;
            }
            else if (sign == separator && !quoted)
            {
                parts.Add(cell.ToString());
                cell.Clear();
            }
            else
            {
                cell.Append(sign);
            }
        }
        parts.Add(cell.ToString());
        return parts;
    }
}
