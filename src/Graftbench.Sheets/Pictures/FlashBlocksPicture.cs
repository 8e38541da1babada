using System.Globalization;
using System.Text;
using Graftbench.Sheets.Drawing;

namespace Graftbench.Sheets.Pictures;

/// <summary>What a sign of a block map stands for.</summary>
/// <param name="Sign">The sign.</param>
/// <param name="Fill">How its blocks are filled.</param>
/// <param name="Words">What it means.</param>
public sealed record FlashSign(char Sign, FlashFill Fill, string Words);

/// <summary>Every block of 4 KiB as one square, in rows, filled by its class.</summary>
public static class FlashBlocksPicture
{
    private const double Width = 900;
    private const double Left = 92;
    private const double LargestPx = 25;
    private const int RowsBetweenLabels = 4;

    /// <summary>Draws the blocks as SVG.</summary>
    /// <param name="signs">One sign a block.</param>
    /// <param name="blockBytes">Bytes of a block.</param>
    /// <param name="key">What the signs stand for.</param>
    /// <param name="name">Name of the picture on its page, letters only.</param>
    /// <param name="title">What it shows.</param>
    public static string Svg(string signs, int blockBytes, IReadOnlyList<FlashSign> key, string name, string title)
    {
        ArgumentNullException.ThrowIfNull(signs);
        ArgumentNullException.ThrowIfNull(key);
        if (signs.Length == 0)
        {
            return "";
        }
        int columns =
            signs.Length <= 256 ? 32
            : signs.Length <= 1024 ? 64
            : 128;
        double cell = Math.Min(LargestPx, (Width - Left - 1) / columns);
        int rows = (signs.Length + columns - 1) / columns;
        int labelled = Math.Max(1, (int)Math.Ceiling(RowsBetweenLabels * 7 / cell));
        SvgWriter svg = new();
        svg.Open("svg")
            .Attribute("xmlns", "http://www.w3.org/2000/svg")
            .Attribute("class", "gb-picture flash-blocks")
            .Attribute("role", "img")
            .Attribute(
                "viewBox",
                $"0 0 {SvgWriter.Number(Left + columns * cell + 1)} {SvgWriter.Number(rows * cell + 6)}"
            )
            .Attribute("font-family", "'Liberation Sans', Arial, Helvetica, sans-serif");
        svg.Open("title").Text(title).Close();
        svg.Open("desc").Text(Words(signs, key)).Close();
        FlashKey.Patterns(svg, name);
        for (int row = 0; row < rows; row += labelled)
        {
            svg.Open("text")
                .Attribute("x", Left - 8)
                .Attribute("y", 3 + row * cell + Math.Max(11, cell * 0.7))
                .Attribute("font-size", 14)
                .Attribute("text-anchor", "end")
                .Attribute("fill", Inks.Var(Ink.Muted))
                .Text(((long)row * columns * blockBytes).ToString("X", CultureInfo.InvariantCulture) + "h")
                .Close();
        }
        foreach (FlashSign sign in key)
        {
            string path = Runs(signs, sign.Sign, columns, cell);
            if (path.Length > 0)
            {
                svg.Open("path")
                    .Attribute("d", path)
                    .Attribute("fill", FlashKey.Url(name, sign.Fill))
                    .Attribute(
                        "stroke",
                        Inks.Var(sign.Fill is FlashFill.Plain or FlashFill.Blank ? Ink.Muted : Ink.Text)
                    )
                    .Attribute("stroke-width", sign.Fill is FlashFill.Plain or FlashFill.Blank ? 0.6 : 1.6)
                    .Close();
            }
        }
        return svg.Finish();
    }

    /// <summary>A square of a fill for a key beside the picture.</summary>
    /// <param name="fill">The fill.</param>
    /// <param name="name">Name of the square on its page, letters only.</param>
    public static string Sample(FlashFill fill, string name)
    {
        SvgWriter svg = new();
        svg.Open("svg")
            .Attribute("xmlns", "http://www.w3.org/2000/svg")
            .Attribute("class", "gb-sign flash-sample")
            .Attribute("aria-hidden", "true")
            .Attribute("viewBox", "0 0 34 22");
        FlashKey.Patterns(svg, name);
        svg.Open("rect")
            .Attribute("x", 1)
            .Attribute("y", 1)
            .Attribute("width", 32)
            .Attribute("height", 20)
            .Attribute("fill", FlashKey.Url(name, fill))
            .Attribute("stroke", Inks.Var(Ink.Text))
            .Close();
        return svg.Finish();
    }

    // Neighbours of a kind in one row are one rectangle.
    private static string Runs(string signs, char sign, int columns, double cell)
    {
        StringBuilder path = new();
        for (int at = 0; at < signs.Length; )
        {
            if (signs[at] != sign)
            {
                at++;
                continue;
            }
            int row = at / columns;
            int end = at + 1;
            while (end < signs.Length && end / columns == row && signs[end] == sign)
            {
                end++;
            }
            string width = SvgWriter.Number((end - at) * cell);
            path.Append('M')
                .Append(SvgWriter.Number(Left + at % columns * cell))
                .Append(' ')
                .Append(SvgWriter.Number(3 + row * cell));
            path.Append('h')
                .Append(width)
                .Append('v')
                .Append(SvgWriter.Number(cell))
                .Append("h-")
                .Append(width)
                .Append('z');
            at = end;
        }
        return path.ToString();
    }

    private static string Words(string signs, IReadOnlyList<FlashSign> key) =>
        string.Join(
            ", ",
            key.Select(sign => (sign.Words, Count: signs.Count(one => one == sign.Sign)))
                .Where(pair => pair.Count > 0)
                .Select(pair => string.Create(CultureInfo.InvariantCulture, $"{pair.Count} blocks {pair.Words}"))
        );
}
