using System.Globalization;
using System.Text;

namespace Graftbench.Sheets.Drawing;

/// <summary>Writes SVG as text: well-formed, escaped, numbers in the invariant culture, no style attributes.</summary>
internal sealed class SvgWriter
{
    private readonly StringBuilder text = new();
    private readonly Stack<string> open = new();
    private bool inTag;

    /// <summary>Begins an element.</summary>
    public SvgWriter Open(string name)
    {
        CloseTag();
        text.Append('<').Append(name);
        open.Push(name);
        inTag = true;
        return this;
    }

    /// <summary>Adds an attribute to the element just begun; nothing for null.</summary>
    public SvgWriter Attribute(string name, string? value)
    {
        if (value is not null)
        {
            text.Append(' ').Append(name).Append("=\"");
            Escape(value);
            text.Append('"');
        }
        return this;
    }

    /// <summary>Adds a number as an attribute.</summary>
    public SvgWriter Attribute(string name, double value) => Attribute(name, Number(value));

    /// <summary>Adds escaped text inside the element.</summary>
    public SvgWriter Text(string value)
    {
        CloseTag();
        Escape(value);
        return this;
    }

    /// <summary>Ends the innermost element.</summary>
    public SvgWriter Close()
    {
        string name = open.Pop();
        if (inTag)
        {
            text.Append("/>");
            inTag = false;
        }
        else
        {
            text.Append("</").Append(name).Append('>');
        }
        if (open.Count < 3 && name != "tspan")
        {
            text.Append('\n');
        }
        return this;
    }

    /// <summary>Ends every open element and gives the text.</summary>
    public string Finish()
    {
        while (open.Count > 0)
        {
            Close();
        }
        return text.ToString();
    }

    /// <summary>A coordinate with at most two decimals; what is not a number becomes 0, so that the picture stays readable.</summary>
    public static string Number(double value)
    {
        if (!double.IsFinite(value))
        {
            return "0";
        }
        double rounded = Math.Round(value, 2);
        return (rounded == 0 ? 0 : rounded).ToString("0.##", CultureInfo.InvariantCulture);
    }

    private void CloseTag()
    {
        if (inTag)
        {
            text.Append('>');
            inTag = false;
        }
    }

    private void Escape(string value)
    {
        foreach (char c in SheetText.Clean(value))
        {
            switch (c)
            {
                case '&':
                    text.Append("&amp;");
                    break;
                case '<':
                    text.Append("&lt;");
                    break;
                case '>':
                    text.Append("&gt;");
                    break;
                case '"':
                    text.Append("&quot;");
                    break;
                case '\'':
                    text.Append("&#39;");
                    break;
                default:
                    text.Append(c);
                    break;
            }
        }
    }
}
