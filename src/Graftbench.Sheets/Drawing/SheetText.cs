using System.Globalization;
using System.Text;
using Graftbench.Sheets.Fonts;

namespace Graftbench.Sheets.Drawing;

/// <summary>Makes any text safe to set on a page and breaks it into lines.</summary>
internal static class SheetText
{
    /// <summary>
    /// Takes out what a page cannot show or must not obey: control characters, halves of surrogate pairs, and the marks
    /// that would turn the reading direction of the text around them. Line ends become spaces.
    /// </summary>
    public static string Clean(string? text)
    {
        if (string.IsNullOrEmpty(text))
        {
            return "";
        }
        StringBuilder result = new(text.Length);
        foreach (Rune rune in text.EnumerateRunes())
        {
            int code = rune.Value;
            if (code is '\n' or '\r' or '\t' or 0x2028 or 0x2029)
            {
                result.Append(' ');
            }
            else if (
                code is < 0x20 or (>= 0x7F and < 0xA0)
                || code is (>= 0x202A and <= 0x202E) or (>= 0x2066 and <= 0x2069) or 0x200E or 0x200F or 0xFEFF
                || (code & 0xFFFE) == 0xFFFE
            )
            {
                continue;
            }
            else
            {
                result.Append(rune.ToString());
            }
        }
        return result.ToString();
    }

    /// <summary>Shortens a text to a width and marks the cut.</summary>
    public static string Fit(string text, double width, double size, bool bold = false)
    {
        FontFace face = Face(bold);
        if (face.Width(text, size) <= width)
        {
            return text;
        }
        List<string> elements = Elements(text);
        StringBuilder kept = new();
        double room = width - face.Width("…", size);
        foreach (string element in elements)
        {
            room -= face.Width(element, size);
            if (room < 0)
            {
                break;
            }
            kept.Append(element);
        }
        return kept.Length == 0 ? "" : kept.ToString().TrimEnd() + "…";
    }

    /// <summary>Breaks a text into lines no wider than a width; words that are too long are cut.</summary>
    public static IReadOnlyList<string> Wrap(string text, double width, double size, bool bold = false)
    {
        FontFace face = Face(bold);
        List<string> lines = [];
        string line = "";
        double space = face.Width(" ", size);
        double used = 0;
        foreach (string word in text.Split(' ', StringSplitOptions.RemoveEmptyEntries))
        {
            double wide = face.Width(word, size);
            if (line.Length > 0 && used + space + wide <= width)
            {
                line += " " + word;
                used += space + wide;
                continue;
            }
            if (line.Length > 0)
            {
                lines.Add(line);
            }
            line = word;
            used = wide;
            if (wide > width)
            {
                line = CutWord(word, width, size, face, lines);
                used = face.Width(line, size);
            }
        }
        if (line.Length > 0 || lines.Count == 0)
        {
            lines.Add(line);
        }
        return lines;
    }

    /// <summary>Width of a text.</summary>
    public static double Width(string text, double size, bool bold = false) => Face(bold).Width(text, size);

    private static FontFace Face(bool bold) => bold ? FontFace.Bold : FontFace.Regular;

    private static string CutWord(string word, double width, double size, FontFace face, List<string> lines)
    {
        StringBuilder piece = new();
        double used = 0;
        foreach (string element in Elements(word))
        {
            double wide = face.Width(element, size);
            if (piece.Length > 0 && used + wide > width)
            {
                lines.Add(piece.ToString());
                piece.Clear();
                used = 0;
            }
            piece.Append(element);
            used += wide;
        }
        return piece.ToString();
    }

    private static List<string> Elements(string text)
    {
        List<string> elements = [];
        TextElementEnumerator each = StringInfo.GetTextElementEnumerator(text);
        while (each.MoveNext())
        {
            elements.Add(each.GetTextElement());
        }
        return elements;
    }
}
