using CsCheck;
using Graftbench.Core.Search;

namespace Graftbench.Core.Tests.Search;

public class SearchWordsTests
{
    [Theory]
    [InlineData("Mixing desk, 2 channels", "mixing desk 2 channels")]
    [InlineData("SP-256.A", "sp 256 a sp256a")]
    [InlineData("end. Next", "end next")]
    [InlineData("a/b_c", "a b c abc")]
    [InlineData("Škoda Straße Ærø Łódź", "skoda strasse aero lodz")]
    [InlineData("s\u030ckoda", "skoda")]
    [InlineData("0.5 µm", "0 5 05 um")]
    [InlineData("ΆΛΦΑ", "αλφα")]
    [InlineData("💡 lamp\ud83d", "lamp")]
    [InlineData("", "")]
    public void Text_becomes_words(string text, string words) =>
        Assert.Equal(words, string.Join(' ', SearchWords.In(text)));

    [Fact]
    public void Marks_go_as_the_character_database_says()
    {
        // Unicode Character Database, UnicodeData.txt: U+1EA5 decomposes to U+00E2 U+0301, that to a and U+0302.
        Assert.Equal(["a"], SearchWords.In("\u1ea5"));
        // U+01D6: u with diaeresis and macron. U+1F: none of it. U+03CE: omega with tonos.
        Assert.Equal(["u"], SearchWords.In("\u01d6"));
        Assert.Equal(["ω"], SearchWords.In("\u03ce"));
    }

    [Fact]
    public void A_long_word_is_known_by_its_beginning()
    {
        string word = Assert.Single(SearchWords.In(new string('x', 5000)));
        Assert.Equal(SearchWords.MaxWordLength, word.Length);
        Assert.Equal(SearchWords.MaxAskedWords, SearchWords.Asked(string.Join(' ', Enumerable.Range(0, 99))).Count);
        Assert.Equal(SearchWords.MaxWords, SearchWords.Of(Enumerable.Range(0, 9000).Select(n => $"{n}")).Count);
    }

    [Fact]
    public void Any_text_is_found_by_its_own_words_and_words_are_plain() =>
        Gen.String.Sample(text =>
        {
            Assert.All(SearchWords.Asked(text), asked => Assert.True(SearchWords.Has(text, asked)));
            Assert.All(
                SearchWords.In(text),
                word => Assert.True(word.Length > 0 && word.EnumerateRunes().All(System.Text.Rune.IsLetterOrDigit))
            );
        });
}
