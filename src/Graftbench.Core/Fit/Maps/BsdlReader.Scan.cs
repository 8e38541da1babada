using System.Globalization;
using System.Text;
using static System.FormattableString;

namespace Graftbench.Core.Fit.Maps;

internal static partial class BsdlReader
{
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
