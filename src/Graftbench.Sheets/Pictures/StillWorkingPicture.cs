using Graftbench.Core.Insight;
using Graftbench.Sheets.Drawing;
using static System.FormattableString;

namespace Graftbench.Sheets.Pictures;

/// <summary>Share of machines that still work by days since the hand-over, with its interval and how many are known.</summary>
public static class StillWorkingPicture
{
    private const double Height = 320;
    private const int MostTicks = 5;

    /// <summary>Draws the curve as SVG, as far as enough machines are known.</summary>
    /// <param name="curve">The curve.</param>
    /// <param name="widthPx">Width that the picture is laid out for.</param>
    /// <returns>The picture; empty where too few are known.</returns>
    public static string Svg(SurvivalCurve curve, int widthPx = 400) => Picture(curve, widthPx)?.Svg() ?? "";

    internal static Picture? Picture(SurvivalCurve curve, double width)
    {
        ArgumentNullException.ThrowIfNull(curve);
        return curve.ShownUntilDays <= 0
            ? null
            : new Picture(
                width,
                Height,
                "Share of machines that still work, by days since the hand-over",
                Words(curve),
                canvas => Draw(canvas, curve, width)
            );
    }

    private static void Draw(ICanvas canvas, SurvivalCurve curve, double width)
    {
        Chart chart = new(new Box(58, 26, width - 78, 200), curve.ShownUntilDays, 1);
        IReadOnlyList<double> ticks = Ticks.FromZero(curve.ShownUntilDays, MostTicks);
        (List<Pt> Works, List<Pt> Low, List<Pt> High) lines = (
            Stairs(chart, curve, step => step?.WorksFraction ?? 1),
            Stairs(chart, curve, step => step?.LowFraction ?? curve.StartLowFraction),
            Stairs(chart, curve, step => step?.HighFraction ?? 1)
        );
        canvas.Shapes(
            [
                [.. lines.High, .. lines.Low.AsEnumerable().Reverse()],
            ],
            new Look(Fill: Ink.Body, Opacity: 0.6)
        );
        chart.DrawAxes(
            canvas,
            ticks,
            day => Invariant($"{day:0}"),
            "days since the hand-over",
            [0, 0.25, 0.5, 0.75, 1],
            share =>
                share <= 0 ? "none"
                : share >= 1 ? "all"
                : Invariant($"{share:0.##}"),
            "still work"
        );
        canvas.Line(lines.Low, false, new Look(Stroke: Ink.Muted, Width: 1.4, Dash: Dash.Dashed));
        canvas.Line(lines.High, false, new Look(Stroke: Ink.Muted, Width: 1.4, Dash: Dash.Dashed));
        canvas.Line(lines.Works, false, new Look(Stroke: Ink.Accent, Width: 2.6));
        canvas.Text(new Pt(4, 302), "known", new TextLook(Chart.SmallSize, Ink: Ink.Muted));
        foreach (double day in ticks)
        {
            canvas.Text(
                new Pt(chart.X(day), 302),
                Invariant($"{curve.KnownAt(day)}"),
                new TextLook(Chart.SmallSize, chart.X(day) > chart.Plot.Right - 12 ? Anchor.End : Anchor.Middle)
            );
        }
    }

    // A level holds until the next step.
    private static List<Pt> Stairs(Chart chart, SurvivalCurve curve, Func<SurvivalStep?, double> level)
    {
        double y = chart.Y(level(null));
        List<Pt> points = [new(chart.X(0), y)];
        foreach (SurvivalStep step in curve.Shown)
        {
            points.Add(new Pt(chart.X(step.AfterDays), y));
            y = chart.Y(level(step));
            points.Add(new Pt(chart.X(step.AfterDays), y));
        }
        points.Add(new Pt(chart.X(curve.ShownUntilDays), y));
        return points;
    }

    private static string Words(SurvivalCurve curve)
    {
        SurvivalStep? last = curve.Shown.LastOrDefault();
        return last is null
            ? Invariant(
                $"None of {curve.Number} came back in the part that is shown, until day {curve.ShownUntilDays:0}; the share that works is at least {curve.StartLowFraction:0.00}."
            )
            : Invariant(
                $"Until day {curve.ShownUntilDays:0}, {last.WorksFraction:0.00} still work, from {last.LowFraction:0.00} to {last.HighFraction:0.00}; {curve.CameBack} of {curve.Number} came back in all."
            );
    }
}
