using System.Globalization;
using System.Text;
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
internal static class BsdlReader
{
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
                        "Correct the map."
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
                    new MapProblem(line, $"{package}: port {MapBuilder.Short(name)} is mapped twice.", "Strike one.")
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
                        Stops: false
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
                        "Correct the list or the range; which bit is which cannot be told."
                    )
                );
            }
            for (int i = 0; i < pins.Count; i++)
            {
                string signal =
                    port?.Length is null && pins.Count == 1 ? name : Invariant($"{name}({port?.Index(i) ?? i})");
                (BallClass kind, ClassBasis basis) = Class(name, port);
                // Pins of one supply or ground port are one rail.
                string? rail = kind is BallClass.Supply or BallClass.Ground ? Bare(name) : null;
                balls.Add(new FoundBall(line, pins[i], rail ?? signal, kind, basis, rail));
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
                    Stops: false
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
        StringBuilder pin = new();
        while (at < map.Length)
        {
            char sign = map[at];
            if (sign == ',' && !many)
            {
                break;
            }
            at++;
            if (sign == ')')
            {
                break;
            }
            if (sign == ',')
            {
                Take(pins, pin);
            }
            else if (!char.IsWhiteSpace(sign))
            {
                pin.Append(sign);
            }
        }
        Take(pins, pin);
        return pins;
    }

    private static void Take(List<string> pins, StringBuilder pin)
    {
        if (pin.Length > 0)
        {
            pins.Add(pin.ToString());
            pin.Clear();
        }
    }

    private static void Blanks(string text, ref int at)
    {
        while (at < text.Length && char.IsWhiteSpace(text[at]))
        {
            at++;
        }
    }

    /// <summary>A word, sign or string with its line.</summary>
    private readonly record struct Token(string Text, int Line, bool IsString)
    {
        public bool Is(string word) => !IsString && string.Equals(Text, word, StringComparison.OrdinalIgnoreCase);
    }

    /// <summary>A port of the part.</summary>
    /// <param name="Kind">Its mode, in small letters: <c>linkage</c>.</param>
    /// <param name="First">First index of a vector; null for a single bit.</param>
    /// <param name="Last">Last index.</param>
    private sealed record Port(string Kind, int? First, int Last)
    {
        public int? Length => First is { } first ? (int)Math.Min(int.MaxValue, Math.Abs((long)Last - first) + 1) : null;

        public int Index(int i) =>
            First is not { } first ? i
            : first <= Last ? first + i
            : first - i;
    }

    private static List<Token> Tokens(string text, List<MapProblem> problems)
    {
        List<Token> tokens = [];
        int line = 1;
        int at = 0;
        while (at < text.Length)
        {
            char sign = text[at];
            if (sign == '\n')
            {
                line++;
                at++;
            }
            else if (char.IsWhiteSpace(sign))
            {
                at++;
            }
            else if (sign == '-' && at + 1 < text.Length && text[at + 1] == '-')
            {
                int end = text.IndexOf('\n', at);
                at = end < 0 ? text.Length : end;
            }
            else if (sign == '"')
            {
                int end = text.IndexOfAny(['"', '\n'], at + 1);
                bool closed = end >= 0 && text[end] == '"';
                if (!closed)
                {
                    Add(
                        problems,
                        new MapProblem(
                            line,
                            "A string does not end on its line.",
                            "Close it with a quote; parts are joined by &."
                        )
                    );
                    end = end < 0 ? text.Length : end;
                }
                tokens.Add(new Token(text[(at + 1)..end], line, true));
                at = closed ? end + 1 : end;
            }
            else if (char.IsAsciiLetterOrDigit(sign) || sign == '_')
            {
                int start = at;
                while (at < text.Length && (char.IsAsciiLetterOrDigit(text[at]) || text[at] is '_' or '.'))
                {
                    at++;
                }
                tokens.Add(new Token(text[start..at], line, false));
            }
            else
            {
                tokens.Add(
                    new Token(
                        sign == ':' && at + 1 < text.Length && text[at + 1] == '=' ? ":=" : sign.ToString(),
                        line,
                        false
                    )
                );
                at += tokens[^1].Text.Length;
            }
        }
        return tokens;
    }

    /// <summary>Walks the tokens for what a pin map needs.</summary>
    private sealed class Scan(List<Token> tokens, List<MapProblem> problems)
    {
        private const int MostPorts = 20_000;

        // port ( a, b : in bit; D : inout bit_vector(0 to 7) );
        public Dictionary<string, Port> Ports()
        {
            Dictionary<string, Port> ports = new(StringComparer.OrdinalIgnoreCase);
            int at = tokens.FindIndex(token => token.Is("port"));
            if (at < 0 || !Is(at + 1, "("))
            {
                Add(
                    problems,
                    new MapProblem(
                        0,
                        "The part declares no ports.",
                        "Classes of the balls are guessed from their names.",
                        Stops: false
                    )
                );
                return ports;
            }
            at += 2;
            while (at < tokens.Count && !Is(at, ")") && ports.Count < MostPorts)
            {
                List<string> names = [];
                while (at < tokens.Count && !Is(at, ":") && !Is(at, ")") && !Is(at, ";"))
                {
                    if (!Is(at, ","))
                    {
                        names.Add(tokens[at].Text);
                    }
                    at++;
                }
                if (!Is(at, ":"))
                {
                    break;
                }
                string kind = at + 1 < tokens.Count ? tokens[at + 1].Text.ToLowerInvariant() : "";
                at += 2;
                (int? first, int last) = Range(ref at);
                foreach (string name in names)
                {
                    if (!ports.TryAdd(name, new Port(kind, first, last)))
                    {
                        Add(
                            problems,
                            new MapProblem(
                                LineAt(at),
                                $"Port {MapBuilder.Short(name)} is declared twice.",
                                "Strike one."
                            )
                        );
                    }
                }
                if (Is(at, ";"))
                {
                    at++;
                }
            }
            return ports;
        }

        // A type: bit, or bit_vector ( 0 to 7 ). Leaves the place behind it.
        private (int? First, int Last) Range(ref int at)
        {
            int? first = null;
            int last = 0;
            while (at < tokens.Count && !Is(at, ";") && !Is(at, ")"))
            {
                if (Is(at, "("))
                {
                    bool sound =
                        at + 3 < tokens.Count
                        && int.TryParse(
                            tokens[at + 1].Text,
                            NumberStyles.None,
                            CultureInfo.InvariantCulture,
                            out int from
                        )
                        && (tokens[at + 2].Is("to") || tokens[at + 2].Is("downto"))
                        && int.TryParse(tokens[at + 3].Text, NumberStyles.None, CultureInfo.InvariantCulture, out last)
                        && (first = from) is not null;
                    if (!sound)
                    {
                        Add(
                            problems,
                            new MapProblem(
                                LineAt(at),
                                "A range is not of the form (0 to 7) or (7 downto 0).",
                                "Correct it; how long the vector is cannot be told."
                            )
                        );
                        first = null;
                    }
                    while (at < tokens.Count && !Is(at, ")"))
                    {
                        at++;
                    }
                }
                at++;
            }
            return (first, last);
        }

        // constant NAME : PIN_MAP_STRING := "..." & "...";
        public List<(string Name, int Line, string Map)> Maps()
        {
            List<(string, int, string)> maps = [];
            for (int at = 0; at + 4 < tokens.Count; at++)
            {
                if (!(tokens[at].Is("constant") && Is(at + 2, ":") && tokens[at + 3].Is("PIN_MAP_STRING")))
                {
                    continue;
                }
                StringBuilder map = new();
                int next = at + 4;
                while (next < tokens.Count && !Is(next, ";"))
                {
                    if (tokens[next].IsString)
                    {
                        map.Append(tokens[next].Text);
                    }
                    next++;
                }
                if (next >= tokens.Count)
                {
                    Add(
                        problems,
                        new MapProblem(
                            tokens[at].Line,
                            $"The pin map {MapBuilder.Short(tokens[at + 1].Text)} does not end: the file is cut.",
                            "Fetch the whole file."
                        )
                    );
                }
                maps.Add((tokens[at + 1].Text, tokens[at].Line, map.ToString()));
                at = next;
            }
            return maps;
        }

        // generic (PHYSICAL_PIN_MAP : string := "PKG");
        public string? UsualPackage()
        {
            int at = tokens.FindIndex(token => token.Is("PHYSICAL_PIN_MAP"));
            return at >= 0 && at + 4 < tokens.Count && Is(at + 3, ":=") && tokens[at + 4].IsString
                ? tokens[at + 4].Text.Trim()
                : null;
        }

        // attribute IDCODE_REGISTER of N : entity is "..." & "...";
        public string? IdCode()
        {
            int at = tokens.FindIndex(token => token.Is("IDCODE_REGISTER"));
            if (at < 0)
            {
                return null;
            }
            StringBuilder code = new();
            for (; at < tokens.Count && !Is(at, ";"); at++)
            {
                if (tokens[at].IsString)
                {
                    code.Append(tokens[at].Text);
                }
            }
            string bits = string.Concat(code.ToString().Where(sign => sign is '0' or '1' or 'X' or 'x'));
            if (bits.Length != 32)
            {
                Add(
                    problems,
                    new MapProblem(
                        0,
                        Invariant($"The identity code has {bits.Length} bits, not 32."),
                        "It is not used.",
                        Stops: false
                    )
                );
                return null;
            }
            return $"{bits[..4]} {bits[4..20]} {bits[20..31]} {bits[31]}";
        }

        private bool Is(int at, string sign) => at >= 0 && at < tokens.Count && tokens[at].Is(sign);

        private int LineAt(int at) => tokens.Count == 0 ? 0 : tokens[Math.Clamp(at, 0, tokens.Count - 1)].Line;
    }
}
