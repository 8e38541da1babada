using Graftbench.Core.Findings;
using static System.FormattableString;

namespace Graftbench.Core.Fit.Maps;

/// <summary>The eight ways in which a square field comes to lie on itself.</summary>
public enum FieldTurn
{
    /// <summary>As it is.</summary>
    AsIs,

    /// <summary>A quarter turn clockwise.</summary>
    Quarter,

    /// <summary>Half a turn.</summary>
    Half,

    /// <summary>A quarter turn counter-clockwise.</summary>
    ThreeQuarters,

    /// <summary>Columns mirrored: the list was read off the other side.</summary>
    MirroredColumns,

    /// <summary>Rows mirrored.</summary>
    MirroredRows,

    /// <summary>Mirrored on the diagonal through A1.</summary>
    MirroredDiagonal,

    /// <summary>Mirrored on the other diagonal.</summary>
    MirroredOtherDiagonal,
}

/// <summary>How two balls at one site compare.</summary>
public enum BallMatch
{
    /// <summary>The same function.</summary>
    Same,

    /// <summary>Both are signals under different names: a person decides.</summary>
    Renamed,

    /// <summary>A supply on another rail.</summary>
    OtherRail,

    /// <summary>One list says too little.</summary>
    Unclear,

    /// <summary>The donor has a ball where the host has none connected, or the other way round.</summary>
    NotConnected,

    /// <summary>The donor needs power where the host gives none.</summary>
    NoPower,

    /// <summary>Supply against ground, or a signal against either.</summary>
    Clash,

    /// <summary>Only the donor has a ball here.</summary>
    OnlyDonor,

    /// <summary>Only the host has one.</summary>
    OnlyHost,
}

/// <summary>One site of both lists.</summary>
/// <param name="Name">Name of the ball on the host.</param>
/// <param name="Row">Row on the host, from 0.</param>
/// <param name="Column">Column on the host, from 0.</param>
/// <param name="Host">Ball of the host's list; null where it has none.</param>
/// <param name="Donor">Ball of the donor's list; null where it has none.</param>
/// <param name="Match">How they compare.</param>
public sealed record SiteMatch(string Name, int Row, int Column, MapBall? Host, MapBall? Donor, BallMatch Match);

/// <summary>How well a turn makes the lists agree.</summary>
/// <param name="Turn">The turn of the donor's field.</param>
/// <param name="AgreeNumber">Balls with the same function.</param>
public sealed record TurnScore(FieldTurn Turn, int AgreeNumber);

/// <summary>Two ball lists compared.</summary>
/// <param name="Scores">All turns that the fields allow, the best first.</param>
/// <param name="Sites">Every site of either list, as they are.</param>
/// <param name="Findings">What that means, worst first.</param>
public sealed record MapComparison(
    IReadOnlyList<TurnScore> Scores,
    IReadOnlyList<SiteMatch> Sites,
    IReadOnlyList<Finding> Findings
)
{
    /// <summary>Sites of a match.</summary>
    public int Number(BallMatch match) => Sites.Count(site => site.Match == match);
}

/// <summary>Compares the ball lists of host and donor: under all eight turns, then ball by ball.</summary>
/// <remarks>Own rule: the identity must win by a margin, otherwise a list is the wrong way round or says too little.</remarks>
public static partial class MapComparer
{
    private const string Rule = "ball-map-rules";
    private const double ClearFraction = 0.1;
    private const int Named = 12;

    /// <summary>Compares.</summary>
    /// <param name="host">List of the chip that the board is made for.</param>
    /// <param name="donor">List of the chip that is to go on it.</param>
    public static MapComparison Compare(BallMap host, BallMap donor)
    {
        ArgumentNullException.ThrowIfNull(host);
        ArgumentNullException.ThrowIfNull(donor);
        MapBall?[] grid = Grid(host);
        List<TurnScore> scores =
        [
            .. Enum.GetValues<FieldTurn>()
                .Where(turn => Fits(turn, donor, host))
                .Select(turn => new TurnScore(turn, Score(host, grid, donor, turn)))
                .OrderByDescending(score => score.AgreeNumber)
                .ThenBy(score => score.Turn),
        ];
        List<SiteMatch> sites = Sites(host, donor);
        return new MapComparison(scores, sites, Finding.WorstFirst(Findings(host, donor, scores, sites)));
    }

    private static MapBall?[] Grid(BallMap map)
    {
        MapBall?[] grid = new MapBall?[map.Rows * map.Columns];
        foreach (MapBall ball in map.Balls)
        {
            grid[(ball.Row * map.Columns) + ball.Column] = ball;
        }
        return grid;
    }

    // A turned field must be as large as the other, except as it is.
    private static bool Fits(FieldTurn turn, BallMap donor, BallMap host)
    {
        bool crossed =
            turn
            is FieldTurn.Quarter
                or FieldTurn.ThreeQuarters
                or FieldTurn.MirroredDiagonal
                or FieldTurn.MirroredOtherDiagonal;
        return turn == FieldTurn.AsIs
            || (crossed ? (donor.Columns, donor.Rows) : (donor.Rows, donor.Columns)) == (host.Rows, host.Columns);
    }

    // Where a ball of the donor comes to lie.
    private static (int Row, int Column) Turned(FieldTurn turn, MapBall ball, BallMap map)
    {
        int lastRow = map.Rows - 1;
        int lastColumn = map.Columns - 1;
        return turn switch
        {
            FieldTurn.Quarter => (ball.Column, lastRow - ball.Row),
            FieldTurn.Half => (lastRow - ball.Row, lastColumn - ball.Column),
            FieldTurn.ThreeQuarters => (lastColumn - ball.Column, ball.Row),
            FieldTurn.MirroredColumns => (ball.Row, lastColumn - ball.Column),
            FieldTurn.MirroredRows => (lastRow - ball.Row, ball.Column),
            FieldTurn.MirroredDiagonal => (ball.Column, ball.Row),
            FieldTurn.MirroredOtherDiagonal => (lastColumn - ball.Column, lastRow - ball.Row),
            _ => (ball.Row, ball.Column),
        };
    }

    private static int Score(BallMap host, MapBall?[] grid, BallMap donor, FieldTurn turn)
    {
        int agree = 0;
        foreach (MapBall ball in donor.Balls)
        {
            (int row, int column) = Turned(turn, ball, donor);
            if (
                row < host.Rows
                && column < host.Columns
                && grid[(row * host.Columns) + column] is { } other
                && other.DoesAs(ball)
            )
            {
                agree++;
            }
        }
        return agree;
    }

    private static List<SiteMatch> Sites(BallMap host, BallMap donor)
    {
        Dictionary<(int, int), MapBall> donors = donor.Balls.ToDictionary(ball => (ball.Row, ball.Column));
        List<SiteMatch> sites = [];
        foreach (MapBall ball in host.Balls)
        {
            donors.Remove((ball.Row, ball.Column), out MapBall? other);
            sites.Add(
                new SiteMatch(
                    ball.Name,
                    ball.Row,
                    ball.Column,
                    ball,
                    other,
                    other is null ? BallMatch.OnlyHost : Match(ball, other)
                )
            );
        }
        sites.AddRange(
            donors.Values.Select(ball => new SiteMatch(
                ball.Name,
                ball.Row,
                ball.Column,
                null,
                ball,
                BallMatch.OnlyDonor
            ))
        );
        return [.. sites.OrderBy(site => site.Row).ThenBy(site => site.Column)];
    }

    private static BallMatch Match(MapBall host, MapBall donor)
    {
        if (host.Class == BallClass.Unknown || donor.Class == BallClass.Unknown)
        {
            return BallMatch.Unclear;
        }
        if (host.DoesAs(donor))
        {
            return BallMatch.Same;
        }
        bool hostOpen = host.Class is BallClass.NoConnect or BallClass.Reserved;
        bool donorOpen = donor.Class is BallClass.NoConnect or BallClass.Reserved;
        return (host.Class, donor.Class) switch
        {
            (BallClass.Supply, BallClass.Supply) => BallMatch.OtherRail,
            (BallClass.Signal, BallClass.Signal) => BallMatch.Renamed,
            _ when hostOpen && donor.Class is BallClass.Supply or BallClass.Ground => BallMatch.NoPower,
            _ when hostOpen || donorOpen => BallMatch.NotConnected,
            _ => BallMatch.Clash,
        };
    }

    private static IEnumerable<Finding> Findings(
        BallMap host,
        BallMap donor,
        List<TurnScore> scores,
        List<SiteMatch> sites
    )
    {
        if ((host.Rows, host.Columns) != (donor.Rows, donor.Columns))
        {
            yield return new Finding(
                Verdict.Blocker,
                "fit.field",
                "ball field",
                "The fields are not the same size.",
                Invariant($"donor {donor.Rows} by {donor.Columns}"),
                Invariant($"host {host.Rows} by {host.Columns}"),
                Rule,
                "Check that both lists are of the right package."
            );
        }
        foreach (Finding turn in Turns(host, donor, scores))
        {
            yield return turn;
        }
        foreach ((BallMatch match, Verdict verdict, string code, string what, string todo) in Rules)
        {
            List<SiteMatch> of = [.. sites.Where(site => site.Match == match)];
            if (of.Count == 0)
            {
                continue;
            }
            IEnumerable<string> shown = of.Take(Named)
                .Select(site => $"{site.Name} {site.Host?.Carries ?? "none"} / {site.Donor?.Carries ?? "none"}");
            string more = of.Count > Named ? Invariant($", and {of.Count - Named} more") : "";
            yield return new Finding(
                verdict,
                code,
                Invariant($"{of.Count} {(of.Count == 1 ? "ball" : "balls")}"),
                what,
                $"host / donor: {string.Join(", ", shown)}{more}",
                Source: Rule,
                Todo: todo
            );
        }
        List<MapBall> guessed = [.. host.Balls.Concat(donor.Balls).Where(ball => ball.Basis == ClassBasis.ByName)];
        if (guessed.Count > 0)
        {
            yield return new Finding(
                Verdict.Warning,
                "fit.by-name",
                "ball lists",
                Invariant(
                    $"What {guessed.Count} of {host.Balls.Count + donor.Balls.Count} balls are for was guessed from their names."
                ),
                string.Join(
                    ", ",
                    guessed
                        .OrderBy(ball => ball.Class == BallClass.Signal)
                        .Select(ball => ball.Signal)
                        .Distinct(StringComparer.OrdinalIgnoreCase)
                        .Take(Named)
                ),
                Source: Rule,
                Todo: "Hold supplies and grounds against the data sheets."
            );
        }
        int same = sites.Count(site => site.Match == BallMatch.Same);
        if (same == sites.Count)
        {
            yield return new Finding(
                Verdict.Ok,
                "fit.balls",
                "ball lists",
                "Every ball has the same function in both lists.",
                Invariant($"{same} of {sites.Count}"),
                Source: Rule
            );
        }
    }

    private static readonly (BallMatch, Verdict, string, string, string)[] Rules =
    [
        (
            BallMatch.Clash,
            Verdict.Blocker,
            "fit.clash",
            "Supply, ground and signal meet on one ball.",
            "Do not place this chip here."
        ),
        (
            BallMatch.NoPower,
            Verdict.Blocker,
            "fit.no-power",
            "The donor needs supply or ground where the host leaves the ball open.",
            "Place it only if the maker calls these balls optional; then set this aside with that reason."
        ),
        (
            BallMatch.OnlyDonor,
            Verdict.Blocker,
            "fit.only-donor",
            "The donor has balls where the host has no land.",
            "Check that both lists are of the right package."
        ),
        (
            BallMatch.OtherRail,
            Verdict.FixFirst,
            "fit.other-rail",
            "A supply is called otherwise: another rail, or only another name.",
            "Find the voltage of both rails; the same voltage and enough current make it a renaming."
        ),
        (
            BallMatch.OnlyHost,
            Verdict.Warning,
            "fit.only-host",
            "The host has lands where the donor has no ball.",
            "See what they carry: a function is missing, or they are spare."
        ),
        (
            BallMatch.NotConnected,
            Verdict.Warning,
            "fit.not-connected",
            "One side leaves a ball open or reserved that the other uses.",
            "See whether the function is needed, and whether a reserved ball may be driven."
        ),
        (
            BallMatch.Renamed,
            Verdict.Warning,
            "fit.renamed",
            "Signals have different names.",
            "A person decides: the same function under another name, or not."
        ),
        (
            BallMatch.Unclear,
            Verdict.Unknown,
            "fit.unclear",
            "A list does not say what these balls are for.",
            "Complete the list from the data sheet."
        ),
    ];

    /// <summary>A turn in words.</summary>
    /// <param name="turn">The turn.</param>
    public static string Words(FieldTurn turn) =>
        turn switch
        {
            FieldTurn.Quarter => "turned by 90°",
            FieldTurn.Half => "turned by 180°",
            FieldTurn.ThreeQuarters => "turned by 270°",
            FieldTurn.MirroredColumns => "columns mirrored",
            FieldTurn.MirroredRows => "rows mirrored",
            FieldTurn.MirroredDiagonal => "mirrored on the A1 diagonal",
            FieldTurn.MirroredOtherDiagonal => "mirrored on the other diagonal",
            _ => "as it is",
        };
}
