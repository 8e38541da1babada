using Graftbench.Core.Fit;
using Graftbench.Sheets.Drawing;
using static System.FormattableString;

namespace Graftbench.Sheets.Pictures;

/// <summary>Heat made and heat taken over the temperature of the die: where they cross, it settles.</summary>
public static class FitHeatPicture
{
    private const double Left = 54;
    private const double Right = 20;
    private const double Top = 34;
    private const double PlotHeight = 240;

    /// <summary>Draws the two curves as SVG.</summary>
    /// <param name="heat">How the chip settles.</param>
    /// <param name="widthPx">Width that the picture is laid out for.</param>
    /// <param name="display">Scale of the temperatures.</param>
    /// <returns>The picture; empty where leakage is not known.</returns>
    public static string Svg(FitHeat heat, int widthPx = 620, Display? display = null) =>
        Picture(heat, widthPx, display ?? Display.Default)?.Svg() ?? "";

    internal static Picture? Picture(FitHeat heat, double width, Display display)
    {
        ArgumentNullException.ThrowIfNull(heat);
        if (heat.Curve.Count < 2)
        {
            return null;
        }
        Box plot = new(Left, Top, width - Left - Right, PlotHeight);
        double fromC = heat.Curve[0].DieC;
        double toC = heat.Curve[^1].DieC;
        double mostW = Math.Max(
            heat.Curve.Max(point => point.TakenW),
            1.6 * (heat.Balance.PowerW ?? heat.Curve[^1].TakenW)
        );
        double X(double dieC) => plot.X + (plot.Width * (dieC - fromC) / (toC - fromC));
        double Y(double watts) => plot.Bottom - (plot.Height * Math.Min(1.02, watts / mostW));
        return new Picture(
            width,
            plot.Bottom + 68,
            "Heat made and heat taken over the temperature of the die",
            Words(heat, display),
            canvas =>
            {
                Axes(canvas, plot, fromC, toC, mostW, X, Y, display);
                Line(canvas, heat.Curve, point => new Pt(X(point.DieC), Y(point.TakenW)), Ink.Accent, Dash.Solid);
                Line(
                    canvas,
                    [.. heat.Curve.Where(point => point.MadeW <= mostW * 1.02)],
                    point => new Pt(X(point.DieC), Y(point.MadeW)),
                    Ink.Alert,
                    Dash.Dashed
                );
                if (heat.HottestDieC is { } limitC && limitC >= fromC && limitC <= toC)
                {
                    canvas.Strokes(
                        [new Seg(X(limitC), plot.Y, X(limitC), plot.Bottom)],
                        new Look(Stroke: Ink.Warn, Width: 2, Dash: Dash.Dotted)
                    );
                    canvas.Text(
                        new Pt(X(limitC) - 4, plot.Y + 12),
                        $"limit {QuantityText.Temperature(limitC, display)}",
                        new TextLook(Chart.SmallSize, Anchor.End, Ink: Ink.Warn, Bold: true, Halo: true)
                    );
                }
                if (heat.Balance is { SettlesC: { } settlesC, PowerW: { } watts })
                {
                    canvas.Circle(
                        new Pt(X(settlesC), Y(watts)),
                        7,
                        new Look(Fill: Ink.Paper, Stroke: Ink.Text, Width: 2.5)
                    );
                    canvas.Text(
                        new Pt(X(settlesC) + 12, Y(watts) + 18),
                        Invariant(
                            $"settles at {QuantityText.Temperature(Math.Round(settlesC, 1), display)}, loop gain {heat.Balance.LoopGainRatio:0.00}"
                        ),
                        new TextLook(
                            Chart.SmallSize,
                            X(settlesC) > plot.X + (plot.Width * 0.55) ? Anchor.End : Anchor.Start,
                            Bold: true,
                            Halo: true
                        )
                    );
                }
                else
                {
                    canvas.Text(
                        new Pt(plot.X + 12, plot.Y + 14),
                        "the curves do not cross: it runs away",
                        new TextLook(Chart.SmallSize + 1, Bold: true, Ink: Ink.Alert, Halo: true)
                    );
                }
                Legend(canvas, plot, heat);
            }
        );
    }

    private static void Axes(
        ICanvas canvas,
        Box plot,
        double fromC,
        double toC,
        double mostW,
        Func<double, double> x,
        Func<double, double> y,
        Display display
    )
    {
        canvas.Begin("axes");
        foreach ((double atC, string text) in TemperatureTicks.Between(fromC, toC, 8, display))
        {
            canvas.Strokes([new Seg(x(atC), plot.Y, x(atC), plot.Bottom + 4)], new Look(Stroke: Ink.Grid, Width: 0.8));
            canvas.Text(new Pt(x(atC), plot.Bottom + 18), text, new TextLook(Chart.SmallSize, Anchor.Middle));
        }
        foreach (double watts in Ticks.FromZero(mostW, 6))
        {
            canvas.Strokes(
                [new Seg(plot.X - 4, y(watts), plot.Right, y(watts))],
                new Look(Stroke: Ink.Grid, Width: 0.8)
            );
            canvas.Text(
                new Pt(plot.X - 8, y(watts) + 4),
                Invariant($"{watts:0.##}"),
                new TextLook(Chart.SmallSize, Anchor.End)
            );
        }
        canvas.Text(new Pt(6, 16), "heat, W", new TextLook(Chart.SmallSize, Ink: Ink.Muted));
        canvas.Text(
            new Pt(plot.Right, plot.Bottom + 34),
            $"die, {TemperatureTicks.Unit(display)}",
            new TextLook(Chart.SmallSize, Anchor.End, Ink: Ink.Muted)
        );
        canvas.End();
    }

    private static void Line(
        ICanvas canvas,
        IReadOnlyList<HeatPoint> curve,
        Func<HeatPoint, Pt> at,
        Ink ink,
        Dash dash
    ) => canvas.Line([.. curve.Select(at)], false, new Look(Stroke: ink, Width: 2.6, Dash: dash));

    private static void Legend(ICanvas canvas, Box plot, FitHeat heat)
    {
        canvas.Begin("legend");
        double y = plot.Bottom + 54;
        canvas.Strokes(
            [new Seg(plot.X, y - 4, plot.X + 30, y - 4)],
            new Look(Stroke: Ink.Alert, Width: 2.6, Dash: Dash.Dashed)
        );
        canvas.Text(new Pt(plot.X + 36, y), "made by the chip", new TextLook(Chart.SmallSize));
        canvas.Strokes([new Seg(plot.X + 170, y - 4, plot.X + 200, y - 4)], new Look(Stroke: Ink.Accent, Width: 2.6));
        canvas.Text(
            new Pt(plot.X + 206, y),
            Invariant($"taken by the cooler, {heat.ThetaKPerW:0.###} K/W"),
            new TextLook(Chart.SmallSize)
        );
        canvas.End();
    }

    private static string Words(FitHeat heat, Display display)
    {
        string T(double c) => QuantityText.Temperature(Math.Round(c, 1), display);
        string settles = heat.Balance is { SettlesC: { } at, LoopGainRatio: { } gain }
            ? Invariant($"It settles at {T(at)} with a loop gain of {gain:0.00}.")
            : "The curves do not cross: it runs away.";
        string limit = heat.HottestDieC is { } limitC ? $" The die may get {T(limitC)}." : "";
        return $"Air {T(heat.AirC)}. {settles}{limit} It settles up to {T(heat.Balance.MostAmbientC)} of air.";
    }
}
