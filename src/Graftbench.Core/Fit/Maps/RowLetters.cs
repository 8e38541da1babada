using Graftbench.Core.Inspection;

namespace Graftbench.Core.Fit.Maps;

/// <summary>Finds the alphabet that a list counts its rows with.</summary>
/// <remarks>
/// Usual are twenty letters without I, O, Q, S, X and Z (from memory: JEDEC JEP95 practice), but designers have met lists
/// with nothing left out, and libraries with a row I too many, which shifts every row below it by one.
/// </remarks>
internal static class RowLetters
{
    private const int MostNamed = 8;
    private const string All = "ABCDEFGHIJKLMNOPQRSTUVWXYZ";

    // In the order in which they are tried; the names say what is left out.
    private static readonly (string Letters, string Words)[] Known =
    [
        (BallNames.StandardLetters, "the usual twenty letters, without I, O, Q, S, X and Z"),
        (Without("IOQSZ"), "letters without I, O, Q, S and Z"),
        (Without("IOSXZ"), "letters without I, O, S, X and Z"),
        (Without("IOQS"), "letters without I, O, Q and S"),
        (Without("IOQ"), "letters without I, O and Q"),
        (Without("IO"), "letters without I and O"),
        (All, "all twenty-six letters"),
    ];

    /// <summary>Alphabet, what to say of it, and what is doubtful; the first that holds all letters and leaves fewest rows empty.</summary>
    /// <param name="prefixes">Letters of the rows as the list has them.</param>
    public static (string Letters, string Words, string? Doubt) Of(IReadOnlySet<string> prefixes)
    {
        HashSet<char> used = [.. prefixes.SelectMany(prefix => prefix)];
        List<(string Letters, string Words, int Gaps)> fit =
        [
            .. Known
                .Where(one => used.All(letter => one.Letters.Contains(letter, StringComparison.Ordinal)))
                .Select(one => (one.Letters, one.Words, Gaps(prefixes, one.Letters))),
        ];
        (string letters, string words, int gaps) = fit.MinBy(one => one.Gaps);
        string odd = string.Concat(
            used.Where(letter => !BallNames.StandardLetters.Contains(letter, StringComparison.Ordinal)).Order()
        );
        string? doubt = (odd.Length, gaps) switch
        {
            (0, 0) => null,
            (0, _) => $"{Empty(prefixes, letters)} no ball at all: left empty, or forgotten.",
            _ =>
                $"The list counts a row {string.Join(" and a row ", odd.ToCharArray())}, which most packages leave out: every row below would be off against a list without it.",
        };
        return (letters, words, doubt);
    }

    private static string Empty(IReadOnlySet<string> prefixes, string letters)
    {
        int most = prefixes.Max(prefix => BallNames.Parse(prefix + "1", letters)!.Value.Row);
        string[] empty =
        [
            .. Enumerable
                .Range(0, most + 1)
                .Select(row => BallNames.Of(row, 0, letters)[..^1])
                .Where(name => !prefixes.Contains(name)),
        ];
        string names = string.Join(", ", empty.Take(MostNamed)) + (empty.Length > MostNamed ? " and others" : "");
        return empty.Length == 1 ? $"Row {names} has" : $"{empty.Length} rows ({names}) have";
    }

    private static int Gaps(IReadOnlySet<string> prefixes, string letters)
    {
        int most = prefixes.Max(prefix => BallNames.Parse(prefix + "1", letters)!.Value.Row);
        return most + 1 - prefixes.Count;
    }

    private static string Without(string left) =>
        string.Concat(All.Where(letter => !left.Contains(letter, StringComparison.Ordinal)));
}
