using Graftbench.Sheets.Fonts;
using PdfSharp.Drawing;
using PdfSharp.Fonts;

namespace Graftbench.Sheets.Pdf;

/// <summary>Gives the PDF writer the fonts that travel with this assembly; no font of the machine is asked for.</summary>
internal sealed class SheetFonts : IFontResolver
{
    private const string Family = "Liberation Sans";
    private static readonly Lock Gate = new();

    /// <summary>The font at a size. The writer's resolver is process-wide and is set once, by the first call.</summary>
    public static XFont Font(double size, bool bold)
    {
        lock (Gate)
        {
            if (GlobalFontSettings.FontResolver is null)
            {
                GlobalFontSettings.FontResolver = new SheetFonts();
            }
        }
        return new XFont(Family, size, bold ? XFontStyleEx.Bold : XFontStyleEx.Regular);
    }

    public FontResolverInfo ResolveTypeface(string familyName, bool isBold, bool isItalic) =>
        new(isBold ? "bold" : "regular");

    public byte[] GetFont(string faceName) => faceName == "bold" ? FontFace.Bold.File : FontFace.Regular.File;
}
