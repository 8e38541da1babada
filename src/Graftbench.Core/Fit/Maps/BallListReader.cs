using System.Globalization;
using Graftbench.Core.Inspection;
using static System.FormattableString;

namespace Graftbench.Core.Fit.Maps;

/// <summary>Reads ball lists as text in columns: comma, semicolon, tab or bar, columns in any order, with a line that names them.</summary>
internal static class BallListReader
{
    private const string Format = "ball list";

    private static readonly (string Column, string[] Names)[] Columns =
    [
        (
            "ball",
            [
                "ball",
                "pin",
                "ball name",
                "pin name",
                "ball number",
                "pin number",
                "ball no",
                "pin no",
                "ball no.",
                "pin no.",
                "site",
                "location",
                "pad",
            ]
        ),
        ("signal", ["signal", "net", "name", "signal name", "net name", "function", "ball function", "pin function"]),
        ("type", ["type", "class", "pin type", "ball type", "kind", "direction", "i/o", "io"]),
        ("rail", ["rail", "supply", "power domain", "domain", "power rail"]),
        ("least", ["vmin", "min v", "v min", "vmin v"]),
        ("usual", ["vtyp", "vnom", "typ v", "v", "voltage", "v typ", "vtyp v", "volts"]),
        ("most", ["vmax", "max v", "v max", "vmax v"]),
        ("current", ["imax", "max a", "i max", "imax a", "current"]),
        ("package", ["package", "chip", "part"]),
        ("note", ["note", "notes", "remark", "remarks", "comment", "description"]),
    ];

    /// <summary>Reads a list.</summary>
    public static MapReading Read(string text, BallView view)
    {
        List<MapProblem> problems = [];
        string[] lines = text.Split('\n');
        char separator = Separator(lines);
        Dictionary<string, int>? at = null;
        Dictionary<string, List<FoundBall>> packages = new(StringComparer.OrdinalIgnoreCase);
        for (int i = 0; i < lines.Length; i++)
        {
            string line = lines[i].TrimEnd('\r');
            if (line.Trim().Length == 0 || line.TrimStart()[0] == '#')
            {
                continue;
            }
            List<string> cells = Cells(line, separator);
            if (at is null)
            {
                at = Heading(cells, i + 1, problems);
                if (at is null)
                {
                    return new MapReading([], problems);
                }
                continue;
            }
            Row(cells, at, i + 1, packages, problems);
        }
        if (packages.Count == 0 && problems.Count == 0)
        {
            problems.Add(
                new MapProblem(
                    0,
                    at is null ? "The list is empty." : "There is no ball below the line that names the columns.",
                    "Give a line that names the columns and a line for each ball."
                )
            );
        }
        List<BallMap> maps = [];
        foreach ((string name, List<FoundBall> balls) in packages)
        {
            if (MapBuilder.Build(name, Format, view, balls, [], problems) is { } map)
            {
                maps.Add(map);
            }
        }
        return new MapReading(maps, problems);
    }

    private static void Row(
        List<string> cells,
        Dictionary<string, int> at,
        int line,
        Dictionary<string, List<FoundBall>> packages,
        List<MapProblem> problems
    )
    {
        string Cell(string column) => at.TryGetValue(column, out int i) && i < cells.Count ? cells[i].Trim() : "";
        string ball = Cell("ball");
        string signal = Cell("signal");
        if (ball.Length == 0)
        {
            Add(problems, new MapProblem(line, "The line names no ball.", "Fill it in or strike the line."));
            return;
        }
        BallClass kind;
        ClassBasis basis;
        if (BallClasses.ByWord(Cell("type")) is { } told)
        {
            (kind, basis) = (told, ClassBasis.Told);
            // A list that calls a supply "input" says less than its name does.
            if (told == BallClass.Signal && BallClasses.ByName(signal) is BallClass.Ground or BallClass.Supply)
            {
                (kind, basis) = (BallClasses.ByName(signal), ClassBasis.ByName);
            }
        }
        else
        {
            (kind, basis) = (BallClasses.ByName(signal), ClassBasis.ByName);
        }
        string? Text(string column) => Cell(column) is { Length: > 0 } text ? text : null;
        FoundBall found = new(
            line,
            ball,
            signal,
            kind,
            basis,
            Text("rail"),
            Volts(Cell("least"), line, problems),
            Volts(Cell("usual"), line, problems),
            Volts(Cell("most"), line, problems),
            Amperes(Cell("current"), line, problems),
            Text("note")
        );
        if (found is { LeastV: { } least, MostV: { } most } && least > most)
        {
            Add(
                problems,
                new MapProblem(
                    line,
                    Invariant(
                        $"Ball {MapBuilder.Short(ball)}: the lowest voltage {least} V is above the highest {most} V."
                    ),
                    "Swap or correct them."
                )
            );
        }
        string package = Text("package") ?? "list";
        if (!packages.TryGetValue(package, out List<FoundBall>? list))
        {
            packages[package] = list = [];
        }
        list.Add(found);
    }

    private static double? Volts(string text, int line, List<MapProblem> problems) =>
        Number(text, "V", 'V', 1000, line, problems);

    private static double? Amperes(string text, int line, List<MapProblem> problems) =>
        Number(text, "A", 'A', 10_000, line, problems);

    // 1.1, 1,1 V, 900 mV; a unit of another sort is refused.
    private static double? Number(string text, string unit, char sign, double most, int line, List<MapProblem> problems)
    {
        if (text.Length == 0 || text is "-" or "NA" or "N/A" or "n/a")
        {
            return null;
        }
        string rest = text.Trim();
        double factor = 1;
        if (rest.EndsWith(sign.ToString(), StringComparison.OrdinalIgnoreCase))
        {
            rest = rest[..^1].TrimEnd();
            if (rest.EndsWith('m'))
            {
                (rest, factor) = (rest[..^1].TrimEnd(), 1e-3);
            }
        }
        if (
            double.TryParse(rest.Replace(',', '.'), NumberStyles.Float, CultureInfo.InvariantCulture, out double value)
            && double.IsFinite(value)
            && Math.Abs(value * factor) <= most
        )
        {
            return value * factor;
        }
        Add(
            problems,
            new MapProblem(
                line,
                $"'{MapBuilder.Short(text)}' is no number in {unit} up to {most.ToString("0", CultureInfo.InvariantCulture)}.",
                $"Write it as 1.1 or 1.1 {unit}."
            )
        );
        return null;
    }

    private static Dictionary<string, int>? Heading(List<string> cells, int line, List<MapProblem> problems)
    {
        Dictionary<string, int> at = new(StringComparer.Ordinal);
        for (int i = 0; i < cells.Count; i++)
        {
            string name = Plain(cells[i]);
            foreach ((string column, string[] names) in Columns)
            {
                if (names.Contains(name) && at.TryAdd(column, i))
                {
                    break;
                }
            }
        }
        // "pin name" beside "pin number" is the signal.
        if (!at.ContainsKey("signal"))
        {
            int name = cells.FindIndex(cell => Plain(cell) is "pin name" or "ball name");
            int number = cells.FindIndex(cell =>
                Plain(cell)
                    is "pin"
                        or "ball"
                        or "pin number"
                        or "ball number"
                        or "pin no"
                        or "ball no"
                        or "pin no."
                        or "ball no."
            );
            if (name >= 0 && number >= 0 && name != number)
            {
                (at["ball"], at["signal"]) = (number, name);
            }
        }
        List<string> missing = [.. new[] { "ball", "signal" }.Where(column => !at.ContainsKey(column))];
        if (missing.Count == 0)
        {
            return at;
        }
        problems.Add(
            new MapProblem(
                line,
                $"The first line names no column for {string.Join(" and ", missing)}: it is '{MapBuilder.Short(string.Join(" | ", cells))}'.",
                "Name the columns in the first line: ball, signal; besides them type, rail, Vmin, Vtyp, Vmax, Imax, note, package."
            )
        );
        return null;
    }

    private static string Plain(string head)
    {
        string name = head.Trim().Trim('"', '\uFEFF').Replace('_', ' ').ToLowerInvariant();
        int unit = name.IndexOfAny(['[', '(']);
        return (unit > 0 ? name[..unit] : name).Trim();
    }

    // The sign that parts the first lines most evenly.
    private static char Separator(string[] lines)
    {
        List<string> first = [.. lines.Where(line => line.Trim().Length > 0 && line.TrimStart()[0] != '#').Take(20)];
        return new[] { '\t', ';', ',', '|' }.MaxBy(sign =>
            first.Count == 0 ? 0 : first.Min(line => line.Count(one => one == sign))
        );
    }

    private static List<string> Cells(string line, char separator)
    {
        List<string> cells = [];
        System.Text.StringBuilder cell = new();
        bool quoted = false;
        for (int i = 0; i < line.Length; i++)
        {
            char sign = line[i];
            if (sign == '"')
            {
                if (quoted && i + 1 < line.Length && line[i + 1] == '"')
                {
                    cell.Append('"');
                    i++;
                }
                else
                {
                    quoted = !quoted;
                }
            }
            else if (sign == separator && !quoted)
            {
                cells.Add(cell.ToString());
                cell.Clear();
            }
            else
            {
                cell.Append(sign);
            }
        }
        cells.Add(cell.ToString());
        return cells;
    }

    private static void Add(List<MapProblem> problems, MapProblem problem)
    {
        if (problems.Count < MapBuilder.MostProblems)
        {
            problems.Add(problem);
        }
    }
}
