using System.Text.Json;
using System.Text.Json.Nodes;
using CsCheck;
using Graftbench.Core.Search;
using Graftbench.Store.Removal;

namespace Graftbench.Store.Tests;

/// <summary>Words go out of a payload, and nothing else of it changes.</summary>
public sealed class PayloadWordsTests
{
    private static readonly UnwantedWords Words = new(["Anna Nováková"]);

    private static readonly JsonSerializerOptions Readable = new()
    {
        WriteIndented = true,
        Encoder = System.Text.Encodings.Web.JavaScriptEncoder.UnsafeRelaxedJsonEscaping,
    };

    [Theory]
    [InlineData("""{"note":"by Anna Novakova"}""", """{"note":"by [removed]"}""")]
    [InlineData(
        """ { "a" : [ 1.50 , "ANNA NOVÁKOVÁ" ] , "b":null } """,
        """ { "a" : [ 1.50 , "[removed]" ] , "b":null } """
    )]
    [InlineData("\"Anna Nov\\u00e1kov\\u00e1\"", "\"[removed]\"")]
    [InlineData("""{"a":"\u2028 Anna Novakova \"x\""}""", """{"a":"\u2028 [removed] \"x\""}""")]
    [InlineData("""{"Anna Novakova":1,"n":12345}""", """{"Anna Novakova":1,"n":12345}""")]
    public void Only_the_words_go(string payload, string left)
    {
        string now = Left(payload);
        Assert.Equal(JsonNode.Parse(left)!.ToJsonString(), JsonNode.Parse(now)!.ToJsonString());
        Assert.Equal(left.Length - left.TrimStart().Length, now.Length - now.TrimStart().Length);
        Assert.True(PayloadWords.IsLeftOf(payload, now));
    }

    [Fact]
    public void Hashes_ids_and_times_are_no_words()
    {
        UnwantedWords words = new(["abc", "2026"]);
        string payload =
            $$"""{"sha256":"{{new string('a', 32)}}abc{{new string('0', 29)}}","at":"2026-01-31T09:05:00Z","run":"abc45678901234567890123456789012","note":"abc 2026"}""";
        (IReadOnlyList<PayloadText> texts, string left) = PayloadWords.TakeOut(
            payload,
            words,
            UnwantedWords.Mark,
            PayloadWords.None,
            PayloadWords.None
        );
        Assert.Equal(["note"], texts.Select(text => text.Path));
        Assert.Equal(payload.Replace("abc 2026", "[removed] [removed]", StringComparison.Ordinal), left);
    }

    [Theory]
    [InlineData("""{"a":"x 231 y"}""", """{"a":"x 199 y"}""", false)]
    [InlineData("""{"a":231}""", """{"a":199}""", false)]
    [InlineData("""{"a":"x y z"}""", """{"a":"x [removed] z"}""", true)]
    [InlineData("""{"a":"x y z"}""", """{"a":"x [removed] q"}""", false)]
    [InlineData("""{"a":"x y z"}""", """{"a":"[removed]"}""", true)]
    [InlineData("""{"a":"x y z y"}""", """{"a":"x [-] z [-]"}""", true)]
    [InlineData("""{"a":"x"}""", """{"b":"x"}""", false)]
    [InlineData("""{"a":"x"}""", """{"a":"x","b":"y"}""", false)]
    [InlineData("""{"a":"x","b":true}""", """{"a":"[removed]","b":false}""", false)]
    [InlineData("""{"a":"abab"}""", """{"a":"ab[removed]bab"}""", false)]
    public void What_is_left_is_told_from_what_was_changed(string payload, string left, bool isLeft) =>
        Assert.Equal(isLeft, PayloadWords.IsLeftOf(payload, left));

    [Fact]
    public void Any_payload_keeps_its_shape_and_loses_the_words() =>
        Gen.Select(Gen.String[0, 12].Array[1, 6], Gen.Int[0, 5], Gen.Bool)
            .Sample(
                (texts, at, isEscaped) =>
                {
                    texts = [.. texts.Select(text => string.Concat(text.Where(letter => !char.IsSurrogate(letter))))];
                    texts[at % texts.Length] += " Anna  NOVÁKOVÁ ";
                    string payload = JsonSerializer.Serialize(
                        new
                        {
                            number = 1.5,
                            list = texts,
                            inner = new { texts = texts.Reverse() },
                        },
                        isEscaped ? JsonSerializerOptions.Default : Readable
                    );
                    string left = Left(payload);
                    using JsonDocument json = JsonDocument.Parse(left);
                    return json.RootElement.GetProperty("list").GetArrayLength() == texts.Length
                        && !json
                            .RootElement.GetProperty("list")
                            .EnumerateArray()
                            .Any(text => Words.AreIn(text.GetString()!))
                        && !Words.AreIn(left)
                        && PayloadWords.IsLeftOf(payload, left)
                        && Left(left) == left;
                }
            );

    private static string Left(string payload) =>
        PayloadWords.TakeOut(payload, Words, UnwantedWords.Mark, PayloadWords.None, PayloadWords.None).Payload;
}
