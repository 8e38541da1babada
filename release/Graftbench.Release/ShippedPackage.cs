using System.Text.Json;

namespace Graftbench.Release;

/// <summary>A package of which at least one file goes into a build.</summary>
/// <param name="Id">Name as the feed spells it.</param>
/// <param name="Version">The one version.</param>
/// <param name="IsRuntime">True for a part of .NET itself, which no lock file of ours names.</param>
/// <param name="Files">File names in the build: assemblies and native libraries.</param>
public sealed record ShippedPackage(string Id, string Version, bool IsRuntime, IReadOnlyList<string> Files)
{
    private const string RuntimePrefix = "runtimepack.";

    /// <summary>Packages with files in a build, from its <c>*.deps.json</c>, by name.</summary>
    /// <exception cref="InvalidDataException">The document names no target or no package.</exception>
    public static IReadOnlyList<ShippedPackage> Read(string depsJson)
    {
        using JsonDocument document = JsonDocument.Parse(depsJson);
        JsonElement root = document.RootElement;
        string target =
            root.GetProperty("runtimeTarget").GetProperty("name").GetString()
            ?? throw new InvalidDataException("The list of the build names no target.");
        List<ShippedPackage> found = [];
        foreach (JsonProperty library in root.GetProperty("targets").GetProperty(target).EnumerateObject())
        {
            string type = root.GetProperty("libraries").GetProperty(library.Name).GetProperty("type").GetString() ?? "";
            string[] files = [.. NamesOf(library.Value, "runtime"), .. NamesOf(library.Value, "native")];
            if (type == "project" || files.Length == 0)
            {
                continue;
            }
            string[] name = library.Name.Split('/');
            bool runtime = type == "runtimepack";
            found.Add(new(runtime ? name[0][RuntimePrefix.Length..] : name[0], name[1], runtime, files));
        }
        return found.Count > 0
            ? [.. found.OrderBy(package => package.Id, StringComparer.OrdinalIgnoreCase)]
            : throw new InvalidDataException("The list of the build names no package.");
    }

    /// <summary>Every package of a lock file with its version and content hash, by name.</summary>
    public static IReadOnlyDictionary<string, (string Version, string Hash)> Locked(string lockJson)
    {
        using JsonDocument document = JsonDocument.Parse(lockJson);
        Dictionary<string, (string, string)> found = new(StringComparer.OrdinalIgnoreCase);
        foreach (JsonProperty target in document.RootElement.GetProperty("dependencies").EnumerateObject())
        {
            foreach (JsonProperty package in target.Value.EnumerateObject())
            {
                if (package.Value.GetProperty("type").GetString() != "Project")
                {
                    found[package.Name] = (
                        package.Value.GetProperty("resolved").GetString()!,
                        package.Value.GetProperty("contentHash").GetString()!
                    );
                }
            }
        }
        return found;
    }

    private static IEnumerable<string> NamesOf(JsonElement library, string kind) =>
        library.TryGetProperty(kind, out JsonElement files)
            ? files.EnumerateObject().Select(file => Path.GetFileName(file.Name)).Where(name => name != "_._")
            : [];
}
