using Graftbench.Core.Drying;
using Graftbench.Sheets.Drawing;

namespace Graftbench.Sheets.Pictures;

/// <summary>Moisture over depth and time as a map with bands and named lines of equal moisture.</summary>
public static class MoistureMap
{
    private const double Height = 270;
    private static readonly double[] Edges = [0.05, 0.10, 0.20, 0.35, 0.50, 0.70, 0.90];

    /// <summary>Draws the map: time to the right, depth downwards.</summary>
    /// <param name="profile">Moisture through the body.</param>
    /// <param name="targetFraction">What may be left as a mean.</param>
    /// <param name="marks">What else to mark.</param>
    /// <param name="title">Name of the picture.</param>
    /// <param name="widthPx">Width that the picture is laid out for; it scales, and so does its text.</param>
    public static string Svg(
        MoistureProfile profile,
        double targetFraction,
        MoistureMarks? marks = null,
        string? title = null,
        int widthPx = 600
    ) => Picture(profile, targetFraction, marks ?? new MoistureMarks(), title, widthPx).Svg();

    internal static Picture Picture(
        MoistureProfile profile,
        double targetFraction,
        MoistureMarks marks,
        string? title,
        double width
    )
    {
        ArgumentNullException.ThrowIfNull(profile);
        ProfileReader reader = new(profile);
        string words =
            $"Time to the right up to {QuantityText.Hours(reader.EndH)}, depth downwards to {QuantityText.Length(reader.ThicknessMm)}."
            + " Dark is wet, pale is dry; the lines are named with the moisture they mark.";
        return new Picture(
            width,
            Height,
            title ?? "Moisture in the body over depth and time",
            words,
            canvas => Draw(canvas, width, reader, targetFraction, marks)
        );
    }

    private static void Draw(
        ICanvas canvas,
        double width,
        ProfileReader reader,
        double targetFraction,
        MoistureMarks marks
    )
    {
        Box plot = new(56, 40, width - 56 - 20, Height - 40 - 82);
        Chart chart = new(plot, reader.EndH, reader.ThicknessMm);
        canvas.Rect(plot, 0, new Look(Fill: Ink.Band0));
        for (int i = 0; i < Edges.Length; i++)
        {
            List<IReadOnlyList<Pt>> wetter = Region(reader, Edges[i], plot);
            if (wetter.Count > 0)
            {
                canvas.Shapes(wetter, new Look(Fill: Ink.Band0 + i + 1));
            }
        }
        IReadOnlyList<double> times = Ticks.Hours(reader.EndH, Math.Max(3, (int)(plot.Width / 75)));
        canvas.Strokes(
            [.. times.Select(h => new Seg(chart.X(h), plot.Bottom, chart.X(h), plot.Bottom + 4))],
            new Look(Stroke: Ink.Text)
        );
        foreach (double h in times)
        {
            canvas.Text(
                new Pt(chart.X(h), plot.Bottom + 17),
                Ticks.HourText(h, times),
                new TextLook(Chart.SmallSize, chart.X(h) > plot.Right - 12 ? Anchor.End : Anchor.Middle)
            );
        }
        foreach (double mm in Ticks.FromZero(reader.ThicknessMm, 4))
        {
            double y = plot.Y + (plot.Height * mm / reader.ThicknessMm);
            canvas.Strokes([new Seg(plot.X - 4, y, plot.X, y)], new Look(Stroke: Ink.Text));
            canvas.Text(
                new Pt(plot.X - 7, y + 4),
                QuantityText.Digits(mm, 2),
                new TextLook(Chart.SmallSize, Anchor.End)
            );
        }
        canvas.Rect(plot, 0, new Look(Stroke: Ink.Text));
        LabelPlacer placer = new(plot);
        for (int i = 0; i < Edges.Length; i++)
        {
            NameLine(canvas, reader, plot, Edges[i], placer);
        }
        canvas.Text(new Pt(12, 16), "depth from the top face, mm", new TextLook(Chart.SmallSize, Ink: Ink.Muted));
        canvas.Text(
            new Pt(plot.X + (plot.Width / 2), plot.Bottom + 34),
            "time in the dryer once warm",
            new TextLook(Chart.SmallSize, Anchor.Middle, Ink: Ink.Muted)
        );
        DrawMoment(
            canvas,
            chart,
            marks.ReadyH,
            "mean at " + QuantityText.FractionAsPercent(targetFraction),
            Ink.Text,
            Dash.Solid
        );
        DrawMoment(canvas, chart, marks.NowH, "now", Ink.Alert, Dash.Dashed);
        DrawScale(canvas, plot);
    }

    private static void DrawMoment(ICanvas canvas, Chart chart, double? atH, string text, Ink ink, Dash dash)
    {
        if (atH is not double h || h < 0 || h > chart.EndX)
        {
            return;
        }
        double x = chart.X(h);
        canvas.Strokes([new Seg(x, chart.Plot.Y - 6, x, chart.Plot.Bottom)], new Look(Stroke: Ink.Paper, Width: 3.4));
        canvas.Strokes(
            [new Seg(x, chart.Plot.Y - 6, x, chart.Plot.Bottom)],
            new Look(Stroke: ink, Width: 1.6, Dash: dash)
        );
        Anchor anchor =
            x > chart.Plot.Right - 70 ? Anchor.End
            : x < chart.Plot.X + 50 ? Anchor.Start
            : Anchor.Middle;
        canvas.Text(
            new Pt(x, chart.Plot.Y - 10),
            text,
            new TextLook(Chart.SmallSize, anchor, Bold: true, Ink: ink, Halo: true)
        );
    }

    private static void DrawScale(ICanvas canvas, Box plot)
    {
        double wide = plot.Width / (Edges.Length + 1);
        double y = plot.Bottom + 46;
        for (int i = 0; i <= Edges.Length; i++)
        {
            canvas.Rect(new Box(plot.X + (i * wide), y, wide, 11), 0, new Look(Ink.Band0 + i, Ink.Text, 0.6));
        }
        for (int i = 0; i < Edges.Length; i++)
        {
            canvas.Text(
                new Pt(plot.X + ((i + 1) * wide), y + 24),
                QuantityText.FractionAsPercent(Edges[i]),
                new TextLook(11.5, Anchor.Middle)
            );
        }
        canvas.Text(new Pt(plot.X, y + 24), "dry", new TextLook(11.5));
        canvas.Text(new Pt(plot.Right, y + 24), "wet", new TextLook(11.5, Anchor.End));
    }

    // For each depth the stretches of time in which the body is wetter than the edge, joined down the depth where the
    // number of stretches stays the same.
    private static List<IReadOnlyList<Pt>> Region(ProfileReader reader, double edge, Box plot)
    {
        List<IReadOnlyList<Pt>> shapes = [];
        List<(double Y, List<(double From, double To)> Spans)> chain = [];
        for (int depth = 0; depth < reader.Depths; depth++)
        {
            double y = plot.Y + (plot.Height * reader.DepthMm[depth] / reader.ThicknessMm);
            List<(double, double)> spans = Spans(reader, depth, edge, plot);
            if (chain.Count > 0 && chain[^1].Spans.Count != spans.Count)
            {
                // The change lies between two depths: half of the way belongs to each.
                double half = (chain[^1].Y + y) / 2;
                List<(double, double)> before = chain[^1].Spans;
                chain.Add((half, spans.Count == 0 ? Tips(before) : before));
                Close(chain, shapes);
                chain = [(half, before.Count == 0 ? Tips(spans) : spans)];
            }
            chain.Add((y, spans));
        }
        Close(chain, shapes);
        return shapes;
    }

    // A stretch that the next depth does not have ends in a tip where it began.
    private static List<(double, double)> Tips(List<(double From, double To)> spans) =>
        [.. spans.Select(span => (span.From, span.From))];

    private static void Close(
        List<(double Y, List<(double From, double To)> Spans)> chain,
        List<IReadOnlyList<Pt>> shapes
    )
    {
        int number = chain.Count == 0 ? 0 : chain[0].Spans.Count;
        for (int i = 0; i < number && chain.Count > 1; i++)
        {
            List<Pt> points = [.. chain.Select(level => new Pt(level.Spans[i].From, level.Y))];
            points.AddRange(Enumerable.Reverse(chain).Select(level => new Pt(level.Spans[i].To, level.Y)));
            shapes.Add(Chart.Thin(points));
        }
    }

    private static List<(double From, double To)> Spans(ProfileReader reader, int depth, double edge, Box plot)
    {
        List<(double, double)> spans = [];
        double? from = null;
        for (int row = 0; row < reader.Times; row++)
        {
            double f = reader.At(row, depth);
            double x = X(reader, plot, reader.TimeH(row));
            if (row == 0)
            {
                from = f > edge ? x : null;
                continue;
            }
            double before = reader.At(row - 1, depth);
            if (f > edge == before > edge)
            {
                continue;
            }
            double share = (edge - before) / (f - before);
            double crossing = X(
                reader,
                plot,
                reader.TimeH(row - 1) + (share * (reader.TimeH(row) - reader.TimeH(row - 1)))
            );
            if (from is double begin)
            {
                spans.Add((begin, crossing));
                from = null;
            }
            else
            {
                from = crossing;
            }
        }
        if (from is double open)
        {
            spans.Add((open, plot.Right));
        }
        return spans;
    }

    // Names the line where it is farthest to the right: there the wettest depth passes the edge.
    private static void NameLine(ICanvas canvas, ProfileReader reader, Box plot, double edge, LabelPlacer placer)
    {
        Pt? best = null;
        for (int depth = 0; depth < reader.Depths; depth++)
        {
            double y = plot.Y + (plot.Height * reader.DepthMm[depth] / reader.ThicknessMm);
            foreach ((double from, double to) in Spans(reader, depth, edge, plot))
            {
                if (to < plot.Right - 1 && to > from && (best is null || to > best.Value.X + 0.01))
                {
                    best = new Pt(to, y);
                }
            }
        }
        if (best is not Pt at)
        {
            return;
        }
        string text = QuantityText.FractionAsPercent(edge);
        double width = SheetText.Width(text, Chart.SmallSize, true) + 4;
        double y0 = Math.Clamp(at.Y, plot.Y + 9, plot.Bottom - 9);
        Box thing = new(at.X - 2, y0 - 7, 2, 14);
        if (placer.Place(text, thing, width, 14, insideAllowed: false, important: false) is PlacedLabel placed)
        {
            canvas.Text(
                new Pt(placed.Box.X + (width / 2), placed.Box.Bottom - 3),
                text,
                new TextLook(Chart.SmallSize, Anchor.Middle, Bold: true, Halo: true)
            );
        }
    }

    private static double X(ProfileReader reader, Box plot, double timeH) =>
        plot.X + (plot.Width * Math.Clamp(timeH / reader.EndH, 0, 1));
}
