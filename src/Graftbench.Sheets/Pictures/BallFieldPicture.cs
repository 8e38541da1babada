using Graftbench.Core.Inspection;
using Graftbench.Sheets.Drawing;
using static System.FormattableString;

namespace Graftbench.Sheets.Pictures;

/// <summary>Shape of a ball in a picture: what it is must be told without colour.</summary>
public enum BallMark
{
    /// <summary>A small disc.</summary>
    Dot,

    /// <summary>A large disc.</summary>
    Disc,

    /// <summary>A square.</summary>
    Square,

    /// <summary>A ring.</summary>
    Ring,

    /// <summary>A short bar.</summary>
    Bar,

    /// <summary>A triangle.</summary>
    Triangle,
}

/// <summary>How much a ball weighs in a picture.</summary>
public enum BallTone
{
    /// <summary>As it should be, or nothing to say.</summary>
    Quiet,

    /// <summary>Good.</summary>
    Good,

    /// <summary>Of another kind, neither good nor bad.</summary>
    Accent,

    /// <summary>To be looked at.</summary>
    Warn,

    /// <summary>Bad.</summary>
    Alert,
}

/// <summary>A ball of a drawn field.</summary>
/// <param name="Row">Row, from 0.</param>
/// <param name="Column">Column, from 0.</param>
/// <param name="Mark">Its shape.</param>
/// <param name="Tone">Its weight.</param>
/// <param name="Flagged">Whether a frame is drawn around it.</param>
public sealed record FieldBall(
    int Row,
    int Column,
    BallMark Mark,
    BallTone Tone = BallTone.Quiet,
    bool Flagged = false
);

/// <summary>A field to draw.</summary>
/// <param name="Title">Words over it.</param>
/// <param name="Rows">Rows.</param>
/// <param name="Columns">Columns.</param>
/// <param name="Letters">Alphabet of the rows.</param>
/// <param name="Balls">Its balls; a site that is not listed is empty.</param>
public sealed record DrawnField(string Title, int Rows, int Columns, string Letters, IReadOnlyList<FieldBall> Balls);

/// <summary>A line of the key.</summary>
/// <param name="Mark">Shape.</param>
/// <param name="Tone">Weight.</param>
/// <param name="Words">What it means.</param>
/// <param name="Flagged">Whether it stands for the frame.</param>
public sealed record FieldKey(BallMark Mark, BallTone Tone, string Words, bool Flagged = false);

/// <summary>Where the sites of a drawn field lie in its picture, so that one can be picked.</summary>
/// <param name="X0">Middle of row A, column 1 [picture units].</param>
/// <param name="Y0">Middle of row A, column 1 [picture units].</param>
/// <param name="StepX">To the next column; below 0 seen from below [picture units].</param>
/// <param name="StepY">To the next row [picture units].</param>
/// <param name="Rows">Rows.</param>
/// <param name="Columns">Columns.</param>
public sealed record FieldGrid(double X0, double Y0, double StepX, double StepY, int Rows, int Columns);

/// <summary>One or two ball fields side by side, seen from the top or from below.</summary>
/// <param name="Fields">The fields.</param>
/// <param name="Key">What shapes mean.</param>
/// <param name="Title">Name of the picture.</param>
/// <param name="Description">The same in words, for those who cannot see it.</param>
public sealed record BallFieldPicture(
    IReadOnlyList<DrawnField> Fields,
    IReadOnlyList<FieldKey> Key,
    string Title,
    string Description
)
{
    private const double Gap = 26;
    private const double Head = 46;
    private const double Margin = 30;
    private const double KeyLine = 19;
    private const double NarrowPx = 560;

    /// <summary>Whether it is seen from below, as the balls look at you; else through the package from the top.</summary>
    public bool FromBelow { get; init; }

    /// <summary>A picked site; null for none.</summary>
    public (int Row, int Column)? Picked { get; init; }

    /// <summary>Width that it is laid out for [px].</summary>
    public int WidthPx { get; init; } = 900;

    /// <summary>The picture as SVG.</summary>
    public string Svg() => Picture().Svg();

    /// <summary>Where the sites lie, field by field.</summary>
    public IReadOnlyList<FieldGrid> Grids()
    {
        bool stacked = WidthPx < NarrowPx;
        double each = Fields.Count < 2 || stacked ? WidthPx : (WidthPx - Gap) / 2;
        List<FieldGrid> grids = [];
        double x = 0;
        double y = 0;
        foreach (DrawnField field in Fields)
        {
            double cell = Math.Min((each - Margin - 8) / field.Columns, 34);
            double x0 = x + Margin + (cell / 2);
            grids.Add(
                new FieldGrid(
                    FromBelow ? x0 + ((field.Columns - 1) * cell) : x0,
                    y + Head + (cell / 2),
                    FromBelow ? -cell : cell,
                    cell,
                    field.Rows,
                    field.Columns
                )
            );
            if (stacked)
            {
                y += Head + (field.Rows * cell) + Gap;
            }
            else
            {
                x += each + Gap;
            }
        }
        return grids;
    }

    internal Picture Picture()
    {
        IReadOnlyList<FieldGrid> grids = Grids();
        double bottom = grids.Max(grid => grid.Y0 + (grid.Rows * grid.StepY)) + 16;
        int perLine = WidthPx < NarrowPx ? 1 : 2;
        double height = bottom + (KeyLine * ((Key.Count + perLine - 1) / perLine)) + 10;
        return new Picture(
            WidthPx,
            height,
            Title,
            Description,
            canvas =>
            {
                foreach ((int i, DrawnField field) in Fields.Index())
                {
                    Draw(canvas, field, grids[i]);
                }
                DrawKey(canvas, bottom, perLine);
            }
        );
    }

    private void Draw(ICanvas canvas, DrawnField field, FieldGrid grid)
    {
        double cell = grid.StepY;
        double left = Math.Min(grid.X0, grid.X0 + ((grid.Columns - 1) * grid.StepX)) - (cell / 2);
        canvas.Begin("field");
        canvas.Text(
            new Pt(left, grid.Y0 - (cell / 2) - 28),
            SheetText.Clean(field.Title),
            new TextLook(Chart.SmallSize + 1, Bold: true)
        );
        canvas.Rect(
            new Box(left - 2, grid.Y0 - (cell / 2) - 2, (grid.Columns * cell) + 4, (grid.Rows * cell) + 4),
            4,
            new Look(Fill: Ink.Body, Stroke: Ink.Text)
        );
        // Corner A1, cut off as on a package.
        double corner = FromBelow ? left + (grid.Columns * cell) + 2 : left - 2;
        double into = FromBelow ? -9 : 9;
        canvas.Shapes(
            [
                [
                    new Pt(corner, grid.Y0 - (cell / 2) - 2),
                    new Pt(corner + into, grid.Y0 - (cell / 2) - 2),
                    new Pt(corner, grid.Y0 - (cell / 2) + 7),
                ],
            ],
            new Look(Fill: Ink.Text)
        );
        Names(canvas, field, grid, left);
        foreach (
            IGrouping<(BallMark, BallTone), FieldBall> group in field.Balls.GroupBy(ball => (ball.Mark, ball.Tone))
        )
        {
            Marks(
                canvas,
                group.Key.Item1,
                Inked(group.Key.Item2),
                [.. group.Select(ball => At(grid, ball.Row, ball.Column))],
                cell
            );
        }
        double half = (cell / 2) - 0.5;
        foreach (FieldBall ball in field.Balls.Where(ball => ball.Flagged))
        {
            Pt at = At(grid, ball.Row, ball.Column);
            canvas.Rect(
                new Box(at.X - half, at.Y - half, 2 * half, 2 * half),
                2,
                new Look(Stroke: Inked(ball.Tone), Width: Math.Clamp(cell / 7, 1.2, 2.6))
            );
        }
        if (Picked is { } picked && picked.Row < grid.Rows && picked.Column < grid.Columns)
        {
            Pt at = At(grid, picked.Row, picked.Column);
            canvas.Circle(at, Math.Max(cell * 0.75, 7), new Look(Stroke: Ink.Accent, Width: 3));
        }
        canvas.End();
    }

    private static Pt At(FieldGrid grid, int row, int column) =>
        new(grid.X0 + (column * grid.StepX), grid.Y0 + (row * grid.StepY));

    private static void Names(ICanvas canvas, DrawnField field, FieldGrid grid, double left)
    {
        double cell = grid.StepY;
        int each = cell >= 15 ? 1 : (int)Math.Ceiling(15 / cell);
        for (int row = 0; row < grid.Rows; row += each)
        {
            canvas.Text(
                new Pt(left - 6, grid.Y0 + (row * cell) + 4),
                BallNames.Row(row, field.Letters),
                new TextLook(Chart.SmallSize - 1, Anchor.End, Ink: Ink.Muted)
            );
        }
        int across = cell >= 18 ? 1 : (int)Math.Ceiling(20 / cell);
        for (int column = 0; column < grid.Columns; column += across)
        {
            canvas.Text(
                new Pt(grid.X0 + (column * grid.StepX), grid.Y0 - (cell / 2) - 7),
                Invariant($"{column + 1}"),
                new TextLook(Chart.SmallSize - 1, Anchor.Middle, Ink: Ink.Muted)
            );
        }
    }

    private static Ink Inked(BallTone tone) =>
        tone switch
        {
            BallTone.Good => Ink.Good,
            BallTone.Accent => Ink.Accent,
            BallTone.Warn => Ink.Warn,
            BallTone.Alert => Ink.Alert,
            _ => Ink.Muted,
        };

    private static void Marks(ICanvas canvas, BallMark mark, Ink ink, IReadOnlyList<Pt> at, double cell)
    {
        double large = Math.Clamp(0.34 * cell, 1.2, 9);
        switch (mark)
        {
            case BallMark.Dot:
                canvas.Dots(at, large * 0.55, ink);
                break;
            case BallMark.Disc:
                canvas.Dots(at, large, ink);
                break;
            case BallMark.Ring:
                canvas.Dots(at, large, ink);
                canvas.Dots(at, large * 0.6, Ink.Body);
                break;
            case BallMark.Square:
                canvas.Shapes([.. at.Select(one => Square(one, large * 0.88))], new Look(Fill: ink));
                break;
            case BallMark.Triangle:
                canvas.Shapes([.. at.Select(one => Triangle(one, large * 1.1))], new Look(Fill: ink));
                break;
            default:
                canvas.Strokes(
                    [.. at.Select(one => new Seg(one.X - large, one.Y, one.X + large, one.Y))],
                    new Look(Stroke: ink, Width: Math.Max(1.2, large * 0.5))
                );
                break;
        }
    }

    private static Pt[] Square(Pt at, double half) =>
        [
            new(at.X - half, at.Y - half),
            new(at.X + half, at.Y - half),
            new(at.X + half, at.Y + half),
            new(at.X - half, at.Y + half),
        ];

    private static Pt[] Triangle(Pt at, double half) =>
        [new(at.X, at.Y - half), new(at.X + half, at.Y + (half * 0.8)), new(at.X - half, at.Y + (half * 0.8))];

    private void DrawKey(ICanvas canvas, double top, int perLine)
    {
        canvas.Begin("legend");
        double each = (double)WidthPx / perLine;
        foreach ((int i, FieldKey key) in Key.Index())
        {
            Pt at = new(Margin + (each * (i % perLine)), top + 8 + (KeyLine * (i / perLine)));
            if (key.Flagged)
            {
                canvas.Rect(new Box(at.X - 8, at.Y - 8, 16, 16), 2, new Look(Stroke: Inked(key.Tone), Width: 2));
            }
            else
            {
                canvas.Rect(new Box(at.X - 9, at.Y - 9, 18, 18), 2, new Look(Fill: Ink.Body));
                Marks(canvas, key.Mark, Inked(key.Tone), [at], 20);
            }
            canvas.Text(new Pt(at.X + 16, at.Y + 4), SheetText.Clean(key.Words), new TextLook(Chart.SmallSize));
        }
        canvas.End();
    }
}
