using Graftbench.Core.Joints;
using Graftbench.Sheets.Drawing;

namespace Graftbench.Sheets.Pictures;

/// <summary>What one molten joint carries or pulls at each height, with the height it takes up and where it spills or parts.</summary>
public static class ForceHeightPicture
{
    private const double Left = 66;
    private const double Right = 18;
    private const double Top = 40;
    private const double PlotHeight = 250;

    /// <summary>Draws the curve as SVG.</summary>
    /// <param name="plan">The answer.</param>
    /// <param name="widthPx">Width that the picture is laid out for.</param>
    /// <returns>The picture; empty where there is no curve.</returns>
    public static string Svg(JointPlan plan, int widthPx = 560) => Picture(plan, widthPx)?.Svg() ?? "";

    internal static Picture? Picture(JointPlan plan, double width)
    {
        ArgumentNullException.ThrowIfNull(plan);
        if (plan.Curve is not { Points.Count: > 1 } curve)
        {
            return null;
        }
        Axes axes = Axes.Of(curve, width);
        return new Picture(
            width,
            Top + PlotHeight + 50,
            "Force of one molten joint over its height",
            Words(plan, curve),
            canvas =>
            {
                axes.Draw(canvas);
                canvas.Line(
                    Chart.Thin([.. curve.Points.Select(point => axes.At(point.GapMm, point.ForceMilliN))]),
                    false,
                    new Look(Stroke: Ink.Text, Width: 2.6)
                );
                Mark(canvas, axes, curve.SpillGapMm, "spills below", Ink.Alert, Dash.Dashed, 0);
                Mark(canvas, axes, curve.TouchHeightMm, "ball and land touch", Ink.Accent, Dash.Dotted, 1);
                Mark(canvas, axes, curve.BreakGapMm, "parts above", Ink.Alert, Dash.Dashed, 0);
                if (plan.Molten is { Converged: true } molten)
                {
                    Mark(canvas, axes, molten.Plane.GapMm, "stands here, middle", Ink.Good, Dash.Solid, 2);
                }
            }
        );
    }

    private sealed record Axes(Box Plot, double FromMm, double ToMm, double LowMilliN, double HighMilliN)
    {
        public static Axes Of(ForceCurve curve, double width)
        {
            double low = Math.Min(curve.Points.Min(point => point.ForceMilliN), -0.05);
            double high = Math.Max(curve.Points.Max(point => point.ForceMilliN), 0.05);
            double room = 0.08 * (high - low);
            return new Axes(
                new Box(Left, Top, width - Left - Right, PlotHeight),
                curve.Points[0].GapMm,
                curve.Points[^1].GapMm,
                low - room,
                high + room
            );
        }

        public Pt At(double gapMm, double forceMilliN) => new(X(gapMm), Y(forceMilliN));

        public double X(double gapMm) => Plot.X + Plot.Width * (gapMm - FromMm) / (ToMm - FromMm);

        private double Y(double forceMilliN) =>
            Plot.Bottom - Plot.Height * (forceMilliN - LowMilliN) / (HighMilliN - LowMilliN);

        public void Draw(ICanvas canvas)
        {
            canvas.Begin("axes");
            foreach (double force in Ticks.Between(LowMilliN, HighMilliN, 6))
            {
                canvas.Strokes(
                    [new Seg(Plot.X, Y(force), Plot.Right, Y(force))],
                    new Look(Stroke: Ink.Grid, Width: 0.8)
                );
                canvas.Text(
                    new Pt(Plot.X - 7, Y(force) + 4),
                    QuantityText.Digits(force, 2),
                    new TextLook(Chart.SmallSize, Anchor.End)
                );
            }
            foreach (double gap in Ticks.Between(FromMm, ToMm, 7))
            {
                canvas.Strokes(
                    [new Seg(X(gap), Plot.Y, X(gap), Plot.Bottom + 4)],
                    new Look(Stroke: Ink.Grid, Width: 0.8)
                );
                canvas.Text(
                    new Pt(X(gap), Plot.Bottom + 18),
                    QuantityText.Digits(gap, 2),
                    new TextLook(Chart.SmallSize, Anchor.Middle)
                );
            }
            canvas.Strokes([new Seg(Plot.X, Y(0), Plot.Right, Y(0))], new Look(Stroke: Ink.Text, Width: 1.2));
            canvas.Text(
                new Pt(Plot.Right, Y(0) - 5),
                "carries, above the line",
                new TextLook(Chart.SmallSize, Anchor.End, Ink: Ink.Muted, Halo: true)
            );
            canvas.Text(
                new Pt(Plot.Right, Y(0) + 15),
                "pulls the chip down, below it",
                new TextLook(Chart.SmallSize, Anchor.End, Ink: Ink.Muted, Halo: true)
            );
            canvas.Text(
                new Pt(Plot.X + Plot.Width / 2, Plot.Bottom + 38),
                "gap between the lands of chip and board, mm",
                new TextLook(Chart.SmallSize, Anchor.Middle, Ink: Ink.Muted)
            );
            canvas.Text(
                new Pt(8, 16),
                "force of one joint, mN (1 mN is the weight of 0.1 g)",
                new TextLook(Chart.SmallSize, Ink: Ink.Muted)
            );
            canvas.End();
        }
    }

    private static void Mark(ICanvas canvas, Axes axes, double? gapMm, string words, Ink ink, Dash dash, int row)
    {
        if (gapMm is not double gap || gap < axes.FromMm || gap > axes.ToMm)
        {
            return;
        }
        double x = axes.X(gap);
        canvas.Strokes([new Seg(x, axes.Plot.Y, x, axes.Plot.Bottom)], new Look(Stroke: ink, Width: 1.6, Dash: dash));
        string text = $"{words} {QuantityText.Digits(gap, 3)}";
        bool left = x + SheetText.Width(text, Chart.SmallSize, true) + 6 > axes.Plot.Right;
        canvas.Text(
            new Pt(left ? x - 4 : x + 4, axes.Plot.Y + 14 + 17 * row),
            text,
            new TextLook(Chart.SmallSize, left ? Anchor.End : Anchor.Start, Bold: true, Ink: ink, Halo: true)
        );
    }

    private static string Words(JointPlan plan, ForceCurve curve)
    {
        string spill = curve.SpillGapMm is double low ? $"It spills below {QuantityText.Digits(low, 3)} mm. " : "";
        string parts = curve.BreakGapMm is double high ? $"It parts above {QuantityText.Digits(high, 3)} mm. " : "";
        string stands = plan.Molten is { Converged: true } molten
            ? $"The package stands at {QuantityText.Digits(molten.Plane.GapMm, 3)} mm in the middle."
            : "";
        return $"Ball and land touch at {QuantityText.Digits(curve.TouchHeightMm, 3)} mm. {spill}{parts}{stands}";
    }
}
