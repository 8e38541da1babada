using System.Globalization;
using System.Reflection;
using System.Text.RegularExpressions;

namespace Graftbench.Conventions;

/// <summary>What the documents say exists.</summary>
public partial class DocumentTests
{
    public static TheoryData<string> Documents =>
        [.. Repository.TextFiles.Where(path => path.EndsWith(".md", StringComparison.Ordinal))];

    [Fact]
    public void The_documents_that_a_newcomer_looks_for_are_there() =>
        Assert.All(
            new[]
            {
                "README.md",
                "CHANGELOG.md",
                "CONTRIBUTING.md",
                "LICENSE",
                "docs/index.md",
                "docs/glossary.md",
                "docs/safety.md",
            },
            path => Assert.Contains(path, Repository.TextFiles)
        );

    [Theory, MemberData(nameof(Documents))]
    public void Links_to_files_and_headings_resolve(string document)
    {
        List<string> broken = [];
        foreach (string target in LinksOf(Repository.Read(document)))
        {
            if (
                target.StartsWith("https:", StringComparison.Ordinal)
                || target.StartsWith("http:", StringComparison.Ordinal)
            )
            {
                continue;
            }
            string[] parts = target.Split('#', 2);
            string file = parts[0].Length == 0 ? document : Path.Combine(Path.GetDirectoryName(document)!, parts[0]);
            string path = Repository.PathOf(file);
            bool found = File.Exists(path) || Directory.Exists(path);
            if (found && parts.Length == 2)
            {
                found = HeadingsOf(File.ReadAllText(path)).Contains(parts[1]);
            }
            if (!found)
            {
                broken.Add(target);
            }
        }
        Assert.True(broken.Count == 0, $"{document} links to nothing: {string.Join(", ", broken)}");
    }

    [Theory, MemberData(nameof(Documents))]
    public void Documents_fit_a_terminal(string document) =>
        Assert.All(
            Repository
                .Read(document)
                .Split('\n')
                .Where(line => !line.StartsWith('|') && !line.Contains("](", StringComparison.Ordinal)),
            line => Assert.True(line.Length <= 140, line)
        );

    // Figures of accuracy stand in docs/truth.md, where tests compute them; a second home would go stale.
    [Fact]
    public void The_readme_states_no_figure_of_its_own_on_how_sure_the_numbers_are()
    {
        string text = Repository.Read("README.md");
        const string Title = "## How sure the numbers are";
        int from = text.IndexOf(Title, StringComparison.Ordinal) + Title.Length;
        string section = text[from..text.IndexOf("\n## ", from, StringComparison.Ordinal)];
        Assert.Contains("](docs/truth.md)", section, StringComparison.Ordinal);
        Assert.DoesNotMatch("[0-9]|per cent|thousandth|hundredth|a kelvin", section);
    }

    [Fact]
    public void Every_name_of_the_glossary_exists_in_the_code()
    {
        IEnumerable<Type> firmware = typeof(Graftbench.Firmware.Tree.Segment).Assembly.GetExportedTypes();
        Dictionary<string, Type> types = typeof(Graftbench.Core.Jobs.Job)
            .Assembly.GetExportedTypes()
            .Concat(firmware)
            .Concat(typeof(Graftbench.Vision.Pictures.Picture).Assembly.GetExportedTypes())
            .Concat(typeof(Graftbench.Store.BenchStore).Assembly.GetExportedTypes())
            .DistinctBy(type => type.Name)
            .ToDictionary(type => type.Name);
        List<string> missing = [];
        foreach (string name in GlossaryRows().Select(cells => cells[3].Trim('`')))
        {
            string[] parts = name.Split('.');
            bool exists =
                types.TryGetValue(parts[0], out Type? type)
                && (
                    parts.Length == 1
                    || type.GetMember(
                        parts[1],
                        BindingFlags.Public | BindingFlags.Instance | BindingFlags.Static
                    ).Length > 0
                );
            if (!exists)
            {
                missing.Add(name);
            }
        }
        Assert.True(missing.Count == 0, string.Join(", ", missing));
    }

    [Fact]
    public void Every_row_of_the_glossary_has_a_term_a_place_and_a_meaning_and_no_term_stands_twice()
    {
        List<string[]> rows = [.. GlossaryRows()];
        Assert.True(rows.Count > 50, $"{rows.Count} rows");
        Assert.All(rows, cells => Assert.Equal(6, cells.Length));
        Assert.All(
            rows,
            cells =>
            {
                Assert.NotEmpty(cells[0]);
                Assert.StartsWith("[", cells[4], StringComparison.Ordinal);
                Assert.NotEmpty(cells[5]);
            }
        );
        Assert.Equal(rows.Count, rows.Select(cells => cells[0]).Distinct().Count());
    }

    [Fact]
    public void A_name_of_the_glossary_stands_in_the_file_that_it_points_to()
    {
        foreach (string[] cells in GlossaryRows())
        {
            string file = LinksOf(cells[4]).Single()["../".Length..];
            string member = cells[3].Trim('`').Split('.')[^1];
            Assert.Matches($@"\b{member}\b", Repository.Read(file));
        }
    }

    [Fact]
    public void A_decision_has_its_own_number_and_says_what_would_change_our_mind()
    {
        List<string> decisions =
        [
            .. Repository.TextFiles.Where(path => path.StartsWith("docs/decisions/", StringComparison.Ordinal)),
        ];
        Assert.NotEmpty(decisions);
        Assert.Equal(decisions.Count, decisions.Select(path => Path.GetFileName(path)[..4]).Distinct().Count());
        Assert.All(
            decisions,
            path =>
            {
                string text = Repository.Read(path);
                int number = int.Parse(Path.GetFileName(path)[..4], CultureInfo.InvariantCulture);
                Assert.Matches($"^# 0*{number}[.:] ", text);
                Assert.Contains("would change our mind", text, StringComparison.Ordinal);
            }
        );
    }

    [Fact]
    public void The_readme_opens_with_the_job_and_has_a_word_on_safety()
    {
        string readme = Repository.Read("README.md");
        Assert.Contains("## Safety", readme, StringComparison.Ordinal);
        Assert.Contains("follow local rules", readme, StringComparison.Ordinal);
        Assert.True(
            readme.IndexOf("## Safety", StringComparison.Ordinal)
                < readme.IndexOf("## Install", StringComparison.Ordinal)
        );
    }

    private static IEnumerable<string[]> GlossaryRows() =>
        Repository
            .Read("docs/glossary.md")
            .Split('\n')
            .Where(line =>
                line.StartsWith("| ", StringComparison.Ordinal) && line.Contains('`', StringComparison.Ordinal)
            )
            .Select(line => line.Trim('|').Split('|').Select(cell => cell.Trim()).ToArray());

    private static IEnumerable<string> LinksOf(string markdown) =>
        Link().Matches(CodeBlock().Replace(markdown, "")).Select(match => match.Groups["target"].Value);

    private static IEnumerable<string> HeadingsOf(string markdown) =>
        markdown
            .Split('\n')
            .Where(line => line.StartsWith('#'))
            .Select(line => NotInAnchor().Replace(line.TrimStart('#').Trim().ToLowerInvariant(), "").Replace(' ', '-'));

    [GeneratedRegex(@"\]\((?<target>[^)\s]+)\)", RegexOptions.NonBacktracking)]
    private static partial Regex Link();

    [GeneratedRegex("```[^`]*```", RegexOptions.NonBacktracking)]
    private static partial Regex CodeBlock();

    [GeneratedRegex(@"[^\w\- ]", RegexOptions.NonBacktracking)]
    private static partial Regex NotInAnchor();
}
