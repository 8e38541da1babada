namespace Graftbench.Core.Inspection;

/// <summary>Names of balls: letters for the row, a number for the column, such as <c>A1</c> or <c>AC24</c>.</summary>
/// <remarks>
/// The usual alphabet leaves out I, O, Q, S, X and Z, twenty letters in all (from memory: JEDEC JEP95 practice). Not every
/// list keeps to it, so every function takes the alphabet.
/// </remarks>
public static class BallNames
{
    /// <summary>The twenty letters that are usual.</summary>
    public const string StandardLetters = "ABCDEFGHJKLMNPRTUVWY";

    /// <summary>Most rows that one or two letters of an alphabet can name.</summary>
    /// <param name="letters">The alphabet.</param>
    public static int MostRows(string letters = StandardLetters)
    {
        RequireLetters(letters);
        return letters.Length * (letters.Length + 1);
    }

    /// <summary>Letters of a row: with the usual alphabet A, B ... Y, AA, AB ... AY, BA and on.</summary>
    /// <param name="row">Row, from 0.</param>
    /// <param name="letters">The alphabet.</param>
    /// <exception cref="ArgumentOutOfRangeException">No two letters name such a row.</exception>
    public static string Row(int row, string letters = StandardLetters)
    {
        ArgumentOutOfRangeException.ThrowIfNegative(row);
        ArgumentOutOfRangeException.ThrowIfGreaterThanOrEqual(row, MostRows(letters));
        int n = letters.Length;
        return row < n ? letters[row].ToString() : $"{letters[row / n - 1]}{letters[row % n]}";
    }

    /// <summary>Name of a ball.</summary>
    /// <param name="row">Row, from 0.</param>
    /// <param name="column">Column, from 0; column 0 is written 1.</param>
    /// <param name="letters">The alphabet.</param>
    public static string Of(int row, int column, string letters = StandardLetters)
    {
        ArgumentOutOfRangeException.ThrowIfNegative(column);
        return FormattableString.Invariant($"{Row(row, letters)}{column + 1}");
    }

    /// <summary>Reads a name; small letters pass for large ones.</summary>
    /// <param name="name">Such as <c>A1</c>.</param>
    /// <param name="letters">The alphabet.</param>
    /// <returns>Row and column from 0; null where it is no name in this alphabet.</returns>
    public static (int Row, int Column)? Parse(string name, string letters = StandardLetters)
    {
        ArgumentNullException.ThrowIfNull(name);
        RequireLetters(letters);
        string upper = name.Trim().ToUpperInvariant();
        int split = 0;
        int row = 0;
        while (
            split < upper.Length
            && split < 2
            && letters.IndexOf(upper[split], StringComparison.Ordinal) is >= 0 and int at
        )
        {
            row = split == 0 ? at : (row + 1) * letters.Length + at;
            split++;
        }
        string digits = upper[split..];
        bool number = split > 0 && digits.Length is > 0 and <= 4 && digits[0] != '0' && digits.All(char.IsAsciiDigit);
        return number ? (row, int.Parse(digits, System.Globalization.CultureInfo.InvariantCulture) - 1) : null;
    }

    private static void RequireLetters(string letters)
    {
        ArgumentNullException.ThrowIfNull(letters);
        if (ReferenceEquals(letters, StandardLetters))
        {
            return;
        }
        if (
            letters.Length is 0 or > 26
            || letters.Any(letter => !char.IsAsciiLetterUpper(letter))
            || letters.Distinct().Count() != letters.Length
        )
        {
            throw new ArgumentException("An alphabet has 1 to 26 large letters, each once.", nameof(letters));
        }
    }
}
