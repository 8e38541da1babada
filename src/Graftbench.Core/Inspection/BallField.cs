namespace Graftbench.Core.Inspection;

/// <summary>From where balls are seen. The underside seen from below mirrors the columns of the view from the top.</summary>
public enum BallView
{
    /// <summary>Through the package from above, or the board's lands: from A1 columns run to the right and rows down.</summary>
    Top,

    /// <summary>The underside, balls up: with A1 upper right columns run to the left and rows down.</summary>
    Bottom,

    /// <summary>Balls in the holes of a stencil that lies on the underside: the same way round as the underside.</summary>
    Stencil,
}

/// <summary>The ball field of a package: how many rows and columns at what pitch, and which sites have a ball.</summary>
/// <remarks>
/// Sites are (row, column) from 0: row 0 is A, column 0 is 1. A name means the same ball in every view; only pictures have
/// a view.
/// </remarks>
public sealed class BallField
{
    /// <summary>Most rows or columns, the same as in a job.</summary>
    public const int MaxSide = 100;

    private readonly bool[] sites;

    /// <summary>Takes a field.</summary>
    /// <param name="rows">Rows, 1 to <see cref="MaxSide"/>.</param>
    /// <param name="columns">Columns, 1 to <see cref="MaxSide"/>.</param>
    /// <param name="pitchMm">Pitch [mm], above 0.</param>
    /// <param name="sites">Which sites have a ball, row by row, length rows·columns; null for all of them.</param>
    /// <param name="ballDiameterMm">Nominal diameter of the balls [mm]; null where unknown.</param>
    /// <param name="letters">Alphabet of the rows.</param>
    /// <exception cref="ArgumentException">A size is out of range, or no site has a ball.</exception>
    public BallField(
        int rows,
        int columns,
        double pitchMm,
        IReadOnlyList<bool>? sites = null,
        double? ballDiameterMm = null,
        string letters = BallNames.StandardLetters
    )
    {
        ArgumentOutOfRangeException.ThrowIfLessThan(rows, 1);
        ArgumentOutOfRangeException.ThrowIfGreaterThan(rows, Math.Min(MaxSide, BallNames.MostRows(letters)));
        ArgumentOutOfRangeException.ThrowIfLessThan(columns, 1);
        ArgumentOutOfRangeException.ThrowIfGreaterThan(columns, MaxSide);
        if (!(pitchMm > 0) || !double.IsFinite(pitchMm))
        {
            throw new ArgumentOutOfRangeException(nameof(pitchMm), pitchMm, "A pitch is above 0 mm.");
        }
        if (ballDiameterMm is { } ball && !(ball > 0 && ball < pitchMm))
        {
            throw new ArgumentOutOfRangeException(
                nameof(ballDiameterMm),
                ball,
                "A ball is above 0 mm and smaller than the pitch."
            );
        }
        if (sites is not null && sites.Count != rows * columns)
        {
            throw new ArgumentException($"Needs {rows * columns} sites, has {sites.Count}.", nameof(sites));
        }
        this.sites = sites is null ? Enumerable.Repeat(true, rows * columns).ToArray() : [.. sites];
        Count = this.sites.Count(has => has);
        if (Count == 0)
        {
            throw new ArgumentException("No site has a ball.", nameof(sites));
        }
        Rows = rows;
        Columns = columns;
        PitchMm = pitchMm;
        BallDiameterMm = ballDiameterMm;
        Letters = letters;
    }

    /// <summary>Rows, empty sites included.</summary>
    public int Rows { get; }

    /// <summary>Columns, empty sites included.</summary>
    public int Columns { get; }

    /// <summary>Pitch [mm].</summary>
    public double PitchMm { get; }

    /// <summary>Nominal diameter of the balls [mm]; null where unknown.</summary>
    public double? BallDiameterMm { get; }

    /// <summary>Alphabet of the rows.</summary>
    public string Letters { get; }

    /// <summary>How many sites have a ball.</summary>
    public int Count { get; }

    /// <summary>Whether a site has a ball; false outside of the field.</summary>
    public bool Has(int row, int column) =>
        row >= 0 && row < Rows && column >= 0 && column < Columns && sites[row * Columns + column];

    /// <summary>Name of a site.</summary>
    public string NameOf(int row, int column) => BallNames.Of(row, column, Letters);

    /// <summary>The site of a name; null where the field has no such site, with or without a ball.</summary>
    public (int Row, int Column)? SiteOf(string name) =>
        BallNames.Parse(name, Letters) is { } site && site.Row < Rows && site.Column < Columns ? site : null;

    /// <summary>Sites that have a ball, row by row.</summary>
    public IEnumerable<(int Row, int Column)> Sites()
    {
        for (int row = 0; row < Rows; row++)
        {
            for (int column = 0; column < Columns; column++)
            {
                if (Has(row, column))
                {
                    yield return (row, column);
                }
            }
        }
    }

    /// <summary>A field with empty rows and columns in its middle, as a job describes it.</summary>
    /// <param name="rows">Rows.</param>
    /// <param name="columns">Columns.</param>
    /// <param name="emptyRows">Rows without balls in the middle.</param>
    /// <param name="emptyColumns">Columns without balls in the middle.</param>
    /// <param name="pitchMm">Pitch [mm].</param>
    /// <param name="ballDiameterMm">Nominal diameter of the balls [mm].</param>
    public static BallField WithEmptyMiddle(
        int rows,
        int columns,
        int emptyRows,
        int emptyColumns,
        double pitchMm,
        double? ballDiameterMm = null
    )
    {
        int top = (rows - emptyRows) / 2;
        int left = (columns - emptyColumns) / 2;
        bool[] has = new bool[rows * columns];
        for (int i = 0; i < has.Length; i++)
        {
            int row = i / columns;
            int column = i % columns;
            has[i] = !(row >= top && row < top + emptyRows && column >= left && column < left + emptyColumns);
        }
        return new BallField(rows, columns, pitchMm, has, ballDiameterMm);
    }
}
