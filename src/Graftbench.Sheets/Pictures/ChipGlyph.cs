using Graftbench.Core.Jobs;
using Graftbench.Sheets.Drawing;

namespace Graftbench.Sheets.Pictures;

/// <summary>A moved chip with its ball field and corner A1.</summary>
internal static class ChipGlyph
{
    private const double SmallestPitchPx = 2.2;

    public static void Draw(ICanvas canvas, PlacedChip placed, double pxPerMm)
    {
        Chip chip = placed.Chip;
        Body body = placed.Body;
        canvas.Begin("chip", $"Chip {chip.Id}: {Words(chip)}");
        canvas.Line(body.Corners(), true, new Look(Ink.Paper, Ink.Accent, 2.4));
        if (chip.Rows is int rows && chip.Columns is int columns && chip.PitchMm is double pitchMm)
        {
            DrawField(canvas, body, rows, columns, pitchMm, chip.BallDiameterMm ?? (0.55 * pitchMm), pxPerMm);
        }
        double corner = Math.Min(0.34, 9 / Math.Max(1, body.Smaller));
        canvas.Shapes(
            [
                [
                    body.At(-1, 1),
                    body.At(-1 + (corner * body.Smaller / body.HalfLength), 1),
                    body.At(-1, 1 - (corner * body.Smaller / body.HalfWidth)),
                ],
            ],
            new Look(Fill: Ink.Accent)
        );
        (Pt at, double size) = A1Label(body);
        canvas.Text(at, "A1", new TextLook(size, Anchor.Middle, Bold: true, Ink.Accent, Halo: true));
        canvas.End();
    }

    /// <summary>Where "A1" is written: outside, over its corner's diagonal.</summary>
    public static (Pt At, double Size) A1Label(Body body)
    {
        const double Size = 11;
        Pt corner = body.At(-1, 1);
        double dx = corner.X - body.Centre.X;
        double dy = corner.Y - body.Centre.Y;
        double length = Math.Max(1, Math.Sqrt((dx * dx) + (dy * dy)));
        return (new Pt(corner.X + (dx / length * 12), corner.Y + (dy / length * 10) + 4), Size);
    }

    public static string Words(Chip chip)
    {
        string text = $"body {QuantityText.Length(chip.BodyLengthMm)} × {QuantityText.Length(chip.BodyWidthMm)}";
        if (chip.Rows is int rows && chip.Columns is int columns)
        {
            text += $", {rows} × {columns} sites";
        }
        if (chip.BallCount is int balls)
        {
            text += $", {balls} balls";
        }
        if (chip.PitchMm is double pitch)
        {
            text += $", pitch {QuantityText.Length(pitch)}";
        }
        return $"{text}, from {TradeWords.Of(chip.From)} to {TradeWords.Of(chip.To)}";
    }

    // Which sites are empty is not in the job, so every site of the field is drawn.
    private static void DrawField(
        ICanvas canvas,
        Body body,
        int rows,
        int columns,
        double pitchMm,
        double ballMm,
        double pxPerMm
    )
    {
        double pitch = pitchMm * pxPerMm;
        double halfX = (columns - 1) * pitch / 2 / body.HalfLength;
        double halfY = (rows - 1) * pitch / 2 / body.HalfWidth;
        if (pitch < SmallestPitchPx || rows * columns > 4000)
        {
            List<Seg> net = [];
            for (int i = 0; i <= 8; i++)
            {
                double t = -1 + (i / 4.0);
                net.Add(body.Stroke(t * halfX, -halfY, t * halfX, halfY));
                net.Add(body.Stroke(-halfX, t * halfY, halfX, t * halfY));
            }
            canvas.Strokes(net, new Look(Stroke: Ink.Accent, Width: 0.8, Dash: Dash.Dotted));
            return;
        }
        List<Pt> dots = new(rows * columns);
        for (int row = 0; row < rows; row++)
        {
            for (int column = 0; column < columns; column++)
            {
                double u = columns == 1 ? 0 : -halfX + (2 * halfX * column / (columns - 1));
                double v = rows == 1 ? 0 : halfY - (2 * halfY * row / (rows - 1));
                dots.Add(body.At(u, v));
            }
        }
        canvas.Dots(dots, Math.Max(0.6, Math.Min(ballMm * pxPerMm, pitch * 0.7) / 2), Ink.Accent);
    }
}
