using Graftbench.Sheets.Drawing;
using Graftbench.Sheets.Pictures;
using Graftbench.Sheets.Sheet;
using PdfSharp.Drawing;
using PdfSharp.Pdf;

namespace Graftbench.Sheets.Pdf;

/// <summary>Sets a sheet as PDF.</summary>
internal sealed class PdfSheet
{
    private const double Size = 9.4;
    private const double LineHeight = 12.2;
    private const double Gap = 12;
    private const double LeastShrink = 0.8;
    private readonly PdfPages pages;
    private readonly SheetDocument sheet;

    private PdfSheet(PdfPages pages, SheetDocument sheet)
    {
        this.pages = pages;
        this.sheet = sheet;
    }

    public static byte[] Write(SheetDocument sheet, DateTimeOffset made)
    {
        using PdfDocument document = new();
        document.Info.Title = SheetText.Clean(sheet.Title);
        document.Info.Creator = "Graftbench";
        document.Info.CreationDate = made.UtcDateTime;
        document.Language = "en";
        document.ViewerPreferences.DisplayDocTitle = true;
        using (PdfPages written = new(document, sheet.RunningHead))
        {
            new PdfSheet(written, sheet).Draw();
            written.Finish();
        }
        using MemoryStream stream = new();
        document.Save(stream, closeStream: false);
        return stream.ToArray();
    }

    private void Draw()
    {
        for (int i = 0; i < sheet.Blocks.Count; i++)
        {
            switch (sheet.Blocks[i])
            {
                case Heading heading:
                    Draw(heading, i);
                    break;
                case Paragraph paragraph:
                    Draw(paragraph);
                    break;
                case Banner banner:
                    Draw(banner);
                    break;
                case Facts facts:
                    Draw(facts);
                    break;
                case TickList list:
                    Draw(list);
                    break;
                case Bullets bullets:
                    Draw(bullets);
                    break;
                case PictureRow row:
                    Draw(row);
                    break;
                case Table table:
                    new PdfTable(pages, table).Draw();
                    break;
                case SignLines lines:
                    Draw(lines);
                    break;
            }
        }
    }

    // A heading goes with what it heads: with the next heading, else with as much of the next block as must not be parted.
    private double Following(int index)
    {
        if (index + 1 >= sheet.Blocks.Count)
        {
            return 0;
        }
        Block next = sheet.Blocks[index + 1];
        return next switch
        {
            Heading heading => HeadingHeight(heading) + Following(index + 1),
            PictureRow row => RowHeight(row) * LeastShrink,
            Table table => new PdfTable(pages, table).LeastHeight(),
            Facts facts => FactsHeight(facts),
            SignLines => 60,
            Paragraph
                when index + 2 < sheet.Blocks.Count && sheet.Blocks[index + 2] is PictureRow or Table or SignLines => (
                2 * LineHeight
            ) + Following(index + 1),
            _ => 2 * LineHeight,
        };
    }

    private static (double Size, double Before, double After) Measures(Heading heading) =>
        heading.Level switch
        {
            1 => (17, 0, 6),
            2 => (12.5, 12, 4),
            _ => (10.6, 7, 2),
        };

    private double HeadingHeight(Heading heading)
    {
        (double size, double before, double after) = Measures(heading);
        return before + after + (SheetText.Wrap(heading.Text, pages.Width, size, true).Count * size * 1.22);
    }

    private void Draw(Heading heading, int index)
    {
        (double size, double before, double after) = Measures(heading);
        pages.Need(HeadingHeight(heading) + Math.Min(Following(index), pages.FullRoom * 0.6));
        pages.Y += pages.Fresh ? 0 : before;
        if (heading.Level == 2)
        {
            pages.Rule(PdfPages.Left, pages.Y, pages.Width, 1.2, Ink.Text);
            pages.Y += 3;
        }
        Lines(
            SheetText.Wrap(SheetText.Clean(heading.Text), pages.Width, size, true),
            PdfPages.Left,
            size,
            size * 1.22,
            true,
            Ink.Text
        );
        pages.Y += after;
    }

    private void Draw(Paragraph paragraph)
    {
        double size = paragraph.Small ? 8.2 : Size;
        double height = paragraph.Small ? 10.4 : LineHeight;
        IReadOnlyList<string> lines = SheetText.Wrap(
            SheetText.Clean(paragraph.Text),
            pages.Width,
            size,
            paragraph.Bold
        );
        pages.Need(Math.Min(lines.Count, 2) * height);
        Lines(lines, PdfPages.Left, size, height, paragraph.Bold, paragraph.Small ? Ink.Muted : Ink.Text);
        pages.Y += 3;
    }

    private void Draw(Banner banner)
    {
        const double Pad = 7;
        string word = TradeWords.Of(banner.Verdict);
        double wordWidth = SheetText.Width(word, 16, true);
        double textX = PdfPages.Left + Pad + 24 + 8 + wordWidth + 12;
        IReadOnlyList<string> lines = SheetText.Wrap(banner.Text, PdfPages.Left + pages.Width - textX - Pad, 10.5);
        double height = Math.Max(24, lines.Count * 13) + (2 * Pad);
        pages.Need(height);
        Ink ink = banner.Verdict switch
        {
            Core.Findings.Verdict.Blocker => Ink.Alert,
            Core.Findings.Verdict.FixFirst or Core.Findings.Verdict.Warning => Ink.Warn,
            Core.Findings.Verdict.Ok => Ink.Good,
            _ => Ink.Text,
        };
        pages.Graphics.DrawRoundedRectangle(
            new XPen(PdfCanvas.Colour(ink), 2),
            new XRect(PdfPages.Left, pages.Y, pages.Width, height),
            new XSize(8, 8)
        );
        double middle = pages.Y + (height / 2);
        pages.Draw(VerdictSign.Picture(banner.Verdict), PdfPages.Left + Pad, middle - 11, 22);
        pages.Line(word, PdfPages.Left + Pad + 32, middle - 11, 16, true);
        for (int i = 0; i < lines.Count; i++)
        {
            pages.Line(lines[i], textX, middle - (lines.Count * 6.5) + (13 * i) + 0.5, 10.5, false);
        }
        pages.Y += height + 6;
    }

    private void Draw(Facts facts)
    {
        double column = (pages.Width - Gap) / 2;
        for (int i = 0; i < facts.Items.Count; i += 2)
        {
            double height = PairHeight(facts, i);
            if (height > pages.FullRoom / 2)
            {
                DrawLong([.. facts.Items.Skip(i).Take(2)]);
                continue;
            }
            pages.Need(height);
            double top = pages.Y;
            for (int j = i; j < Math.Min(i + 2, facts.Items.Count); j++)
            {
                Fact fact = facts.Items[j];
                double x = PdfPages.Left + ((j - i) * (column + Gap));
                pages.Line(fact.Name + (fact.Missing ? " ?" : ""), x, top + 1, Size - 0.6, false, Ink.Muted);
                IReadOnlyList<string> lines = FactLines(fact);
                for (int k = 0; k < lines.Count; k++)
                {
                    pages.Line(
                        lines[k],
                        x + 92,
                        top + 1 + (k * LineHeight),
                        Size,
                        true,
                        fact.Missing ? Ink.Alert : Ink.Text
                    );
                }
                pages.Rule(x, top + height - 1, column, 0.4, Ink.Grid);
            }
            pages.Y = top + height;
        }
        pages.Y += 5;
    }

    private IReadOnlyList<string> FactLines(Fact fact) =>
        SheetText.Wrap(SheetText.Clean(fact.Value), ((pages.Width - Gap) / 2) - 92, Size, true);

    private double PairHeight(Facts facts, int i)
    {
        int lines = facts.Items.Skip(i).Take(2).Max(fact => FactLines(fact).Count);
        return (lines * LineHeight) + 3;
    }

    // Values too long to stand side by side run on from page to page.
    private void DrawLong(IReadOnlyList<Fact> facts)
    {
        foreach (Fact fact in facts)
        {
            Draw(new Paragraph($"{fact.Name}: {fact.Value}", Bold: true));
        }
    }

    private double FactsHeight(Facts facts)
    {
        double height = 0;
        for (int i = 0; i < facts.Items.Count; i += 2)
        {
            height += PairHeight(facts, i);
        }
        return height;
    }

    private void Draw(TickList list)
    {
        foreach (string item in list.Items)
        {
            IReadOnlyList<string> lines = SheetText.Wrap(SheetText.Clean(item), pages.Width - 18, Size);
            pages.Need(Math.Min(2, lines.Count) * LineHeight);
            pages.Graphics.DrawRectangle(
                new XPen(PdfCanvas.Colour(Ink.Text), 1),
                PdfPages.Left + 1,
                pages.Y + 1,
                9.5,
                9.5
            );
            Lines(lines, PdfPages.Left + 18, Size, LineHeight, false, Ink.Text);
            pages.Y += 3;
        }
    }

    private void Draw(Bullets list)
    {
        const double Indent = 10;
        foreach (string item in list.Items)
        {
            IReadOnlyList<string> lines = SheetText.Wrap(SheetText.Clean(item), pages.Width - Indent, Size);
            pages.Need(Math.Min(2, lines.Count) * LineHeight);
            pages.Line("•", PdfPages.Left + 1, pages.Y, Size, false);
            Lines(lines, PdfPages.Left + Indent, Size, LineHeight, false, Ink.Text);
        }
        pages.Y += 3;
    }

    private double PictureWidth(PictureRow row) =>
        ((pages.Width * row.WidthShare) - (Gap * (row.Items.Count - 1))) / row.Items.Count;

    private double RowHeight(PictureRow row)
    {
        double width = PictureWidth(row);
        return row.Items.Max(figure =>
                (figure.Picture.Height * width / figure.Picture.Width) + (CaptionLines(figure, width).Count * 10.4)
            ) + 5;
    }

    private static IReadOnlyList<string> CaptionLines(Figure figure, double width) =>
        figure.Caption is null ? [] : SheetText.Wrap(SheetText.Clean(figure.Caption), width, 8.2);

    private void Draw(PictureRow row)
    {
        double width = PictureWidth(row);
        double height = RowHeight(row);
        pages.Need(height * LeastShrink);
        // A little smaller is better than half a page left empty; taller than a page is made to fit one.
        double shrink = Math.Min(1, pages.Room / height);
        double x = PdfPages.Left;
        double top = pages.Y;
        foreach (Figure figure in row.Items)
        {
            double drawn = width * shrink;
            pages.Draw(figure.Picture, x, top, drawn);
            double y = top + (figure.Picture.Height * drawn / figure.Picture.Width);
            foreach (string line in CaptionLines(figure, drawn))
            {
                pages.Line(line, x, y, 8.2, false, Ink.Muted);
                y += 10.4;
            }
            x += width + Gap;
        }
        pages.Y = top + (height * shrink);
    }

    private void Draw(SignLines lines)
    {
        pages.Need(60);
        pages.Y += 40;
        double width = (pages.Width - 30) / lines.Names.Count;
        for (int i = 0; i < lines.Names.Count; i++)
        {
            double x = PdfPages.Left + (i * (width + 30));
            pages.Rule(x, pages.Y, width, 0.8, Ink.Text);
            pages.Line(lines.Names[i], x, pages.Y + 2, 8.2, false);
        }
        pages.Y += 16;
    }

    private void Lines(IReadOnlyList<string> lines, double x, double size, double height, bool bold, Ink ink)
    {
        foreach (string line in lines)
        {
            pages.Need(height);
            pages.Line(line, x, pages.Y, size, bold, ink);
            pages.Y += height;
        }
    }
}
