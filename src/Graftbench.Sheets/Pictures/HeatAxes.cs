using Graftbench.Sheets.Drawing;

namespace Graftbench.Sheets.Pictures;

/// <summary>Axes of every picture of a heat: minutes below, °C at the left, °F at the right where asked.</summary>
internal static class HeatAxes
{
    private static readonly double[] StepsS = [15, 30, 60, 120, 300, 600, 1200, 3600, 7200];

    public static void Draw(ICanvas canvas, Chart chart, Display display)
    {
        double step = StepsS.FirstOrDefault(
            s => chart.EndX / s <= 12,
            Math.Max(14_400, Math.Ceiling(chart.EndX / 12 / 3600) * 3600)
        );
        IReadOnlyList<double> times = [.. Enumerable.Range(0, (int)(chart.EndX / step) + 1).Select(i => i * step)];
        IReadOnlyList<double> temperatures = [.. Enumerable.Range(0, (int)(chart.EndY / 50) + 1).Select(i => i * 50.0)];
        chart.DrawAxes(
            canvas,
            times,
            QuantityText.Clock,
            "time from the start, minutes:seconds",
            temperatures,
            c => QuantityText.Digits(c, 0),
            ""
        );
        canvas.Text(
            new Pt(chart.Plot.X - 7, chart.Plot.Y - 8),
            "°C",
            new TextLook(Chart.SmallSize, Anchor.End, Ink: Ink.Muted)
        );
        if (display.Fahrenheit)
        {
            foreach (double c in temperatures)
            {
                canvas.Text(
                    new Pt(chart.Plot.Right + 6, chart.Y(c) + 4),
                    QuantityText.Digits((c * 9 / 5) + 32, 0),
                    new TextLook(Chart.SmallSize, Ink: Ink.Muted)
                );
            }
            canvas.Text(
                new Pt(chart.Plot.Right + 6, chart.Plot.Y - 8),
                "°F",
                new TextLook(Chart.SmallSize, Ink: Ink.Muted)
            );
        }
    }
}
