using Graftbench.Core.Heating;
using Graftbench.Sheets.Drawing;

namespace Graftbench.Sheets.Pictures;

/// <summary>Where the plot lies on a curve picture, for a page that lays a marker over it.</summary>
/// <param name="LeftFraction">Left edge as share of the picture's width.</param>
/// <param name="RightFraction">Right edge as share of the picture's width.</param>
/// <param name="EndS">Time at the right edge [s].</param>
public sealed record HeatPlotFrame(double LeftFraction, double RightFraction, double EndS);

/// <summary>The planned run over time: joints, body, neighbours, set points, limits, melting band and moments.</summary>
public static class HeatCurvesPicture
{
    private const double PlotHeight = 340;
    private const double Top = 64;
    private const double Left = 56;
    private const int MostNeighbours = 3;
    private const int MostLimits = 5;

    /// <summary>Draws the curves as SVG.</summary>
    /// <param name="heat">The plan.</param>
    /// <param name="display">Whether °F stands at the right.</param>
    /// <param name="widthPx">Width that the picture is laid out for.</param>
    /// <returns>The picture; empty where there are no curves.</returns>
    public static string Svg(HeatPlan heat, Display? display = null, int widthPx = 860) =>
        Picture(heat, display ?? Display.Default, widthPx)?.Svg() ?? "";

    /// <summary>Where the plot lies.</summary>
    /// <param name="heat">The plan; it has curves.</param>
    /// <param name="display">As given to <see cref="Svg"/>.</param>
    /// <param name="widthPx">As given to <see cref="Svg"/>.</param>
    public static HeatPlotFrame Frame(HeatPlan heat, Display? display = null, int widthPx = 860)
    {
        ArgumentNullException.ThrowIfNull(heat);
        double right = widthPx - Right(display ?? Display.Default);
        return new HeatPlotFrame(Left / widthPx, right / widthPx, EndS(heat));
    }

    internal static Picture? Picture(HeatPlan heat, Display display, double width)
    {
        ArgumentNullException.ThrowIfNull(heat);
        if (heat.Curves is not HeatCurves curves || curves.TimesS.Count < 2)
        {
            return null;
        }
        List<Strand> strands = [.. Strands(heat, curves)];
        double highest = strands
            .SelectMany(strand => strand.Curve.TemperaturesC)
            .Concat(Limits(heat).Select(limit => limit.Value))
            .Append(curves.MoltenC)
            .Where(double.IsFinite)
            .DefaultIfEmpty(250)
            .Max();
        Chart chart = new(
            new Box(Left, Top, width - Left - Right(display), PlotHeight),
            EndS(heat),
            Math.Max(50, highest * 1.06)
        );
        IReadOnlyList<string> notes =
        [
            .. heat.Moments.SelectMany(moment =>
                SheetText.Wrap($"{QuantityText.Clock(moment.TimeS)}  {SheetText.Clean(moment.Text)}", width - 40, 12.5)
            ),
        ];
        return new Picture(
            width,
            Top + PlotHeight + 52 + (notes.Count * 17),
            "Temperatures of the planned run",
            Words(heat, curves, strands, display),
            canvas =>
            {
                DrawBand(canvas, chart, curves);
                HeatAxes.Draw(canvas, chart, display);
                LabelPlacer placer = new(chart.Plot);
                DrawLimits(canvas, chart, heat, placer, display);
                DrawMoments(canvas, chart, heat);
                DrawStrands(canvas, chart, curves, strands, placer);
                for (int i = 0; i < notes.Count; i++)
                {
                    canvas.Text(new Pt(Left, Top + PlotHeight + 60 + (17 * i)), notes[i], new TextLook(12.5));
                }
            }
        );
    }

    /// <summary>A curve with its looks: ink, width and dashes differ together.</summary>
    private sealed record Strand(HeatCurve Curve, string Label, Look Look);

    private static double Right(Display display) => display.Fahrenheit ? 52 : 20;

    private static double EndS(HeatPlan heat) =>
        heat.Curves?.TimesS.Where(double.IsFinite).DefaultIfEmpty(1).Max() is double end and > 0 ? end : 1;

    private static IEnumerable<Strand> Strands(HeatPlan heat, HeatCurves curves)
    {
        HeatCurve? Named(string name) => curves.Curves.FirstOrDefault(curve => curve.Name == name);
        (string Name, Look Look)[] fixedOnes =
        [
            ("gas-set", new Look(Stroke: Ink.Muted, Width: 1.2)),
            ("preheater-set", new Look(Stroke: Ink.Muted, Width: 1.2, Dash: Dash.Dashed)),
            ("underside", new Look(Stroke: Ink.Muted, Width: 1.6, Dash: Dash.Dotted)),
            ("body-top", new Look(Stroke: Ink.Accent, Width: 2, Dash: Dash.Dashed)),
            ("joint-hottest", new Look(Stroke: Ink.Alert, Width: 1.8)),
            ("joint-coldest", new Look(Stroke: Ink.Text, Width: 3.2)),
        ];
        List<string> neighbours =
        [
            .. heat
                .Figures.Where(figure =>
                    figure.Limit.Kind is HeatLimitKind.NeighbourPeak or HeatLimitKind.NeighbourSolid
                    && figure.Limit.Place is not null
                )
                .OrderBy(figure => figure.Margin / Math.Max(1e-9, figure.Limit.Scale))
                .Select(figure => figure.Limit.Place!)
                .Distinct(StringComparer.Ordinal)
                .Take(MostNeighbours),
        ];
        foreach (string name in neighbours)
        {
            if (Named(name) is HeatCurve curve)
            {
                yield return new Strand(
                    curve,
                    SheetText.Clean(curve.Title),
                    new Look(Stroke: Ink.Warn, Width: 1.6, Dash: Dash.Dotted)
                );
            }
        }
        foreach ((string name, Look look) in fixedOnes)
        {
            if (Named(name) is HeatCurve curve)
            {
                yield return new Strand(curve, SheetText.Clean(curve.Title), look);
            }
        }
    }

    private static List<(double Value, string Text)> Limits(HeatPlan heat) =>
        [
            .. heat
                .Figures.Where(figure => figure.Limit.Unit == "°C" && double.IsFinite(figure.Limit.Value))
                .GroupBy(figure => figure.Limit.Value)
                .Select(group =>
                    (
                        group.Key,
                        string.Join(", ", group.Select(figure => SheetText.Clean(figure.Limit.Title)).Take(2))
                            + (group.Count() > 2 ? $" and {group.Count() - 2} more" : "")
                            + (group.First().Limit.AtLeast ? " at least " : " at most ")
                            + QuantityText.Digits(group.Key, 0)
                    )
                )
                .Take(MostLimits),
        ];

    private static void DrawBand(ICanvas canvas, Chart chart, HeatCurves curves)
    {
        double top = chart.Y(curves.MoltenC);
        double height = Math.Max(3, chart.Y(curves.SolidusC) - top);
        canvas.Rect(new Box(chart.Plot.X, top, chart.Plot.Width, height), 0, new Look(Fill: Ink.Heat2));
        canvas.Strokes([new Seg(chart.Plot.X, top, chart.Plot.Right, top)], new Look(Stroke: Ink.Text, Width: 0.7));
    }

    private static void DrawLimits(ICanvas canvas, Chart chart, HeatPlan heat, LabelPlacer placer, Display display)
    {
        canvas.Begin("limits");
        HeatCurves curves = heat.Curves!;
        string band = $"m{BandWords(curves, display)[1..]}";
        List<Box> taken = [];
        Tag(canvas, chart, taken, chart.Y(curves.MoltenC), band, Ink.Text);
        foreach ((double value, string text) in Limits(heat).OrderByDescending(limit => limit.Value))
        {
            double y = chart.Y(value);
            canvas.Strokes(
                [new Seg(chart.Plot.X, y, chart.Plot.Right, y)],
                new Look(Stroke: Ink.Alert, Width: 1.1, Dash: Dash.Dashed)
            );
            Tag(canvas, chart, taken, y, text, Ink.Alert);
        }
        taken.ForEach(placer.Block);
        canvas.End();
    }

    // At the left, where the curves have not yet risen: above its line, else below, else further right.
    private static void Tag(ICanvas canvas, Chart chart, List<Box> taken, double y, string text, Ink ink)
    {
        string shown = SheetText.Fit(text, chart.Plot.Width * 0.4, Chart.SmallSize, true);
        double width = SheetText.Width(shown, Chart.SmallSize, true) + 8;
        foreach (double x in (double[])[4, 4 + (chart.Plot.Width * 0.22), 4 + (chart.Plot.Width * 0.42)])
        {
            foreach (double top in (double[])[y - 15, y + 2])
            {
                Box box = new(chart.Plot.X + x, top, width, 13);
                if (box.Inside(chart.Plot) && !taken.Exists(other => other.Meets(box)))
                {
                    taken.Add(box);
                    canvas.Text(
                        new Pt(box.X, box.Y + 11),
                        shown,
                        new TextLook(Chart.SmallSize, Bold: true, Ink: ink, Halo: true)
                    );
                    return;
                }
            }
        }
    }

    private static void DrawMoments(ICanvas canvas, Chart chart, HeatPlan heat)
    {
        canvas.Begin("moments");
        double free = double.NegativeInfinity;
        bool upper = false;
        foreach (HeatMoment moment in heat.Moments.Where(moment => double.IsFinite(moment.TimeS)).OrderBy(m => m.TimeS))
        {
            double x = chart.X(moment.TimeS);
            string text = QuantityText.Clock(moment.TimeS);
            double width = SheetText.Width(text, Chart.TextSize, true) + 6;
            // Moments close to each other stand in two rows.
            upper = x - (width / 2) < free && !upper;
            double y = upper ? Top - 26 : Top - 8;
            free = x + (width / 2);
            canvas.Strokes(
                [new Seg(x, y + 3, x, chart.Plot.Bottom)],
                new Look(Stroke: Ink.Text, Width: 0.9, Dash: Dash.Dotted)
            );
            canvas.Text(new Pt(x, y), text, new TextLook(Chart.TextSize, Anchor.Middle, Bold: true, Halo: true));
        }
        canvas.End();
    }

    private static void DrawStrands(
        ICanvas canvas,
        Chart chart,
        HeatCurves curves,
        IReadOnlyList<Strand> strands,
        LabelPlacer placer
    )
    {
        foreach (Strand strand in strands)
        {
            canvas.Begin("curve", strand.Label);
            chart.DrawCurve(canvas, curves.TimesS, strand.Curve.TemperaturesC, strand.Look);
            canvas.End();
        }
        foreach (Strand strand in strands)
        {
            for (int i = 0; i < curves.TimesS.Count; i += Math.Max(1, curves.TimesS.Count / 60))
            {
                if (i < strand.Curve.TemperaturesC.Count && double.IsFinite(strand.Curve.TemperaturesC[i]))
                {
                    Pt p = new(chart.X(curves.TimesS[i]), chart.Y(strand.Curve.TemperaturesC[i]));
                    placer.Avoid(new Box(p.X - 3, p.Y - 3, 6, 6), strand.Curve.Name);
                }
            }
        }
        foreach (Strand strand in strands.Reverse())
        {
            Pt at = Loneliest(chart, curves, strand, strands);
            double width = SheetText.Width(strand.Label, Chart.SmallSize, true) + 4;
            Box thing = new(at.X - 1, at.Y - 1, 2, 2);
            if (placer.Place(strand.Curve.Name, thing, width, 15, false, important: true) is not { } placed)
            {
                continue;
            }
            if (placed.Leader is Seg leader)
            {
                canvas.Strokes([leader], new Look(Stroke: Ink.Text, Width: 0.8));
            }
            canvas.Text(
                new Pt(placed.Box.X + 2, placed.Box.Y + 12),
                strand.Label,
                new TextLook(Chart.SmallSize, Bold: true, Ink: strand.Look.Stroke ?? Ink.Text, Halo: true)
            );
        }
    }

    /// <summary>The point of a curve that is farthest from all other curves: its label cannot be taken for theirs.</summary>
    private static Pt Loneliest(Chart chart, HeatCurves curves, Strand strand, IReadOnlyList<Strand> all)
    {
        Pt best = new(chart.Plot.X, chart.Plot.Bottom);
        double farthest = -1;
        int number = Math.Min(curves.TimesS.Count, strand.Curve.TemperaturesC.Count);
        int every = Math.Max(1, number / 80);
        for (int i = number / 12; i < number - (number / 12); i += every)
        {
            double y = chart.Y(strand.Curve.TemperaturesC[i]);
            double gap = all.Where(other => other != strand && i < other.Curve.TemperaturesC.Count)
                .Select(other => Math.Abs(chart.Y(other.Curve.TemperaturesC[i]) - y))
                .DefaultIfEmpty(100)
                .Min();
            if (gap > farthest)
            {
                (farthest, best) = (gap, new Pt(chart.X(curves.TimesS[i]), y));
            }
        }
        return best;
    }

    private static string Words(HeatPlan heat, HeatCurves curves, IReadOnlyList<Strand> strands, Display display)
    {
        IEnumerable<string> peaks = strands
            .Where(strand => strand.Curve.TemperaturesC.Count > 0)
            .Reverse()
            .Select(strand =>
                $"{strand.Label} peaks at {QuantityText.Degrees(strand.Curve.TemperaturesC.Max(), display)}"
            );
        IEnumerable<string> moments = heat.Moments.Select(moment =>
            $"{QuantityText.Clock(moment.TimeS)} {SheetText.Clean(moment.Text)}"
        );
        return $"{BandWords(curves, display)}. " + $"{string.Join("; ", peaks)}. {string.Join("; ", moments)}.";
    }

    // A eutectic alloy melts at one temperature: a band from 183 to 183 would read as a slip.
    private static string BandWords(HeatCurves curves, Display display)
    {
        string from = QuantityText.Digits(curves.SolidusC, 0);
        string molten = QuantityText.Degrees(curves.MoltenC, display);
        return from == QuantityText.Digits(curves.MoltenC, 0)
            ? $"Melts at {molten}"
            : $"Melting band {from} to {molten}";
    }
}
