using System.Globalization;
using System.Text;

namespace Graftbench.Sheets.Drawing;

/// <summary>The colours of pictures and sheets: one table for the page's custom properties, the fall-backs and the PDF.</summary>
internal static class Inks
{
    // Bands run from dry to wet: lightness falls evenly from 0.97 to 0.30 (OKLab), so that a grey print keeps the order.
    private static readonly (string Name, string Light, string Dark)[] Table =
    [
        ("text", "#15171c", "#eceef2"),
        ("muted", "#555b66", "#a9afba"),
        ("grid", "#c9cdd5", "#454b57"),
        ("paper", "#ffffff", "#15171c"),
        ("board", "#eef2ea", "#222a20"),
        ("body", "#d6dae3", "#414857"),
        ("accent", "#0b5cad", "#84bdf7"),
        ("alert", "#b01e17", "#ff8f85"),
        ("warn", "#805200", "#f1c263"),
        ("good", "#1d6b3a", "#82d69d"),
        ("band0", "#fbf5df", "#fbf5df"),
        ("band1", "#b7e3bb", "#b7e3bb"),
        ("band2", "#59cdc1", "#59cdc1"),
        ("band3", "#00aacf", "#00aacf"),
        ("band4", "#3f7fc7", "#3f7fc7"),
        ("band5", "#405da2", "#405da2"),
        ("band6", "#2f4475", "#2f4475"),
        ("band7", "#212d47", "#212d47"),
        // Heat runs from cool to hot: lightness falls evenly from 0.97 to 0.28 (OKLab), dark is hot on every page.
        ("heat0", "#f5f6db", "#f5f6db"),
        ("heat1", "#f5d88b", "#f5d88b"),
        ("heat2", "#fcb04c", "#fcb04c"),
        ("heat3", "#fc852f", "#fc852f"),
        ("heat4", "#ed5c42", "#ed5c42"),
        ("heat5", "#d03f5b", "#d03f5b"),
        ("heat6", "#a7326b", "#a7326b"),
        ("heat7", "#792f6b", "#792f6b"),
        ("heat8", "#4c2e57", "#4c2e57"),
        ("heat9", "#2b2538", "#2b2538"),
    ];

    /// <summary>Colour on white paper, red, green, blue from 0 to 255.</summary>
    public static (byte Red, byte Green, byte Blue) OnPaper(Ink ink)
    {
        int rgb = int.Parse(Table[(int)ink].Light.AsSpan(1), NumberStyles.HexNumber, CultureInfo.InvariantCulture);
        return ((byte)(rgb >> 16), (byte)(rgb >> 8), (byte)rgb);
    }

    /// <summary>Colour as a custom property with the paper colour to fall back on.</summary>
    public static string Var(Ink ink) => $"var(--gb-{Table[(int)ink].Name}, {Table[(int)ink].Light})";

    /// <summary>Colour on white paper as a page writes it.</summary>
    public static string Hex(Ink ink) => Table[(int)ink].Light;

    /// <summary>Custom properties for a light or dark page.</summary>
    public static string Css(bool dark)
    {
        StringBuilder css = new();
        foreach ((string name, string light, string darkColour) in Table)
        {
            css.Append("--gb-").Append(name).Append(':').Append(dark ? darkColour : light).Append(';');
        }
        return css.ToString();
    }
}
