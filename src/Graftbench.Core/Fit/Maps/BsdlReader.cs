using System.Buffers;
using Graftbench.Core.Inspection;
using static System.FormattableString;

namespace Graftbench.Core.Fit.Maps;

/// <summary>Reads pin maps of the boundary-scan description language (IEEE 1149.1).</summary>
/// <remarks>
/// Not case-sensitive; <c>--</c> opens a remark to the end of the line; strings are joined by <c>&amp;</c> first and then
/// split. A map is <c>port : pin</c> or <c>port : (pin, pin)</c>, with commas between (K. P. Parker, The Boundary-Scan
/// Handbook, 2016, appendix A; reference pages 4.3 and 4.7 of the 1990 and 1994 grammar). Each constant is a package.
/// A list of pins follows the declared range, <c>to</c> upwards and <c>downto</c> downwards (from memory). Before the edition of 2013
/// supplies and grounds are only <c>linkage</c>: their class is guessed from the name.
/// </remarks>
internal static partial class BsdlReader
{
    private static readonly SearchValues<char> Blank = SearchValues.Create(" \t\r\n\f\v\u00A0\u0085");

    private const string Format = "boundary-scan description (BSDL)";

    /// <summary>Reads a file.</summary>
    public static MapReading Read(string text, BallView view)
    {
        List<MapProblem> problems = [];
        List<Token> tokens = Tokens(text, problems);
        Scan scan = new(tokens, problems);
        Dictionary<string, Port> ports = scan.Ports();
        List<(string Name, int Line, string Map)> constants = scan.Maps();
        if (constants.Count == 0)
        {
            problems.Add(
                new MapProblem(
                    0,
                    "There is no pin map in it: no constant of the type PIN_MAP_STRING.",
                    "Some files leave the map out; take the one for your package."
                )
            );
        }
        string? usual = scan.UsualPackage();
        string? id = scan.IdCode();
        List<BallMap> packages = [];
        foreach ((string name, int line, string map) in constants)
        {
            List<string> notes = [];
            if (id is not null)
            {
                notes.Add($"Identity code {id}: version, part, maker and a fixed 1.");
            }
            if (string.Equals(name, usual, StringComparison.OrdinalIgnoreCase) && constants.Count > 1)
            {
                notes.Add("The file takes this package if none is asked for.");
            }
            List<FoundBall> balls = Balls(name, line, map, ports, problems);
            if (MapBuilder.Build(name, Format, view, balls, notes, problems) is { } built)
            {
                packages.Add(built);
            }
        }
        return new MapReading(packages, problems);
    }

    private static List<FoundBall> Balls(
        string package,
        int line,
        string map,
        Dictionary<string, Port> ports,
        List<MapProblem> problems
    )
    {
        List<FoundBall> balls = [];
        HashSet<string> mapped = new(StringComparer.OrdinalIgnoreCase);
        int at = 0;
        while (at < map.Length)
        {
            string name = Word(map, ref at);
            if (name.Length == 0)
            {
                // A comma at the end is met in the wild and means nothing.
                if (at < map.Length)
                {
                    at++;
                }
                continue;
            }
            Blanks(map, ref at);
            if (at >= map.Length || map[at] != ':')
            {
                Add(
                    problems,
                    new MapProblem(
                        line,
                        $"{package}: '{MapBuilder.Short(name)}' has no ':' behind it.",
                        "Correct the map.",
                        Package: package
                    )
                );
                continue;
            }
            at++;
            List<string> pins = Pins(map, ref at);
            Port? port = ports.GetValueOrDefault(Bare(name));
            if (!mapped.Add(name))
            {
                Add(
                    problems,
                    new MapProblem(
                        line,
                        $"{package}: port {MapBuilder.Short(name)} is mapped twice.",
                        "Strike one.",
                        Package: package
                    )
                );
            }
            if (port is null && ports.Count > 0)
            {
                Add(
                    problems,
                    new MapProblem(
                        line,
                        $"{package}: {MapBuilder.Short(name)} is no port of the part.",
                        "Correct the name; its class is guessed.",
                        Stops: false,
                        Package: package
                    )
                );
            }
            if (port is { Length: int length } && length != pins.Count && !name.Contains('(', StringComparison.Ordinal))
            {
                Add(
                    problems,
                    new MapProblem(
                        line,
                        Invariant($"{package}: {MapBuilder.Short(name)} has {pins.Count} pins for {length} bits."),
                        "Correct the list or the range; which bit is which cannot be told.",
                        Package: package
                    )
                );
            }
            (BallClass kind, ClassBasis basis) = Class(name, port);
            // Pins of one supply or ground port are one rail.
            string? rail = kind is BallClass.Supply or BallClass.Ground ? Bare(name) : null;
            bool single = port?.Length is null && pins.Count == 1;
            for (int i = 0; i < pins.Count; i++)
            {
                string signal = rail ?? (single ? name : Invariant($"{name}({port?.Index(i) ?? i})"));
                balls.Add(new FoundBall(line, pins[i], signal, kind, basis, rail));
            }
        }
        foreach (string port in ports.Keys.Where(port => !mapped.Contains(port)).Take(20))
        {
            Add(
                problems,
                new MapProblem(
                    line,
                    $"{package}: port {MapBuilder.Short(port)} has no ball.",
                    "Usual where a package leaves functions out; else the map is incomplete.",
                    Stops: false,
                    Package: package
                )
            );
        }
        return balls;
    }

    private static void Add(List<MapProblem> problems, MapProblem problem)
    {
        if (problems.Count < MapBuilder.MostProblems)
        {
            problems.Add(problem);
        }
    }

    private static (BallClass Class, ClassBasis Basis) Class(string name, Port? port) =>
        port?.Kind switch
        {
            "power_0" => (BallClass.Ground, ClassBasis.Told),
            "power_pos" or "power_neg" => (BallClass.Supply, ClassBasis.Told),
            "linkage" or "linkage_in" or "linkage_out" or "linkage_inout" or "linkage_buffer" or null => (
                BallClasses.ByName(Bare(name)),
                ClassBasis.ByName
            ),
            "linkage_mechanical" => (BallClass.NoConnect, ClassBasis.Told),
            _ => (BallClass.Signal, ClassBasis.Told),
        };

    private static string Bare(string name) =>
        name.IndexOf('(', StringComparison.Ordinal) is > 0 and int at ? name[..at].Trim() : name;

    private static string Word(string map, ref int at)
    {
        Blanks(map, ref at);
        int start = at;
        while (at < map.Length && map[at] is not (':' or ',') && !char.IsWhiteSpace(map[at]))
        {
            if (map[at] == '(')
            {
                // An indexed port: name(3).
                while (at < map.Length && map[at] != ')')
                {
                    at++;
                }
            }
            if (at < map.Length)
            {
                at++;
            }
        }
        return map[start..at];
    }

    private static List<string> Pins(string map, ref int at)
    {
        List<string> pins = [];
        Blanks(map, ref at);
        bool many = at < map.Length && map[at] == '(';
        if (many)
        {
            at++;
        }
        int start = at;
        while (at < map.Length)
        {
            char sign = map[at];
            if (sign is ',' or ')')
            {
                Take(pins, map[start..at]);
                start = at + 1;
                if (sign == ')' || !many)
                {
                    // A comma behind a single pin belongs to the map.
                    at += sign == ')' ? 1 : 0;
                    return pins;
                }
            }
            at++;
        }
        Take(pins, map[start..]);
        return pins;
    }

    // Blanks and line ends may stand anywhere in a list.
    private static void Take(List<string> pins, string pin)
    {
        string bare = pin.AsSpan().ContainsAny(Blank)
            ? string.Concat(pin.Where(sign => !char.IsWhiteSpace(sign)))
            : pin;
        if (bare.Length > 0)
        {
            pins.Add(bare);
        }
    }

    private static void Blanks(string text, ref int at)
    {
        while (at < text.Length && char.IsWhiteSpace(text[at]))
        {
            at++;
        }
    }
}
