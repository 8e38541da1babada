using System.Globalization;
using System.Text.Json.Nodes;
using System.Text.RegularExpressions;

namespace Graftbench.Web.Forms;

/// <summary>Paths such as <c>host.parts[3].heightMm</c> in a document tree.</summary>
internal static partial class JobPath
{
    /// <summary>The node at a path; null where there is none.</summary>
    public static JsonNode? Find(JsonObject root, string path)
    {
        JsonNode? node = root;
        foreach (object step in Steps(path))
        {
            node = step switch
            {
                string name => (node as JsonObject)?[name],
                int index => node is JsonArray list && index < list.Count ? list[index] : null,
                _ => null,
            };
            if (node is null)
            {
                return null;
            }
        }
        return node;
    }

    /// <summary>Sets the value at a path whose list entries exist; objects on the way are made.</summary>
    public static void Set(JsonObject root, string path, JsonNode value)
    {
        (string parent, string name) = Split(path);
        if (ObjectOrNull(root, parent) is { } holder)
        {
            holder[name] = value;
        }
    }

    /// <summary>Takes the value at a path out.</summary>
    public static void Remove(JsonObject root, string path)
    {
        (string parent, string name) = Split(path);
        if ((parent.Length == 0 ? root : Find(root, parent)) is JsonObject holder)
        {
            holder.Remove(name);
        }
    }

    /// <summary>The object at a path, made where it is missing.</summary>
    public static JsonObject ObjectAt(JsonObject root, string path) =>
        ObjectOrNull(root, path) ?? throw new ArgumentException($"'{path}' is no object.", nameof(path));

    /// <summary>The list at a path, made where it is missing.</summary>
    public static JsonArray ListAt(JsonObject root, string path)
    {
        (string parent, string name) = Split(path);
        JsonObject holder = ObjectAt(root, parent);
        if (holder[name] is JsonArray list)
        {
            return list;
        }
        JsonArray made = [];
        holder[name] = made;
        return made;
    }

    private static JsonObject? ObjectOrNull(JsonObject root, string path)
    {
        JsonNode node = root;
        if (path.Length == 0)
        {
            return root;
        }
        foreach (object step in Steps(path))
        {
            switch (step)
            {
                case string name when node is JsonObject holder:
                    if (holder[name] is null)
                    {
                        holder[name] = new JsonObject();
                    }
                    node = holder[name]!;
                    break;
                case int index when node is JsonArray list && index < list.Count && list[index] is { } entry:
                    node = entry;
                    break;
                default:
                    return null;
            }
        }
        return node as JsonObject;
    }

    /// <summary>The path with every index left out: <c>host.parts[].heightMm</c>.</summary>
    public static string Pattern(string path) => path.Contains('[') ? Index().Replace(path, "[]") : path;

    private static (string Parent, string Name) Split(string path)
    {
        int dot = path.LastIndexOf('.');
        return dot < 0 ? ("", path) : (path[..dot], path[(dot + 1)..]);
    }

    private static IEnumerable<object> Steps(string path)
    {
        foreach (string part in path.Split('.'))
        {
            int bracket = part.IndexOf('[');
            yield return bracket < 0 ? part : part[..bracket];
            if (
                bracket >= 0
                && int.TryParse(part.AsSpan(bracket + 1).TrimEnd(']'), CultureInfo.InvariantCulture, out int index)
            )
            {
                yield return index;
            }
        }
    }

    [GeneratedRegex(@"\[[0-9]{1,5}\]", RegexOptions.None, matchTimeoutMilliseconds: 1000)]
    private static partial Regex Index();
}
