using Graftbench.Core.Drying;
using Graftbench.Sheets.Drawing;

namespace Graftbench.Sheets.Pictures;

/// <summary>A floor-life clock as a bar.</summary>
public static class FloorLifeBar
{
    private const double Height = 62;

    /// <summary>Draws how much of the floor life is used.</summary>
    /// <param name="clock">The clock.</param>
    /// <param name="title">Name of the picture.</param>
    /// <param name="widthPx">Width that the picture is laid out for; it scales, and so does its text.</param>
    public static string Svg(FloorLifeClock clock, string? title = null, int widthPx = 600) =>
        Picture(clock, title, widthPx).Svg();

    internal static Picture Picture(FloorLifeClock clock, string? title, double width)
    {
        ArgumentNullException.ThrowIfNull(clock);
        return new Picture(width, Height, title ?? "Floor life", clock.Says, canvas => Draw(canvas, width, clock));
    }

    private static void Draw(ICanvas canvas, double width, FloorLifeClock clock)
    {
        Box bar = new(12, 28, width - 24, 20);
        double limitX = bar.X + (bar.Width * 0.75);
        string state = TradeWords.Of(clock.State);
        if (
            clock.State is FloorLifeState.Unlimited or FloorLifeState.Unknown
            || clock.UsedFraction is not double used
            || !double.IsFinite(used)
        )
        {
            bool unknown = clock.State != FloorLifeState.Unlimited;
            canvas.Rect(bar, 3, new Look(unknown ? Ink.Body : null, Ink.Text, 1.2, unknown ? Dash.Dashed : Dash.Solid));
            canvas.Text(
                new Pt(width / 2, bar.Bottom - 5),
                unknown ? "? cannot be counted: taken as saturated" : "no limit",
                new TextLook(Chart.TextSize, Anchor.Middle, Bold: true)
            );
            canvas.Text(new Pt(12, 18), Sentence(state), new TextLook(Chart.TextSize, Bold: true));
            return;
        }
        double end = bar.X + (Math.Clamp(used, 0, 4 / 3.0) * bar.Width * 0.75);
        bool over = used > 1;
        canvas.Rect(bar, 3, new Look(Ink.Paper, Ink.Text, 1.2));
        canvas.Rect(bar with { Width = Math.Min(end, limitX) - bar.X }, 3, new Look(Fill: Ink.Accent));
        if (over)
        {
            List<Seg> hatch = [];
            for (double x = limitX; x < end; x += 6)
            {
                hatch.Add(new Seg(x, bar.Bottom, Math.Min(end, x + 8), bar.Y));
            }
            canvas.Rect(new Box(limitX, bar.Y, end - limitX, bar.Height), 0, new Look(Ink.Paper, Ink.Alert, 1.6));
            canvas.Strokes(hatch, new Look(Stroke: Ink.Alert, Width: 1.6));
        }
        canvas.Strokes([new Seg(limitX, bar.Y - 6, limitX, bar.Bottom + 6)], new Look(Stroke: Ink.Text, Width: 2));
        string rated = clock.RatedH is double h ? "floor life " + QuantityText.HoursAndDays(h) : "floor life";
        canvas.Text(new Pt(limitX + 5, 18), rated, new TextLook(Chart.SmallSize));
        string text =
            over ? $"{Sentence(state)}: {QuantityText.FractionAsPercent(used)} used"
            : clock.LeftH is double left
                ? $"{QuantityText.FractionAsPercent(used)} used, {QuantityText.HoursAtMost(left)} left here"
            : $"{QuantityText.FractionAsPercent(used)} used";
        canvas.Text(
            new Pt(12, 18),
            SheetText.Fit(text, limitX - 16, Chart.TextSize, true),
            new TextLook(Chart.TextSize, Bold: true, Ink: over ? Ink.Alert : Ink.Text)
        );
    }

    private static string Sentence(string words) => char.ToUpperInvariant(words[0]) + words[1..];
}
