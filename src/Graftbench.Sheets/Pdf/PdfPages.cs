using Graftbench.Sheets.Drawing;
using PdfSharp;
using PdfSharp.Drawing;
using PdfSharp.Pdf;

namespace Graftbench.Sheets.Pdf;

/// <summary>The pages of a PDF and the place where writing goes on.</summary>
internal sealed class PdfPages : IDisposable
{
    private const double MarginX = 34;
    private const double MarginTop = 44;
    private const double MarginBottom = 46;
    private readonly PdfDocument document;
    private readonly string runningHead;
    private XGraphics graphics;

    public PdfPages(PdfDocument document, string runningHead)
    {
        this.document = document;
        this.runningHead = runningHead;
        graphics = Begin();
    }

    public XGraphics Graphics => graphics;

    public static double Left => MarginX;

    public double Width { get; private set; }

    /// <summary>Where the next line goes.</summary>
    public double Y { get; set; }

    public double Room => Bottom - Y;

    /// <summary>Room on a page with nothing on it.</summary>
    public double FullRoom => Bottom - MarginTop;

    public bool Fresh => Y <= MarginTop + 0.01;

    private double Bottom { get; set; }

    /// <summary>Goes to a new page unless so much room is left, or the page is fresh.</summary>
    public void Need(double height)
    {
        if (height > Room && !Fresh)
        {
            NewPage();
        }
    }

    public void NewPage()
    {
        graphics.Dispose();
        graphics = Begin();
    }

    /// <summary>Sets one line of text; <paramref name="y"/> is the top of the line.</summary>
    public void Line(string text, double x, double y, double size, bool bold, Ink ink = Ink.Text)
    {
        string ready = PdfText.Ready(text, bold);
        if (ready.Length > 0)
        {
            graphics.DrawString(
                ready,
                SheetFonts.Font(size, bold),
                new XSolidBrush(PdfCanvas.Colour(ink)),
                x,
                y + size
            );
        }
    }

    public void Draw(Picture picture, double x, double y, double width)
    {
        picture.Draw(new PdfCanvas(graphics, x, y, width / picture.Width));
    }

    public void Rule(double x, double y, double width, double thickness, Ink ink) =>
        graphics.DrawLine(new XPen(PdfCanvas.Colour(ink), thickness), x, y, x + width, y);

    /// <summary>Writes head and page number on every page: only now is their number known.</summary>
    public void Finish()
    {
        graphics.Dispose();
        int number = document.PageCount;
        for (int i = 0; i < number; i++)
        {
            using XGraphics page = XGraphics.FromPdfPage(document.Pages[i]);
            string count = $"page {i + 1} of {number}";
            double y = document.Pages[i].Height.Point - 26;
            XSolidBrush brush = new(PdfCanvas.Colour(Ink.Muted));
            XFont font = SheetFonts.Font(8, false);
            string head = PdfText.Ready(SheetText.Fit(runningHead, Width, 8), false);
            page.DrawString(head, font, brush, MarginX, 26);
            page.DrawString(count, font, brush, MarginX + Width - SheetText.Width(count, 8), y);
        }
    }

    public void Dispose() => graphics.Dispose();

    private XGraphics Begin()
    {
        PdfPage page = document.AddPage();
        page.Size = PageSize.A4;
        Width = page.Width.Point - (2 * MarginX);
        Bottom = page.Height.Point - MarginBottom;
        Y = MarginTop;
        return XGraphics.FromPdfPage(page);
    }
}
