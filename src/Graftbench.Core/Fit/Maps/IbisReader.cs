using System.Globalization;
using Graftbench.Core.Inspection;
using static System.FormattableString;

namespace Graftbench.Core.Fit.Maps;

/// <summary>Reads the [Pin] and [Pin Mapping] lists of buffer models (IBIS, ANSI/EIA-656).</summary>
/// <remarks>
/// Remarks open with <c>|</c> unless [Comment Char] says otherwise. [Pin] has pin, signal and model in the first three columns,
/// three or six in all; ground, supply and no-connect are told by the third column only, since a signal may be called so
/// (IBIS text, lines 260 to 864; BIRD 185.2). [Pin Mapping] groups the balls of a rail by the label of its bus. Lines longer than
/// the versions allow, tabs and pins in small letters are met in the wild and taken.
/// </remarks>
internal static class IbisReader
{
    private const string Format = "buffer models (IBIS)";

    /// <summary>Reads a file.</summary>
    public static MapReading Read(string text, BallView view)
    {
        List<MapProblem> problems = [];
        List<BallMap> packages = [];
        Component? now = null;
        string section = "";
        bool head = false;
        char remark = '|';
        int number = 0;
        foreach (string raw in text.Split('\n'))
        {
            number++;
            int cut = raw.IndexOf(remark, StringComparison.Ordinal);
            string line = (cut >= 0 ? raw[..cut] : raw).Trim();
            if (line.Length == 0)
            {
                continue;
            }
            if (line[0] == '[')
            {
                int end = line.IndexOf(']', StringComparison.Ordinal);
                if (end < 0)
                {
                    Add(problems, new MapProblem(number, "A keyword has no closing bracket.", "Correct the line."));
                    section = "";
                    continue;
                }
                section = line[1..end].Trim().Replace('_', ' ').ToUpperInvariant();
                string rest = line[(end + 1)..].Trim();
                head = true;
                switch (section)
                {
                    case "COMMENT CHAR" when rest.Length > 0:
                        remark = rest[0];
                        break;
                    case "COMPONENT":
                        Close(now, view, packages, problems);
                        now = new Component(rest.Length > 0 ? rest : "component");
                        break;
                    case "PIN" or "PIN MAPPING" when now is null:
                        Add(
                            problems,
                            new MapProblem(
                                number,
                                $"[{section}] stands before any [Component].",
                                "The file is cut or out of order; it is read as one component."
                            )
                        );
                        now = new Component("component");
                        break;
                }
                continue;
            }
            if (now is null)
            {
                continue;
            }
            string[] cells = line.Split((char[]?)null, StringSplitOptions.RemoveEmptyEntries);
            if (section == "PIN")
            {
                // The keyword's own line names the columns; a line that repeats the names is no pin.
                if (!(head && cells[0].Equals("signal_name", StringComparison.OrdinalIgnoreCase)))
                {
                    now.Pin(number, cells, problems);
                }
                head = false;
            }
            else if (section == "PIN MAPPING")
            {
                now.Map(cells);
            }
        }
        Close(now, view, packages, problems);
        if (packages.Count == 0 && problems.Count == 0)
        {
            problems.Add(
                new MapProblem(
                    0,
                    "There is no list of pins in it: no [Pin] with balls below it.",
                    "Take the file of the whole component."
                )
            );
        }
        return new MapReading(packages, problems);
    }

    private static void Add(List<MapProblem> problems, MapProblem problem)
    {
        if (problems.Count < MapBuilder.MostProblems)
        {
            problems.Add(problem);
        }
    }

    private static void Close(Component? component, BallView view, List<BallMap> packages, List<MapProblem> problems)
    {
        if (
            component is { HasPins: true }
            && MapBuilder.Build(component.Name, Format, view, component.Balls(), [], problems) is { } map
        )
        {
            packages.Add(map);
        }
    }

    private sealed class Component(string name)
    {
        private readonly List<FoundBall> pins = [];
        private readonly Dictionary<string, (string Down, string Up)> rails = new(StringComparer.OrdinalIgnoreCase);

        public string Name => name;

        public bool HasPins => pins.Count > 0;

        public void Pin(int line, string[] cells, List<MapProblem> problems)
        {
            if (cells.Length < 3)
            {
                Add(
                    problems,
                    new MapProblem(
                        line,
                        Invariant($"A pin has {cells.Length} columns; at least pin, signal and model are needed."),
                        "Correct the line."
                    )
                );
                return;
            }
            // Ground, supply and no-connect by the third column only: a signal may bear such a name.
            BallClass kind = cells[2].ToUpperInvariant() switch
            {
                "GND" => BallClass.Ground,
                "POWER" => BallClass.Supply,
                "NC" => BallClass.NoConnect,
                _ => BallClass.Signal,
            };
            pins.Add(new FoundBall(line, cells[0], cells[1], kind, ClassBasis.Told));
        }

        public void Map(string[] cells)
        {
            if (cells.Length >= 3)
            {
                rails[cells[0]] = (cells[1], cells[2]);
            }
        }

        public List<FoundBall> Balls() =>
            [
                .. pins.Select(pin =>
                    pin.Class is BallClass.Ground or BallClass.Supply ? pin with { Rail = RailOf(pin) } : pin
                ),
            ];

        // A ground names its bus as pull-down reference, a supply as pull-up reference; without one its signal is the rail.
        private string RailOf(FoundBall pin)
        {
            if (!rails.TryGetValue(pin.Name, out (string Down, string Up) buses))
            {
                return pin.Signal;
            }
            string bus = pin.Class == BallClass.Ground ? buses.Down : buses.Up;
            return bus.Equals("NC", StringComparison.OrdinalIgnoreCase) ? pin.Signal : bus;
        }
    }
}
