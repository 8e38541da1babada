using Graftbench.Core.Jobs;
using Graftbench.Sheets.Drawing;

namespace Graftbench.Sheets.Pictures;

/// <summary>What a board picture shows beside the board.</summary>
public sealed record BoardPictureOptions
{
    /// <summary>Name of the picture; made from the board if left out.</summary>
    public string? Title { get; init; }

    /// <summary>References of the parts to take off first.</summary>
    public IReadOnlyCollection<string> RemoveFirst { get; init; } = [];

    /// <summary>Width that the picture is laid out for; it scales, and so does its text.</summary>
    public int WidthPx { get; init; } = 600;

    /// <summary>Parts up to this far from a moved chip's edge are marked as neighbours [mm]; 0 marks none.</summary>
    public double NeighbourMm { get; init; } = 10;

    /// <summary>Heater below, whose field and zones are drawn; null for none.</summary>
    public BottomHeater? Heater { get; init; }

    /// <summary>Nozzle whose opening is drawn over the board; null for none.</summary>
    public NozzleOutline? Nozzle { get; init; }

    /// <summary>Points where something is measured.</summary>
    public IReadOnlyList<BoardPoint> Points { get; init; } = [];

    /// <summary>Whether the meaning of the shapes is written under the board.</summary>
    public bool Key { get; init; } = true;
}

/// <summary>A point on a board where something is measured.</summary>
/// <param name="Name">What is measured there.</param>
/// <param name="XMm">From the left edge [mm].</param>
/// <param name="YMm">From the lower edge [mm].</param>
/// <param name="Strong">Whether it is the one that is looked for.</param>
public sealed record BoardPoint(string Name, double XMm, double YMm, bool Strong = false);

/// <summary>How places on a board lie in its picture, so that one can be picked: x = x0 + scale·mm, y = y0 − scale·mm.</summary>
/// <param name="X0">The left edge [picture units].</param>
/// <param name="Y0">The lower edge [picture units].</param>
/// <param name="ScaleRatio">Picture units for each millimetre.</param>
public sealed record BoardScale(double X0, double Y0, double ScaleRatio);

/// <summary>A board with its chips and parts, seen from the top.</summary>
public static class BoardPicture
{
    private const double LabelSize = 12.5;
    private const double StrongSize = 14;

    /// <summary>Draws a board as SVG.</summary>
    /// <param name="board">The board.</param>
    /// <param name="chipsOnIt">Moved chips that sit on it or go to it; those without a position are named under the board.</param>
    /// <param name="options">What else to show.</param>
    public static string Svg(Board board, IReadOnlyList<Chip> chipsOnIt, BoardPictureOptions? options = null) =>
        Picture(board, chipsOnIt, options ?? new BoardPictureOptions()).Svg();

    /// <summary>How places lie in the picture that the same options draw.</summary>
    /// <param name="board">The board.</param>
    /// <param name="options">The options.</param>
    public static BoardScale Scale(Board board, BoardPictureOptions options)
    {
        ArgumentNullException.ThrowIfNull(board);
        ArgumentNullException.ThrowIfNull(options);
        BoardScene scene = new(board, [], options);
        Pt origin = scene.ToPage(0, 0);
        return new BoardScale(origin.X, origin.Y, scene.PxPerMm);
    }

    internal static Picture Picture(Board board, IReadOnlyList<Chip> chipsOnIt, BoardPictureOptions options)
    {
        ArgumentNullException.ThrowIfNull(board);
        ArgumentNullException.ThrowIfNull(chipsOnIt);
        BoardScene scene = new(board, chipsOnIt, options);
        IReadOnlyList<string> notes = Notes(scene);
        string name = SheetText.Clean(board.Name) is { Length: > 0 } given ? given : "Board";
        string size = $"{QuantityText.Length(board.LengthMm)} × {QuantityText.Length(board.WidthMm)}";
        List<PartKind> kinds = [.. scene.Parts.Select(part => part.Part.Kind).Distinct().Order()];
        double keyTop = scene.Area.Bottom + 44;
        double keyHeight = options.Key ? BoardKey.Height(scene, kinds, options.WidthPx) : 0;
        double notesTop = keyTop + keyHeight;
        List<string> lines = [.. notes.SelectMany(note => SheetText.Wrap(note, options.WidthPx - 24, LabelSize))];
        return new Picture(
            options.WidthPx,
            notesTop + (lines.Count * 16) + 4,
            options.Title ?? $"{name}, {size}, seen from the top",
            Description(scene, notes),
            canvas =>
            {
                DrawBoard(canvas, scene);
                DrawScale(canvas, scene, size);
                if (options.Key)
                {
                    BoardKey.Draw(canvas, scene, kinds, keyTop, options.WidthPx);
                }
                for (int i = 0; i < lines.Count; i++)
                {
                    canvas.Text(
                        new Pt(12, notesTop + 12 + (16 * i)),
                        lines[i],
                        new TextLook(LabelSize, Ink: Ink.Muted)
                    );
                }
            }
        );
    }

    private static void DrawBoard(ICanvas canvas, BoardScene scene)
    {
        canvas.Line(scene.Outline, true, new Look(Ink.Board, Ink.Text, 1.6));
        BoardHeat.DrawCopper(canvas, scene);
        BoardHeat.DrawHeater(canvas, scene);
        foreach (PlacedPart part in scene.Parts.Where(part => part.Part.Side == BoardSide.Top))
        {
            DrawPart(canvas, part);
        }
        foreach (PlacedChip chip in scene.Chips)
        {
            ChipGlyph.Draw(canvas, chip, scene.PxPerMm);
        }
        foreach (PlacedPart part in scene.Parts.Where(part => part.Part.Side == BoardSide.Bottom))
        {
            DrawPart(canvas, part);
        }
        if (scene.Options.NeighbourMm > 0)
        {
            foreach (PlacedChip chip in scene.Chips)
            {
                canvas.Line(scene.Zone(chip), true, new Look(Stroke: Ink.Accent, Width: 1, Dash: Dash.Dotted));
            }
        }
        BoardHeat.DrawNozzle(canvas, scene);
        DrawLabels(canvas, scene);
        foreach (BoardPoint point in scene.Options.Points)
        {
            DrawPoint(canvas, scene.ToPage(point.XMm, point.YMm), point);
        }
    }

    // A diamond: no part has that shape.
    private static void DrawPoint(ICanvas canvas, Pt at, BoardPoint point)
    {
        double half = point.Strong ? 7 : 4.5;
        canvas.Begin("point", SheetText.Clean(point.Name));
        canvas.Shapes(
            [
                [
                    new Pt(at.X, at.Y - half),
                    new Pt(at.X + half, at.Y),
                    new Pt(at.X, at.Y + half),
                    new Pt(at.X - half, at.Y),
                ],
            ],
            new Look(Fill: point.Strong ? Ink.Alert : Ink.Accent, Stroke: Ink.Paper, Width: 1)
        );
        if (point.Strong)
        {
            canvas.Text(
                new Pt(at.X, at.Y - half - 4),
                SheetText.Clean(point.Name),
                new TextLook(LabelSize, Anchor.Middle, Bold: true, Ink: Ink.Alert, Halo: true)
            );
        }
        canvas.End();
    }

    private static void DrawPart(ICanvas canvas, PlacedPart placed)
    {
        Part part = placed.Part;
        canvas.Begin("part", Words(placed));
        bool below = part.Side == BoardSide.Bottom;
        Ink ink =
            placed.RemoveFirst ? Ink.Alert
            : part.TakenOff ? Ink.Muted
            : Ink.Text;
        double width =
            placed.RemoveFirst ? 2.2
            : placed.Neighbour ? 1.8
            : 1;
        Dash dash =
            part.TakenOff ? Dash.Dotted
            : below ? Dash.Dashed
            : Dash.Solid;
        Ink? fill = below || part.TakenOff || part.Kind == PartKind.LabelOrTape ? null : Ink.Body;
        if (placed.SizeKnown)
        {
            PartGlyphs.Draw(canvas, part.Kind, placed.Body, new Look(fill, ink, width, dash), !below && !part.TakenOff);
        }
        else
        {
            canvas.Line((placed.Body with { TurnDeg = 45 }).Corners(), true, new Look(fill, ink, width, dash));
        }
        if (placed.RemoveFirst)
        {
            Body body = placed.Body;
            canvas.Strokes(
                [body.Stroke(-1, -1, 1, 1), body.Stroke(-1, 1, 1, -1)],
                new Look(Stroke: Ink.Alert, Width: 1.8)
            );
        }
        BoardHeat.DrawShield(canvas, placed.Body, part.Shield);
        canvas.End();
    }

    private static void DrawLabels(ICanvas canvas, BoardScene scene)
    {
        foreach (SceneLabel label in scene.Labels)
        {
            if (label.Placed.Leader is Seg leader)
            {
                canvas.Strokes([leader], new Look(Stroke: label.Ink, Width: 0.9));
            }
        }
        foreach (SceneLabel label in scene.Labels)
        {
            Box box = label.Placed.Box;
            canvas.Text(
                new Pt(box.X + (box.Width / 2), box.Bottom - (label.Size * 0.24)),
                label.Text,
                new TextLook(label.Size, Anchor.Middle, label.Bold, label.Ink, Halo: true)
            );
        }
    }

    private static void DrawScale(ICanvas canvas, BoardScene scene, string size)
    {
        double lengthMm = Ticks.Round125(scene.Area.Width / scene.PxPerMm / 5);
        double y = scene.Area.Bottom + 18;
        double x = scene.Area.X;
        double right = x + (lengthMm * scene.PxPerMm);
        canvas.Strokes(
            [new Seg(x, y, right, y), new Seg(x, y - 5, x, y + 5), new Seg(right, y - 5, right, y + 5)],
            new Look(Stroke: Ink.Text, Width: 1.6)
        );
        canvas.Text(new Pt(right + 7, y + 4.5), QuantityText.Length(lengthMm), new TextLook(LabelSize));
        canvas.Text(
            new Pt(scene.Options.WidthPx - 12, y + 4.5),
            size + ", from the top",
            new TextLook(LabelSize, Anchor.End, Ink: Ink.Muted)
        );
    }

    private static string Words(PlacedPart placed)
    {
        Part part = placed.Part;
        string text =
            $"{placed.Part.Ref}: {TradeWords.Of(placed.Part.Kind)}, {(placed.Part.Side == BoardSide.Top ? "top" : "bottom")} side";
        text += placed.RemoveFirst ? ", take off first" : "";
        text += placed.Part.TakenOff ? ", taken off" : "";
        text += placed.Neighbour ? ", neighbour" : "";
        text += part.Shield == HeatShield.None ? "" : $", under {TradeWords.Of(part.Shield)}";
        return text + (placed.SizeKnown ? "" : ", size not known");
    }

    private static List<string> Notes(BoardScene scene)
    {
        List<string> notes = [.. BoardHeat.Notes(scene)];
        if (scene.LabelsLeftOut > 0)
        {
            notes.Add($"{scene.LabelsLeftOut} of {scene.Parts.Count} references are not written for want of room.");
        }
        if (scene.NotShown.Count > 0)
        {
            IEnumerable<string> named = scene.NotShown.Take(24).Select(SheetText.Clean);
            string more = scene.NotShown.Count > 24 ? $" and {scene.NotShown.Count - 24} more" : "";
            notes.Add($"No place on the board given: {string.Join(", ", named)}{more}.");
        }
        return notes;
    }

    private static string Description(BoardScene scene, IReadOnlyList<string> notes)
    {
        List<string> words = [$"{scene.Parts.Count} parts and {scene.Chips.Count} chips drawn."];
        string[] off = [.. scene.Parts.Where(part => part.RemoveFirst).Select(part => part.Part.Ref)];
        if (off.Length > 0)
        {
            words.Add($"To take off first: {string.Join(", ", off)}.");
        }
        words.AddRange(scene.Chips.Select(chip => $"Chip {chip.Chip.Id}, {ChipGlyph.Words(chip.Chip)}."));
        return string.Join(' ', words.Concat(BoardHeat.Description(scene)).Concat(notes));
    }

    /// <summary>Sizes that the scene shares with the drawing.</summary>
    internal static (double Label, double Strong) TextSizes => (LabelSize, StrongSize);
}
