using Graftbench.Sheets.Drawing;
using Graftbench.Sheets.Pictures;
using Graftbench.Sheets.Sheet;
using PdfSharp.Drawing;

namespace Graftbench.Sheets.Pdf;

/// <summary>Sets a table: its head comes again on every page, a row stays whole unless it is taller than a page.</summary>
/// <param name="pages">Where to.</param>
/// <param name="table">The table.</param>
internal sealed class PdfTable(PdfPages pages, Table table)
{
    private const double Size = 8.4;
    private const double LineHeight = 10.6;
    private const double Pad = 2.6;
    private const double PenHeight = 21;
    private const double SignSize = 9;
    private readonly double[] widths = [.. table.Columns.Select(column => column.Share * pages.Width)];

    private sealed record SetCell(IReadOnlyList<string> Lines, Cell From);

    /// <summary>Caption, head and first row: what must not be parted.</summary>
    public double LeastHeight()
    {
        double first = table.Rows.Count == 0 ? 0 : RowHeight(Wrap(table.Rows[0]));
        return 13 + HeadHeight() + Math.Min(first, pages.FullRoom / 3);
    }

    public void Draw()
    {
        pages.Need(LeastHeight());
        pages.Line(SheetText.Fit(table.Caption, pages.Width, 8), PdfPages.Left, pages.Y + 1, 8, false, Ink.Muted);
        pages.Y += 13;
        DrawHead();
        foreach (IReadOnlyList<Cell> row in table.Rows)
        {
            DrawRow(Wrap(row));
        }
        pages.Y += 7;
    }

    private double HeadHeight() =>
        RowHeight(Wrap([.. table.Columns.Select(column => new Cell([column.Head], Bold: true))]));

    private void DrawHead()
    {
        SetCell[] head = Wrap([.. table.Columns.Select(column => new Cell([column.Head], Bold: true))]);
        pages.Rule(PdfPages.Left, pages.Y, pages.Width, 0.5, Ink.Muted);
        DrawPart(head, 0, int.MaxValue);
        pages.Rule(PdfPages.Left, pages.Y, pages.Width, 1.1, Ink.Text);
    }

    private void DrawRow(SetCell[] row)
    {
        double height = RowHeight(row);
        if (height > pages.Room && height <= pages.FullRoom - HeadHeight())
        {
            pages.NewPage();
            DrawHead();
        }
        int from = 0;
        int most = row.Max(cell => Math.Max(1, cell.Lines.Count));
        while (true)
        {
            int fit = (int)((pages.Room - (2 * Pad)) / LineHeight);
            if (table.ForPen || most - from <= fit)
            {
                DrawPart(row, from, most - from);
                break;
            }
            if (fit >= 2)
            {
                DrawPart(row, from, fit);
                from += fit;
            }
            pages.NewPage();
            DrawHead();
        }
        pages.Rule(PdfPages.Left, pages.Y, pages.Width, 0.4, Ink.Grid);
    }

    private void DrawPart(SetCell[] row, int from, int number)
    {
        double x = PdfPages.Left;
        double top = pages.Y;
        double height =
            table.ForPen && from == 0 && row.All(cell => cell.Lines.Count == 0)
                ? PenHeight
                : 2 * Pad + (LineHeight * Tallest(row, from, number));
        for (int i = 0; i < row.Length; i++)
        {
            SetCell cell = row[i];
            double indent = 0;
            if (from == 0 && cell.From.Sign is { } sign)
            {
                pages.Draw(VerdictSign.Picture(sign), x + Pad, top + Pad, SignSize);
                indent = SignSize + 3;
            }
            if (from == 0 && cell.From.Tick)
            {
                pages.Graphics.DrawRectangle(
                    new XPen(PdfCanvas.Colour(Ink.Text), 1),
                    x + Pad + 1,
                    top + Pad,
                    SignSize,
                    SignSize
                );
            }
            int shown = 0;
            foreach (string line in cell.Lines.Skip(from).Take(number))
            {
                pages.Line(line, x + Pad + indent, top + Pad + (LineHeight * shown) + 0.4, Size, cell.From.Bold);
                shown++;
            }
            if (i > 0)
            {
                pages.Graphics.DrawLine(new XPen(PdfCanvas.Colour(Ink.Grid), 0.4), x, top, x, top + height);
            }
            x += widths[i];
        }
        pages.Y = top + height;
    }

    private static int Tallest(SetCell[] row, int from, int number) =>
        Math.Max(1, row.Max(cell => Math.Min(number, Math.Max(0, cell.Lines.Count - from))));

    private double RowHeight(SetCell[] row) =>
        table.ForPen && row.All(cell => cell.Lines.Count == 0)
            ? PenHeight
            : (2 * Pad) + (LineHeight * Tallest(row, 0, int.MaxValue));

    private SetCell[] Wrap(IReadOnlyList<Cell> row) =>
        [
            .. row.Select(
                (cell, i) =>
                {
                    double room = widths[i] - (2 * Pad) - (cell.Sign is null ? 0 : SignSize + 3);
                    return new SetCell(
                        [
                            .. cell.Lines.SelectMany(line =>
                                SheetText.Wrap(SheetText.Clean(line), room, Size, cell.Bold)
                            ),
                        ],
                        cell
                    );
                }
            ),
        ];
}
