using System.Text.RegularExpressions;

namespace Graftbench.Conventions;

/// <summary>Rules for the files of the checkout.</summary>
public partial class RepositoryTests
{
    private const int MostLines = 500;

    [Fact]
    public void The_licence_is_MIT()
    {
        string licence = Repository.Read("LICENSE");
        Assert.StartsWith("MIT License", licence, StringComparison.Ordinal);
        Assert.Contains("Permission is hereby granted, free of charge", licence, StringComparison.Ordinal);
        Assert.Contains("THE SOFTWARE IS PROVIDED \"AS IS\"", licence, StringComparison.Ordinal);
    }

    [Fact]
    public void No_file_names_a_path_of_somebodys_machine_or_a_package_host()
    {
        // Put together here so that this file does not find itself.
        string[] foreign =
        [
            "/wo" + "rk/",
            "/ro" + "ot/",
            "/ho" + "me/",
            @"C:\Us" + "ers",
            "nu" + "get.org",
            "py" + "pi.org",
            "npm" + "js.",
        ];
        List<string> found =
        [
            .. from path in Repository.TextFiles
            where path != "tests/Graftbench.Conventions/RepositoryTests.cs"
            let text = Repository.Read(path)
            from word in foreign
            where text.Contains(word, StringComparison.OrdinalIgnoreCase)
            select $"{path}: {word}",
        ];
        Assert.True(found.Count == 0, string.Join('\n', found));
    }

    [Fact]
    public void Patterns_of_untrusted_text_take_the_ten_plain_digits_only()
    {
        // The short form for a digit takes the digits of every script, which no number parser here reads.
        List<string> found =
        [
            .. from path in Repository.CodeFiles("src")
            where Repository.Read(path).Contains(@"\d", StringComparison.Ordinal)
            select path,
        ];
        Assert.True(found.Count == 0, string.Join('\n', found));
    }

    [Fact]
    public void Text_files_have_unix_line_ends_and_end_with_one()
    {
        List<string> found =
        [
            .. from path in Repository.TextFiles
            // Broken on purpose, some of them not even text.
            where !path.StartsWith("tests/corpus/", StringComparison.Ordinal)
            let text = Repository.Read(path)
            where text.Contains('\r', StringComparison.Ordinal) || (text.Length > 0 && !text.EndsWith('\n'))
            where
                !path.EndsWith("packages.lock.json", StringComparison.Ordinal)
                || text.Contains('\r', StringComparison.Ordinal)
            select path,
        ];
        Assert.True(found.Count == 0, string.Join('\n', found));
    }

    [Fact]
    public void No_source_file_holds_more_than_one_screenful_of_ideas()
    {
        List<string> long_ =
        [
            .. from path in Repository.CodeFiles("src")
            let lines = Repository.Read(path).Count(c => c == '\n')
            where lines > MostLines
            select $"{path}: {lines} lines",
        ];
        Assert.True(long_.Count == 0, "Split by idea: " + string.Join(", ", long_));
    }

    [Fact]
    public void No_test_is_always_skipped_or_always_true()
    {
        Regex empty = AlwaysTrue();
        List<string> found =
        [
            .. from path in Repository.CodeFiles("tests")
            where path != "tests/Graftbench.Conventions/RepositoryTests.cs"
            let text = Repository.Read(path)
            where empty.IsMatch(text)
            select path,
        ];
        Assert.True(found.Count == 0, string.Join('\n', found));
    }

    [Fact]
    public void No_name_hides_behind_a_word_that_says_nothing()
    {
        string[] empty = ["Manager", "Util", "Utils", "Helper", "Helpers", "Info"];
        List<string> found =
        [
            .. typeof(Graftbench.Core.Jobs.Job)
                .Assembly.GetTypes()
                .Where(type => type.Namespace?.StartsWith("Graftbench", StringComparison.Ordinal) == true)
                .Select(type => type.Name)
                .Where(name => empty.Any(word => name.EndsWith(word, StringComparison.Ordinal))),
        ];
        Assert.True(found.Count == 0, string.Join(", ", found));
    }

    [Fact]
    public void Every_package_has_one_version_and_every_project_a_lock_file()
    {
        Assert.All(
            Repository.TextFiles.Where(path => path.EndsWith(".csproj", StringComparison.Ordinal)),
            path =>
            {
                Assert.DoesNotMatch("<PackageReference[^>]*Version(Override)?=", Repository.Read(path));
                string lockFile = path[..(path.LastIndexOf('/') + 1)] + "packages.lock.json";
                Assert.True(Repository.TextFiles.Contains(lockFile), lockFile);
            }
        );
    }

    [GeneratedRegex(
        @"Skip ?=|Assert\.Skip\(|Assert\.True\(true[,)]|Assert\.False\(false[,)]",
        RegexOptions.NonBacktracking
    )]
    private static partial Regex AlwaysTrue();
}
