using Graftbench.Core.Findings;
using Graftbench.Core.Fit;
using Graftbench.Sheets.Drawing;
using static System.FormattableString;

namespace Graftbench.Sheets.Pictures;

/// <summary>Rails of a chip: what it takes, and under it what the board gives, each on its own scale.</summary>
public static class RailPicture
{
    private const double RowHeight = 66;
    private const double Room = 8;
    private const double Left = 128;
    private const double Right = 92;
    private const double Key = 30;

    /// <summary>Draws the rails as SVG.</summary>
    /// <param name="rails">The rails.</param>
    /// <param name="widthPx">Width that the picture is laid out for.</param>
    /// <returns>The picture; empty without rails.</returns>
    public static string Svg(IReadOnlyList<RailWindow> rails, int widthPx = 760) =>
        Picture(rails, widthPx)?.Svg() ?? "";

    internal static Picture? Picture(IReadOnlyList<RailWindow> rails, double width)
    {
        ArgumentNullException.ThrowIfNull(rails);
        return rails.Count == 0
            ? null
            : new Picture(
                width,
                Room + (rails.Count * RowHeight) + Key,
                "Rail voltages: what the chip takes and what the board gives",
                string.Join(" ", rails.Select(Words)),
                canvas =>
                {
                    for (int i = 0; i < rails.Count; i++)
                    {
                        Row(canvas, rails[i], Room + (i * RowHeight), width);
                    }
                    double y = Room + (rails.Count * RowHeight) + 14;
                    canvas.Rect(new Box(4, y - 8, 26, 10), 2, new Look(Fill: Ink.Band2, Stroke: Ink.Text));
                    canvas.Text(new Pt(36, y + 1), "chip takes", new TextLook(Chart.SmallSize));
                    canvas.Rect(new Box(124, y - 8, 26, 10), 0, new Look(Fill: Ink.Paper, Stroke: Ink.Text, Width: 2));
                    canvas.Text(new Pt(156, y + 1), "board gives", new TextLook(Chart.SmallSize));
                    Measured(canvas, 258, y - 3);
                    canvas.Text(new Pt(270, y + 1), "measured", new TextLook(Chart.SmallSize));
                }
            );
    }

    private static void Row(ICanvas canvas, RailWindow rail, double top, double width)
    {
        double?[] all = [rail.LeastV, rail.MostV, rail.LowV, rail.HighV, rail.MeasuredV];
        double from = all.OfType<double>().Min();
        double to = all.OfType<double>().Max();
        double room = Math.Max(0.08 * (to - from), 0.01 * to);
        double X(double volts) => Left + ((width - Left - Right) * (volts - from + room) / (to - from + (2 * room)));
        canvas.Begin("rail", Words(rail));
        canvas.Text(new Pt(4, top + 24), SheetText.Clean(rail.Name), new TextLook(Chart.SmallSize + 1, Bold: true));
        canvas.Text(
            new Pt(4, top + 40),
            rail.OnBoard is { } board ? SheetText.Clean($"on {board}") : "not on the board",
            new TextLook(Chart.SmallSize - 1, Ink: Ink.Muted)
        );
        canvas.Rect(
            new Box(X(rail.LeastV), top + 10, Math.Max(2, X(rail.MostV) - X(rail.LeastV)), 14),
            2,
            new Look(Fill: Ink.Band2, Stroke: Ink.Text)
        );
        Ends(canvas, X(rail.LeastV), rail.LeastV, X(rail.MostV), rail.MostV, top + 7);
        if (rail is { LowV: { } low, HighV: { } high })
        {
            Ink ink = rail.Verdict switch
            {
                Verdict.Ok => Ink.Good,
                Verdict.Blocker => Ink.Alert,
                _ => Ink.Warn,
            };
            canvas.Rect(
                new Box(X(low), top + 30, Math.Max(2, X(high) - X(low)), 14),
                0,
                new Look(Fill: Ink.Paper, Stroke: ink, Width: 2.4)
            );
            Ends(canvas, X(low), low, X(high), high, top + 56);
        }
        if (rail.MeasuredV is { } measured)
        {
            Measured(canvas, X(measured), top + 37);
        }
        canvas.Text(
            new Pt(width - 4, top + 32),
            TradeWords.Of(rail.Verdict),
            new TextLook(Chart.SmallSize, Anchor.End, Bold: true)
        );
        canvas.End();
    }

    // One figure where both ends lie too close for two.
    private static void Ends(ICanvas canvas, double x1, double v1, double x2, double v2, double y)
    {
        TextLook look = new(Chart.SmallSize - 1, Anchor.Middle, Ink: Ink.Muted, Halo: true);
        if (x2 - x1 < 52)
        {
            canvas.Text(new Pt((x1 + x2) / 2, y), Invariant($"{v1:0.###}–{v2:0.###} V"), look);
            return;
        }
        canvas.Text(new Pt(x1, y), Invariant($"{v1:0.###}"), look);
        canvas.Text(new Pt(x2, y), Invariant($"{v2:0.###} V"), look);
    }

    private static void Measured(ICanvas canvas, double x, double y) =>
        canvas.Shapes(
            [
                [new Pt(x, y - 7), new Pt(x + 6, y), new Pt(x, y + 7), new Pt(x - 6, y)],
            ],
            new Look(Fill: Ink.Accent)
        );

    private static string Words(RailWindow rail)
    {
        string gives = rail is { LowV: { } low, HighV: { } high }
            ? Invariant($"the board gives {low:0.###} to {high:0.###} V on {rail.OnBoard}")
            : "no rail of the board is known";
        string measured = rail.MeasuredV is { } volts ? Invariant($", measured {volts:0.###} V") : "";
        return SheetText.Clean(
            Invariant($"{rail.Name} takes {rail.LeastV:0.###} to {rail.MostV:0.###} V; {gives}{measured}.")
        );
    }
}
