using Graftbench.Release;

namespace Graftbench.Conventions;

/// <summary>What is shipped carries the notices of those who made it.</summary>
public class ReleaseTests
{
    private static readonly IReadOnlyDictionary<string, (string Version, string Hash)> Locked = ShippedPackage.Locked(
        Repository.Read("src/Graftbench.Cli/packages.lock.json")
    );

    private static readonly PackageCache Cache = new(
        Environment.GetEnvironmentVariable("NUGET_PACKAGES")
            ?? Path.Combine(Environment.GetFolderPath(Environment.SpecialFolder.UserProfile), ".nuget", "packages")
    );

    [Fact]
    public void The_notices_name_every_package_of_the_lock_file_with_a_licence()
    {
        NoticeFile notices = Compose(
            Locked.Select(package => new ShippedPackage(package.Key, package.Value.Version, false, ["a.dll"]))
        );
        Assert.Empty(notices.Problems);
        Assert.True(Locked.Count > 20, $"{Locked.Count} packages");
        List<string> unnamed =
        [
            .. Locked
                .Select(package => $"\n{package.Key} {package.Value.Version}\n    licence  ")
                .Where(head => !notices.Text.Contains(head, StringComparison.Ordinal)),
        ];
        Assert.True(unnamed.Count == 0, string.Join(", ", unnamed));
        Assert.DoesNotContain("    licence  \n", notices.Text, StringComparison.Ordinal);
        Assert.DoesNotContain("    by       \n", notices.Text, StringComparison.Ordinal);
        // The texts themselves, each once.
        string[] texts =
        [
            .. notices
                .Text.Split($"\n{new string('=', 100)}\n")[1..]
                .Select(section => section[section.IndexOf($"\n{new string('-', 100)}\n", StringComparison.Ordinal)..]),
        ];
        Assert.Distinct(texts);
        Assert.Contains(texts, text => text.Contains("Apache License", StringComparison.Ordinal));
        Assert.Contains("NO OBLIGATIONS TO", notices.Text, StringComparison.Ordinal);
        Assert.Contains("The fonts\n    licence  its own, below", notices.Text, StringComparison.Ordinal);
        Assert.Contains("text of the fonts' licence", notices.Text, StringComparison.Ordinal);
    }

    [Fact]
    public void A_package_without_a_licence_or_not_as_locked_stops_a_release()
    {
        (string version, _) = Locked["Npgsql"];
        Assert.Equal(
            [
                "Nobody.Knows 1.0.0: the lock file does not name it.",
                "Npgsql 0.0.1: the lock file holds " + version + ".",
            ],
            Compose([
                new ShippedPackage("Nobody.Knows", "1.0.0", false, ["a.dll"]),
                new ShippedPackage("Npgsql", "0.0.1", false, ["a.dll"]),
            ])
                .Problems.Where(problem => !problem.Contains("no licence found", StringComparison.Ordinal))
        );
        Assert.Equal(
            ["Nobody.Knows 1.0.0: no licence found, it is not in the package folder."],
            Compose([new ShippedPackage("Nobody.Knows", "1.0.0", true, ["a.dll"])]).Problems
        );
        Assert.Equal(
            [$"Npgsql {version}: its content is not what the lock file holds."],
            Notices
                .Compose(
                    "",
                    [new ShippedPackage("Npgsql", version, false, ["a.dll"])],
                    new Dictionary<string, (string, string)>(StringComparer.Ordinal)
                    {
                        ["Npgsql"] = (version, "other"),
                    },
                    Cache,
                    []
                )
                .Problems
        );
    }

    [Theory]
    [InlineData(
        "<license type=\"expression\">Nobody-1.0</license>",
        "no text is held here for its licence 'Nobody-1.0'"
    )]
    [InlineData("<licenseUrl>http://127.0.0.1/</licenseUrl>", "it names no licence and has no licence file")]
    public void A_licence_that_cannot_be_shown_is_none(string line, string reason)
    {
        DirectoryInfo folder = Directory.CreateTempSubdirectory("graftbench-release-");
        try
        {
            string package = Directory.CreateDirectory(Path.Combine(folder.FullName, "some.thing", "1.0.0")).FullName;
            File.WriteAllText(
                Path.Combine(package, "some.thing.nuspec"),
                $"<package><metadata>{line}<authors>Somebody</authors></metadata></package>"
            );
            Assert.Null(new PackageCache(folder.FullName).LicenceOf("Some.Thing", "1.0.0", out string said));
            Assert.Equal(reason, said);
            File.WriteAllText(Path.Combine(package, "LICENSE.md"), "As you like.");
            Assert.Equal(
                ("As you like.", "Somebody"),
                new PackageCache(folder.FullName).LicenceOf("Some.Thing", "1.0.0", out _) is { } found
                    ? (found.Text, found.Holders)
                    : default
            );
        }
        finally
        {
            folder.Delete(recursive: true);
        }
    }

    [Fact]
    public void A_package_of_which_no_file_goes_into_the_build_is_not_shipped()
    {
        const string Deps = """
            {
              "runtimeTarget": { "name": "net/linux-x64" },
              "targets": { "net/linux-x64": {
                "ours/1.0.0": { "runtime": { "ours.dll": {} } },
                "Bundle/1.0.0": { "dependencies": { "Native": "2.0.0" } },
                "Native/2.0.0": { "native": { "runtimes/linux-x64/native/libnative.so": {} } },
                "Empty/1.0.0": { "runtime": { "lib/net/_._": {} } },
                "runtimepack.The.Runtime/10.0.0": { "runtime": { "a.dll": {} } }
              } },
              "libraries": {
                "ours/1.0.0": { "type": "project" },
                "Bundle/1.0.0": { "type": "package" },
                "Native/2.0.0": { "type": "package" },
                "Empty/1.0.0": { "type": "package" },
                "runtimepack.The.Runtime/10.0.0": { "type": "runtimepack" }
              }
            }
            """;
        Assert.Equal(
            ["Native 2.0.0 False libnative.so", "The.Runtime 10.0.0 True a.dll"],
            ShippedPackage.Read(Deps).Select(p => $"{p.Id} {p.Version} {p.IsRuntime} {string.Join(' ', p.Files)}")
        );
    }

    private static NoticeFile Compose(IEnumerable<ShippedPackage> packages) =>
        Notices.Compose("Graftbench", [.. packages], Locked, Cache, [("The fonts", "text of the fonts' licence")]);
}
