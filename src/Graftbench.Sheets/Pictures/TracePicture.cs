using Graftbench.Core.Proof;
using Graftbench.Sheets.Drawing;
using static System.FormattableString;

namespace Graftbench.Sheets.Pictures;

/// <summary>Supply current over time with its plateaus, the limit and the expected standby.</summary>
public static class TracePicture
{
    private const double Left = 58;
    private const double Right = 16;
    private const double Top = 30;
    private const double PlotHeight = 220;
    private const int MostPoints = 900;

    /// <summary>Draws a trace as SVG.</summary>
    /// <param name="trace">The trace.</param>
    /// <param name="plateaus">Its plateaus.</param>
    /// <param name="limitCurrentA">Limit of the supply; null where not told [A].</param>
    /// <param name="standbyCurrentA">Current expected at standby; null where not told [A].</param>
    /// <param name="widthPx">Width that the picture is laid out for.</param>
    public static string Svg(
        CurrentTrace trace,
        IReadOnlyList<TracePlateau> plateaus,
        double? limitCurrentA = null,
        double? standbyCurrentA = null,
        int widthPx = 640
    )
    {
        ArgumentNullException.ThrowIfNull(trace);
        ArgumentNullException.ThrowIfNull(plateaus);
        if (trace.TimeS.Count < 2)
        {
            return "";
        }
        double startS = trace.TimeS[0];
        double lengthS = Math.Max(trace.LengthS, 1e-6);
        double mostA = Math.Max(
            1e-3,
            1.1 * Math.Max(trace.CurrentA.Max(), Math.Max(limitCurrentA ?? 0, standbyCurrentA ?? 0))
        );
        Box plot = new(Left, Top, widthPx - Left - Right, PlotHeight);
        double X(double timeS) => plot.X + (plot.Width * (timeS - startS) / lengthS);
        double Y(double currentA) => plot.Bottom - (plot.Height * Math.Clamp(currentA / mostA, 0, 1));
        return new Picture(
            widthPx,
            plot.Bottom + 66,
            "Supply current over time",
            string.Join(
                " ",
                plateaus
                    .Take(12)
                    .Select(one => Invariant($"{one.FromS:0.#} to {one.ToS:0.#} s: {one.MeanCurrentA:0.###} A."))
            ),
            canvas =>
            {
                Axes(canvas, plot, lengthS, mostA);
                foreach (
                    (double? atA, Ink ink, string words) in new (double?, Ink, string)[]
                    {
                        (limitCurrentA, Ink.Alert, "limit"),
                        (standbyCurrentA, Ink.Warn, "expected standby"),
                    }
                )
                {
                    if (atA is { } level)
                    {
                        canvas.Strokes(
                            [new Seg(plot.X, Y(level), plot.Right, Y(level))],
                            new Look(Stroke: ink, Width: 1.6, Dash: Dash.Dashed)
                        );
                        canvas.Text(
                            new Pt(plot.Right - 4, Y(level) - 4),
                            Invariant($"{words} {level:0.##} A"),
                            new TextLook(Chart.SmallSize, Anchor.End, Ink: ink, Bold: true, Halo: true)
                        );
                    }
                }
                canvas.Line(
                    [.. Thinned(trace).Select(one => new Pt(X(one.TimeS), Y(one.CurrentA)))],
                    false,
                    new Look(Stroke: Ink.Muted, Width: 1.2)
                );
                foreach (TracePlateau one in plateaus)
                {
                    canvas.Strokes(
                        [new Seg(X(startS + one.FromS), Y(one.MeanCurrentA), X(startS + one.ToS), Y(one.MeanCurrentA))],
                        new Look(Stroke: Ink.Accent, Width: 3.4)
                    );
                }
                double y = plot.Bottom + 54;
                canvas.Strokes([new Seg(plot.X, y - 4, plot.X + 28, y - 4)], new Look(Stroke: Ink.Muted, Width: 1.2));
                canvas.Text(new Pt(plot.X + 34, y), "current", new TextLook(Chart.SmallSize));
                canvas.Strokes(
                    [new Seg(plot.X + 110, y - 4, plot.X + 138, y - 4)],
                    new Look(Stroke: Ink.Accent, Width: 3.4)
                );
                canvas.Text(new Pt(plot.X + 144, y), "plateaus that were found", new TextLook(Chart.SmallSize));
            }
        ).Svg();
    }

    private static void Axes(ICanvas canvas, Box plot, double lengthS, double mostA)
    {
        canvas.Begin("axes");
        foreach (double atA in Ticks.FromZero(mostA, 6))
        {
            double y = plot.Bottom - (plot.Height * atA / mostA);
            canvas.Strokes([new Seg(plot.X - 4, y, plot.Right, y)], new Look(Stroke: Ink.Grid, Width: 0.8));
            canvas.Text(
                new Pt(plot.X - 8, y + 4),
                Invariant($"{atA:0.###}"),
                new TextLook(Chart.SmallSize, Anchor.End)
            );
        }
        foreach (double atS in Ticks.FromZero(lengthS, 8))
        {
            double x = plot.X + (plot.Width * atS / lengthS);
            canvas.Strokes([new Seg(x, plot.Y, x, plot.Bottom + 4)], new Look(Stroke: Ink.Grid, Width: 0.8));
            canvas.Text(
                new Pt(x, plot.Bottom + 18),
                Invariant($"{atS:0.###}"),
                new TextLook(Chart.SmallSize, Anchor.Middle)
            );
        }
        canvas.Text(new Pt(6, 16), "current, A", new TextLook(Chart.SmallSize, Ink: Ink.Muted));
        canvas.Text(
            new Pt(plot.Right, plot.Bottom + 34),
            "time, s",
            new TextLook(Chart.SmallSize, Anchor.End, Ink: Ink.Muted)
        );
        canvas.End();
    }

    // Of each stretch the lowest and the highest sample, so that no short kick is lost.
    private static IEnumerable<(double TimeS, double CurrentA)> Thinned(CurrentTrace trace)
    {
        int count = trace.TimeS.Count;
        int each = Math.Max(1, 2 * count / MostPoints);
        for (int from = 0; from < count; from += each)
        {
            int to = Math.Min(count, from + each);
            int low = from;
            int high = from;
            for (int i = from; i < to; i++)
            {
                low = trace.CurrentA[i] < trace.CurrentA[low] ? i : low;
                high = trace.CurrentA[i] > trace.CurrentA[high] ? i : high;
            }
            yield return (trace.TimeS[Math.Min(low, high)], trace.CurrentA[Math.Min(low, high)]);
            if (low != high)
            {
                yield return (trace.TimeS[Math.Max(low, high)], trace.CurrentA[Math.Max(low, high)]);
            }
        }
    }
}
