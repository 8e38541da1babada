using System.Buffers;
using System.Globalization;
using System.Text;
using System.Text.Encodings.Web;
using System.Text.Json;
using Graftbench.Core.Search;

namespace Graftbench.Store.Removal;

/// <summary>A text of a payload that holds unwanted words.</summary>
/// <param name="Path">Where it stands: <c>machine.owner</c>.</param>
/// <param name="Text">The text.</param>
/// <param name="Places">Where in it.</param>
internal sealed record PayloadText(string Path, string Text, IReadOnlyList<UnwantedPlace> Places);

/// <summary>Takes words out of the texts of a JSON payload; every other byte of it stays.</summary>
/// <remarks>Names of fields, numbers, times, hashes and ids of runs are left alone.</remarks>
internal static class PayloadWords
{
    private const int ShortestId = 32;

    /// <summary>Fields of a job document that must stay what they are.</summary>
    public static bool IsFixedInJob(string path) => path is "id" or "format";

    /// <summary>A field of a job document that goes whole where it holds a word.</summary>
    public static bool IsWholeInJob(string path) => path is "machine.owner";

    /// <summary>No field.</summary>
    public static bool None(string path) => false;

    /// <summary>Finds the texts that hold the words, and gives the payload without them.</summary>
    /// <param name="payload">JSON.</param>
    /// <param name="words">The words.</param>
    /// <param name="mark">What stands in their place.</param>
    /// <param name="isFixed">Paths that are left alone.</param>
    /// <param name="isWhole">Paths whose whole text goes.</param>
    /// <returns>The texts, and the payload; the very payload where it holds none.</returns>
    public static (IReadOnlyList<PayloadText> Texts, string Payload) TakeOut(
        string payload,
        UnwantedWords words,
        string mark,
        Func<string, bool> isFixed,
        Func<string, bool> isWhole
    )
    {
        byte[] utf8 = EvidenceChain.Utf8.GetBytes(payload);
        List<PayloadText> texts = [];
        ArrayBufferWriter<byte> left = new();
        int copied = 0;
        foreach ((string path, string text, int start, int end, bool isName) in Strings(utf8))
        {
            if (isName || IsTechnical(text) || isFixed(path) || words.In(text) is not { Count: > 0 } places)
            {
                continue;
            }
            texts.Add(new PayloadText(path, text, places));
            string now = isWhole(path) ? mark : words.TakenOut(text, mark);
            left.Write(utf8.AsSpan(copied, start - copied));
            left.Write("\""u8);
            left.Write(EvidenceChain.Utf8.GetBytes(JavaScriptEncoder.UnsafeRelaxedJsonEscaping.Encode(now)));
            left.Write("\""u8);
            copied = end;
        }
        if (texts.Count == 0)
        {
            return ([], payload);
        }
        left.Write(utf8.AsSpan(copied));
        return (texts, EvidenceChain.Utf8.GetString(left.WrittenSpan));
    }

    /// <summary>Names of fields, and fixed texts, that hold the words and stay.</summary>
    public static IEnumerable<string> Staying(string payload, UnwantedWords words, Func<string, bool> isFixed) =>
        Strings(EvidenceChain.Utf8.GetBytes(payload))
            .Where(one => (one.IsName || isFixed(one.Path)) && words.AreIn(one.Text))
            .Select(one => one.IsName ? $"the name of the field {one.Path}" : $"the field {one.Path}")
            .Distinct(StringComparer.Ordinal);

    /// <summary>Whether a payload can be what is left of another after words were taken out of its texts.</summary>
    public static bool IsLeftOf(string payload, string left)
    {
        if (string.Equals(payload, left, StringComparison.Ordinal))
        {
            return true;
        }
        byte[] before = EvidenceChain.Utf8.GetBytes(payload);
        byte[] after = EvidenceChain.Utf8.GetBytes(left);
        List<(string Path, string Text, int Start, int End, bool IsName)> old = Strings(before);
        List<(string Path, string Text, int Start, int End, bool IsName)> now = Strings(after);
        if (old.Count != now.Count)
        {
            return false;
        }
        int oldAt = 0;
        int nowAt = 0;
        for (int i = 0; i < old.Count; i++)
        {
            if (old[i].Path != now[i].Path || old[i].IsName != now[i].IsName)
            {
                return false;
            }
            if (old[i].IsName)
            {
                continue;
            }
            // All between the texts is the same to the byte.
            if (
                !before.AsSpan(oldAt, old[i].Start - oldAt).SequenceEqual(after.AsSpan(nowAt, now[i].Start - nowAt))
                || !IsTextLeftOf(old[i].Text, now[i].Text)
            )
            {
                return false;
            }
            (oldAt, nowAt) = (old[i].End, now[i].End);
        }
        return before.AsSpan(oldAt).SequenceEqual(after.AsSpan(nowAt));
    }

    /// <summary>Whether a text can be what is left of another: the same but for marks in place of some of it.</summary>
    public static bool IsTextLeftOf(string text, string left)
    {
        if (string.Equals(text, left, StringComparison.Ordinal))
        {
            return true;
        }
        return new[] { UnwantedWords.Mark, UnwantedWords.ShortMark }.Any(mark => Fits(text, left.Split(mark)));
    }

    private static bool Fits(string text, string[] parts)
    {
        if (
            parts.Length < 2
            || !text.StartsWith(parts[0], StringComparison.Ordinal)
            || !text.AsSpan(parts[0].Length).EndsWith(parts[^1], StringComparison.Ordinal)
        )
        {
            return false;
        }
        int at = parts[0].Length;
        int end = text.Length - parts[^1].Length;
        foreach (string part in parts[1..^1])
        {
            int found = text.AsSpan(at, end - at).IndexOf(part, StringComparison.Ordinal);
            if (found < 0)
            {
                return false;
            }
            at += found + part.Length;
        }
        return true;
    }

    /// <summary>Whether a text is a hash, an id or a time: no person wrote it.</summary>
    private static bool IsTechnical(string text) =>
        (text.Length >= ShortestId && text.All(char.IsAsciiHexDigit))
        || (
            text.Length >= 19
            && text[4] == '-'
            && text[10] == 'T'
            && DateTimeOffset.TryParse(text, CultureInfo.InvariantCulture, out _)
        );

    private static List<(string Path, string Text, int Start, int End, bool IsName)> Strings(byte[] utf8)
    {
        List<(string, string, int, int, bool)> strings = [];
        Stack<Level> levels = new();
        Utf8JsonReader reader = new(utf8);
        while (reader.Read())
        {
            switch (reader.TokenType)
            {
                case JsonTokenType.PropertyName:
                    levels.Peek().Name = reader.GetString()!;
                    strings.Add((PathOf(levels), levels.Peek().Name, 0, 0, true));
                    continue;
                case JsonTokenType.EndArray or JsonTokenType.EndObject:
                    levels.Pop();
                    continue;
            }
            if (levels.TryPeek(out Level? level) && level.IsArray)
            {
                level.Index++;
            }
            switch (reader.TokenType)
            {
                case JsonTokenType.StartArray or JsonTokenType.StartObject:
                    levels.Push(new Level(reader.TokenType == JsonTokenType.StartArray));
                    break;
                case JsonTokenType.String:
                    strings.Add(
                        (
                            PathOf(levels),
                            reader.GetString()!,
                            (int)reader.TokenStartIndex,
                            (int)reader.BytesConsumed,
                            false
                        )
                    );
                    break;
            }
        }
        return strings;
    }

    private static string PathOf(Stack<Level> levels)
    {
        StringBuilder path = new();
        foreach (Level level in levels.Reverse())
        {
            if (level.IsArray)
            {
                path.Append(CultureInfo.InvariantCulture, $"[{level.Index}]");
            }
            else
            {
                path.Append(path.Length == 0 ? "" : ".").Append(level.Name);
            }
        }
        return path.ToString();
    }

    private sealed class Level(bool isArray)
    {
        public bool IsArray => isArray;

        public int Index { get; set; } = -1;

        public string Name { get; set; } = "";
    }
}
