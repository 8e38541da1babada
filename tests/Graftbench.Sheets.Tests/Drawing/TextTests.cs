using System.Text;
using Graftbench.Sheets.Drawing;
using Graftbench.Sheets.Fonts;
using Graftbench.Sheets.Pdf;
using Graftbench.Sheets.Pictures;

namespace Graftbench.Sheets.Tests.Drawing;

public class TextTests
{
    // Advance widths of this design are those of the common sans-serif metrics: units of 1/1000 of the size.
    public static readonly TheoryData<string, bool, double, string> Widths = new()
    {
        { "A", false, 667, "Helvetica font metrics file, WX of A" },
        { "i", false, 222, "Helvetica font metrics file, WX of i" },
        { "0123456789", false, 5560, "Helvetica font metrics file, ten digits of 556" },
        { "A", true, 722, "Helvetica-Bold font metrics file, WX of A" },
        { "i", true, 278, "Helvetica-Bold font metrics file, WX of i" },
    };

    [Theory, MemberData(nameof(Widths))]
    public void Widths_are_those_of_the_common_metrics(string text, bool bold, double expected, string source) =>
        Assert.True(
            Math.Abs(SheetText.Width(text, 1000, bold) - expected) < 0.5 * text.Length,
            $"{source}: {SheetText.Width(text, 1000, bold)}"
        );

    [Fact]
    public void Font_has_the_letters_of_the_trade()
    {
        foreach (Rune rune in "aZ09 Ω µ ° Δ ≤ ≥ ± × − – … Ж ф ž ů α ³ ² € №".EnumerateRunes())
        {
            Assert.True(FontFace.Regular.Has(rune) && FontFace.Bold.Has(rune), rune.ToString());
        }
        Assert.False(FontFace.Regular.Has(new Rune(0x1F600)));
    }

    [Theory]
    [InlineData("ok Ж ≤", "ok Ж ≤")]
    [InlineData("a\U0001F600b", "a□b")]
    [InlineData("a\U0001F469\u200D\U0001F527b", "a□b")]
    [InlineData("你好", "□□")]
    public void What_the_font_lacks_becomes_one_box_for_each_character_seen(string text, string expected) =>
        Assert.Equal(expected, FontFace.Regular.Drawable(text));

    [Theory]
    [InlineData("a\0b\u0007c", "abc")]
    [InlineData("line\r\nline", "line  line")]
    [InlineData("x\u202Egnp.exe\u202Cy", "xgnp.exey")]
    [InlineData(null, "")]
    public void Cleaning_takes_out_what_a_page_must_not_obey(string? text, string expected) =>
        Assert.Equal(expected, SheetText.Clean(text));

    [Fact]
    public void Half_a_surrogate_pair_becomes_a_replacement_character() =>
        Assert.Equal("half \uFFFD pair", SheetText.Clean("half " + '\uD83D' + " pair"));

    [Fact]
    public void Lines_are_never_wider_than_asked_and_lose_nothing()
    {
        string text = "short " + new string('W', 300) + " Ремонт плат " + string.Concat(Enumerable.Repeat("word ", 60));
        IReadOnlyList<string> lines = SheetText.Wrap(text, 120, 9);
        Assert.All(lines, line => Assert.True(SheetText.Width(line, 9) <= 120.0001, line));
        Assert.Equal(
            text.Replace(" ", "", StringComparison.Ordinal),
            string.Concat(lines).Replace(" ", "", StringComparison.Ordinal)
        );
    }

    [Fact]
    public void Fitted_text_is_cut_with_a_mark_and_fits()
    {
        string fitted = SheetText.Fit("a rather long label", 50, 12);
        Assert.EndsWith("…", fitted, StringComparison.Ordinal);
        Assert.True(SheetText.Width(fitted, 12) <= 50);
        Assert.Equal("short", SheetText.Fit("short", 50, 12));
    }

    [Fact]
    public void Hebrew_is_set_in_its_reading_order() =>
        Assert.Equal("chip \u05DD\u05D5\u05DC\u05E9 7", PdfText.Ready("chip \u05E9\u05DC\u05D5\u05DD 7", false));

    [Fact]
    public void Writer_escapes_and_writes_numbers_the_same_everywhere()
    {
        string svg = new SvgWriter()
            .Open("a")
            .Attribute("x", -0.0001)
            .Attribute("y", 1234.567)
            .Attribute("t", "<\"&'")
            .Text("<&>")
            .Finish();
        Assert.Equal("<a x=\"0\" y=\"1234.57\" t=\"&lt;&quot;&amp;&#39;\">&lt;&amp;&gt;</a>\n", svg);
    }

    [Fact]
    public void Thinning_keeps_ends_and_shape()
    {
        List<Pt> curve = [.. Enumerable.Range(0, 5000).Select(i => new Pt(i / 10.0, 100 * Math.Exp(-i / 1000.0)))];
        IReadOnlyList<Pt> thin = Chart.Thin(curve);
        Assert.InRange(thin.Count, 5, 60);
        Assert.Equal(curve[0], thin[0]);
        Assert.Equal(curve[^1], thin[^1]);
        foreach (Pt p in curve)
        {
            int after = Math.Max(1, thin.ToList().FindIndex(q => q.X >= p.X));
            Pt a = thin[after - 1];
            Pt b = thin[after];
            Assert.Equal(p.Y, a.Y + ((b.Y - a.Y) * (p.X - a.X) / (b.X - a.X)), 0.5);
        }
    }
}
