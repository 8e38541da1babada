using System.Net;
using System.Text;
using System.Text.RegularExpressions;
using Graftbench.Tests.Shared;

namespace Graftbench.Cli.Tests;

/// <summary>
/// Whole jobs under recipes/, played on the command line as their text tells: exit codes, all that is printed, sheets, and
/// the cookbook that is made of them.
/// </summary>
public sealed partial class RecipeTests
{
    private static readonly string Home = Path.Combine(Bench.Root, "recipes");
    private static readonly string Cookbook = Path.Combine(Bench.Root, "docs", "cookbook.md");

    public static TheoryData<string> Recipes =>
        [.. Directory.GetDirectories(Home).Select(Path.GetFileName).OfType<string>().Order(StringComparer.Ordinal)];

    /// <summary>A command of a recipe.</summary>
    /// <param name="Line">As it stands there, without its comment.</param>
    /// <param name="Code">Exit code that it must end with.</param>
    /// <param name="Words">Whether only words count: figures of a model that was searched may move in their last digit.</param>
    /// <param name="Shown">Lines of its output that the cookbook shows.</param>
    private sealed record Command(string Line, int Code, bool Words, int Shown)
    {
        public string[] Arguments => Line.Split(' ', StringSplitOptions.RemoveEmptyEntries)[1..];
    }

    [Theory]
    [MemberData(nameof(Recipes))]
    public async Task A_recipe_does_what_it_tells(string name)
    {
        using TemporaryFolder folder = new();
        StringBuilder said = new();
        StringBuilder chapter = new();
        List<Command> waiting = [];
        List<Run> runs = [];
        foreach (string line in await File.ReadAllLinesAsync(Path.Combine(Home, name, "recipe.md")))
        {
            if (line.StartsWith("graftbench ", StringComparison.Ordinal))
            {
                Command command = CommandOf(line);
                Run run = await Play(folder, name, command);
                said.Append(Said(command, run));
                chapter.Append(command.Line).Append('\n');
                waiting.Add(command);
                runs.Add(run);
                continue;
            }
            chapter.Append(line.StartsWith('#') ? "#" + line : line).Append('\n');
            if (line == "```" && waiting.Count > 0)
            {
                chapter.Append(Shown(waiting, runs));
                waiting.Clear();
                runs.Clear();
            }
        }
        Assert.NotEqual(0, said.Length);
        Snapshot.Match(said.ToString().TrimEnd() + "\n", Path.Combine(Home, name, "said.expected.txt"));
        string owner = folder.File("owner.html");
        if (File.Exists(owner))
        {
            Snapshot.Match(TextOf(await File.ReadAllTextAsync(owner)), Path.Combine(Home, name, "owner.expected.txt"));
        }
        Snapshot.Match(
            chapter.ToString().TrimEnd() + "\n",
            Path.Combine(Home, name, "chapter.expected.md"),
            LooseOutput
        );
    }

    [Fact]
    public void The_cookbook_is_made_of_the_recipes()
    {
        StringBuilder book = new();
        book.Append("# Cookbook\n\nWhole jobs, each with its trap, played by the tests of this program. ");
        book.Append("Run the commands in the recipe's folder.\nBoards, shops and people are invented.\n\n");
        foreach (string name in Recipes.Select(row => row.Data))
        {
            string chapter = File.ReadAllText(Path.Combine(Home, name, "chapter.expected.md"));
            book.Append(chapter.ReplaceLineEndings("\n").TrimEnd()).Append($"\n\nFiles: `recipes/{name}`\n\n");
        }
        Snapshot.Match(book.ToString().TrimEnd() + "\n", Cookbook);
    }

    private static async Task<Run> Play(TemporaryFolder folder, string name, Command command)
    {
        foreach (string file in Directory.GetFiles(Path.Combine(Home, name)))
        {
            File.Copy(file, folder.File(Path.GetFileName(file)), overwrite: true);
        }
        Run run = (await Bench.RunInAsync(folder.Path, command.Arguments)).AssertFits();
        Assert.True(run.Code == command.Code, $"{command.Line}: exit {run.Code}\n{run.Out}{run.Error}");
        return run;
    }

    private static Command CommandOf(string line)
    {
        Match told = Told().Match(line);
        Assert.True(told.Success, $"No exit code is told: {line}");
        return new Command(
            told.Groups["line"].Value.TrimEnd(),
            int.Parse(told.Groups["code"].Value, System.Globalization.CultureInfo.InvariantCulture),
            told.Groups["words"].Success,
            int.Parse(told.Groups["shown"].Value, System.Globalization.CultureInfo.InvariantCulture)
        );
    }

    private static string Said(Command command, Run run)
    {
        string all = (run.Out + run.Error).ReplaceLineEndings("\n");
        return $"$ {command.Line}\n{(command.Words ? Loose(all) + "\n" : all)}(exit {run.Code})\n\n";
    }

    private static string Shown(List<Command> commands, List<Run> runs)
    {
        StringBuilder shown = new();
        for (int i = 0; i < commands.Count; i++)
        {
            string[] lines = runs[i].Out.ReplaceLineEndings("\n").Split('\n');
            string more = lines.Length > commands[i].Shown + 1 ? "\n..." : "";
            shown.Append("\n```text\n").AppendJoin('\n', lines.Take(commands[i].Shown)).Append(more);
            shown.Append($"\n(exit {commands[i].Code})\n```\n");
        }
        return shown.ToString();
    }

    // Words only: every figure is #, and where a line breaks does not count.
    private static string Loose(string text) => Blanks().Replace(Figures().Replace(text, "#"), " ").Trim();

    // Only what a program has printed may move; words and commands of the recipe stand as they are.
    private static string LooseOutput(string chapter) =>
        string.Join(
            "```",
            chapter.Split("```").Select(part => part.StartsWith("text", StringComparison.Ordinal) ? Loose(part) : part)
        );

    private static string TextOf(string html)
    {
        string bare = Tags().Replace(Hidden().Replace(html, ""), "\n");
        return string.Join(
                '\n',
                WebUtility.HtmlDecode(bare).Split('\n').Select(line => line.Trim()).Where(line => line.Length > 0)
            ) + "\n";
    }

    [GeneratedRegex(
        @"^(?<line>graftbench .*?)\s+# exit (?<code>[0-9])(?<words>, words)?, (?<shown>[0-9]+) lines$",
        RegexOptions.None,
        1000
    )]
    private static partial Regex Told();

    [GeneratedRegex(@"-?[0-9]+(?:[.,:][0-9]+)*", RegexOptions.None, 1000)]
    private static partial Regex Figures();

    [GeneratedRegex(@"\s+", RegexOptions.None, 1000)]
    private static partial Regex Blanks();

    [GeneratedRegex("<(?<tag>svg|style|head)\\b.*?</\\k<tag>>", RegexOptions.Singleline, 1000)]
    private static partial Regex Hidden();

    [GeneratedRegex("<[^>]*>", RegexOptions.None, 1000)]
    private static partial Regex Tags();
}
