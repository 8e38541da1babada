using System.Text;

namespace Graftbench.Core.Facts;

/// <summary>Column names of <c>data/</c> in plain words: <c>thicknessMm</c> is "Thickness, mm".</summary>
public static class ColumnHeading
{
    // Names whose words would say less than these do.
    private static readonly Dictionary<string, string> Special = new(StringComparer.Ordinal)
    {
        ["id"] = "Short name",
        ["name"] = "Short name",
        ["logSd"] = "Spread, natural logarithm",
        ["measuredLogSd"] = "Spread once measured, natural logarithm",
        ["t260Min"] = "Time to delamination at 260 °C, min",
        ["t288Min"] = "Time to delamination at 288 °C, min",
        ["t300Min"] = "Time to delamination at 300 °C, min",
        ["tMaxK"] = "Valid up to, K",
        ["moltenC"] = "Fully molten from, °C",
        ["padLoss"] = "Chance of losing a pad",
        ["riseMostKPerS"] = "Highest rise, K/s",
        ["atoms"] = "Atoms in a formula",
    };

    // Longest first: a name ends in the first that fits.
    private static readonly (string Ending, string Unit)[] Units =
    [
        ("WPerMK", "W/(m K)"),
        ("JPerKgK", "J/(kg K)"),
        ("KgPerM3", "kg/m³"),
        ("JPerKg", "J/kg"),
        ("Percent", "%"),
        ("_percent", "%"),
        ("Number", ""),
        ("KPerS", "K/s"),
        ("Mm3", "mm³"),
        ("_mm", "mm"),
        ("Min", "min"),
        ("Mm", "mm"),
        ("_c", "°C"),
        ("_h", "h"),
        ("C", "°C"),
        ("G", "g"),
        ("K", "K"),
        ("S", "s"),
    ];

    /// <summary>The heading of a column.</summary>
    /// <param name="column">Its name in the file.</param>
    public static string Of(string column)
    {
        ArgumentException.ThrowIfNullOrEmpty(column);
        if (Special.TryGetValue(column, out string? special))
        {
            return special;
        }
        // A letter is a symbol of a formula, and stays as it is.
        if (column.Length == 1)
        {
            return column;
        }
        foreach ((string ending, string unit) in Units)
        {
            if (column.Length > ending.Length && column.EndsWith(ending, StringComparison.Ordinal))
            {
                string words = Words(column[..^ending.Length]);
                return unit.Length == 0 ? words : $"{words}, {unit}";
            }
        }
        return Words(column);
    }

    /// <summary>A text about a table, with the names of its columns as their headings.</summary>
    /// <param name="about">The text.</param>
    /// <param name="columns">Column names in the file.</param>
    public static string InWords(string about, IReadOnlyList<string> columns)
    {
        ArgumentNullException.ThrowIfNull(about);
        ArgumentNullException.ThrowIfNull(columns);
        StringBuilder words = new();
        int at = 0;
        while (at < about.Length)
        {
            int end = at;
            while (end < about.Length && (char.IsAsciiLetterOrDigit(about[end]) || about[end] == '_'))
            {
                end++;
            }
            string word = about[at..Math.Max(end, at + 1)];
            // A name that is a word of its own reads as one.
            bool isName =
                columns.Contains(word) && word.Any(letter => char.IsAsciiLetterUpper(letter) || letter == '_');
            words.Append(isName ? $"“{Of(word)}”" : word);
            at += word.Length;
        }
        return words.ToString();
    }

    // thicknessOver → Thickness over; rail.low → Rail: low; chip-dead → Chip dead.
    private static string Words(string name)
    {
        StringBuilder words = new();
        foreach (char letter in name)
        {
            if (letter == '.')
            {
                words.Append(": ");
            }
            else if (letter is '_' or '-')
            {
                words.Append(' ');
            }
            else if (char.IsAsciiLetterUpper(letter))
            {
                words.Append(' ').Append(char.ToLowerInvariant(letter));
            }
            else
            {
                words.Append(words.Length == 0 ? char.ToUpperInvariant(letter) : letter);
            }
        }
        return words.ToString();
    }
}
