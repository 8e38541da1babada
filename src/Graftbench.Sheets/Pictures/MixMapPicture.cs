using Graftbench.Core.Mixing;
using Graftbench.Sheets.Drawing;

namespace Graftbench.Sheets.Pictures;

/// <summary>The map of two alloys: where every mixture of them is liquid, partly liquid and solid, and where this joint lies.</summary>
public static class MixMapPicture
{
    private const double Left = 52;
    private const double Right = 18;
    private const double Top = 28;
    private const double PlotHeight = 270;
    private const double RoomDeltaK = 12;

    /// <summary>Draws the map as SVG.</summary>
    /// <param name="answer">The answer.</param>
    /// <param name="widthPx">Width that the picture is laid out for.</param>
    /// <param name="display">Scale of the temperatures.</param>
    /// <returns>The picture; empty where there is no map.</returns>
    public static string Svg(MixAnswer answer, int widthPx = 560, Display? display = null) =>
        Picture(answer, widthPx, display ?? Display.Default)?.Svg() ?? "";

    internal static Picture? Picture(MixAnswer answer, double width, Display display)
    {
        ArgumentNullException.ThrowIfNull(answer);
        if (answer.Map is not { } map)
        {
            return null;
        }
        Line[] lines =
        [
            new("last crystal gone", Points(map, row => row.LiquidusC), Ink.Muted, Dash.Dashed, 1.6),
            new("fully molten (99 %)", Points(map, row => row.FullMeltC), Ink.Good, Dash.Solid, 2.8),
            new("first melt, long at rest", Points(map, row => row.SolidusC), Ink.Text, Dash.Dotted, 2),
            new("frozen, cooling", Points(map, row => row.FreezingEndC), Ink.Alert, Dash.Dashed, 2.4),
        ];
        if (lines.Any(line => line.Points.Count < 2))
        {
            return null;
        }
        Axes axes = Axes.Of(answer, lines, width, display);
        return new Picture(
            width,
            axes.Plot.Bottom + 88,
            $"Mixtures of {map.First} and {map.Second}: where they melt and freeze",
            Words(answer, map, display),
            canvas =>
            {
                Partly(canvas, axes, lines[1].Points, lines[3].Points);
                axes.Draw(canvas, map);
                foreach (Line line in lines)
                {
                    canvas.Line(
                        Chart.Thin([.. line.Points.Select(axes.At)]),
                        false,
                        new Look(Stroke: line.Ink, Width: line.Width, Dash: line.Dash)
                    );
                }
                Regions(canvas, axes, lines[0].Points, lines[3].Points);
                Here(canvas, axes, answer, map, lines[1].Points);
                Legend(canvas, axes.Plot, lines);
            }
        );
    }

    private sealed record Line(
        string Words,
        IReadOnlyList<(double Percent, double AtC)> Points,
        Ink Ink,
        Dash Dash,
        double Width
    );

    private sealed record Axes(Box Plot, double FromC, double ToC, Display Display)
    {
        public static Axes Of(MixAnswer answer, Line[] lines, double width, Display display)
        {
            double[] all = [.. lines.SelectMany(line => line.Points).Select(point => point.AtC)];
            return new Axes(
                new Box(Left, Top, width - Left - Right, PlotHeight),
                all.Min() - RoomDeltaK,
                Math.Max(all.Max(), answer.Peak?.PeakC ?? 0) + RoomDeltaK,
                display
            );
        }

        public Pt At((double Percent, double AtC) point) => new(X(point.Percent), Y(point.AtC));

        public double X(double percent) => Plot.X + Plot.Width * percent / 100;

        public double Y(double temperatureC) => Plot.Bottom - Plot.Height * (temperatureC - FromC) / (ToC - FromC);

        public void Draw(ICanvas canvas, MixMap map)
        {
            canvas.Begin("axes");
            foreach ((double atC, string text) in TemperatureTicks.Between(FromC, ToC, 8, Display))
            {
                canvas.Strokes(
                    [new Seg(Plot.X - 4, Y(atC), Plot.Right, Y(atC))],
                    new Look(Stroke: Ink.Grid, Width: 0.8)
                );
                canvas.Text(new Pt(Plot.X - 7, Y(atC) + 4), text, new TextLook(Chart.SmallSize, Anchor.End));
            }
            for (int percent = 0; percent <= 100; percent += 20)
            {
                canvas.Strokes(
                    [new Seg(X(percent), Plot.Y, X(percent), Plot.Bottom + 4)],
                    new Look(Stroke: Ink.Grid, Width: 0.8)
                );
                canvas.Text(
                    new Pt(X(percent), Plot.Bottom + 18),
                    QuantityText.Digits(percent, 0),
                    new TextLook(Chart.SmallSize, percent == 100 ? Anchor.End : Anchor.Middle)
                );
            }
            canvas.Text(
                new Pt(Plot.X + Plot.Width / 2, Plot.Bottom + 36),
                $"{map.Second} in {map.First}, % by mass",
                new TextLook(Chart.SmallSize, Anchor.Middle, Ink: Ink.Muted)
            );
            canvas.Text(
                new Pt(8, 16),
                $"temperature, {TemperatureTicks.Unit(Display)}",
                new TextLook(Chart.SmallSize, Ink: Ink.Muted)
            );
            canvas.End();
        }
    }

    private static IReadOnlyList<(double, double)> Points(MixMap map, Func<MixMapRow, double?> of) =>
        [.. map.Rows.Where(row => of(row) is not null).Select(row => (row.SecondPercent, of(row)!.Value))];

    // Between freezing end and full melt: neither solid nor liquid.
    private static void Partly(
        ICanvas canvas,
        Axes axes,
        IReadOnlyList<(double Percent, double AtC)> full,
        IReadOnlyList<(double Percent, double AtC)> frozen
    )
    {
        canvas.Shapes(
            [
                [.. full.Select(axes.At), .. frozen.Reverse().Select(axes.At)],
            ],
            new Look(Fill: Ink.Warn, Opacity: 0.14)
        );
    }

    // What lies between the lines, in words where there is room for them.
    private static void Regions(
        ICanvas canvas,
        Axes axes,
        IReadOnlyList<(double Percent, double AtC)> liquidus,
        IReadOnlyList<(double Percent, double AtC)> frozen
    )
    {
        const double AtPercent = 60;
        double upper = axes.Y(liquidus.MinBy(point => Math.Abs(point.Percent - AtPercent)).AtC);
        double lower = axes.Y(frozen.MinBy(point => Math.Abs(point.Percent - AtPercent)).AtC);
        (double From, double To, string Words)[] regions =
        [
            (axes.Plot.Y, upper, "liquid"),
            (upper, lower, "partly liquid: do not move the board"),
            (lower, axes.Plot.Bottom, "solid"),
        ];
        foreach ((double from, double to, string words) in regions.Where(one => one.To - one.From > 26))
        {
            canvas.Text(
                new Pt(axes.X(AtPercent), (from + to) / 2 + 4),
                words,
                new TextLook(Chart.SmallSize, Anchor.Middle, Ink: Ink.Muted, Halo: true)
            );
        }
    }

    private static void Here(
        ICanvas canvas,
        Axes axes,
        MixAnswer answer,
        MixMap map,
        IReadOnlyList<(double Percent, double AtC)> full
    )
    {
        Box plot = axes.Plot;
        double x = axes.X(map.HerePercent);
        canvas.Strokes([new Seg(x, plot.Y, x, plot.Bottom)], new Look(Stroke: Ink.Accent, Width: 1.8));
        Label(canvas, plot, x, plot.Y + 14, $"this joint, {QuantityText.Digits(map.HerePercent, 1)} %", Ink.Accent);
        if (answer.Peak is not { } peak)
        {
            return;
        }
        double y = axes.Y(peak.PeakC);
        canvas.Strokes(
            [new Seg(plot.X, y, plot.Right, y)],
            new Look(Stroke: Ink.Accent, Width: 1.4, Dash: Dash.Dashed)
        );
        // On the side where the line of full melt is farther away.
        bool right = Math.Abs(full[^1].AtC - peak.PeakC) > Math.Abs(full[0].AtC - peak.PeakC);
        double room =
            right && map.HerePercent > 70 || !right && map.HerePercent < 30
                ? Math.Abs(x - (right ? plot.Right : plot.X))
                : 0;
        canvas.Text(
            new Pt(right ? plot.Right - room - 6 : plot.X + room + 6, y - 5),
            $"peak {QuantityText.Temperature(peak.PeakC, axes.Display)}",
            new TextLook(Chart.SmallSize, right ? Anchor.End : Anchor.Start, Bold: true, Ink: Ink.Accent, Halo: true)
        );
        canvas.Dots([new Pt(x, y)], 4, Ink.Accent);
    }

    private static void Label(ICanvas canvas, Box plot, double x, double y, string text, Ink ink)
    {
        bool left = x + SheetText.Width(text, Chart.SmallSize, true) + 6 > plot.Right;
        canvas.Text(
            new Pt(left ? x - 5 : x + 5, y),
            text,
            new TextLook(Chart.SmallSize, left ? Anchor.End : Anchor.Start, Bold: true, Ink: ink, Halo: true)
        );
    }

    private static void Legend(ICanvas canvas, Box plot, Line[] lines)
    {
        canvas.Begin("legend");
        double half = plot.Width / 2;
        for (int i = 0; i < lines.Length; i++)
        {
            double x = plot.X + half * (i % 2);
            double y = plot.Bottom + 58 + 18 * (i / 2);
            canvas.Strokes(
                [new Seg(x, y - 4, x + 30, y - 4)],
                new Look(Stroke: lines[i].Ink, Width: lines[i].Width, Dash: lines[i].Dash)
            );
            canvas.Text(new Pt(x + 36, y), lines[i].Words, new TextLook(Chart.SmallSize));
        }
        canvas.End();
    }

    private static string Words(MixAnswer answer, MixMap map, Display display)
    {
        string T(double? c) => QuantityText.Temperature(c is double value ? Math.Round(value, 1) : null, display);
        string rows = string.Join(
            " ",
            map.Rows.Where(row => row.SecondPercent % 25 == 0)
                .Select(row =>
                    $"{QuantityText.Digits(row.SecondPercent, 0)} % {map.Second}: fully molten at {T(row.FullMeltC)}, frozen at {T(row.FreezingEndC)}."
                )
        );
        string peak = answer.Peak is { } one ? $" The peak is {T(one.PeakC)}." : "";
        return $"This joint holds {QuantityText.Digits(map.HerePercent, 1)} % {map.Second}.{peak} {rows}";
    }
}
