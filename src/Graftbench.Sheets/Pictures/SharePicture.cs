using Graftbench.Core.Insight;
using Graftbench.Sheets.Drawing;
using static System.FormattableString;

namespace Graftbench.Sheets.Pictures;

/// <summary>A share to be drawn.</summary>
/// <param name="Name">Whose it is.</param>
/// <param name="Share">The share with its interval.</param>
/// <param name="Told">Whether it differs from the rest by more than chance.</param>
public sealed record ShareRow(string Name, CountedShare Share, bool Told = false);

/// <summary>Counted shares, each as the bar of its interval with a mark where it was counted.</summary>
public static class SharePicture
{
    private const double RowHeight = 62;
    private const double Side = 10;
    private const double Foot = 30;
    private const double Bar = 14;

    /// <summary>Draws the shares as SVG.</summary>
    /// <param name="title">What is counted.</param>
    /// <param name="rows">The shares.</param>
    /// <param name="widthPx">Width that the picture is laid out for.</param>
    /// <returns>The picture; empty without rows.</returns>
    public static string Svg(string title, IReadOnlyList<ShareRow> rows, int widthPx = 360) =>
        Picture(title, rows, widthPx)?.Svg() ?? "";

    internal static Picture? Picture(string title, IReadOnlyList<ShareRow> rows, double width)
    {
        ArgumentNullException.ThrowIfNull(rows);
        return rows.Count == 0
            ? null
            : new Picture(
                width,
                (rows.Count * RowHeight) + Foot,
                title,
                string.Join(" ", rows.Select(Words)),
                canvas =>
                {
                    double bottom = rows.Count * RowHeight;
                    canvas.Strokes(
                        [
                            .. new[] { 0, 0.25, 0.5, 0.75, 1 }.Select(share => new Seg(
                                X(share, width),
                                4,
                                X(share, width),
                                bottom + 4
                            )),
                        ],
                        new Look(Stroke: Ink.Grid, Width: 0.8)
                    );
                    for (int i = 0; i < rows.Count; i++)
                    {
                        Row(canvas, rows[i], i * RowHeight, width);
                    }
                    canvas.Text(
                        new Pt(X(0, width), bottom + 20),
                        "none",
                        new TextLook(Chart.SmallSize, Ink: Ink.Muted)
                    );
                    canvas.Text(
                        new Pt(X(0.5, width), bottom + 20),
                        "half worked",
                        new TextLook(Chart.SmallSize, Anchor.Middle, Ink: Ink.Muted)
                    );
                    canvas.Text(
                        new Pt(X(1, width), bottom + 20),
                        "all",
                        new TextLook(Chart.SmallSize, Anchor.End, Ink: Ink.Muted)
                    );
                }
            );
    }

    private static double X(double share, double width) => Side + ((width - (2 * Side)) * Math.Clamp(share, 0, 1));

    private static void Row(ICanvas canvas, ShareRow row, double top, double width)
    {
        CountedShare share = row.Share;
        canvas.Begin("share", Words(row));
        string words = InsightWords.Of(share) + (row.Told ? " *" : "");
        canvas.Text(
            new Pt(Side, top + 17),
            SheetText.Fit(SheetText.Clean(row.Name), width - (2 * Side), Chart.TextSize, bold: true),
            new TextLook(Chart.TextSize, Bold: true, Halo: true)
        );
        canvas.Text(new Pt(Side, top + 33), words, new TextLook(Chart.SmallSize, Bold: row.Told, Halo: true));
        double low = X(share.LowFraction, width);
        double high = X(share.HighFraction, width);
        double y = top + 39;
        // Without a single case the whole width is possible: dashed, not filled.
        canvas.Rect(
            new Box(low, y, Math.Max(2, high - low), Bar),
            3,
            share.Total == 0
                ? new Look(Stroke: Ink.Muted, Dash: Dash.Dashed)
                : new Look(Fill: Ink.Body, Stroke: Ink.Text, Width: row.Told ? 2.4 : 1)
        );
        if (share.PointFraction is { } point)
        {
            double x = X(point, width);
            double middle = y + (Bar / 2);
            canvas.Shapes(
                [
                    [new Pt(x, middle - 9), new Pt(x + 7, middle), new Pt(x, middle + 9), new Pt(x - 7, middle)],
                ],
                new Look(Fill: Ink.Accent, Stroke: Ink.Paper)
            );
        }
        canvas.End();
    }

    private static string Words(ShareRow row) =>
        SheetText.Clean(
            row.Share.Total == 0
                ? $"{row.Name}: none yet, nothing is known."
                : Invariant(
                    $"{row.Name}: {row.Share.Hits} of {row.Share.Total} worked; the share may lie from {row.Share.LowFraction:0.00} to {row.Share.HighFraction:0.00}."
                )
        );
}
