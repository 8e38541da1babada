using System.Text.Json;

namespace Graftbench.Core.Jobs;

/// <summary>Finds where in a text the values at given paths stand.</summary>
internal static class JobReaderPlaces
{
    /// <summary>Finds byte offsets; a path that the text does not have gets the place of the nearest thing above it.</summary>
    /// <param name="utf8">A document that has been walked to its end before.</param>
    /// <param name="paths">Paths as problems spell them.</param>
    public static Dictionary<string, int> Find(ReadOnlySpan<byte> utf8, IEnumerable<string> paths)
    {
        Dictionary<string, int> found = new(StringComparer.Ordinal);
        // Every step on the way is looked for too, so that the nearest one above is known.
        HashSet<string> wanted = new(StringComparer.Ordinal);
        List<string> asked = paths.Distinct(StringComparer.Ordinal).ToList();
        foreach (string path in asked)
        {
            for (string? step = path; step is not null; step = Above(step))
            {
                wanted.Add(step);
            }
        }
        Utf8JsonReader reader = new(
            utf8,
            new JsonReaderOptions
            {
                AllowTrailingCommas = true,
                CommentHandling = JsonCommentHandling.Skip,
                MaxDepth = JobFormat.MaxDepth,
            }
        );
        reader.Read();
        Value(ref reader, "", wanted, found);
        Dictionary<string, int> places = new(StringComparer.Ordinal);
        foreach (string path in asked)
        {
            string? step = path;
            while (step is not null && !found.ContainsKey(step))
            {
                step = Above(step);
            }
            places[path] = step is null ? 0 : found[step];
        }
        return places;
    }

    private static void Value(
        ref Utf8JsonReader reader,
        string path,
        HashSet<string> wanted,
        Dictionary<string, int> found
    )
    {
        if (!wanted.Contains(path))
        {
            reader.Skip();
            return;
        }
        found[path] = (int)reader.TokenStartIndex;
        if (reader.TokenType == JsonTokenType.StartObject)
        {
            while (reader.Read() && reader.TokenType != JsonTokenType.EndObject)
            {
                string name = JobReaderText.TryGet(ref reader, out string text) ? text : "";
                reader.Read();
                Value(ref reader, path.Length == 0 ? name : $"{path}.{name}", wanted, found);
            }
        }
        else if (reader.TokenType == JsonTokenType.StartArray)
        {
            for (int index = 0; reader.Read() && reader.TokenType != JsonTokenType.EndArray; index++)
            {
                Value(ref reader, $"{path}[{index}]", wanted, found);
            }
        }
    }

    private static string? Above(string path)
    {
        if (path.Length == 0)
        {
            return null;
        }
        int cut = Math.Max(path.LastIndexOf('.'), path.LastIndexOf('['));
        return cut < 0 ? "" : path[..cut];
    }
}
