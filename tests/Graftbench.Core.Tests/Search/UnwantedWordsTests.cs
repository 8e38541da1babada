using System.Text.Json;
using CsCheck;
using Graftbench.Core.Search;

namespace Graftbench.Core.Tests.Search;

public sealed class UnwantedWordsTests
{
    [Theory]
    [InlineData("Anna Nováková", "for ANNA NOVAKOVA, Brno", "for [removed], Brno")]
    [InlineData("anna novakova", "Anna\u00a0 \tNova\u0301kova\u0301 called", "[removed] called")]
    [InlineData("Anna Nováková", "An\u00adna Nováková", "[removed]")]
    [InlineData("Großmann", "GROSSMANN and Grossmann", "[removed] and [removed]")]
    [InlineData("O'Neil", "o’neil", "[removed]")]
    [InlineData("Mill-Lane 7", "Mill\u2011Lane  7", "[removed]")]
    [InlineData("Ann \"Nan\" Lee", "net,note\nA1,\"Ann \"\"Nan\"\" Lee\"", "net,note\nA1,\"[removed]\"")]
    [InlineData("Nováková", "{\"by\":\"Nov\\u00e1kov\\u00E1\"}", "{\"by\":\"[removed]\"}")]
    [InlineData("Nováková", "<p>Nov&#225;kov&#225; Nov&#xE1;kov&#xE1;</p>", "<p>[removed] [removed]</p>")]
    [InlineData("A & B", "a &amp; b", "[removed]")]
    [InlineData("Anna Nováková", "mailto:?to=Anna%20Nov%C3%A1kov%C3%A1", "mailto:?to=[removed]")]
    [InlineData("日本花子", "様 日本花子 様", "様 [removed] 様")]
    [InlineData("Eva", "Evaporated", "[removed]porated")]
    [InlineData("aaa", "aaaa", "[removed]")]
    [InlineData("nothing", "technical text, 231 °C", "technical text, 231 °C")]
    [InlineData("Ove", "[removed] by Ove", "[removed] by [removed]")]
    public void A_word_goes_however_it_is_written(string word, string text, string left)
    {
        UnwantedWords words = new([word]);
        Assert.Equal(left, words.TakenOut(text));
        Assert.False(words.AreIn(words.TakenOut(text)));
    }

    [Fact]
    public void A_part_of_a_longer_word_is_marked()
    {
        UnwantedWords words = new(["Eva"]);
        Assert.Equal([true, true, false], words.In("Evaporated, Medieva, Eva").Select(place => place.IsPart));
    }

    [Fact]
    public void The_longest_word_goes_whole()
    {
        UnwantedWords words = new(["Novak", "Anna Novak", "Brno"]);
        Assert.Equal("[removed], [removed]", words.TakenOut("Anna Novak, Brno"));
    }

    [Fact]
    public void Bad_words_are_all_named_and_find_nothing()
    {
        string[] bad = ["ab", "  ", "---", new string('x', 401)];
        Assert.Equal(4, UnwantedWords.Problems(bad).Count);
        Assert.False(new UnwantedWords(bad).AreIn("ab --- " + new string('x', 500)));
        Assert.Contains(
            "51 words",
            UnwantedWords.Problems([.. Enumerable.Repeat("word", 51)])[0],
            StringComparison.Ordinal
        );
        Assert.Empty(UnwantedWords.Problems(["Eva"]));
    }

    [Fact]
    public void Whatever_stands_around_a_word_it_goes_and_nothing_else_does() =>
        Gen.Select(Gen.String[0, 20], Gen.String[Gen.Char.AlphaNumeric, 5, 12], Gen.String[0, 20], Gen.Bool)
            .Sample(
                (before, word, after, isSpelled) =>
                {
                    // Letters that join the word from outside, and words of the sides, are another matter.
                    UnwantedWords words = new([word]);
                    string there = isSpelled ? JsonSerializer.Serialize(word).Trim('"') : word.ToUpperInvariant();
                    string text = $"{before}|{there}|{after}";
                    string left = words.TakenOut(text);
                    return !words.AreIn(left)
                        && (
                            words.AreIn(before)
                            || words.AreIn(after)
                            || left == $"{before}|{UnwantedWords.Mark}|{after}"
                            || text.Contains(UnwantedWords.Mark, StringComparison.Ordinal)
                        );
                }
            );
}
