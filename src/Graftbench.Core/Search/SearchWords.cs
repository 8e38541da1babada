using System.Globalization;
using System.Text;

namespace Graftbench.Core.Search;

/// <summary>Turns text into the words that a search knows it by.</summary>
/// <remarks>
/// A word is a run of letters and digits, small, without marks. A name such as <c>SP-256.A</c> is known by its parts (sp,
/// 256, a) and as a whole (sp256a), so that it is found however its dashes are typed. A script without blanks between its
/// words gives one long word, found by its beginning.
/// </remarks>
public static class SearchWords
{
    /// <summary>Longest word [characters]; a longer one is known by its beginning.</summary>
    public const int MaxWordLength = 40;

    /// <summary>Most different words of a job's document, and of its evidence.</summary>
    public const int MaxWords = 5000;

    /// <summary>Most words of a question; further ones are not looked at.</summary>
    public const int MaxAskedWords = 12;

    /// <summary>The words of a text in their order, each as often as it is there.</summary>
    public static IEnumerable<string> In(string text)
    {
        ArgumentNullException.ThrowIfNull(text);
        return Words(text, withWholes: true);
    }

    /// <summary>The different words of texts, in ordinal order, at most <see cref="MaxWords"/>.</summary>
    public static IReadOnlyList<string> Of(IEnumerable<string> texts)
    {
        ArgumentNullException.ThrowIfNull(texts);
        SortedSet<string> words = new(StringComparer.Ordinal);
        foreach (string word in texts.SelectMany(In))
        {
            if (words.Count >= MaxWords)
            {
                break;
            }
            words.Add(word);
        }
        return [.. words];
    }

    /// <summary>The different words that a question asks for: each must begin a word of what is found.</summary>
    public static IReadOnlyList<string> Asked(string question)
    {
        ArgumentNullException.ThrowIfNull(question);
        return [.. Words(question, withWholes: false).Distinct(StringComparer.Ordinal).Take(MaxAskedWords)];
    }

    /// <summary>Whether a text has a word that begins so.</summary>
    /// <param name="text">The text.</param>
    /// <param name="asked">A word of <see cref="Asked"/>.</param>
    public static bool Has(string text, string asked) =>
        In(text).Any(word => word.StartsWith(asked, StringComparison.Ordinal));

    private static IEnumerable<string> Words(string text, bool withWholes)
    {
        // The whole of a name goes over single dashes, dots, slashes and underscores, not over blanks.
        StringBuilder part = new();
        StringBuilder whole = new();
        int parts = 0;
        int at = 0;
        foreach (Rune rune in text.EnumerateRunes().Append(new Rune(' ')))
        {
            at += rune.Utf16SequenceLength;
            if (Rune.IsLetterOrDigit(rune))
            {
                Add(part, rune);
                continue;
            }
            if (Rune.GetUnicodeCategory(rune) == UnicodeCategory.NonSpacingMark)
            {
                continue;
            }
            if (part.Length > 0)
            {
                parts++;
                whole.Append(part);
                yield return Cut(part);
                part.Clear();
            }
            bool joins = rune.Value is '-' or '.' or '/' or '_' && at < text.Length && char.IsLetterOrDigit(text[at]);
            if (!joins)
            {
                if (withWholes && parts > 1)
                {
                    yield return Cut(whole);
                }
                whole.Clear();
                parts = 0;
            }
        }
    }

    private static void Add(StringBuilder part, Rune rune)
    {
        Rune small = Rune.ToLowerInvariant(rune);
        if (!small.IsBmp)
        {
            part.Append(small.ToString());
            return;
        }
        char plain = LetterFolds.Plain((char)small.Value);
        _ = LetterFolds.Pair(plain) is { } pair ? part.Append(pair) : part.Append(plain);
    }

    private static string Cut(StringBuilder word)
    {
        int length = Math.Min(word.Length, MaxWordLength);
        // Never half of a pair of characters.
        return word.ToString(0, length < word.Length && char.IsHighSurrogate(word[length - 1]) ? length - 1 : length);
    }
}
