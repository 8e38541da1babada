using Graftbench.Core.Drying;
using Graftbench.Sheets.Drawing;

namespace Graftbench.Sheets.Pictures;

/// <summary>Weighings during drying with their fit.</summary>
public static class WeighingPicture
{
    private const double Height = 296;

    // Two lines of words above the plot: inside it they would meet the curve or a weighing.
    private const double Head = 50;

    /// <summary>Draws the weighings, the fitted curve and the weight it ends at.</summary>
    /// <param name="trend">The weighings and their fit.</param>
    /// <param name="title">Name of the picture.</param>
    /// <param name="widthPx">Width that the picture is laid out for; it scales, and so does its text.</param>
    public static string Svg(WeighingTrend trend, string? title = null, int widthPx = 600) =>
        Picture(trend, title, widthPx).Svg();

    internal static Picture Picture(WeighingTrend trend, string? title, double width)
    {
        ArgumentNullException.ThrowIfNull(trend);
        return new Picture(width, Height, title ?? "Weighings", trend.Says, canvas => Draw(canvas, width, trend));
    }

    private static void Draw(ICanvas canvas, double width, WeighingTrend trend)
    {
        if (trend.Points.Count == 0)
        {
            canvas.Text(
                new Pt(width / 2, Height / 2),
                "no weighings yet",
                new TextLook(Chart.TextSize, Anchor.Middle, Ink: Ink.Muted)
            );
            return;
        }
        double firstG = trend.Points[0].WeightG;
        double endG = trend is { Converged: true, EndWeightG: double fitted }
            ? fitted
            : trend.Points.Min(p => p.WeightG);
        double errorG = trend is { Converged: true, EndWeightErrorG: double known } ? known : 0;
        double lowG = Math.Min(endG - errorG, trend.Points.Min(p => p.WeightG));
        double highG = Math.Max(firstG, trend.Points.Max(p => p.WeightG));
        double pad = Math.Max(0.001, (highG - lowG) * 0.08);
        (lowG, highG) = (lowG - pad, highG + pad);
        double lastH = trend.Points[^1].TimeH;
        double endH = Math.Max(0.5, lastH + Math.Clamp(trend.EndsInH ?? 0, 0, 3 * Math.Max(1, lastH))) * 1.03;
        Box plot = new(78, Head, width - 78 - 20, Height - Head - 50);
        Chart chart = new(plot, endH, 1);
        double Y(double weightG) => plot.Bottom - (plot.Height * Math.Clamp((weightG - lowG) / (highG - lowG), 0, 1));

        if (trend.Converged)
        {
            canvas.Rect(
                new Box(plot.X, Y(endG + errorG), plot.Width, Math.Max(1, Y(endG - errorG) - Y(endG + errorG))),
                0,
                new Look(Fill: Ink.Body)
            );
        }
        double step = Ticks.Round125((highG - lowG) / 3);
        int decimals = Math.Clamp((int)Math.Ceiling(-Math.Log10(step)), 0, 5);
        List<double> weights = [];
        for (double g = Math.Ceiling(lowG / step) * step; g <= highG && weights.Count < 12; g += step)
        {
            weights.Add((g - lowG) / (highG - lowG));
        }
        IReadOnlyList<double> hours = Ticks.Hours(endH, Math.Max(3, (int)(plot.Width / 75)));
        chart.DrawAxes(
            canvas,
            hours,
            h => Ticks.HourText(h, hours),
            "time since the first weighing",
            weights,
            share =>
                (lowG + (share * (highG - lowG))).ToString(
                    "F" + decimals,
                    System.Globalization.CultureInfo.InvariantCulture
                ),
            "weight, g"
        );
        if (trend is { Converged: true, TimeConstantH: double constantH, LeftG: double leftG } && constantH > 0)
        {
            List<Pt> curve = [];
            for (int i = 0; i <= 120; i++)
            {
                double h = endH * i / 120;
                double weightG = endG + (leftG * Math.Exp(-(h - lastH) / constantH));
                if (weightG <= highG)
                {
                    curve.Add(new Pt(chart.X(h), Y(weightG)));
                }
            }
            canvas.Line(Chart.Thin(curve), false, new Look(Stroke: Ink.Accent, Width: 1.8));
            canvas.Strokes(
                [new Seg(plot.X, Y(endG), plot.Right, Y(endG))],
                new Look(Stroke: Ink.Good, Width: 1.4, Dash: Dash.Dashed)
            );
            string text =
                $"ends at {QuantityText.Weight(endG)} ± {QuantityText.Digits(errorG * 1000, errorG < 0.01 ? 1 : 0)} mg";
            canvas.Text(
                new Pt(plot.Right, plot.Y - 9),
                text,
                new TextLook(Chart.SmallSize, Anchor.End, Bold: true, Ink: Ink.Good)
            );
            double sample = plot.Right - SheetText.Width(text, Chart.SmallSize, true) - 8;
            canvas.Strokes(
                [new Seg(sample - 28, plot.Y - 13, sample, plot.Y - 13)],
                new Look(Stroke: Ink.Good, Width: 1.4, Dash: Dash.Dashed)
            );
        }
        foreach (WeighingPoint point in trend.Points)
        {
            canvas.Circle(new Pt(chart.X(point.TimeH), Y(point.WeightG)), 4, new Look(Ink.Paper, Ink.Text, 1.8));
        }
        string state =
            trend.Flat ? "flat: the balance sees no more loss"
            : trend.Converged ? "still losing weight"
            : "no end point from these weighings yet";
        canvas.Text(new Pt(plot.Right, 18), state, new TextLook(Chart.TextSize, Anchor.End, Bold: true));
    }
}
