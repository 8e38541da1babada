using System.Buffers.Binary;
using System.Globalization;
using System.Text;

namespace Graftbench.Sheets.Fonts;

/// <summary>
/// The advance widths and the character set of a TrueType file. Label placement and line breaks come from here, so that
/// they are the same in the picture, on the page and in the PDF, on every machine.
/// </summary>
internal sealed class FontFace
{
    /// <summary>Stands for a character that the font lacks.</summary>
    public const char FallbackBox = '\u25A1';

    private readonly Dictionary<int, ushort> glyphs = [];
    private readonly ushort[] advances;
    private readonly double unitsPerEm;

    private FontFace(byte[] file)
    {
        File = file;
        ReadOnlySpan<byte> bytes = file;
        unitsPerEm = U16(bytes, Table(bytes, "head") + 18);
        int metricsNumber = U16(bytes, Table(bytes, "hhea") + 34);
        int metrics = Table(bytes, "hmtx");
        advances = new ushort[metricsNumber];
        for (int i = 0; i < metricsNumber; i++)
        {
            advances[i] = U16(bytes, metrics + (4 * i));
        }
        ReadCharacters(bytes, Table(bytes, "cmap"));
    }

    /// <summary>The regular weight.</summary>
    public static FontFace Regular { get; } = Load("LiberationSans-Regular.ttf");

    /// <summary>The bold weight.</summary>
    public static FontFace Bold { get; } = Load("LiberationSans-Bold.ttf");

    /// <summary>The font file.</summary>
    public byte[] File { get; }

    /// <summary>Whether the font draws a character.</summary>
    public bool Has(Rune character) => glyphs.ContainsKey(character.Value);

    /// <summary>Width of a text set in this font.</summary>
    /// <param name="text">Any text; what the font lacks counts as the fallback box.</param>
    /// <param name="size">Font size.</param>
    /// <returns>Width in the unit of <paramref name="size"/>.</returns>
    public double Width(ReadOnlySpan<char> text, double size)
    {
        int units = 0;
        foreach (Rune rune in text.EnumerateRunes())
        {
            units += Advance(glyphs.TryGetValue(rune.Value, out ushort glyph) ? glyph : glyphs[FallbackBox]);
        }
        return units * size / unitsPerEm;
    }

    /// <summary>Puts the fallback box where the font has no glyph, one for each character a person sees.</summary>
    public string Drawable(string text)
    {
        bool all = true;
        foreach (Rune rune in text.EnumerateRunes())
        {
            all &= Has(rune);
        }
        if (all)
        {
            return text;
        }
        StringBuilder result = new(text.Length);
        TextElementEnumerator elements = StringInfo.GetTextElementEnumerator(text);
        while (elements.MoveNext())
        {
            string element = elements.GetTextElement();
            bool drawable = true;
            foreach (Rune rune in element.EnumerateRunes())
            {
                drawable &= Has(rune);
            }
            result.Append(drawable ? element : FallbackBox);
        }
        return result.ToString();
    }

    private int Advance(ushort glyph) => advances[Math.Min(glyph, advances.Length - 1)];

    private static FontFace Load(string name)
    {
        using Stream stream =
            typeof(FontFace).Assembly.GetManifestResourceStream($"fonts/{name}")
            ?? throw new InvalidDataException($"fonts/{name} is not in the assembly.");
        byte[] file = new byte[stream.Length];
        stream.ReadExactly(file);
        return new FontFace(file);
    }

    private static int Table(ReadOnlySpan<byte> bytes, string tag)
    {
        int number = U16(bytes, 4);
        for (int i = 0; i < number; i++)
        {
            int record = 12 + (16 * i);
            if (Encoding.ASCII.GetString(bytes.Slice(record, 4)) == tag)
            {
                return checked((int)BinaryPrimitives.ReadUInt32BigEndian(bytes[(record + 8)..]));
            }
        }
        throw new InvalidDataException($"The font has no table '{tag}'.");
    }

    private void ReadCharacters(ReadOnlySpan<byte> bytes, int cmap)
    {
        int number = U16(bytes, cmap + 2);
        for (int i = 0; i < number; i++)
        {
            int platform = U16(bytes, cmap + 4 + (8 * i));
            int table = cmap + checked((int)BinaryPrimitives.ReadUInt32BigEndian(bytes[(cmap + 8 + (8 * i))..]));
            if (platform is 0 or 3 && U16(bytes, table) == 4)
            {
                ReadSegments(bytes, table);
                return;
            }
        }
        throw new InvalidDataException("The font has no Unicode character map of format 4.");
    }

    // Format 4: segments of end code, start code, delta and range offset, each list after the other.
    private void ReadSegments(ReadOnlySpan<byte> bytes, int table)
    {
        int twice = U16(bytes, table + 6);
        for (int at = 0; at < twice; at += 2)
        {
            int end = U16(bytes, table + 14 + at);
            int start = U16(bytes, table + 16 + twice + at);
            int delta = U16(bytes, table + 16 + (2 * twice) + at);
            int rangeAt = table + 16 + (3 * twice) + at;
            int range = U16(bytes, rangeAt);
            for (int code = start; code <= end && code != 0xFFFF; code++)
            {
                int glyph = range == 0 ? code + delta : U16(bytes, rangeAt + range + (2 * (code - start)));
                glyph = range != 0 && glyph != 0 ? glyph + delta : glyph;
                if ((glyph & 0xFFFF) != 0)
                {
                    glyphs[code] = (ushort)glyph;
                }
            }
        }
    }

    private static ushort U16(ReadOnlySpan<byte> bytes, int at) => BinaryPrimitives.ReadUInt16BigEndian(bytes[at..]);
}
