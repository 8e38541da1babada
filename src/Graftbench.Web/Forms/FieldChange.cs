using System.Text.Json;
using System.Text.Json.Nodes;

namespace Graftbench.Web.Forms;

/// <summary>A field that differs between two documents.</summary>
/// <param name="Path">Its path.</param>
/// <param name="Before">Value in the first document; null where it has none.</param>
/// <param name="After">Value in the second document; null where it has none.</param>
public sealed record FieldChange(string Path, string? Before, string? After)
{
    /// <summary>All fields in which two documents differ, in document order.</summary>
    public static IReadOnlyList<FieldChange> Between(JsonObject before, JsonObject after)
    {
        Dictionary<string, string> first = Leaves(before);
        Dictionary<string, string> second = Leaves(after);
        return first
            .Keys.Union(second.Keys, StringComparer.Ordinal)
            .Select(path => new FieldChange(path, first.GetValueOrDefault(path), second.GetValueOrDefault(path)))
            .Where(change => change.Before != change.After)
            .ToList();
    }

    private static Dictionary<string, string> Leaves(JsonObject root)
    {
        Dictionary<string, string> leaves = new(StringComparer.Ordinal);
        Walk(root, "", leaves);
        return leaves;
    }

    private static void Walk(JsonNode? node, string path, Dictionary<string, string> leaves)
    {
        switch (node)
        {
            case JsonObject holder:
                foreach ((string name, JsonNode? child) in holder)
                {
                    Walk(child, path.Length == 0 ? name : $"{path}.{name}", leaves);
                }
                break;
            case JsonArray list:
                for (int i = 0; i < list.Count; i++)
                {
                    Walk(list[i], $"{path}[{i}]", leaves);
                }
                break;
            case JsonValue value:
                leaves[path] =
                    value.GetValueKind() == JsonValueKind.String ? value.GetValue<string>() : value.ToJsonString();
                break;
        }
    }
}
