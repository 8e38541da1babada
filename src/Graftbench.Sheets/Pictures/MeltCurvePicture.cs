using Graftbench.Core.Mixing;
using Graftbench.Sheets.Drawing;

namespace Graftbench.Sheets.Pictures;

/// <summary>How much of a joint is liquid at each temperature: on slow heating and while it cools, with what counts marked.</summary>
public static class MeltCurvePicture
{
    private const double Left = 52;
    private const double Right = 18;
    private const double RowHeight = 18;
    private const double MarksTop = 26;
    private const double PlotHeight = 230;

    /// <summary>Draws the curves as SVG.</summary>
    /// <param name="answer">The answer.</param>
    /// <param name="widthPx">Width that the picture is laid out for.</param>
    /// <param name="display">Scale of the temperatures.</param>
    /// <returns>The picture; empty where there are no curves.</returns>
    public static string Svg(MixAnswer answer, int widthPx = 560, Display? display = null) =>
        Picture(answer, widthPx, display ?? Display.Default)?.Svg() ?? "";

    internal static Picture? Picture(MixAnswer answer, double width, Display display)
    {
        ArgumentNullException.ThrowIfNull(answer);
        if (
            answer
            is not {
                Heating: { Count: > 1 } heating,
                Cooling: { Count: > 1 } cooling,
                Solidus: { } solidus,
                FullMelt: { } full,
                Freezing: { } freezing,
            }
        )
        {
            return null;
        }
        double fromC = heating[0].TemperatureC;
        double toC = heating[^1].TemperatureC;
        List<Mark> marks =
        [
            new(freezing.End.ValueC, "frozen", Ink.Alert, Dash.Dashed),
            new(solidus.ValueC, "first melt, long at rest", Ink.Muted, Dash.Dotted),
            new(full.ValueC, "fully molten (99 %)", Ink.Good, Dash.Solid),
            new(answer.Liquidus!.ValueC, "last crystal", Ink.Muted, Dash.Dashed),
        ];
        if (answer.Peak is { } peak)
        {
            marks.Add(new(peak.PeakC, peak.Mixes ? "peak" : "peak, too low", Ink.Accent, Dash.Solid));
        }
        marks.RemoveAll(mark => mark.AtC < fromC || mark.AtC > toC);
        Axes axes = new(
            new Box(Left, MarksTop + RowHeight * marks.Count + 6, width - Left - Right, PlotHeight),
            fromC,
            toC,
            display
        );
        return new Picture(
            width,
            axes.Plot.Bottom + 66,
            "Liquid share of the joint over temperature",
            Words(answer, display),
            canvas =>
            {
                axes.Draw(canvas);
                canvas.Line(Chart.Thin([.. heating.Select(axes.At)]), false, new Look(Stroke: Ink.Text, Width: 2.6));
                canvas.Line(
                    // The last drop's step starts above the plot's left end at the latest.
                    Chart.Thin([.. cooling.Where(point => point.TemperatureC <= toC).Select(axes.At)]),
                    false,
                    new Look(Stroke: Ink.Alert, Width: 2.2, Dash: Dash.Dashed)
                );
                for (int i = 0; i < marks.Count; i++)
                {
                    axes.Draw(canvas, marks[i], MarksTop + RowHeight * (i + 0.5));
                }
                Legend(canvas, axes.Plot);
            }
        );
    }

    private sealed record Mark(double AtC, string Words, Ink Ink, Dash Dash);

    private sealed record Axes(Box Plot, double FromC, double ToC, Display Display)
    {
        public Pt At(MixCurvePoint point) => new(X(point.TemperatureC), Y(point.LiquidFraction));

        public double X(double temperatureC) => Plot.X + Plot.Width * (temperatureC - FromC) / (ToC - FromC);

        private double Y(double fraction) => Plot.Bottom - Plot.Height * fraction;

        public void Draw(ICanvas canvas)
        {
            canvas.Begin("axes");
            for (int percent = 0; percent <= 100; percent += 20)
            {
                double y = Y(percent / 100.0);
                canvas.Strokes([new Seg(Plot.X - 4, y, Plot.Right, y)], new Look(Stroke: Ink.Grid, Width: 0.8));
                canvas.Text(
                    new Pt(Plot.X - 7, y + 4),
                    QuantityText.Digits(percent, 0),
                    new TextLook(Chart.SmallSize, Anchor.End)
                );
            }
            foreach ((double atC, string text) in TemperatureTicks.Between(FromC, ToC, 8, Display))
            {
                canvas.Strokes(
                    [new Seg(X(atC), Plot.Y, X(atC), Plot.Bottom + 4)],
                    new Look(Stroke: Ink.Grid, Width: 0.8)
                );
                canvas.Text(new Pt(X(atC), Plot.Bottom + 18), text, new TextLook(Chart.SmallSize, Anchor.Middle));
            }
            canvas.Text(
                new Pt(Plot.X + Plot.Width / 2, Plot.Bottom + 36),
                $"temperature, {TemperatureTicks.Unit(Display)}",
                new TextLook(Chart.SmallSize, Anchor.Middle, Ink: Ink.Muted)
            );
            canvas.Text(new Pt(8, 16), "liquid, % by mass", new TextLook(Chart.SmallSize, Ink: Ink.Muted));
            canvas.End();
        }

        // Every mark has a row of its own above the plot: they may lie within a kelvin of each other.
        public void Draw(ICanvas canvas, Mark mark, double rowY)
        {
            double x = X(mark.AtC);
            canvas.Strokes([new Seg(x, rowY, x, Plot.Bottom)], new Look(Stroke: mark.Ink, Width: 1.6, Dash: mark.Dash));
            string text = $"{mark.Words} {QuantityText.Temperature(Math.Round(mark.AtC, 1), Display)}";
            bool left = x + SheetText.Width(text, Chart.SmallSize, true) + 6 > Plot.Right;
            canvas.Text(
                new Pt(left ? x - 5 : x + 5, rowY + 4),
                text,
                new TextLook(Chart.SmallSize, left ? Anchor.End : Anchor.Start, Bold: true, Ink: mark.Ink, Halo: true)
            );
        }
    }

    private static void Legend(ICanvas canvas, Box plot)
    {
        double y = plot.Bottom + 54;
        canvas.Begin("legend");
        canvas.Strokes([new Seg(plot.X, y - 4, plot.X + 30, y - 4)], new Look(Stroke: Ink.Text, Width: 2.6));
        canvas.Text(new Pt(plot.X + 36, y), "slow heating", new TextLook(Chart.SmallSize));
        double second = plot.X + 46 + SheetText.Width("slow heating", Chart.SmallSize, false);
        canvas.Strokes(
            [new Seg(second, y - 4, second + 30, y - 4)],
            new Look(Stroke: Ink.Alert, Width: 2.2, Dash: Dash.Dashed)
        );
        canvas.Text(new Pt(second + 36, y), "cooling, nothing moves in what is solid", new TextLook(Chart.SmallSize));
        canvas.End();
    }

    private static string Words(MixAnswer answer, Display display)
    {
        string T(double c) => QuantityText.Temperature(Math.Round(c, 1), display);
        string peak = answer.Peak is { } one
            ? $" At the peak of {T(one.PeakC)} {QuantityText.Digits(100 * one.LiquidFraction, 0)} % is liquid."
            : "";
        return $"First melt at {T(answer.Solidus!.ValueC)}, fully molten at {T(answer.FullMelt!.ValueC)}, last crystal gone at {T(answer.Liquidus!.ValueC)}. On cooling the last drop freezes at {T(answer.Freezing!.End.ValueC)}; a kelvin above {QuantityText.Digits(100 * answer.Freezing.LateFraction, 1)} % is still liquid.{peak}";
    }
}
