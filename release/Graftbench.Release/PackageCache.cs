using System.Text.Json;
using System.Xml.Linq;

namespace Graftbench.Release;

/// <summary>What a package says of its licence.</summary>
/// <param name="Licence">Expression, or the name of its own licence file.</param>
/// <param name="Holders">Copyright line, or the authors where there is none.</param>
/// <param name="Text">Full text: its own file, else the text behind the expression.</param>
/// <param name="Notices">Its own third-party notices, where it has a file of them.</param>
public sealed record PackageLicence(string Licence, string Holders, string Text, string? Notices);

/// <summary>The folder into which packages were restored.</summary>
public sealed class PackageCache(string folder)
{
    /// <summary>Content hash of a restored package, as in lock files; null when it is not there.</summary>
    public string? HashOf(string id, string version)
    {
        string path = Path.Combine(FolderOf(id, version), ".nupkg.metadata");
        if (!File.Exists(path))
        {
            return null;
        }
        using JsonDocument document = JsonDocument.Parse(File.ReadAllText(path));
        return document.RootElement.GetProperty("contentHash").GetString();
    }

    /// <summary>Licence of a package; null with the reason when none could be found.</summary>
    public PackageLicence? LicenceOf(string id, string version, out string reason)
    {
        string package = FolderOf(id, version);
        string manifest = Path.Combine(package, id.ToLowerInvariant() + ".nuspec");
        if (!File.Exists(manifest))
        {
            reason = "it is not in the package folder";
            return null;
        }
        XElement metadata = XDocument.Load(manifest).Root!.Elements().First(e => e.Name.LocalName == "metadata");
        XElement? licence = Child(metadata, "license");
        string[] files = [.. Directory.EnumerateFiles(package).Order(StringComparer.Ordinal)];
        string? named = licence?.Attribute("type")?.Value == "file" ? licence.Value.Trim() : null;
        string? own = named is not null
            ? Path.Combine(package, named.Replace('\\', '/'))
            : Array.Find(files, path => Stem(path) is "LICENSE" or "LICENCE");
        string expression = named is null ? licence?.Value.Trim() ?? "" : "";
        string? text = own is not null && File.Exists(own) ? File.ReadAllText(own) : LicenceText.Of(expression);
        if (text is null)
        {
            reason =
                expression.Length > 0
                    ? $"no text is held here for its licence '{expression}'"
                    : "it names no licence and has no licence file";
            return null;
        }
        string? notices = Array.Find(files, path => Stem(path).StartsWith("THIRD-PARTY", StringComparison.Ordinal));
        reason = "";
        return new(
            expression.Length > 0 ? expression : $"its own ({Path.GetFileName(own)})",
            Child(metadata, "copyright")?.Value.Trim() is { Length: > 0 } line
                ? line
                : Child(metadata, "authors")?.Value.Trim() ?? "",
            text,
            notices is null ? null : File.ReadAllText(notices)
        );
    }

    private string FolderOf(string id, string version) =>
        Path.Combine(folder, id.ToLowerInvariant(), version.ToLowerInvariant());

    private static string Stem(string path) => Path.GetFileNameWithoutExtension(path).ToUpperInvariant();

    private static XElement? Child(XElement parent, string name) =>
        parent.Elements().FirstOrDefault(element => element.Name.LocalName == name);
}
