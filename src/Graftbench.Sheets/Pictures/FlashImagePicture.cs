using System.Globalization;
using Graftbench.Sheets.Drawing;

namespace Graftbench.Sheets.Pictures;

/// <summary>A part of a flash image to be drawn.</summary>
/// <param name="Start">Its first byte.</param>
/// <param name="Length">Its bytes.</param>
/// <param name="Fill">How it is filled.</param>
/// <param name="Label">A few words for inside.</param>
/// <param name="Title">The whole of it in words.</param>
/// <param name="Address">Where a press on it leads; null for nowhere.</param>
public sealed record FlashPart(long Start, long Length, FlashFill Fill, string Label, string Title, string? Address);

/// <summary>The whole image from its first byte to its last, in rows of equal length, each part a link.</summary>
public static class FlashImagePicture
{
    private const double Width = 900;
    private const double Left = 92;
    private const double RowPx = 30;
    private const double Gap = 5;
    private const int MostRows = 16;
    private const int LeastRowBytes = 4096;

    // Narrower than this nothing can be seen or pressed.
    private const double NarrowestPx = 3;

    /// <summary>Draws the picture as SVG.</summary>
    /// <param name="parts">Parts in rising order; together they are the image.</param>
    /// <param name="bytes">Length of the image.</param>
    /// <param name="marked">Offset that is marked; null for none.</param>
    /// <param name="name">Name of the picture on its page, letters only.</param>
    public static string Svg(IReadOnlyList<FlashPart> parts, long bytes, long? marked, string name)
    {
        ArgumentNullException.ThrowIfNull(parts);
        if (bytes <= 0)
        {
            return "";
        }
        long rowBytes = RowBytes(bytes);
        int rows = (int)((bytes + rowBytes - 1) / rowBytes);
        double height = rows * (RowPx + Gap) + Gap;
        SvgWriter svg = new();
        svg.Open("svg")
            .Attribute("xmlns", "http://www.w3.org/2000/svg")
            .Attribute("class", "gb-picture flash-image")
            .Attribute("role", "group")
            .Attribute("aria-label", $"The image in {rows} rows; each part is a link to its bytes")
            .Attribute("viewBox", $"0 0 {SvgWriter.Number(Width)} {SvgWriter.Number(height)}")
            .Attribute("font-family", "'Liberation Sans', Arial, Helvetica, sans-serif");
        FlashKey.Patterns(svg, name);
        for (int row = 0; row < rows; row++)
        {
            svg.Open("text")
                .Attribute("x", Left - 8)
                .Attribute("y", Top(row) + RowPx * 0.68)
                .Attribute("font-size", 14)
                .Attribute("text-anchor", "end")
                .Attribute("fill", Inks.Var(Ink.Muted))
                .Text((row * rowBytes).ToString("X", CultureInfo.InvariantCulture) + "h")
                .Close();
        }
        foreach (FlashPart part in parts)
        {
            DrawPart(svg, part, rowBytes, bytes, name);
        }
        if (marked is { } at && at >= 0 && at < bytes)
        {
            Mark(svg, at, rowBytes);
        }
        return svg.Finish();
    }

    private static void DrawPart(SvgWriter svg, FlashPart part, long rowBytes, long bytes, string name)
    {
        bool linked = part.Address is not null;
        svg.Open(linked ? "a" : "g");
        if (linked)
        {
            svg.Attribute("href", part.Address).Attribute("aria-label", part.Title).Attribute("class", "flash-part");
        }
        svg.Open("title").Text(part.Title).Close();
        long end = Math.Min(part.Start + part.Length, bytes);
        Box largest = default;
        for (long row = part.Start / rowBytes; row * rowBytes < end; row++)
        {
            long from = Math.Max(part.Start, row * rowBytes);
            long to = Math.Min(end, (row + 1) * rowBytes);
            double x = X(from - row * rowBytes, rowBytes);
            double width = Math.Max(NarrowestPx, X(to - row * rowBytes, rowBytes) - x);
            x = Math.Min(x, Width - 1 - width);
            Box box = new(x, Top((int)row), width, RowPx);
            largest = box.Width > largest.Width ? box : largest;
            svg.Open("rect")
                .Attribute("x", box.X)
                .Attribute("y", box.Y)
                .Attribute("width", box.Width)
                .Attribute("height", box.Height)
                .Attribute("fill", FlashKey.Url(name, part.Fill))
                .Attribute("stroke", Inks.Var(Ink.Text))
                .Attribute("stroke-width", 0.8)
                .Close();
        }
        const double Size = 14;
        string label = SheetText.Clean(part.Label);
        // Whole or not at all: half a name is no part of the link's own.
        if (label.Length > 0 && SheetText.Width(label, Size, bold: true) <= largest.Width - 10)
        {
            svg.Open("text")
                .Attribute("x", largest.X + 6)
                .Attribute("y", largest.Y + RowPx * 0.68)
                .Attribute("font-size", Size)
                .Attribute("font-weight", "700")
                .Attribute("fill", Inks.Var(Ink.Text))
                .Attribute("stroke", Inks.Var(Ink.Paper))
                .Attribute("stroke-width", 5)
                .Attribute("stroke-linejoin", "round")
                .Attribute("paint-order", "stroke")
                .Text(label)
                .Close();
        }
        svg.Close();
    }

    private static void Mark(SvgWriter svg, long at, long rowBytes)
    {
        long row = at / rowBytes;
        double x = X(at - row * rowBytes, rowBytes);
        double top = Top((int)row);
        svg.Open("path")
            .Attribute("class", "flash-mark")
            .Attribute(
                "d",
                FormattableString.Invariant(
                    $"M{x:0.#} {top - 5:0.#}l-6 -1h12zM{x:0.#} {top - 5:0.#}V{top + RowPx + 5:0.#}"
                )
            )
            .Attribute("fill", Inks.Var(Ink.Alert))
            .Attribute("stroke", Inks.Var(Ink.Alert))
            .Attribute("stroke-width", 3)
            .Close();
    }

    private static double Top(int row) => Gap + row * (RowPx + Gap);

    private static double X(long inRow, long rowBytes) => Left + (Width - Left - 1) * inRow / rowBytes;

    // A power of two, so that the offsets at the left are round.
    private static long RowBytes(long bytes)
    {
        long row = LeastRowBytes;
        while (row * MostRows < bytes)
        {
            row *= 2;
        }
        return row;
    }
}
