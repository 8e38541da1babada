using System.Globalization;
using System.Text;
using System.Text.Encodings.Web;

namespace Graftbench.Core.Search;

/// <summary>A place of a text that holds an unwanted word.</summary>
/// <param name="Start">First character, from 0.</param>
/// <param name="Length">Number of characters.</param>
/// <param name="IsPart">Whether a letter or digit stands right beside it, so that it may be part of another word.</param>
public readonly record struct UnwantedPlace(int Start, int Length, bool IsPart);

/// <summary>Words that are to be taken out of texts: a name, an address, a telephone number.</summary>
/// <remarks>
/// Compared as search compares (<see cref="SearchWords"/>): capitals and marks on letters do not count; any white space is as
/// good as any other, and invisible characters between letters are passed over. A word is also found as JSON, CSV, HTML and
/// addresses spell it, since texts of those kinds stand inside texts.
/// </remarks>
public sealed class UnwantedWords
{
    /// <summary>What stands where a word was.</summary>
    public const string Mark = "[removed]";

    /// <summary>The same where there is no room for <see cref="Mark"/>: no longer than the shortest word.</summary>
    public const string ShortMark = "[-]";

    /// <summary>Shortest word [characters].</summary>
    public const int MinLength = 3;

    /// <summary>Longest word [characters].</summary>
    public const int MaxLength = 400;

    /// <summary>Most words at once.</summary>
    public const int MaxWords = 50;

    private readonly string[] _patterns;

    /// <summary>Takes the words; those that <see cref="Problems"/> refuses find nothing.</summary>
    public UnwantedWords(IEnumerable<string> words)
    {
        ArgumentNullException.ThrowIfNull(words);
        _patterns =
        [
            .. words
                .Select(word => word.Trim())
                .Where(word => ProblemOf(word) is null)
                .SelectMany(Spellings)
                .Select(spelling => Fold(spelling).Text.Trim())
                .Where(pattern => pattern.Length > 0)
                .Distinct(StringComparer.Ordinal)
                .OrderByDescending(pattern => pattern.Length),
        ];
    }

    /// <summary>What is wrong with words, one sentence for each; empty where all can be looked for.</summary>
    public static IReadOnlyList<string> Problems(IReadOnlyList<string> words)
    {
        ArgumentNullException.ThrowIfNull(words);
        List<string> problems = [];
        if (words.Count > MaxWords)
        {
            problems.Add($"There are {words.Count} words, more than {MaxWords}: take them out in two steps.");
        }
        problems.AddRange(words.Select(word => ProblemOf(word.Trim())).OfType<string>());
        return problems;
    }

    /// <summary>Whether a text holds one of the words.</summary>
    public bool AreIn(string text) => In(text).Count > 0;

    /// <summary>Where a text holds the words, in its order, without overlaps; what stands inside a mark does not count.</summary>
    public IReadOnlyList<UnwantedPlace> In(string text)
    {
        ArgumentNullException.ThrowIfNull(text);
        if (_patterns.Length == 0 || text.Length == 0)
        {
            return [];
        }
        Folded folded = Fold(text);
        List<(int Start, int End)> found = [];
        foreach (string pattern in _patterns)
        {
            for (
                int at = folded.Text.IndexOf(pattern, StringComparison.Ordinal);
                at >= 0;
                at = folded.Text.IndexOf(pattern, at + 1, StringComparison.Ordinal)
            )
            {
                found.Add((folded.Starts[at], folded.Ends[at + pattern.Length - 1]));
            }
        }
        List<UnwantedPlace> places = [];
        foreach ((int start, int end) in Joined(found.Where(one => !IsInMark(text, one.Start, one.End))))
        {
            bool isPart =
                (start > 0 && char.IsLetterOrDigit(text[start - 1]) && char.IsLetterOrDigit(text[start]))
                || (end < text.Length && char.IsLetterOrDigit(text[end]) && char.IsLetterOrDigit(text[end - 1]));
            places.Add(new UnwantedPlace(start, end - start, isPart));
        }
        return places;
    }

    /// <summary>The text with a mark in place of each word; the very text where it holds none.</summary>
    public string TakenOut(string text, string mark = Mark)
    {
        IReadOnlyList<UnwantedPlace> places = In(text);
        if (places.Count == 0)
        {
            return text;
        }
        StringBuilder left = new(text.Length);
        int from = 0;
        foreach (UnwantedPlace place in places)
        {
            left.Append(text, from, place.Start - from).Append(mark);
            from = place.Start + place.Length;
        }
        return left.Append(text, from, text.Length - from).ToString();
    }

    private static string? ProblemOf(string word)
    {
        string shown = word.Length > 40 ? word[..40] + "..." : word;
        return word.Length < MinLength
                ? $"The word \"{shown}\" has fewer than {MinLength} characters: it would be found in the middle of others. Give more of it."
            : word.Length > MaxLength ? $"The word \"{shown}\" has more than {MaxLength} characters: give a part of it."
            : !word.Any(char.IsLetterOrDigit) ? $"The word \"{shown}\" has no letter or digit."
            : null;
    }

    // A text of one kind may stand inside a text of another.
    private static IEnumerable<string> Spellings(string word) =>
        [
            word,
            word.Replace("\"", "\"\"", StringComparison.Ordinal),
            JavaScriptEncoder.Default.Encode(word),
            JavaScriptEncoder.UnsafeRelaxedJsonEscaping.Encode(word),
            HtmlEncoder.Default.Encode(word),
            Decimal(word, letter => letter is '&' or '<' or '>' or '"' or '\'' || letter > '~'),
            word.Replace("&", "&amp;", StringComparison.Ordinal),
            Uri.EscapeDataString(word),
        ];

    // HTML as others write it: decimal numbers instead of hexadecimal ones.
    private static string Decimal(string word, Func<char, bool> isNumbered) =>
        string.Concat(
            word.Select(letter =>
                isNumbered(letter)
                    ? string.Create(CultureInfo.InvariantCulture, $"&#{(int)letter};")
                    : letter.ToString()
            )
        );

    private static IEnumerable<(int Start, int End)> Joined(IEnumerable<(int Start, int End)> found)
    {
        (int Start, int End)? open = null;
        foreach ((int start, int end) in found.Order())
        {
            if (open is { } held && start < held.End)
            {
                open = (held.Start, Math.Max(held.End, end));
                continue;
            }
            if (open is { } done)
            {
                yield return done;
            }
            open = (start, end);
        }
        if (open is { } last)
        {
            yield return last;
        }
    }

    private static bool IsInMark(string text, int start, int end)
    {
        int from = text.LastIndexOf('[', Math.Min(start, text.Length - 1));
        return from >= 0
            && string.CompareOrdinal(text, from, Mark, 0, Mark.Length) == 0
            && start >= from
            && end <= from + Mark.Length;
    }

    /// <summary>A text as it is compared, and where each of its characters comes from.</summary>
    private sealed record Folded(string Text, List<int> Starts, List<int> Ends);

    private static Folded Fold(string text)
    {
        StringBuilder folded = new(text.Length);
        List<int> starts = new(text.Length);
        List<int> ends = new(text.Length);
        int at = 0;
        while (at < text.Length)
        {
            bool isRune = Rune.TryGetRuneAt(text, at, out Rune rune);
            int next = at + (isRune ? rune.Utf16SequenceLength : 1);
            UnicodeCategory category = isRune ? Rune.GetUnicodeCategory(rune) : UnicodeCategory.Surrogate;
            string plain = isRune ? Plain(rune, category) : text[at].ToString();
            bool joins = plain.Length == 0 || (plain == " " && folded.Length > 0 && folded[^1] == ' ');
            if (joins)
            {
                // A mark belongs to the letter before it, a blank to the blanks before it.
                if (ends.Count > 0)
                {
                    ends[^1] = next;
                }
            }
            else
            {
                folded.Append(plain);
                for (int i = 0; i < plain.Length; i++)
                {
                    starts.Add(at);
                    ends.Add(next);
                }
            }
            at = next;
        }
        return new Folded(folded.ToString(), starts, ends);
    }

    private static string Plain(Rune rune, UnicodeCategory category)
    {
        if (Rune.IsWhiteSpace(rune))
        {
            return " ";
        }
        if (category is UnicodeCategory.NonSpacingMark or UnicodeCategory.Format)
        {
            return "";
        }
        Rune small = Rune.ToLowerInvariant(rune);
        if (!small.IsBmp)
        {
            return small.ToString();
        }
        char plain = LetterFolds.Plain((char)small.Value);
        return LetterFolds.Pair(plain)
            ?? plain switch
            {
                '\u2018' or '\u2019' => "'",
                '\u2010' or '\u2011' or '\u2012' or '\u2013' => "-",
                _ => plain.ToString(),
            };
    }
}
