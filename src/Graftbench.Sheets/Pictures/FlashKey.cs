using Graftbench.Sheets.Drawing;

namespace Graftbench.Sheets.Pictures;

/// <summary>Fills of flash pictures that differ by their pattern, so that colour is never the only sign.</summary>
internal static class FlashKey
{
    private const double Tile = 8;

    /// <summary>Writes the patterns that a picture uses.</summary>
    /// <param name="svg">The writer, inside the picture.</param>
    /// <param name="prefix">Name of the picture on its page.</param>
    public static void Patterns(SvgWriter svg, string prefix)
    {
        svg.Open("defs");
        foreach (FlashFill fill in Enum.GetValues<FlashFill>())
        {
            (Ink ground, Ink mark, string path) = Look(fill);
            svg.Open("pattern")
                .Attribute("id", Id(prefix, fill))
                .Attribute("width", Tile)
                .Attribute("height", Tile)
                .Attribute("patternUnits", "userSpaceOnUse");
            svg.Open("rect")
                .Attribute("width", Tile)
                .Attribute("height", Tile)
                .Attribute("fill", Inks.Var(ground))
                .Close();
            if (path.Length > 0)
            {
                svg.Open("path")
                    .Attribute("d", path)
                    .Attribute("fill", "none")
                    .Attribute("stroke", Inks.Var(mark))
                    .Attribute("stroke-width", fill is FlashFill.Dotted or FlashFill.Speckled ? 2.4 : 1.3)
                    .Close();
            }
            svg.Close();
        }
        svg.Close();
    }

    /// <summary>A fill as an attribute.</summary>
    public static string Url(string prefix, FlashFill fill) => $"url(#{Id(prefix, fill)})";

    private static string Id(string prefix, FlashFill fill) => $"{prefix}-{(int)fill}";

    private static (Ink Ground, Ink Mark, string Path) Look(FlashFill fill) =>
        fill switch
        {
            FlashFill.Plain => (Ink.Body, Ink.Text, ""),
            FlashFill.Blank => (Ink.Paper, Ink.Grid, ""),
            FlashFill.Rising => (Ink.Board, Ink.Accent, "M0 8L8 0M-2 2L2 -2M6 10L10 6"),
            FlashFill.Falling => (Ink.Paper, Ink.Warn, "M0 0L8 8M-2 6L2 10M6 -2L10 2"),
            FlashFill.Level => (Ink.Board, Ink.Good, "M0 2H8M0 6H8"),
            FlashFill.Upright => (Ink.Paper, Ink.Text, "M2 0V8M6 0V8"),
            FlashFill.Crossed => (Ink.Paper, Ink.Alert, "M0 0L8 8M0 8L8 0"),
            FlashFill.Dotted => (Ink.Body, Ink.Muted, "M1 2h2.4M5 6h2.4"),
            FlashFill.Speckled => (Ink.Paper, Ink.Alert, "M1 2h2.4M5 6h2.4"),
            FlashFill.Squared => (Ink.Paper, Ink.Muted, "M0 0H8M0 0V8"),
            _ => (Ink.Alert, Ink.Paper, "M4 1V7M1 4H7"),
        };
}

/// <summary>How a part of a flash picture is filled.</summary>
public enum FlashFill
{
    /// <summary>Plain grey.</summary>
    Plain,

    /// <summary>Empty.</summary>
    Blank,

    /// <summary>Lines that rise.</summary>
    Rising,

    /// <summary>Lines that fall.</summary>
    Falling,

    /// <summary>Level lines.</summary>
    Level,

    /// <summary>Upright lines.</summary>
    Upright,

    /// <summary>Crosses.</summary>
    Crossed,

    /// <summary>Dots on grey.</summary>
    Dotted,

    /// <summary>Loud dots on paper.</summary>
    Speckled,

    /// <summary>Squares.</summary>
    Squared,

    /// <summary>Dark with a plus.</summary>
    Loud,
}
