using System.Text.Json;
using System.Text.Json.Nodes;
using System.Text.RegularExpressions;
using Graftbench.Store;

namespace Graftbench.Web.Shelf;

/// <summary>A thing on the shelf: a few words of its own and the part of a job document that describes it.</summary>
/// <param name="Item">The thing as stored.</param>
/// <param name="Words">Its own words by name.</param>
/// <param name="Document">Part of a job document: a board under <c>host</c>, a chip under <c>chips[0]</c>, heats under <c>history</c>.</param>
public sealed partial record ShelfThing(ShelfItem Item, IReadOnlyDictionary<string, string> Words, JsonObject Document)
{
    /// <summary>Kinds and what a person calls several of them.</summary>
    public static IReadOnlyDictionary<string, string> Kinds { get; } =
        new Dictionary<string, string>(StringComparer.Ordinal)
        {
            ["board"] = "Boards",
            ["chip"] = "Chips",
            ["material"] = "Materials",
        };

    /// <summary>Reads a stored thing.</summary>
    public static ShelfThing Of(ShelfItem item)
    {
        Dictionary<string, string> words = new(StringComparer.Ordinal);
        try
        {
            JsonObject whole = JsonNode.Parse(item.Json) as JsonObject ?? [];
            foreach ((string name, JsonNode? value) in whole["words"] as JsonObject ?? [])
            {
                words[name] = value?.ToString() ?? "";
            }
            return new ShelfThing(item, words, (whole["part"] as JsonObject)?.DeepClone() as JsonObject ?? []);
        }
        catch (Exception problem) when (problem is JsonException or InvalidOperationException or ArgumentException)
        {
            return new ShelfThing(item, words, []);
        }
    }

    /// <summary>Number of heats on record.</summary>
    public int HeatCount => ((Document["history"] as JsonObject)?["heats"] as JsonArray)?.Count ?? 0;

    /// <summary>Text as the stem of an id.</summary>
    public static string Plain(string text)
    {
        string plain = NotIdLetters().Replace(text.ToLowerInvariant(), "-").Trim('-');
        return plain.Length == 0 ? "item" : plain[..Math.Min(plain.Length, 40)].TrimEnd('-');
    }

    [GeneratedRegex("[^a-z0-9]+", RegexOptions.None, matchTimeoutMilliseconds: 1000)]
    private static partial Regex NotIdLetters();
}
