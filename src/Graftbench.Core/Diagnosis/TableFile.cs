using System.Globalization;
using static System.FormattableString;

namespace Graftbench.Core.Diagnosis;

/// <summary>Rows of the table of causes as a file, so that a shop can bring its own.</summary>
/// <remarks>
/// A line each: cause, test, chances as <c>outcome=0.6|outcome=0.4</c>, and how many cases it counts as (may be left out). In place
/// of a test the word <c>share</c> with one number: the cause's share before any test. Lines with <c>#</c> and the head are passed over.
/// </remarks>
public static class TableFile
{
    /// <summary>Longest file [characters].</summary>
    public const int MaxChars = 200_000;

    private const string Share = "share";

    /// <summary>Reads a file over a table.</summary>
    /// <param name="table">The table that it changes.</param>
    /// <param name="text">The file.</param>
    /// <param name="problems">All that is wrong with it, with lines; the table is given back unchanged then.</param>
    public static CauseTable Read(CauseTable table, string text, out IReadOnlyList<string> problems)
    {
        ArgumentNullException.ThrowIfNull(table);
        ArgumentNullException.ThrowIfNull(text);
        List<string> wrong = [];
        problems = wrong;
        if (text.Length > MaxChars)
        {
            wrong.Add(Invariant($"It has {text.Length} characters; at most {MaxChars} are read, our own limit."));
            return table;
        }
        List<TableEdit> edits = [];
        double[] shares = [.. table.Causes.Select(cause => cause.PriorFraction)];
        double strength = table.SharesStrengthNumber;
        bool told = false;
        foreach ((int i, string line) in text.ReplaceLineEndings("\n").Split('\n').Index())
        {
            string[] cells = [.. line.Split(',').Select(cell => cell.Trim())];
            if (cells[0].Length == 0 || cells[0][0] == '#' || cells[0] == "cause")
            {
                continue;
            }
            string where = Invariant($"line {i + 1}");
            if (cells.Length is < 3 or > 4)
            {
                wrong.Add(
                    $"{where}: write cause, test, chances and, if it is another than usual, how many cases it counts as."
                );
                continue;
            }
            double? counts = cells.Length == 4 && cells[3].Length > 0 ? Number(cells[3]) ?? double.NaN : null;
            if (cells[1] == Share)
            {
                int cause = table.CauseOf(cells[0]);
                if (cause < 0 || Number(cells[2]) is not { } share)
                {
                    wrong.Add($"{where}: '{Cut(cells[0])}' is no cause, or '{Cut(cells[2])}' no number.");
                    continue;
                }
                shares[cause] = share;
                strength = counts ?? strength;
                told = true;
            }
            else if (Row(table, cells, counts) is (null, { } problem))
            {
                wrong.Add($"{where}: {problem}");
            }
            else
            {
                edits.Add(Row(table, cells, counts).Edit!);
            }
        }
        TableEdit all = new(null, null, shares, strength);
        if (told && table.Problem(all) is { } sum)
        {
            wrong.Add($"shares of the causes, those that are not in the file as they were: {sum}");
        }
        if (wrong.Count == 0 && edits.Count == 0 && !told)
        {
            wrong.Add("There is no row in it.");
        }
        return wrong.Count > 0 ? table : table.Edited(told ? [.. edits, all] : edits);
    }

    private static (TableEdit? Edit, string? Problem) Row(CauseTable table, string[] cells, double? counts)
    {
        int cause = table.CauseOf(cells[0]);
        int test = table.TestOf(cells[1]);
        if (cause < 0 || test < 0)
        {
            return (
                null,
                cause < 0
                    ? $"there is no cause '{Cut(cells[0])}'; causes are {string.Join(", ", table.Causes.Select(one => one.Id))}."
                    : $"there is no test '{Cut(cells[1])}'; tests are {string.Join(", ", table.Tests.Select(one => one.Id))}, or {Share}."
            );
        }
        string[][] pairs = [.. cells[2].Split('|').Select(part => part.Split('='))];
        string[] due = [.. table.Tests[test].Outcomes.Select(outcome => outcome.Id)];
        if (
            pairs.Any(pair => pair.Length != 2 || Number(pair[1]) is null)
            || !pairs
                .Select(pair => pair[0].Trim())
                .Order(StringComparer.Ordinal)
                .SequenceEqual(due.Order(StringComparer.Ordinal))
        )
        {
            return (
                null,
                $"write {string.Join('|', due.Select(outcome => outcome + "=CHANCE"))}, not '{Cut(cells[2])}'."
            );
        }
        TableEdit edit = new(
            cells[0],
            cells[1],
            [.. due.Select(outcome => Number(pairs.First(pair => pair[0].Trim() == outcome)[1])!.Value)],
            counts ?? table.StrengthNumber(cause, test)
        );
        return table.Problem(edit) is { } problem ? (null, $"{cells[0]}, test {cells[1]}: {problem}") : (edit, null);
    }

    private static double? Number(string text) =>
        double.TryParse(text, NumberStyles.Float, CultureInfo.InvariantCulture, out double value)
        && double.IsFinite(value)
            ? value
            : null;

    private static string Cut(string text) => text.Length <= 40 ? text : text[..40] + "...";
}
