using Graftbench.Core.Jobs;
using Graftbench.Sheets.Drawing;

namespace Graftbench.Sheets.Pictures;

/// <summary>The meaning of the shapes on a board picture; only of those that are on it.</summary>
internal static class BoardKey
{
    private const double RowHeight = 21;
    private const double Size = 12;
    private const double SwatchWidth = 26;

    private sealed record Entry(string Text, Action<ICanvas, Pt> Swatch);

    public static double Height(BoardScene scene, IReadOnlyList<PartKind> kinds, double width) =>
        (Layout(Entries(scene, kinds), width).Select(place => place.At.Y).DefaultIfEmpty(-RowHeight).Max() + RowHeight)
        + 6;

    public static void Draw(ICanvas canvas, BoardScene scene, IReadOnlyList<PartKind> kinds, double top, double width)
    {
        canvas.Begin("key");
        foreach ((Entry entry, Pt at) in Layout(Entries(scene, kinds), width))
        {
            Pt here = new(at.X, at.Y + top);
            entry.Swatch(canvas, new Pt(here.X + (SwatchWidth / 2), here.Y + 7));
            canvas.Text(new Pt(here.X + SwatchWidth + 6, here.Y + 11), entry.Text, new TextLook(Size));
        }
        canvas.End();
    }

    private static List<Entry> Entries(BoardScene scene, IReadOnlyList<PartKind> kinds)
    {
        List<Entry> entries = [];
        if (scene.Chips.Count > 0)
        {
            entries.Add(
                new Entry(
                    "moved chip, corner A1",
                    (canvas, at) =>
                    {
                        Body body = new(at, 8, 8, 0);
                        canvas.Line(body.Corners(), true, new Look(Ink.Paper, Ink.Accent, 2.4));
                        canvas.Shapes(
                            [
                                [body.At(-1, 1), body.At(0, 1), body.At(-1, 0)],
                            ],
                            new Look(Fill: Ink.Accent)
                        );
                    }
                )
            );
        }
        if (scene.Parts.Exists(part => part.RemoveFirst))
        {
            entries.Add(
                new Entry(
                    "take off first",
                    (canvas, at) =>
                    {
                        Body body = new(at, 10, 6, 0);
                        canvas.Line(body.Corners(), true, new Look(Ink.Body, Ink.Alert, 2.2));
                        canvas.Strokes(
                            [body.Stroke(-1, -1, 1, 1), body.Stroke(-1, 1, 1, -1)],
                            new Look(Stroke: Ink.Alert, Width: 1.8)
                        );
                    }
                )
            );
        }
        if (scene.Parts.Exists(part => part.Part.Side == BoardSide.Bottom))
        {
            entries.Add(
                new Entry(
                    "on the bottom side",
                    (canvas, at) =>
                        canvas.Line(new Body(at, 10, 6, 0).Corners(), true, new Look(null, Ink.Text, 1, Dash.Dashed))
                )
            );
        }
        if (scene.Options.NeighbourMm > 0 && scene.Chips.Count > 0)
        {
            string reach = QuantityText.Length(scene.Options.NeighbourMm);
            entries.Add(
                new Entry(
                    $"up to {reach} from the chip: neighbours",
                    (canvas, at) =>
                        canvas.Line(new Body(at, 10, 6, 0).Corners(), true, new Look(null, Ink.Accent, 1, Dash.Dotted))
                )
            );
        }
        entries.AddRange(HeatEntries(scene));
        foreach (PartKind kind in kinds)
        {
            entries.Add(
                new Entry(
                    TradeWords.Of(kind),
                    (canvas, at) =>
                    {
                        Ink? fill = kind == PartKind.LabelOrTape ? null : Ink.Body;
                        Body body = new(at, PartGlyphs.Round(kind) ? 8 : 11, PartGlyphs.Round(kind) ? 8 : 6, 0);
                        PartGlyphs.Draw(canvas, kind, body, new Look(fill, Ink.Text), marks: true);
                    }
                )
            );
        }
        return entries;
    }

    private static IEnumerable<Entry> HeatEntries(BoardScene scene)
    {
        foreach (CopperAmount amount in scene.Copper.Select(region => region.Amount).Distinct().OrderDescending())
        {
            yield return new Entry(
                amount == CopperAmount.Rich ? "more copper than elsewhere" : "less copper than elsewhere",
                (canvas, at) => BoardHeat.DrawCopper(canvas, new Box(at.X - 11, at.Y - 7, 22, 14), amount)
            );
        }
        foreach (HeatShield shield in scene.Parts.Select(part => part.Part.Shield).Distinct().Order())
        {
            if (shield != HeatShield.None)
            {
                yield return new Entry(
                    "under " + TradeWords.Of(shield),
                    (canvas, at) => BoardHeat.DrawShield(canvas, new Body(at, 8, 4, 0), shield)
                );
            }
        }
        if (scene.Options.Heater is not null)
        {
            yield return new Entry(
                "heater below",
                (canvas, at) =>
                    canvas.Line(new Body(at, 10, 6, 0).Corners(), true, new Look(null, Ink.Warn, 1.8, Dash.Dashed))
            );
        }
        if (scene.Options.Nozzle is not null)
        {
            yield return new Entry(
                "nozzle",
                (canvas, at) =>
                    canvas.Line(new Body(at, 10, 6, 0).Corners(), true, new Look(null, Ink.Warn, 1.6, Dash.Dotted))
            );
        }
    }

    private static List<(Entry Entry, Pt At)> Layout(List<Entry> entries, double width)
    {
        List<(Entry, Pt)> places = [];
        double x = 12;
        double y = 0;
        foreach (Entry entry in entries)
        {
            double wide = SwatchWidth + 6 + SheetText.Width(entry.Text, Size) + 16;
            if (x > 12 && x + wide > width - 4)
            {
                x = 12;
                y += RowHeight;
            }
            places.Add((entry, new Pt(x, y)));
            x += wide;
        }
        return places;
    }
}
