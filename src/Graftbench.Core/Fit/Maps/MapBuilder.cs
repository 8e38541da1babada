using Graftbench.Core.Inspection;
using static System.FormattableString;

namespace Graftbench.Core.Fit.Maps;

/// <summary>A ball as a reader found it, before rows and columns are known.</summary>
internal sealed record FoundBall(
    int Line,
    string Name,
    string Signal,
    BallClass Class,
    ClassBasis Basis,
    string? Rail = null,
    double? LeastV = null,
    double? UsualV = null,
    double? MostV = null,
    double? MostCurrentA = null,
    string? Note = null
);

/// <summary>Makes a map of the balls that a reader found: splits names, finds the alphabet, tells doubles.</summary>
internal static class MapBuilder
{
    /// <summary>Most balls of a package.</summary>
    public const int MostBalls = 10_000;

    /// <summary>Most problems that are listed one by one.</summary>
    public const int MostProblems = 200;

    private const int LongestName = 60;

    /// <summary>The map; null where there is no ball grid in it.</summary>
    public static BallMap? Build(
        string package,
        string format,
        BallView view,
        IReadOnlyList<FoundBall> found,
        IReadOnlyList<string> notes,
        List<MapProblem> problems
    )
    {
        if (found.Count > MostBalls)
        {
            problems.Add(
                new MapProblem(
                    0,
                    Invariant($"{package}: {found.Count} balls; at most {MostBalls} are taken."),
                    "Split the list by package.",
                    Package: package
                )
            );
            return null;
        }
        if (found.Count == 0)
        {
            problems.Add(
                new MapProblem(
                    0,
                    $"{Short(package)}: the list holds no ball.",
                    "Fetch the whole file.",
                    Package: package
                )
            );
            return null;
        }
        List<(FoundBall Ball, string Name, string Prefix, int Number)> named = [];
        List<FoundBall> odd = [];
        foreach (FoundBall ball in found)
        {
            if (Parts(ball.Name) is { } parts)
            {
                named.Add((ball, parts.Name, parts.Prefix, parts.Number));
            }
            else
            {
                odd.Add(ball);
            }
        }
        if (named.Count == 0 && odd.TrueForAll(ball => Numbered(ball.Name)))
        {
            problems.Add(
                new MapProblem(
                    odd[0].Line,
                    $"{Short(package)}: its pins are numbered, so it is no package with a grid of balls.",
                    "Take the package whose balls are named A1, A2 and so on.",
                    Package: package
                )
            );
            return null;
        }
        foreach (FoundBall ball in odd.Take(MostProblems))
        {
            problems.Add(
                new MapProblem(
                    ball.Line,
                    $"'{Short(ball.Name)}' is no name of a ball.",
                    "A ball is one or two letters and a number from 1 to 100, such as A1 or AB12.",
                    Stops: named.Count == 0,
                    Package: package
                )
            );
        }
        if (named.Count == 0)
        {
            return null;
        }
        (string letters, string words, string? doubt) = RowLetters.Of(named.Select(one => one.Prefix).ToHashSet());
        if (doubt is not null)
        {
            problems.Add(
                new MapProblem(
                    0,
                    $"{package}: {doubt}",
                    "Hold it against the package drawing.",
                    Stops: false,
                    Package: package
                )
            );
        }
        Dictionary<string, int> rows = named
            .Select(one => one.Prefix)
            .Distinct()
            .ToDictionary(prefix => prefix, prefix => BallNames.Parse(prefix + "1", letters)!.Value.Row);
        // By row and column, so that they come out in order.
        MapBall?[] balls = new MapBall?[BallField.MaxSide * BallField.MaxSide];
        int[] lines = new int[balls.Length];
        int doubles = 0;
        foreach ((FoundBall ball, string name, string prefix, int number) in named)
        {
            (int row, int column) = (rows[prefix], number - 1);
            if (row >= BallField.MaxSide)
            {
                problems.Add(
                    new MapProblem(
                        ball.Line,
                        Invariant($"{ball.Name} is in row {row + 1}; at most {BallField.MaxSide} rows are taken."),
                        "Correct the name.",
                        Package: package
                    )
                );
                continue;
            }
            int site = (row * BallField.MaxSide) + column;
            if (balls[site] is { } other)
            {
                doubles++;
                if (doubles <= MostProblems)
                {
                    problems.Add(
                        new MapProblem(
                            ball.Line,
                            Invariant(
                                $"{package}: ball {name} is listed twice, as {Short(other.Signal)} (line {lines[site]}) and as {Short(ball.Signal)}."
                            ),
                            "Strike the wrong one.",
                            Package: package
                        )
                    );
                }
                continue;
            }
            lines[site] = ball.Line;
            balls[site] = new MapBall(
                name,
                row,
                column,
                ball.Signal,
                ball.Class,
                ball.Basis,
                ball.Rail,
                ball.LeastV,
                ball.UsualV,
                ball.MostV,
                ball.MostCurrentA,
                ball.Note
            );
        }
        MapBall[] sound = [.. balls.OfType<MapBall>()];
        return sound.Length == 0
            ? null
            : new BallMap(package, format, view, letters, $"Rows count by {words}.", sound, notes);
    }

    // 15 or PIN15: leads that are counted round a package.
    private static bool Numbered(string name) =>
        (name.StartsWith("PIN", StringComparison.OrdinalIgnoreCase) ? name[3..] : name).All(char.IsAsciiDigit);

    /// <summary>A text cut for a message.</summary>
    public static string Short(string text) => text.Length <= LongestName ? text : text[..LongestName] + "...";

    // One or two letters and a number of at most three digits.
    private static (string Name, string Prefix, int Number)? Parts(string name)
    {
        string upper = name.Trim().ToUpperInvariant();
        int letters = 0;
        while (letters < upper.Length && char.IsAsciiLetterUpper(upper[letters]))
        {
            letters++;
        }
        int digits = upper.Length - letters;
        if (letters is not (1 or 2) || digits is not (> 0 and <= 3))
        {
            return null;
        }
        int number = 0;
        foreach (char digit in upper.AsSpan(letters))
        {
            if (!char.IsAsciiDigit(digit))
            {
                return null;
            }
            number = (10 * number) + (digit - '0');
        }
        string prefix = upper[..letters];
        return number is < 1 or > BallField.MaxSide ? null
            : upper[letters] == '0' ? (Invariant($"{prefix}{number}"), prefix, number)
            : (upper, prefix, number);
    }
}
