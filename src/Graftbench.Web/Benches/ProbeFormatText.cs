using System.Text.Json;

namespace Graftbench.Web.Benches;

/// <summary>How a bench's logger is read, in one line, from whatever its fact holds.</summary>
internal static class ProbeFormatText
{
    private const int MostNames = 8;

    /// <summary>Source and channels; a plain sentence where they cannot be read.</summary>
    public static string Of(string json)
    {
        try
        {
            using JsonDocument document = JsonDocument.Parse(json);
            List<string> names = [];
            string? source = null;
            Look(document.RootElement, names, ref source, 0);
            string channels = names.Count == 0 ? "channels not named" : string.Join(", ", names.Take(MostNames));
            return source is { Length: > 0 } ? $"{source}: {channels}" : channels;
        }
        catch (JsonException)
        {
            return "A logger whose format cannot be read.";
        }
    }

    // The logger's columns carry a role and a name, wherever in the fact they stand.
    private static void Look(JsonElement element, List<string> names, ref string? source, int depth)
    {
        if (depth > 6)
        {
            return;
        }
        if (element.ValueKind == JsonValueKind.Array)
        {
            foreach (JsonElement one in element.EnumerateArray())
            {
                Look(one, names, ref source, depth + 1);
            }
        }
        else if (element.ValueKind == JsonValueKind.Object)
        {
            foreach (JsonProperty property in element.EnumerateObject())
            {
                string? text = property.Value.ValueKind == JsonValueKind.String ? property.Value.GetString() : null;
                if (string.Equals(property.Name, "source", StringComparison.OrdinalIgnoreCase) && text is not null)
                {
                    source ??= text;
                }
                else if (
                    string.Equals(property.Name, "name", StringComparison.OrdinalIgnoreCase)
                    && !string.IsNullOrWhiteSpace(text)
                )
                {
                    names.Add(text);
                }
                else
                {
                    Look(property.Value, names, ref source, depth + 1);
                }
            }
        }
    }
}
