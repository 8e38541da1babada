namespace Graftbench.Core.Facts;

/// <summary>
/// Cells of a list in columns that hold somebody's words. A spreadsheet takes a cell that begins with a sign of a formula for
/// one and may run it: a net called "+3V3" gives an error, a note that begins with "=" can do worse. Such words get an apostrophe
/// in front, which spreadsheets take for "text follows", and lose it again when they are read.
/// </summary>
public static class CsvCell
{
    private const char Mark = '\'';

    /// <summary>Words as a cell: on one line, defused, in quotes where they need them.</summary>
    /// <param name="words">Somebody's words; numbers are no words and stay as they are.</param>
    public static string Of(string words)
    {
        ArgumentNullException.ThrowIfNull(words);
        // A line end would begin another line of the list.
        return Quoted(Defused(words.ReplaceLineEndings(" ").Trim()));
    }

    /// <summary>A cell's text, in quotes where it needs them, as it is otherwise.</summary>
    public static string Quoted(string text)
    {
        ArgumentNullException.ThrowIfNull(text);
        return text.AsSpan().IndexOfAny(",;\t\"#") >= 0
            ? $"\"{text.Replace("\"", "\"\"", StringComparison.Ordinal)}\""
            : text;
    }

    /// <summary>Words that no spreadsheet takes for a formula.</summary>
    public static string Defused(string words) => BeginsAsFormula(words) ? Mark + words : words;

    /// <summary>The words of a cell: what <see cref="Defused"/> put in front is taken off.</summary>
    public static string Words(string cell)
    {
        ArgumentNullException.ThrowIfNull(cell);
        return cell.StartsWith(Mark) && BeginsAsFormula(cell) ? cell[1..] : cell;
    }

    // Words that begin with apostrophes and then such a sign get one more, so that taking one off gives them back.
    private static bool BeginsAsFormula(string words)
    {
        ArgumentNullException.ThrowIfNull(words);
        ReadOnlySpan<char> rest = words.AsSpan().TrimStart(Mark);
        return rest.Length > 0
            && rest[0] is ('=' or '+' or '-' or '@' or '\t' or '\r' or '\n' or '＝' or '＋' or '－' or '＠');
    }
}
