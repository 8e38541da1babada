using System.Text;

namespace Graftbench.Release;

/// <summary>Notices of a build, or what stands against it.</summary>
/// <param name="Text">The file to ship.</param>
/// <param name="Problems">Packages without a licence, or not as locked; the build must not ship while there is one.</param>
public sealed record NoticeFile(string Text, IReadOnlyList<string> Problems);

/// <summary>Third-party notices of a build.</summary>
public static class Notices
{
    private const int RuleWidth = 100;

    /// <summary>Names every package once with its licence; each text stands once, with the packages that it is for.</summary>
    /// <param name="title">First line.</param>
    /// <param name="packages">What is shipped.</param>
    /// <param name="locked">Version and content hash that the lock file holds, by package.</param>
    /// <param name="cache">Where the packages were restored to.</param>
    /// <param name="others">Works inside our own files: what it is, and its licence's text.</param>
    public static NoticeFile Compose(
        string title,
        IReadOnlyList<ShippedPackage> packages,
        IReadOnlyDictionary<string, (string Version, string Hash)> locked,
        PackageCache cache,
        IReadOnlyList<(string What, string Text)> others
    )
    {
        List<string> problems = [];
        StringBuilder list = new();
        List<(string Text, List<string> For)> texts = [];
        foreach (ShippedPackage package in packages)
        {
            string name = $"{package.Id} {package.Version}";
            if (!package.IsRuntime && Unlike(package, locked, cache) is { } unlike)
            {
                problems.Add($"{name}: {unlike}");
            }
            if (cache.LicenceOf(package.Id, package.Version, out string reason) is not { } licence)
            {
                problems.Add($"{name}: no licence found, {reason}.");
                continue;
            }
            list.Append(name).Append('\n');
            list.Append("    licence  ").Append(licence.Licence).Append('\n');
            list.Append("    by       ").Append(licence.Holders).Append('\n');
            Add(licence.Text, name);
            if (licence.Notices is not null)
            {
                Add(licence.Notices, $"{name}, its own notices");
            }
        }
        foreach ((string what, string text) in others)
        {
            list.Append(what).Append("\n    licence  its own, below\n");
            Add(text, what);
        }
        StringBuilder all = new();
        all.Append(title).Append("\n\nIn this build are works of others:\n\n").Append(list);
        foreach ((string text, List<string> names) in texts)
        {
            all.Append('\n').Append('=', RuleWidth).Append('\n');
            all.AppendJoin('\n', names).Append('\n').Append('-', RuleWidth).Append('\n');
            all.Append(text).Append('\n');
        }
        return new(all.ToString(), problems);

        void Add(string text, string name)
        {
            string plain = text.ReplaceLineEndings("\n").Trim('\n', '\uFEFF');
            (string Text, List<string> For) known = texts.Find(known => known.Text == plain);
            if (known.For is null)
            {
                texts.Add((plain, [name]));
            }
            else
            {
                known.For.Add(name);
            }
        }
    }

    private static string? Unlike(
        ShippedPackage package,
        IReadOnlyDictionary<string, (string Version, string Hash)> locked,
        PackageCache cache
    ) =>
        !locked.TryGetValue(package.Id, out (string Version, string Hash) held) ? "the lock file does not name it."
        : held.Version != package.Version ? $"the lock file holds {held.Version}."
        : cache.HashOf(package.Id, package.Version) != held.Hash ? "its content is not what the lock file holds."
        : null;
}
