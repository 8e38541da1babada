using Graftbench.Core.Drying;
using Graftbench.Sheets.Drawing;

namespace Graftbench.Sheets.Pictures;

/// <summary>Mean moisture of a body against time.</summary>
public static class MeanCurve
{
    private const double Height = 270;

    /// <summary>Draws the mean with its target, the floor that the dryer's air sets, and the 95 % band of the time.</summary>
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
        double endH = new[] { reader.EndH, marks.HighH ?? 0, marks.NowH ?? 0 }.Where(double.IsFinite).Max() * 1.02;
        string words = $"The mean may be {QuantityText.FractionAsPercent(targetFraction)} of saturation.";
        if (marks.ReadyH is double ready)
        {
            words +=
                $" Reached after {QuantityText.HoursAtLeast(ready)}, 95 % band {QuantityText.HoursAtLeast(marks.LowH)}"
                + $" to {QuantityText.HoursAtLeast(marks.HighH)}.";
        }
        if (marks.FloorFraction is double floor)
        {
            words += $" The dryer's own air keeps {QuantityText.FractionAsPercent(floor)} in it.";
        }
        return new Picture(
            width,
            Height,
            title ?? "Mean moisture over the time in the dryer",
            words,
            canvas => Draw(canvas, width, reader, targetFraction, marks, endH)
        );
    }

    private static void Draw(
        ICanvas canvas,
        double width,
        ProfileReader reader,
        double targetFraction,
        MoistureMarks marks,
        double endH
    )
    {
        Chart chart = new(new Box(56, 56, width - 56 - 20, Height - 56 - 50), endH, 1.05);
        Box plot = chart.Plot;
        if (marks is { LowH: double low, HighH: double high } && low <= high)
        {
            canvas.Rect(
                new Box(chart.X(low), plot.Y, Math.Max(1, chart.X(high) - chart.X(low)), plot.Height),
                0,
                new Look(Fill: Ink.Body)
            );
        }
        IReadOnlyList<double> hours = Ticks.Hours(endH, Math.Max(3, (int)(plot.Width / 75)));
        chart.DrawAxes(
            canvas,
            hours,
            h => Ticks.HourText(h, hours),
            "time in the dryer once warm",
            [0, 0.25, 0.5, 0.75, 1],
            f => QuantityText.FractionAsPercent(f),
            "mean moisture, share of the saturated body"
        );
        LevelLine(
            canvas,
            chart,
            targetFraction,
            $"may be left {QuantityText.FractionAsPercent(targetFraction)}",
            Ink.Good,
            Anchor.End
        );
        if (marks.FloorFraction is double floor)
        {
            LevelLine(
                canvas,
                chart,
                floor,
                $"dryer's air keeps {QuantityText.FractionAsPercent(floor)}",
                Ink.Warn,
                Anchor.Start
            );
        }
        chart.DrawCurve(
            canvas,
            [.. Enumerable.Range(0, reader.Times).Select(reader.TimeH)],
            [.. Enumerable.Range(0, reader.Times).Select(reader.Mean)],
            new Look(Stroke: Ink.Accent, Width: 2.4)
        );
        if (marks.ReadyH is double ready)
        {
            canvas.Strokes(
                [new Seg(chart.X(ready), plot.Y, chart.X(ready), plot.Bottom)],
                new Look(Stroke: Ink.Text, Width: 1.4)
            );
            string text = $"best estimate {QuantityText.HoursAtLeast(ready)}";
            string band =
                $"95 % band {QuantityText.HoursAtLeast(marks.LowH)} – {QuantityText.HoursAtLeast(marks.HighH)}";
            bool left = chart.X(ready) > plot.X + (plot.Width * 0.6);
            double x = chart.X(ready) + (left ? -7 : 7);
            Anchor anchor = left ? Anchor.End : Anchor.Start;
            canvas.Text(new Pt(x, plot.Y + 16), text, new TextLook(Chart.TextSize, anchor, Bold: true, Halo: true));
            canvas.Text(new Pt(x, plot.Y + 33), band, new TextLook(Chart.SmallSize, anchor, Halo: true));
        }
        if (marks.NowH is double now && now >= 0)
        {
            double x = chart.X(now);
            canvas.Strokes(
                [new Seg(x, plot.Y - 3, x, plot.Bottom)],
                new Look(Stroke: Ink.Alert, Width: 1.6, Dash: Dash.Dashed)
            );
            Anchor anchor =
                x < plot.X + 60 ? Anchor.Start
                : x > plot.Right - 60 ? Anchor.End
                : Anchor.Middle;
            canvas.Text(
                new Pt(x, plot.Y - 15),
                $"now, {QuantityText.Hours(now)}",
                new TextLook(Chart.SmallSize, anchor, Bold: true, Ink: Ink.Alert)
            );
            canvas.Shapes(
                [
                    [new Pt(x - 4, plot.Y - 11), new Pt(x + 4, plot.Y - 11), new Pt(x, plot.Y - 3)],
                ],
                new Look(Fill: Ink.Alert)
            );
        }
    }

    private static void LevelLine(ICanvas canvas, Chart chart, double fraction, string text, Ink ink, Anchor anchor)
    {
        double y = chart.Y(fraction);
        canvas.Strokes(
            [new Seg(chart.Plot.X, y, chart.Plot.Right, y)],
            new Look(Stroke: ink, Width: 1.4, Dash: Dash.Dashed)
        );
        canvas.Text(
            new Pt(anchor == Anchor.End ? chart.Plot.Right - 4 : chart.Plot.X + 6, y - 5),
            text,
            new TextLook(Chart.SmallSize, anchor, Bold: true, Ink: ink, Halo: true)
        );
    }
}
