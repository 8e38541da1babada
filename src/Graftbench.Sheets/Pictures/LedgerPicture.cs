using Graftbench.Core.Ledger;
using Graftbench.Sheets.Drawing;

namespace Graftbench.Sheets.Pictures;

/// <summary>Heats of a board or chip beside the guideline.</summary>
public static class LedgerPicture
{
    private const double Height = 92;

    /// <summary>Draws heats spent, assumed and planned, with a line at the guideline.</summary>
    /// <param name="account">The heats of one board or chip.</param>
    /// <param name="widthPx">Width that the picture is laid out for; it scales, and so does its text.</param>
    public static string Svg(HeatAccount account, int widthPx = 600) => Picture(account, widthPx).Svg();

    internal static Picture Picture(HeatAccount account, double width)
    {
        ArgumentNullException.ThrowIfNull(account);
        return new Picture(
            width,
            Height,
            $"Heats of {account.Title}",
            Words(account),
            canvas => Draw(canvas, width, account)
        );
    }

    /// <summary>The account in one line of words.</summary>
    internal static string Words(HeatAccount account)
    {
        string planned =
            account.PlannedLowNumber == account.PlannedHighNumber
                ? Count(account.PlannedLowNumber)
                : $"{Count(account.PlannedLowNumber)} to {Count(account.PlannedHighNumber)}";
        string assumed = account.AssumedNumber > 0 ? $" ({Count(account.AssumedNumber)} of them assumed)" : "";
        return $"Spent {Count(account.SpentNumber)}{assumed}, planned {planned}, guideline {Count(account.GuidelineNumber)}.";
    }

    private static string Count(double number) => QuantityText.Digits(number, 1);

    private static void Draw(ICanvas canvas, double width, HeatAccount account)
    {
        double low = account.SpentNumber + account.PlannedLowNumber;
        double high = account.SpentNumber + account.PlannedHighNumber;
        double end = Math.Max(Math.Max(high, account.GuidelineNumber) + 0.6, 4);
        Box bar = new(12, 32, width - 24, 26);
        double X(double number) => bar.X + (bar.Width * Math.Clamp(number / end, 0, 1));

        double recorded = Math.Max(0, account.SpentNumber - account.AssumedNumber);
        canvas.Rect(new Box(X(0), bar.Y, X(recorded) - X(0), bar.Height), 2, new Look(Ink.Accent, Ink.Text));
        Hatched(canvas, new Box(X(recorded), bar.Y, X(account.SpentNumber) - X(recorded), bar.Height));
        if (account.PlannedHighNumber > 0)
        {
            canvas.Rect(
                new Box(X(account.SpentNumber), bar.Y, X(low) - X(account.SpentNumber), bar.Height),
                2,
                new Look(Ink.Paper, Ink.Text, 1.4)
            );
            canvas.Rect(
                new Box(X(low), bar.Y, X(high) - X(low), bar.Height),
                2,
                new Look(null, Ink.Text, 1.4, Dash.Dashed)
            );
        }
        for (int i = 0; i <= (int)end && end < 60; i++)
        {
            canvas.Strokes([new Seg(X(i), bar.Bottom, X(i), bar.Bottom + 5)], new Look(Stroke: Ink.Text, Width: 0.8));
            canvas.Text(new Pt(X(i), bar.Bottom + 18), Count(i), new TextLook(Chart.SmallSize, Anchor.Middle));
        }
        double limit = X(account.GuidelineNumber);
        canvas.Strokes([new Seg(limit, bar.Y - 8, limit, bar.Bottom + 6)], new Look(Stroke: Ink.Alert, Width: 2.4));
        canvas.Text(
            new Pt(limit + (limit > width - 100 ? -5 : 5), bar.Y - 9),
            "guideline " + Count(account.GuidelineNumber),
            new TextLook(
                Chart.SmallSize,
                limit > width - 100 ? Anchor.End : Anchor.Start,
                Bold: true,
                Ink: Ink.Alert,
                Halo: true
            )
        );
        Name(canvas, X(0), X(recorded), bar, "on record", Ink.Paper);
        Name(canvas, X(recorded), X(account.SpentNumber), bar, "assumed", Ink.Text);
        Name(canvas, X(account.SpentNumber), X(low), bar, "planned", Ink.Text);
        Name(canvas, X(low), X(high), bar, "perhaps", Ink.Text);
        canvas.Text(new Pt(12, 17), "heats", new TextLook(Chart.SmallSize, Ink: Ink.Muted));
    }

    private static void Hatched(ICanvas canvas, Box box)
    {
        if (box.Width < 1)
        {
            return;
        }
        List<Seg> hatch = [];
        for (double x = box.X + 6; x < box.Right; x += 7)
        {
            hatch.Add(new Seg(x, box.Y, x - 5, box.Bottom));
        }
        canvas.Rect(box, 2, new Look(Ink.Body, Ink.Text));
        canvas.Strokes(hatch, new Look(Stroke: Ink.Muted, Width: 0.7));
    }

    private static void Name(ICanvas canvas, double from, double to, Box bar, string text, Ink ink)
    {
        if (SheetText.Width(text, Chart.SmallSize, true) + 6 <= to - from)
        {
            canvas.Text(
                new Pt((from + to) / 2, bar.Bottom - 9),
                text,
                new TextLook(Chart.SmallSize, Anchor.Middle, Bold: true, ink, Halo: ink == Ink.Text)
            );
        }
    }
}
