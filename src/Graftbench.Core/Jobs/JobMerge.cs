using System.Globalization;
using System.Text.Json.Nodes;

namespace Graftbench.Core.Jobs;

/// <summary>A place that two people changed in different ways.</summary>
/// <param name="Path">Where it is in the merged document: <c>chips[0].pitchMm</c>.</param>
/// <param name="Before">What both started from; null where there was nothing.</param>
/// <param name="Mine">What one of them made of it; null where it was taken out.</param>
/// <param name="Theirs">What the other made of it; null where it was taken out.</param>
public sealed record MergeClash(string Path, JsonNode? Before, JsonNode? Mine, JsonNode? Theirs);

/// <summary>Two changed versions of a job document brought together.</summary>
/// <param name="Document">Everything that either changed; in the places of clashes what <c>takeMine</c> said, theirs otherwise.</param>
/// <param name="Clashes">Places that both changed differently, in the order of the document.</param>
public sealed record MergedJob(JsonObject Document, IReadOnlyList<MergeClash> Clashes);

/// <summary>Brings together what two people made of the same revision of a job, so that neither loses anything.</summary>
/// <remarks>
/// A value that only one of them changed is taken from that one. Entries of a list are the same entry where they have the
/// same <c>id</c> or <c>ref</c>; entries of lists without such names are the same where they are equal in every field, so
/// an entry that somebody changed is one taken out and one put in. Where both took out the same such entry and both put
/// something in, or both changed a value differently, that is a clash, and a person decides.
/// </remarks>
public static class JobMerge
{
    private static readonly string[] Names = ["id", "ref"];

    /// <summary>Merges two versions of a document.</summary>
    /// <param name="before">What both started from.</param>
    /// <param name="mine">What one of them made of it.</param>
    /// <param name="theirs">What the other made of it.</param>
    /// <param name="takeMine">Whether a clash at a path is decided for mine.</param>
    public static MergedJob Merge(JsonObject before, JsonObject mine, JsonObject theirs, Func<string, bool> takeMine)
    {
        ArgumentNullException.ThrowIfNull(before);
        ArgumentNullException.ThrowIfNull(mine);
        ArgumentNullException.ThrowIfNull(theirs);
        ArgumentNullException.ThrowIfNull(takeMine);
        List<MergeClash> clashes = [];
        JsonNode? merged = new Walk(takeMine, clashes).Value("", before, mine, theirs);
        return new MergedJob(merged as JsonObject ?? (JsonObject)theirs.DeepClone(), clashes);
    }

    private sealed class Walk(Func<string, bool> takeMine, List<MergeClash> clashes)
    {
        public JsonNode? Value(string path, JsonNode? before, JsonNode? mine, JsonNode? theirs)
        {
            if (JsonNode.DeepEquals(mine, theirs) || JsonNode.DeepEquals(mine, before))
            {
                return theirs?.DeepClone();
            }
            if (JsonNode.DeepEquals(theirs, before))
            {
                return mine?.DeepClone();
            }
            return (before, mine, theirs) switch
            {
                (JsonObject or null, JsonObject own, JsonObject other) => Fields(
                    path,
                    before as JsonObject,
                    own,
                    other
                ),
                (JsonArray or null, JsonArray own, JsonArray other) => List(
                    path,
                    before as JsonArray ?? [],
                    own,
                    other
                ),
                _ => Clash(path, before, mine, theirs),
            };
        }

        private JsonNode? Clash(string path, JsonNode? before, JsonNode? mine, JsonNode? theirs)
        {
            clashes.Add(new MergeClash(path, before, mine, theirs));
            return (takeMine(path) ? mine : theirs)?.DeepClone();
        }

        private JsonObject Fields(string path, JsonObject? before, JsonObject mine, JsonObject theirs)
        {
            JsonObject merged = [];
            foreach (string name in theirs.Select(field => field.Key).Union(mine.Select(field => field.Key)))
            {
                string at = path.Length == 0 ? name : $"{path}.{name}";
                if (Value(at, before?[name], mine[name], theirs[name]) is { } value)
                {
                    merged[name] = value;
                }
            }
            return merged;
        }

        private JsonNode? List(string path, JsonArray before, JsonArray mine, JsonArray theirs)
        {
            string? name = Array.Find(
                Names,
                each => HasNames(before, each) && HasNames(mine, each) && HasNames(theirs, each)
            );
            return name is null ? Unnamed(path, before, mine, theirs) : Named(path, name, before, mine, theirs);
        }

        // Their order first, then what only mine has.
        private JsonArray Named(string path, string name, JsonArray before, JsonArray mine, JsonArray theirs)
        {
            JsonArray merged = [];
            // Counted with those that go, so that a place keeps its path however clashes are decided.
            IEnumerable<string> keys = theirs.Concat(mine).Select(entry => Key(entry, name));
            foreach ((int index, string key) in keys.Distinct(StringComparer.Ordinal).Index())
            {
                string at = string.Create(CultureInfo.InvariantCulture, $"{path}[{index}]");
                JsonNode? entry = Value(at, Find(before, name, key), Find(mine, name, key), Find(theirs, name, key));
                if (entry is not null)
                {
                    merged.Add(entry);
                }
            }
            return merged;
        }

        private JsonNode? Unnamed(string path, JsonArray before, JsonArray mine, JsonArray theirs)
        {
            (List<JsonNode?> added, List<JsonNode?> gone) own = Change(before, mine);
            (List<JsonNode?> added, List<JsonNode?> gone) other = Change(before, theirs);
            bool bothTookOut = own.gone.Exists(entry => Has(other.gone, entry));
            bool samePut = Same(own.added, other.added);
            if (bothTookOut && own.added.Count > 0 && other.added.Count > 0 && !samePut)
            {
                return Clash(path, before, mine, theirs);
            }
            List<JsonNode?> left = [.. own.gone];
            JsonArray merged = [];
            foreach (JsonNode? entry in theirs)
            {
                int at = left.FindIndex(gone => JsonNode.DeepEquals(gone, entry));
                if (at >= 0)
                {
                    left.RemoveAt(at);
                    continue;
                }
                merged.Add(entry?.DeepClone());
            }
            foreach (JsonNode? entry in own.added.Where(entry => !samePut && !Has(other.added, entry)))
            {
                merged.Add(entry?.DeepClone());
            }
            return merged;
        }

        private static (List<JsonNode?> Added, List<JsonNode?> Gone) Change(JsonArray before, JsonArray after)
        {
            List<JsonNode?> gone = [.. before];
            List<JsonNode?> added = [];
            foreach (JsonNode? entry in after)
            {
                int at = gone.FindIndex(known => JsonNode.DeepEquals(known, entry));
                if (at >= 0)
                {
                    gone.RemoveAt(at);
                }
                else
                {
                    added.Add(entry);
                }
            }
            return (added, gone);
        }

        private static bool Same(List<JsonNode?> one, List<JsonNode?> other) =>
            one.Count == other.Count && one.Zip(other).All(pair => JsonNode.DeepEquals(pair.First, pair.Second));

        private static bool Has(List<JsonNode?> entries, JsonNode? entry) =>
            entries.Exists(each => JsonNode.DeepEquals(each, entry));

        // Every entry is an object with a text of that name, each a different one.
        private static bool HasNames(JsonArray list, string name)
        {
            List<string> keys = [.. list.Select(entry => Key(entry, name))];
            return keys.TrueForAll(key => key.Length > 0)
                && keys.Distinct(StringComparer.Ordinal).Count() == keys.Count;
        }

        private static string Key(JsonNode? entry, string name) =>
            entry is JsonObject holder && holder[name] is JsonValue value && value.TryGetValue(out string? key)
                ? key
                : "";

        private static JsonNode? Find(JsonArray list, string name, string key) =>
            list.FirstOrDefault(entry => Key(entry, name) == key);
    }
}
