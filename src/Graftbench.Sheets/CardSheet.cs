using System.Security.Cryptography;
using System.Text;
using Graftbench.Core.Heating;
using Graftbench.Core.Planning;
using Graftbench.Sheets.Drawing;
using Graftbench.Sheets.Pdf;
using Graftbench.Sheets.Pictures;
using Graftbench.Sheets.Sheet;
using PdfSharp;
using PdfSharp.Drawing;
using PdfSharp.Pdf;

namespace Graftbench.Sheets;

/// <summary>The heat plan as a card that stands on the bench: one page, as HTML that prints and as PDF.</summary>
public static class CardSheet
{
    private static readonly string Css =
        $":root{{{Inks.Css(dark: false)}}}"
        + "body{margin:0;background:#fff;color:#000}main{max-width:210mm;margin:0 auto}h1{position:absolute;width:1px;height:1px;overflow:hidden;clip-path:inset(50%)}"
        + "svg{display:block;width:100%;height:auto}@page{size:A4 portrait;margin:0}@media print{svg{width:210mm;height:296mm}}";

    /// <summary>The style of the card as a source expression for a content security policy.</summary>
    public static string StyleSource { get; } =
        $"'sha256-{Convert.ToBase64String(SHA256.HashData(Encoding.UTF8.GetBytes(Css)))}'";

    /// <summary>Writes the card of a plan as a self-contained HTML document.</summary>
    /// <param name="plan">The plan; it holds a heat plan.</param>
    /// <param name="display">How temperatures are shown.</param>
    /// <exception cref="ArgumentException">The plan holds no heat plan.</exception>
    public static string Html(JobPlan plan, Display? display = null)
    {
        (HeatPlan heat, Picture card) = Card(plan, display);
        return "<!doctype html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n"
            + "<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n"
            + $"<title>{HtmlSheet.Escape(card.Title)}</title>\n<style>{Css}</style>\n</head>\n<body>\n<main>\n"
            + $"<h1>{HtmlSheet.Escape(BenchCard.Title(heat))}</h1>\n{card.Svg()}\n</main>\n</body>\n</html>\n";
    }

    /// <summary>Writes the card of a plan as a PDF of one page with its fonts inside.</summary>
    /// <param name="plan">The plan; it holds a heat plan.</param>
    /// <param name="display">How temperatures are shown.</param>
    /// <exception cref="ArgumentException">The plan holds no heat plan.</exception>
    public static byte[] Pdf(JobPlan plan, Display? display = null)
    {
        (_, Picture card) = Card(plan, display);
        using PdfDocument document = new();
        document.Info.Title = SheetText.Clean(card.Title);
        document.Info.Creator = "Graftbench";
        document.Info.CreationDate = plan.ComputedAt.UtcDateTime;
        document.Language = "en";
        document.ViewerPreferences.DisplayDocTitle = true;
        PdfPage page = document.AddPage();
        page.Size = PageSize.A4;
        using (XGraphics graphics = XGraphics.FromPdfPage(page))
        {
            card.Draw(new PdfCanvas(graphics, 0, 0, page.Width.Point / card.Width));
        }
        using MemoryStream stream = new();
        document.Save(stream, closeStream: false);
        return stream.ToArray();
    }

    private static (HeatPlan Heat, Picture Card) Card(JobPlan plan, Display? display)
    {
        ArgumentNullException.ThrowIfNull(plan);
        HeatPlan heat = plan.Heat ?? throw new ArgumentException("The plan holds no heat plan.", nameof(plan));
        return (heat, BenchCard.Picture(plan, heat, display ?? Display.Default));
    }
}
