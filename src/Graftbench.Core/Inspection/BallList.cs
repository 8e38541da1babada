using static System.FormattableString;

namespace Graftbench.Core.Inspection;

/// <summary>Names of balls in a text: which sites have a ball, or which have none.</summary>
/// <remarks>
/// Names are parted by white space, commas or semicolons; <c>F6:K11</c> stands for a block, corners included; <c>#</c> starts a
/// remark. This is a list of names only, not yet a table with signals.
/// </remarks>
public static class BallList
{
    /// <summary>Longest text [characters].</summary>
    public const int MaxLength = 1_000_000;

    private const int MostProblems = 20;

    /// <summary>Reads names.</summary>
    /// <param name="text">The text.</param>
    /// <param name="rows">Rows of the field.</param>
    /// <param name="columns">Columns of the field.</param>
    /// <param name="letters">Alphabet of the rows.</param>
    /// <returns>Whether each site is named, row by row, and everything that is wrong; names twice are wrong too.</returns>
    public static (bool[] Named, IReadOnlyList<string> Problems) Read(
        string text,
        int rows,
        int columns,
        string letters = BallNames.StandardLetters
    )
    {
        ArgumentNullException.ThrowIfNull(text);
        bool[] named = new bool[rows * columns];
        List<string> problems = [];
        if (text.Length > MaxLength)
        {
            return (named, [Invariant($"The list has {text.Length} characters; at most {MaxLength} are read.")]);
        }
        int line = 0;
        foreach (string whole in text.ReplaceLineEndings("\n").Split('\n'))
        {
            line++;
            foreach (
                string word in whole
                    .Split('#')[0]
                    .Split((char[])[' ', '\t', ',', ';'], StringSplitOptions.RemoveEmptyEntries)
            )
            {
                string[] ends = word.Split(':');
                (int Row, int Column)? first = Site(ends[0], rows, columns, letters);
                (int Row, int Column)? last = ends.Length == 2 ? Site(ends[1], rows, columns, letters) : first;
                if (ends.Length > 2 || first is not { } a || last is not { } b)
                {
                    problems.Add(
                        Invariant(
                            $"Line {line}: {Short(word)} is no ball of a field of {rows} rows ({BallNames.Row(0, letters)} to {BallNames.Row(rows - 1, letters)}) and {columns} columns."
                        )
                    );
                }
                else
                {
                    Name(
                        named,
                        columns,
                        a,
                        b,
                        () => problems.Add(Invariant($"Line {line}: {Short(word)} is named twice."))
                    );
                }
                if (problems.Count >= MostProblems)
                {
                    problems.Add("More is wrong that is not listed.");
                    return (named, problems);
                }
            }
        }
        return (named, problems);
    }

    private static void Name(bool[] named, int columns, (int Row, int Column) a, (int Row, int Column) b, Action twice)
    {
        bool again = false;
        for (int row = Math.Min(a.Row, b.Row); row <= Math.Max(a.Row, b.Row); row++)
        {
            for (int column = Math.Min(a.Column, b.Column); column <= Math.Max(a.Column, b.Column); column++)
            {
                again |= named[row * columns + column];
                named[row * columns + column] = true;
            }
        }
        if (again)
        {
            twice();
        }
    }

    private static (int Row, int Column)? Site(string name, int rows, int columns, string letters) =>
        BallNames.Parse(name, letters) is { } site && site.Row < rows && site.Column < columns ? site : null;

    private static string Short(string word) => word.Length <= 24 ? word : word[..24] + "...";
}
