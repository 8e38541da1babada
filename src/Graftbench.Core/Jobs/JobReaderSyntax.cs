using System.Text;
using System.Text.Json;

namespace Graftbench.Core.Jobs;

/// <summary>Says in plain words why a text is not JSON, and where.</summary>
internal static partial class JobReaderSyntax
{
    private const string Limit = "RFC 8259, with comments and trailing commas";

    /// <summary>
    /// Finds NaN and Infinity written as values, which JSON does not have, and gives a copy with numbers in their place.
    /// </summary>
    public static HashSet<int> BlankNotNumbers(byte[] utf8)
    {
        HashSet<int> found = [];
        int at = 0;
        while (at < utf8.Length)
        {
            byte one = utf8[at];
            if (one == '"')
            {
                at = EndOfText(utf8, at);
            }
            else if (one == '/' && at + 1 < utf8.Length && utf8[at + 1] is (byte)'/' or (byte)'*')
            {
                at = EndOfComment(utf8, at);
            }
            else if (LengthOfNotNumber(utf8, at) is > 0 and int length)
            {
                found.Add(at);
                utf8.AsSpan(at, length).Fill((byte)' ');
                utf8[at] = (byte)'0';
                at += length;
            }
            else if (IsWord(one))
            {
                while (at < utf8.Length && IsWord(utf8[at]))
                {
                    at++;
                }
            }
            else
            {
                at++;
            }
        }
        return found;
    }

    /// <summary>Logs why the walk could not go on.</summary>
    public static void Diagnose(byte[] utf8, JobReaderWalk walk, JsonException error, JobReaderLog log)
    {
        int end = utf8.AsSpan().LastIndexOfAnyExcept(" \t\r\n"u8) + 1;
        int offset = Math.Max(walk.LastEnd, OffsetOf(utf8, error));
        if (offset >= end)
        {
            Truncated(utf8, end, walk, log);
            return;
        }
        // A comma or colon is no token of its own: it stands between the last token and the one that could not be read.
        int token = SkipSpace(utf8, walk.LastEnd);
        byte separator = walk.LastEnd > 0 && utf8[walk.LastEnd - 1] == ':' ? (byte)':' : (byte)0;
        if (separator == 0 && walk.Open.Count > 0 && token < utf8.Length && utf8[token] == ',')
        {
            separator = (byte)',';
            token = SkipSpace(utf8, token + 1);
        }
        token = Math.Min(token, end - 1);
        if (walk.Open.Count >= JobFormat.MaxDepth && utf8[token] is (byte)'{' or (byte)'[')
        {
            Report(
                utf8,
                token,
                walk,
                log,
                "The brackets are nested too deep.",
                $"at most {JobFormat.MaxDepth} levels",
                "A job needs six levels at most; check for brackets that are not closed."
            );
            return;
        }
        if (walk.Open.Count == 0 && walk.LastEnd > 0)
        {
            bool second = utf8[token] is (byte)'{' or (byte)'[';
            Report(
                utf8,
                token,
                walk,
                log,
                second
                    ? "A second document begins after the first."
                    : "Something stands after the end of the document.",
                "one document",
                second
                    ? "Put each job into a file of its own."
                    : "Take it out, or check for a bracket that closes too early."
            );
            return;
        }
        if (walk.Open.Count == 0)
        {
            Report(
                utf8,
                token,
                walk,
                log,
                "This is no job document.",
                "{ at its beginning",
                "Name the right file; a job document is JSON."
            );
            return;
        }
        (int place, string what, string todo) = Explain(utf8, token, offset, separator, walk);
        Report(utf8, place, walk, log, what, null, todo);
    }

    private static (int Place, string What, string Todo) Explain(
        byte[] utf8,
        int token,
        int offset,
        byte separator,
        JobReaderWalk walk
    )
    {
        byte one = utf8[token];
        byte last = walk.LastEnd > 0 ? utf8[walk.LastEnd - 1] : (byte)0;
        bool inObject = walk.Open.Count > 0 && walk.Open[^1].IsObject;
        if (one == '"' && offset > token)
        {
            return offset < EndOfText(utf8, token) || utf8[offset] == '\n'
                ? InText(utf8, offset)
                : (
                    SkipSpace(utf8, offset),
                    "A colon is missing after the name.",
                    "Write a colon between name and value."
                );
        }
        if (one is (byte)'}' or (byte)']' && walk.Open.Count > 0 && inObject == (one == ']'))
        {
            JobReaderWalk.OpenBracket bracket = walk.Open[^1];
            return (
                token,
                $"“{(char)one}” does not close the “{(inObject ? '{' : '[')}” of line {LineOf(utf8, bracket.Offset)}.",
                $"Write “{(inObject ? '}' : ']')}”, or check the brackets in between."
            );
        }
        if (
            separator == ','
            && inObject
            && char.IsAsciiDigit((char)one)
            && DecimalComma(utf8, walk.LastEnd) is { } number
        )
        {
            return (walk.LastEnd, "A number is written with a comma.", $"Write {number} with a point.");
        }
        if (one is (byte)',' or (byte)':')
        {
            return (
                token,
                $"A {(one == ',' ? "comma" : "colon")} stands where a value or name belongs.",
                "Take it out, or put in what is missing before it."
            );
        }
        if (one == '\'')
        {
            return (token, "Single quotes are not JSON.", "Use double quotes: \" \".");
        }
        if (
            one is >= 0xE2
            && Encoding.UTF8.GetString(utf8, token, Math.Min(3, utf8.Length - token)) is "“" or "”" or "„" or "‘" or "’"
        )
        {
            return (token, "Typographic quotes are not JSON.", "Use straight double quotes: \" \".");
        }
        if (one == '#')
        {
            return (token, "“#” does not begin a comment in JSON.", "Begin comments with //.");
        }
        if (one == '/')
        {
            return (token, "The comment is not complete.", "Write // to the end of the line, or /* to */.");
        }
        string word = Word(utf8, token);
        if (one is (byte)'+' or (byte)'-' or (byte)'.' || char.IsAsciiDigit((char)one))
        {
            if (offset > token || one is (byte)'+' or (byte)'.')
            {
                return (token, "This number is not written as JSON writes numbers.", NumberHint(word));
            }
        }
        if (
            word.ToLowerInvariant() is "true" or "false" or "null" or "none" or "nil" or "undefined"
            && (!inObject || separator == ':')
        )
        {
            string small = word.ToLowerInvariant() is "true" or "false" ? word.ToLowerInvariant() : "null";
            return (token, $"“{word}” is not a JSON value.", $"Write {small}.");
        }
        if (word.Length > 0 && separator == 0 && char.IsAsciiDigit((char)last))
        {
            return (
                token,
                $"“{word}” stands after a number.",
                "Write the number alone; the field's name says the unit."
            );
        }
        if (word.Length > 0 && inObject && separator != ':' && (separator == ',' || last == '{'))
        {
            return (token, $"The name “{word}” is not in quotes.", $"Write \"{word}\".");
        }
        if (word.Length > 0 && (separator != 0 || last is (byte)'[' or 0))
        {
            return (token, $"“{word}” is not a JSON value.", $"Write text in quotes: \"{word}\".");
        }
        if (one is (byte)'"' or (byte)'{' or (byte)'[' || word.Length > 0)
        {
            return inObject && (separator == ',' || last == '{')
                ? (token, "A name belongs here.", "Write the field's name in quotes and a colon before its value.")
                : (token, "A comma is missing before this.", "Write a comma between entries.");
        }
        return (token, $"“{Shown(utf8, token)}” does not belong here.", "Take it out.");
    }

    private static (int Place, string What, string Todo) InText(byte[] utf8, int offset)
    {
        byte one = utf8[offset];
        if (one is (byte)'\n' or (byte)'\r')
        {
            return (
                offset,
                "The text is not closed on its line.",
                "Close it with a quote; write \\n for a line break inside."
            );
        }
        if (one < 0x20)
        {
            return (
                offset,
                $"The text holds the control character U+{(int)one:X4}.",
                one == '\t' ? "Write \\t." : "Take it out."
            );
        }
        int slash = utf8[offset - 1] == '\\' ? offset - 1 : offset;
        return (
            slash,
            "“\\” begins an escape that JSON does not have.",
            "Write \\\\ for a backslash, or / in a file's path."
        );
    }

    private static void Truncated(byte[] utf8, int end, JobReaderWalk walk, JobReaderLog log)
    {
        if (walk.Open.Count == 0)
        {
            bool nothing = walk.LastEnd == 0 && SkipSpace(utf8, 0) >= end;
            Report(
                utf8,
                end,
                walk,
                log,
                nothing ? "The file holds comments only." : "The file ends in the middle of a value.",
                null,
                "Write a job into it, or fetch the whole file again."
            );
            return;
        }
        JobReaderWalk.OpenBracket bracket = walk.Open[^1];
        string path = walk.Path.TextTo(bracket.PathDepth);
        string more = walk.Open.Count > 1 ? $", and {walk.Open.Count - 1} more around it" : "";
        Report(
            utf8,
            end,
            walk,
            log,
            $"The file ends here, but the “{(bracket.IsObject ? '{' : '[')}” of line {LineOf(utf8, bracket.Offset)}{(path.Length > 0 ? $" ({path})" : "")} is still open{more}.",
            null,
            "The file is cut off: fetch it again, or close the brackets."
        );
    }

    private static void Report(
        byte[] utf8,
        int offset,
        JobReaderWalk walk,
        JobReaderLog log,
        string what,
        string? allowed,
        string todo
    )
    {
        string? value = offset < utf8.Length ? Shown(utf8, offset) : null;
        log.Add(
            offset,
            new JobProblem(
                walk.Path.Text(),
                0,
                0,
                what,
                value,
                allowed,
                Limit,
                todo + " Nothing after this place was read."
            )
        );
    }

    private static string? DecimalComma(byte[] utf8, int comma)
    {
        int start = comma;
        while (start > 0 && char.IsAsciiDigit((char)utf8[start - 1]))
        {
            start--;
        }
        int end = comma + 1;
        while (end < utf8.Length && char.IsAsciiDigit((char)utf8[end]))
        {
            end++;
        }
        return start < comma && end > comma + 1
            ? $"{Encoding.UTF8.GetString(utf8, start, comma - start)}.{Encoding.UTF8.GetString(utf8, comma + 1, end - comma - 1)}"
            : null;
    }

    private static string NumberHint(string word)
    {
        if (word.StartsWith('+'))
        {
            return $"Write {word[1..]} without the plus sign.";
        }
        if (word.StartsWith('.'))
        {
            return $"Write 0{word}.";
        }
        if (word.StartsWith("-.", StringComparison.Ordinal))
        {
            return $"Write -0{word[1..]}.";
        }
        if (word.EndsWith('.'))
        {
            return $"Write {word}0 or {word[..^1]}.";
        }
        if (word.StartsWith("0x", StringComparison.OrdinalIgnoreCase))
        {
            return "Write it as a decimal number.";
        }
        if (word.Length > 1 && word[0] == '0' && char.IsAsciiDigit(word[1]))
        {
            return $"Write {word.TrimStart('0')} without leading zeros.";
        }
        return "Write digits with a decimal point, without a unit.";
    }
}
