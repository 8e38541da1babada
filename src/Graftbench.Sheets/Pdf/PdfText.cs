using System.Globalization;
using System.Text;
using Graftbench.Sheets.Drawing;
using Graftbench.Sheets.Fonts;

namespace Graftbench.Sheets.Pdf;

/// <summary>Text as the PDF can set it: cleaned, boxes for what the font lacks, Hebrew in its reading order.</summary>
internal static class PdfText
{
    public static string Ready(string? text, bool bold)
    {
        string clean = SheetText.Clean(text);
        return HebrewRuns((bold ? FontFace.Bold : FontFace.Regular).Drawable(clean));
    }

    // The writer sets characters from left to right. A run of Hebrew is turned about by itself; that is not the whole
    // bidirectional algorithm, but a name reads as its owner writes it.
    private static string HebrewRuns(string text)
    {
        if (!text.Any(IsHebrew))
        {
            return text;
        }
        StringBuilder result = new();
        int at = 0;
        while (at < text.Length)
        {
            int end = at;
            bool hebrew = IsHebrew(text[at]);
            while (
                end < text.Length
                && (
                    IsHebrew(text[end]) == hebrew
                    || (hebrew && text[end] == ' ' && end + 1 < text.Length && IsHebrew(text[end + 1]))
                )
            )
            {
                end++;
            }
            result.Append(hebrew ? Reversed(text[at..end]) : text[at..end]);
            at = end;
        }
        return result.ToString();
    }

    private static bool IsHebrew(char c) => c is >= '\u0590' and <= '\u05FF';

    private static string Reversed(string text)
    {
        List<string> elements = [];
        TextElementEnumerator each = StringInfo.GetTextElementEnumerator(text);
        while (each.MoveNext())
        {
            elements.Add(each.GetTextElement());
        }
        elements.Reverse();
        return string.Concat(elements);
    }
}
