using Graftbench.Core.Findings;
using Graftbench.Sheets.Drawing;

namespace Graftbench.Sheets.Pictures;

/// <summary>A sign for each verdict that is told by its shape; the word always stands beside it.</summary>
public static class VerdictSign
{
    /// <summary>The sign as a small SVG element that is hidden from screen readers.</summary>
    /// <param name="verdict">The verdict.</param>
    public static string Svg(Verdict verdict) => Picture(verdict).Svg();

    internal static Picture Picture(Verdict verdict) =>
        new(20, 20, TradeWords.Of(verdict), "", canvas => Draw(canvas, verdict));

    private static void Draw(ICanvas canvas, Verdict verdict)
    {
        Look thick(Ink ink) => new(Stroke: ink, Width: 2.4);
        switch (verdict)
        {
            case Verdict.Blocker:
                canvas.Rect(new Box(1.5, 1.5, 17, 17), 2, new Look(Ink.Alert, Ink.Alert, 1));
                canvas.Strokes([new Seg(6, 6, 14, 14), new Seg(14, 6, 6, 14)], thick(Ink.Paper));
                break;
            case Verdict.FixFirst:
                canvas.Line([new Pt(10, 1.5), new Pt(19, 18), new Pt(1, 18)], true, new Look(Ink.Warn, Ink.Warn, 1));
                canvas.Strokes([new Seg(10, 7, 10, 12)], thick(Ink.Paper));
                canvas.Dots([new Pt(10, 15.3)], 1.4, Ink.Paper);
                break;
            case Verdict.Warning:
                canvas.Line(
                    [new Pt(10, 2), new Pt(18.5, 17.5), new Pt(1.5, 17.5)],
                    true,
                    new Look(null, Ink.Warn, 1.8)
                );
                canvas.Strokes([new Seg(10, 7.5, 10, 12)], new Look(Stroke: Ink.Warn, Width: 2));
                canvas.Dots([new Pt(10, 14.8)], 1.2, Ink.Warn);
                break;
            case Verdict.Ok:
                canvas.Circle(new Pt(10, 10), 8.4, new Look(null, Ink.Good, 1.8));
                canvas.Line([new Pt(5.8, 10.4), new Pt(8.8, 13.4), new Pt(14.2, 6.8)], false, thick(Ink.Good));
                break;
            default:
                canvas.Circle(new Pt(10, 10), 8.4, new Look(null, Ink.Text, 1.6, Dash.Dashed));
                canvas.Text(new Pt(10, 14.6), "?", new TextLook(13, Anchor.Middle, Bold: true));
                break;
        }
    }
}
