using Graftbench.Core.Reviewing;
using Graftbench.Sheets.Drawing;

namespace Graftbench.Sheets.Pictures;

/// <summary>A heat as it was: what was read, what was estimated with its band, plan, limits, marks, and gaps as gaps.</summary>
public static class RunPicture
{
    private const double PlotHeight = 360;
    private const double Top = 56;
    private const double Left = 56;
    private const double RowHeight = 18;
    private const int MostLimits = 6;
    private const int MostMarks = 40;

    /// <summary>Draws a reviewed run as SVG.</summary>
    /// <param name="review">The run.</param>
    /// <param name="other">Another run laid over it; null for none.</param>
    /// <param name="overlay">How they were brought together; null without another.</param>
    /// <param name="display">Whether °F stands at the right.</param>
    /// <param name="widthPx">Width that the picture is laid out for.</param>
    /// <returns>The picture; empty where there is no curve.</returns>
    public static string Svg(
        RunReview review,
        RunReview? other = null,
        RunOverlay? overlay = null,
        Display? display = null,
        int widthPx = 860
    ) => Picture(review, other, overlay, display ?? Display.Default, widthPx)?.Svg() ?? "";

    internal static Picture? Picture(
        RunReview review,
        RunReview? other,
        RunOverlay? overlay,
        Display display,
        double width
    )
    {
        ArgumentNullException.ThrowIfNull(review);
        List<Strand> strands =
        [
            .. review.Curves.Select((curve, i) => Of(curve, i, 0, "")),
            .. other is null
                ? []
                : other.Curves.Where(Shown).Select((curve, i) => Of(curve, i, overlay?.ShiftS ?? 0, "other run: ")),
        ];
        double endS = strands
            .SelectMany(strand => strand.Curve.TimesS.Select(time => time + strand.ShiftS))
            .DefaultIfEmpty(0)
            .Max();
        if (strands.Count == 0 || endS <= 0)
        {
            return null;
        }
        IReadOnlyList<ReviewLevel> levels =
        [
            .. review.Limits.DistinctBy(level => (level.LevelC, level.AtLeast)).Take(MostLimits),
        ];
        double highest = strands
            .SelectMany(strand => (strand.Curve.HighC ?? strand.Curve.TemperaturesC).Concat(strand.Curve.TemperaturesC))
            .Concat(levels.Select(level => level.LevelC))
            .Append(review.MoltenC ?? 0)
            .Where(double.IsFinite)
            .DefaultIfEmpty(250)
            .Max();
        bool right = display.Fahrenheit;
        Chart chart = new(
            new Box(Left, Top, width - Left - (right ? 52 : 20), PlotHeight),
            endS,
            Math.Max(50, highest * 1.05)
        );
        List<string> notes =
        [
            .. review
                .Marks.Where(mark => double.IsFinite(mark.TimeS))
                .Take(MostMarks)
                .Select(
                    (mark, i) =>
                        $"{i + 1}  {QuantityText.Clock(mark.TimeS)}  {SheetText.Clean(mark.Kind)} {SheetText.Clean(mark.Text)}".TrimEnd()
                )
                .SelectMany(text => SheetText.Wrap(text, width - 40, 12.5)),
        ];
        int columns = width >= 700 ? 2 : 1;
        int rows = (strands.Count + columns - 1) / columns;
        double legendTop = Top + PlotHeight + 58;
        return new Picture(
            width,
            legendTop + ((rows + 1) * RowHeight) + (notes.Count * 17),
            review.Simulated ? $"{ReviewWords.Simulation}: temperatures of the run" : "Temperatures of the run",
            Words(review, other, overlay),
            canvas =>
            {
                DrawMelting(canvas, chart, review);
                DrawGaps(canvas, chart, review);
                HeatAxes.Draw(canvas, chart, display);
                DrawLevels(canvas, chart, levels);
                foreach (Strand strand in strands)
                {
                    DrawBand(canvas, chart, strand);
                }
                foreach (Strand strand in strands)
                {
                    DrawLine(canvas, chart, strand);
                }
                DrawMarks(canvas, chart, review);
                if (review.Simulated || other is { Simulated: true })
                {
                    canvas.Text(
                        new Pt(chart.Plot.X + (chart.Plot.Width / 2), chart.Plot.Y + 30),
                        ReviewWords.Simulation,
                        new TextLook(24, Anchor.Middle, Bold: true, Ink: Ink.Alert, Halo: true)
                    );
                }
                DrawLegend(canvas, strands, legendTop, width / columns, columns);
                for (int i = 0; i < notes.Count; i++)
                {
                    canvas.Text(
                        new Pt(Left, legendTop + ((rows + 1) * RowHeight) + (17 * i)),
                        notes[i],
                        new TextLook(12.5)
                    );
                }
            }
        );
    }

    /// <summary>A curve with its looks.</summary>
    private sealed record Strand(ReviewCurve Curve, string Label, Look Look, double ShiftS);

    private static bool Shown(ReviewCurve curve) => curve.Name != "planned-coldest";

    private static Strand Of(ReviewCurve curve, int i, double shiftS, string head)
    {
        bool second = head.Length > 0;
        Ink[] inks = [Ink.Accent, Ink.Good, Ink.Warn, Ink.Band6];
        Look look = curve.Name switch
        {
            "joint-coldest" => new Look(Stroke: Ink.Text, Width: 3),
            "joint-hottest" => new Look(Stroke: Ink.Alert, Width: 2),
            "body-top" => new Look(Stroke: Ink.Accent, Width: 2, Dash: Dash.Dashed),
            "planned-coldest" => new Look(Stroke: Ink.Muted, Width: 2, Dash: Dash.Dotted),
            _ => new Look(Stroke: inks[i % inks.Length], Width: 1.6),
        };
        return new Strand(
            curve,
            head + SheetText.Clean(curve.Title),
            second ? look with { Width = Math.Max(1.2, look.Width - 0.8), Dash = Dash.Dotted } : look,
            shiftS
        );
    }

    private static void DrawMelting(ICanvas canvas, Chart chart, RunReview review)
    {
        if (review is not { SolidusC: double solidusC, MoltenC: double moltenC })
        {
            return;
        }
        double top = chart.Y(moltenC);
        canvas.Rect(
            new Box(chart.Plot.X, top, chart.Plot.Width, Math.Max(3, chart.Y(solidusC) - top)),
            0,
            new Look(Fill: Ink.Heat2, Opacity: 0.6)
        );
        canvas.Strokes([new Seg(chart.Plot.X, top, chart.Plot.Right, top)], new Look(Stroke: Ink.Text, Width: 0.7));
    }

    private static void DrawGaps(ICanvas canvas, Chart chart, RunReview review)
    {
        canvas.Begin("gaps");
        foreach (RunSpan gap in review.Gaps.Take(200))
        {
            double from = chart.X(gap.FromS);
            double to = Math.Max(from + 2, chart.X(gap.ToS));
            canvas.Rect(
                new Box(from, chart.Plot.Y, to - from, chart.Plot.Height),
                0,
                new Look(Fill: Ink.Grid, Opacity: 0.5)
            );
            if (to - from > 12)
            {
                bool wide = to - from > 74;
                canvas.Text(
                    new Pt(((from + to) / 2) + (wide ? 0 : 4), chart.Plot.Bottom - (wide ? 8 : 44)),
                    "no readings",
                    new TextLook(Chart.SmallSize, Anchor.Middle, Halo: true, TurnDeg: wide ? 0 : -90)
                );
            }
        }
        canvas.End();
    }

    // Words at the left, where curves have not yet risen: above its line, or below where that is taken.
    private static void DrawLevels(ICanvas canvas, Chart chart, IReadOnlyList<ReviewLevel> levels)
    {
        canvas.Begin("limits");
        List<Box> taken = [];
        foreach (ReviewLevel level in levels.OrderByDescending(one => one.LevelC))
        {
            double y = chart.Y(level.LevelC);
            canvas.Strokes(
                [new Seg(chart.Plot.X, y, chart.Plot.Right, y)],
                new Look(Stroke: Ink.Alert, Width: 1.1, Dash: Dash.Dashed)
            );
            string text = SheetText.Fit(
                $"{SheetText.Clean(level.Title)} at {(level.AtLeast ? "least" : "most")} {QuantityText.Digits(level.LevelC, 0)}",
                chart.Plot.Width * 0.45,
                Chart.SmallSize,
                true
            );
            double textWidth = SheetText.Width(text, Chart.SmallSize, true) + 6;
            foreach (double x in (double[])[4, chart.Plot.Width * 0.5])
            {
                Box? free = new[] { y - 15, y + 2 }
                    .Select(top => (Box?)new Box(chart.Plot.X + x, top, textWidth, 13))
                    .FirstOrDefault(box => box!.Value.Inside(chart.Plot) && !taken.Exists(one => one.Meets(box.Value)));
                if (free is { } box)
                {
                    taken.Add(box);
                    canvas.Text(
                        new Pt(box.X, box.Y + 11),
                        text,
                        new TextLook(Chart.SmallSize, Bold: true, Ink: Ink.Alert, Halo: true)
                    );
                    break;
                }
            }
        }
        canvas.End();
    }

    private static void DrawBand(ICanvas canvas, Chart chart, Strand strand)
    {
        if (strand.Curve is not { LowC: { } low, HighC: { } high } || strand.Curve.Name == "body-top")
        {
            return;
        }
        int every = Math.Max(1, strand.Curve.TimesS.Count / (int)chart.Plot.Width);
        int[] at = [.. Enumerable.Range(0, strand.Curve.TimesS.Count).Where(i => i % every == 0)];
        List<Pt> edge =
        [
            .. at.Select(i => new Pt(chart.X(strand.Curve.TimesS[i] + strand.ShiftS), chart.Y(high[i]))),
            .. at.Reverse().Select(i => new Pt(chart.X(strand.Curve.TimesS[i] + strand.ShiftS), chart.Y(low[i]))),
        ];
        canvas.Shapes([edge], new Look(Fill: strand.Look.Stroke, Opacity: 0.14));
    }

    private static void DrawLine(ICanvas canvas, Chart chart, Strand strand)
    {
        canvas.Begin("curve", strand.Label);
        foreach (List<Pt> piece in Pieces(chart, strand))
        {
            if (piece.Count > 1)
            {
                canvas.Line(Chart.Thin(piece), false, strand.Look);
            }
            else
            {
                canvas.Circle(piece[0], 1.2, new Look(Fill: strand.Look.Stroke));
            }
        }
        canvas.End();
    }

    /// <summary>Stretches between gaps, each brought to two points a column: the lowest and the highest, in their order.</summary>
    private static IEnumerable<List<Pt>> Pieces(Chart chart, Strand strand)
    {
        List<Pt> piece = [];
        int column = int.MinValue;
        Pt low = default;
        Pt high = default;
        bool lowFirst = true;
        void Close()
        {
            if (column == int.MinValue)
            {
                return;
            }
            piece.Add(lowFirst ? low : high);
            if (low.Y != high.Y)
            {
                piece.Add(lowFirst ? high : low);
            }
            column = int.MinValue;
        }
        for (int i = 0; i < strand.Curve.TimesS.Count; i++)
        {
            double value = strand.Curve.TemperaturesC[i];
            if (!double.IsFinite(value))
            {
                Close();
                if (piece.Count > 0)
                {
                    yield return piece;
                }
                piece = [];
                continue;
            }
            Pt p = new(chart.X(strand.Curve.TimesS[i] + strand.ShiftS), chart.Y(value));
            int own = (int)Math.Floor(p.X);
            if (own != column)
            {
                Close();
                (column, low, high, lowFirst) = (own, p, p, true);
            }
            else if (p.Y > low.Y)
            {
                (low, lowFirst) = (p, false);
            }
            else if (p.Y < high.Y)
            {
                (high, lowFirst) = (p, true);
            }
        }
        Close();
        if (piece.Count > 0)
        {
            yield return piece;
        }
    }

    private static void DrawMarks(ICanvas canvas, Chart chart, RunReview review)
    {
        canvas.Begin("marks");
        int number = 0;
        double free = double.NegativeInfinity;
        bool upper = false;
        foreach (RunMark mark in review.Marks.Where(mark => double.IsFinite(mark.TimeS)).Take(MostMarks))
        {
            number++;
            double x = chart.X(mark.TimeS);
            upper = x - 8 < free && !upper;
            double y = upper ? Top - 26 : Top - 8;
            free = x + 8;
            canvas.Strokes(
                [new Seg(x, y + 3, x, chart.Plot.Bottom)],
                new Look(Stroke: Ink.Text, Width: 0.9, Dash: Dash.Dotted)
            );
            canvas.Text(
                new Pt(x, y),
                QuantityText.Digits(number, 0),
                new TextLook(Chart.TextSize, Anchor.Middle, Bold: true, Halo: true)
            );
        }
        canvas.End();
    }

    private static void DrawLegend(ICanvas canvas, List<Strand> strands, double top, double columnWidth, int columns)
    {
        canvas.Begin("legend");
        for (int i = 0; i < strands.Count; i++)
        {
            double x = 16 + (i % columns * columnWidth);
            double y = top + (i / columns * RowHeight);
            canvas.Strokes([new Seg(x, y - 4, x + 34, y - 4)], strands[i].Look);
            canvas.Text(
                new Pt(x + 42, y),
                SheetText.Fit(strands[i].Label, columnWidth - 64, 12.5, false),
                new TextLook(12.5)
            );
        }
        canvas.End();
    }

    private static string Words(RunReview review, RunReview? other, RunOverlay? overlay)
    {
        string second = other is null ? "" : $" Laid over it: {SheetText.Clean(other.Title)}, {overlay?.AlignedBy}.";
        string gaps = review.Gaps.Count == 0 ? "" : $" {review.Gaps.Count} gaps without readings.";
        return SheetText.Clean(review.Answer) + gaps + second;
    }
}
