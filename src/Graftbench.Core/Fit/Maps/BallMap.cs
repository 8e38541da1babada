using Graftbench.Core.Inspection;

namespace Graftbench.Core.Fit.Maps;

/// <summary>What a ball is for.</summary>
public enum BallClass
{
    /// <summary>Not told, and the name does not tell.</summary>
    Unknown,

    /// <summary>Ground.</summary>
    Ground,

    /// <summary>A supply.</summary>
    Supply,

    /// <summary>A signal.</summary>
    Signal,

    /// <summary>Not connected inside.</summary>
    NoConnect,

    /// <summary>Reserved by the maker: as the data sheet says, or left open.</summary>
    Reserved,
}

/// <summary>Where the class of a ball was read off.</summary>
public enum ClassBasis
{
    /// <summary>The list says so.</summary>
    Told,

    /// <summary>Guessed from its name: a person has to confirm it.</summary>
    ByName,
}

/// <summary>One ball of a list.</summary>
/// <param name="Name">Its name in large letters: <c>AB12</c>.</param>
/// <param name="Row">Row, from 0 at A.</param>
/// <param name="Column">Column, from 0 at 1.</param>
/// <param name="Signal">Name of what it carries, as the list has it.</param>
/// <param name="Class">What it is for.</param>
/// <param name="Basis">Where that was read off.</param>
/// <param name="Rail">Name of its rail; null where none is told.</param>
/// <param name="LeastV">Lowest voltage [V]; null where none is told.</param>
/// <param name="UsualV">Usual voltage [V]; null where none is told.</param>
/// <param name="MostV">Highest voltage [V]; null where none is told.</param>
/// <param name="MostCurrentA">Highest current [A]; null where none is told.</param>
/// <param name="Note">Note of the list; null for none.</param>
public sealed record MapBall(
    string Name,
    int Row,
    int Column,
    string Signal,
    BallClass Class,
    ClassBasis Basis,
    string? Rail = null,
    double? LeastV = null,
    double? UsualV = null,
    double? MostV = null,
    double? MostCurrentA = null,
    string? Note = null
)
{
    /// <summary>What two balls must have alike to do the same: ground, the rail, or the signal. Case does not count.</summary>
    public string Function { get; } =
        Class switch
        {
            BallClass.Ground => "ground",
            BallClass.NoConnect => "no connect",
            BallClass.Supply => "supply " + (Rail ?? Signal).ToUpperInvariant(),
            _ => SignalNames.Key(Signal),
        };

    /// <summary>Whether two balls of two lists do the same.</summary>
    /// <remarks>
    /// A list that groups its supplies under labels of its own (IBIS [Pin Mapping]) still names each ball as the data sheet does:
    /// where only one list has such labels, that name counts.
    /// </remarks>
    /// <param name="other">Ball of the other list.</param>
    public bool DoesAs(MapBall other)
    {
        ArgumentNullException.ThrowIfNull(other);
        return Function == other.Function
            || (
                Class == BallClass.Supply
                && other.Class == BallClass.Supply
                && !(HasLabel && other.HasLabel)
                && string.Equals(Signal, other.Signal, StringComparison.OrdinalIgnoreCase)
            );
    }

    private bool HasLabel => Rail is not null && !string.Equals(Rail, Signal, StringComparison.OrdinalIgnoreCase);

    /// <summary>What it carries, with its rail where that has a name of its own.</summary>
    public string Carries => HasLabel ? $"{Signal} (rail {Rail})" : Signal;
}

/// <summary>The balls of one package, as a list tells them.</summary>
/// <param name="Name">Name of the package or component in its file.</param>
/// <param name="Format">Kind of the file, in words.</param>
/// <param name="View">From where the list counts its columns; a name means the same ball in every view.</param>
/// <param name="Letters">Alphabet of the rows.</param>
/// <param name="LettersWords">Which alphabet that is and why it was taken.</param>
/// <param name="Balls">Balls, row by row.</param>
/// <param name="Notes">What else the file says of the part, one sentence each.</param>
public sealed record BallMap(
    string Name,
    string Format,
    BallView View,
    string Letters,
    string LettersWords,
    IReadOnlyList<MapBall> Balls,
    IReadOnlyList<string> Notes
)
{
    /// <summary>Rows, empty ones included.</summary>
    public int Rows { get; } = Balls.Max(ball => ball.Row) + 1;

    /// <summary>Columns, empty ones included.</summary>
    public int Columns { get; } = Balls.Max(ball => ball.Column) + 1;

    /// <summary>Names of sites inside the field that the list does not have.</summary>
    public IEnumerable<string> EmptySites()
    {
        HashSet<(int, int)> has = [.. Balls.Select(ball => (ball.Row, ball.Column))];
        for (int row = 0; row < Rows; row++)
        {
            for (int column = 0; column < Columns; column++)
            {
                if (!has.Contains((row, column)))
                {
                    yield return BallNames.Of(row, column, Letters);
                }
            }
        }
    }

    /// <summary>The field that pictures of it are held against.</summary>
    /// <param name="pitchMm">Pitch [mm].</param>
    /// <param name="ballDiameterMm">Diameter of the balls [mm]; null where unknown.</param>
    public BallField Field(double pitchMm, double? ballDiameterMm = null)
    {
        bool[] has = new bool[Rows * Columns];
        foreach (MapBall ball in Balls)
        {
            has[(ball.Row * Columns) + ball.Column] = true;
        }
        return new BallField(Rows, Columns, pitchMm, has, ballDiameterMm, Letters);
    }
}

/// <summary>What is wrong with a list.</summary>
/// <param name="Line">Line in the file, from 1; 0 where it is the file as a whole.</param>
/// <param name="What">What is wrong, in one sentence.</param>
/// <param name="Todo">What to do about it.</param>
/// <param name="Stops">Whether the list cannot be used as it is.</param>
/// <param name="Package">The package that it is about; null where it is the file as a whole.</param>
public sealed record MapProblem(int Line, string What, string Todo, bool Stops = true, string? Package = null);

/// <summary>What came of reading a file.</summary>
/// <param name="Packages">Every package that the file holds.</param>
/// <param name="Problems">All that is wrong, in the order of the file.</param>
public sealed record MapReading(IReadOnlyList<BallMap> Packages, IReadOnlyList<MapProblem> Problems)
{
    /// <summary>Whether it can be used as it is.</summary>
    public bool Sound => Packages.Count > 0 && !Problems.Any(problem => problem.Stops);

    /// <summary>
    /// The same for one package: what is wrong with the others does not stop it. Without a name it is the only package that could
    /// be read, and what is wrong with the others is still told; where several could, all stay and one has to be named.
    /// </summary>
    /// <param name="package">Name of the package; null or blank where nobody said.</param>
    public MapReading Of(string? package)
    {
        string? name = string.IsNullOrWhiteSpace(package) ? null : package.Trim();
        BallMap[] meant =
        [
            .. Packages.Where(one => name is null || string.Equals(one.Name, name, StringComparison.OrdinalIgnoreCase)),
        ];
        if (meant.Length != 1)
        {
            // Which package is meant has to be said first; one that is no ball grid does not matter beside others.
            return Packages.Count == 0
                ? this
                : this with
                {
                    Problems = [.. Problems.Select(one => one.Package is null ? one : one with { Stops = false })],
                };
        }
        bool About(MapProblem problem) =>
            problem.Package is null
            || string.Equals(problem.Package, meant[0].Name, StringComparison.OrdinalIgnoreCase);
        return new MapReading(
            meant,
            [
                .. Problems
                    .Where(problem => name is null || About(problem))
                    .Select(problem => About(problem) ? problem : problem with { Stops = false }),
            ]
        );
    }
}
