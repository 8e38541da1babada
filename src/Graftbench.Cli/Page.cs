using System.Globalization;
using System.Text;

namespace Graftbench.Cli;

/// <summary>Text of at most 100 columns, wrapped at words with a hanging indent.</summary>
internal sealed class Page
{
    /// <summary>Widest line [characters].</summary>
    public const int Width = 100;

    private readonly StringBuilder text = new();

    /// <summary>Adds a line; what does not fit goes below, indented.</summary>
    /// <param name="line">One paragraph.</param>
    /// <param name="hang">Indent of the lines after the first [characters].</param>
    public Page Add(string line = "", int hang = 0)
    {
        string rest = OneLine(line);
        int indent = 0;
        while (rest.Length + indent > Width)
        {
            int room = Width - indent;
            int cut = rest.LastIndexOf(' ', room);
            // A word without end is cut, so that no line gets wider.
            bool atWord = cut > 0 && rest.AsSpan(0, cut).IndexOfAnyExcept(' ') >= 0;
            int length = atWord ? cut : CutAt(rest, room);
            text.Append(' ', indent).Append(rest.AsSpan(0, length).TrimEnd()).Append('\n');
            rest = rest[length..].TrimStart();
            indent = hang;
        }
        text.Append(' ', rest.Length == 0 ? 0 : indent).Append(rest.TrimEnd()).Append('\n');
        return this;
    }

    /// <summary>Adds a text beside a label: the text hangs behind the label's column.</summary>
    public Page Add(string label, string line, int column) =>
        Add(OneLine(label).PadRight(column - 1) + " " + line, column);

    /// <summary>Writes a message of any length: each of its lines wrapped, what does not fit indented.</summary>
    public static void WriteTo(TextWriter writer, string message)
    {
        Page page = new();
        foreach (string line in message.ReplaceLineEndings("\n").Split('\n'))
        {
            page.Add(line, 4);
        }
        writer.Write(page);
    }

    /// <inheritdoc/>
    public override string ToString() => text.ToString();

    private static int CutAt(string line, int room) => char.IsHighSurrogate(line[room - 1]) ? room - 1 : room;

    // Notes may have several lines, and a terminal must not be steered by what a document says.
    private static string OneLine(string line)
    {
        StringBuilder one = new(line.Length);
        foreach (Rune rune in line.EnumerateRunes())
        {
            // Format characters turn the direction of what follows.
            bool steers = Rune.GetUnicodeCategory(rune) is UnicodeCategory.Control or UnicodeCategory.Format;
            one.Append(steers ? " " : rune.ToString());
        }
        return one.ToString();
    }
}
