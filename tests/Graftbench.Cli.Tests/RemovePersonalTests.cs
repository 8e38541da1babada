using System.Text.Json;
using Graftbench.Store;

namespace Graftbench.Cli.Tests;

/// <summary><c>record remove-personal</c>: a look by default, for good with --really.</summary>
public sealed class RemovePersonalTests : IDisposable
{
    private const string Name = "Zuzana Quxyková";
    private readonly TemporaryFolder folder = new();

    private string Data => folder.File("data");

    [Fact]
    public async Task A_look_shows_places_and_files_and_changes_nothing()
    {
        string sha = await Fill();
        Run look = await Remove("--word", "zuzana quxykova");
        Assert.Equal((0, ""), (look.AssertFits().Code, look.Error));
        foreach (
            string says in (string[])
                [
                    "line 2, note, note",
                    "Zuzana Quxyková called, 231 °C",
                    "→ [removed] called, 231 °C",
                    "keep   letter.txt: holds a word",
                    "SHA-256 " + sha,
                    "Would change 1 line. Nothing was changed; --really --why TEXT does it.",
                ]
        )
        {
            Assert.Contains(says, look.Out, StringComparison.Ordinal);
        }
        Run chosen = await Remove("--word", Name, "--file", sha[..10]);
        Assert.Contains("empty  letter.txt", chosen.Out, StringComparison.Ordinal);
        Assert.Contains("Would change 1 line and 1 file.", chosen.Out, StringComparison.Ordinal);
        Run json = await Remove("--word", Name, "--json");
        Assert.Equal(1, JsonDocument.Parse(json.Out).RootElement.GetProperty("linesNumber").GetInt32());
        Assert.Contains("all is as it was stored.", (await Record("verify")).Out, StringComparison.Ordinal);
    }

    [Fact]
    public async Task Really_takes_it_out_and_the_record_says_so()
    {
        string sha = await Fill();
        Run done = await Remove(
            "--word",
            Name,
            "--file",
            sha,
            "--really",
            "--why",
            "the owner's letter",
            "--who",
            "Olga"
        );
        Assert.True(done.AssertFits().Code == 0, done.Error);
        Assert.Contains(
            "Taken out of 1 line and 1 file; line 4 says so, never the words.",
            done.Out,
            StringComparison.Ordinal
        );
        Assert.Contains("overwritten in the store's file", done.Out, StringComparison.Ordinal);
        Run show = await Record("show", "smallest");
        Assert.DoesNotContain("Quxyk", show.Out, StringComparison.Ordinal);
        Assert.Contains("taken out of 1 line and 1 f", show.Out, StringComparison.Ordinal);
        Run verify = await Record("verify");
        Assert.Equal(0, verify.AssertFits().Code);
        Assert.Contains("1 line and 1 file emptied on request on ", verify.Out, StringComparison.Ordinal);
        Assert.Contains(
            "all is as it was stored but what was emptied on request, 1 removal.",
            string.Join(' ', verify.Out.Split((char[])[' ', '\n'], StringSplitOptions.RemoveEmptyEntries)),
            StringComparison.Ordinal
        );
        Run again = await Remove("--word", Name, "--really", "--why", "again");
        Assert.Equal(0, again.AssertFits().Code);
        Assert.Contains("Nothing in the record holds one of the words", again.Out, StringComparison.Ordinal);
    }

    [Fact]
    public async Task What_stands_against_it_is_listed_at_once_and_nothing_is_done()
    {
        await Fill();
        Run bad = await Remove("--word", "ab", "--word", "---", "--file", "12345678", "--really", "--why", "asked");
        Assert.Equal((2, ""), (bad.AssertFits().Code, bad.Out));
        foreach (
            string says in (string[])
                ["\"ab\" has fewer than 3", "no letter or digit", "\"12345678\"", "Nothing was changed."]
        )
        {
            Assert.Contains(says, bad.Says, StringComparison.Ordinal);
        }
        Assert.Contains("at least one word", (await Remove()).Says, StringComparison.Ordinal);
        Assert.Contains(
            "--really needs --why",
            (await Remove("--word", Name, "--really")).Says,
            StringComparison.Ordinal
        );
        Assert.Contains(
            "There is no record \"nobody\"",
            (await Record("remove-personal", "nobody", "--word", Name)).Says,
            StringComparison.Ordinal
        );
        Assert.Contains(
            "holds one of the words",
            (await Remove("--word", Name, "--really", "--why", Name)).Says,
            StringComparison.Ordinal
        );
        Run add = await Record("add", "smallest", "--note", "x", "--kind", "personal-data-removed");
        Assert.Contains("written by removing personal data", add.Says, StringComparison.Ordinal);
        Assert.Contains(
            "3 lines checked: all is as it was stored.",
            (await Record("verify")).Out,
            StringComparison.Ordinal
        );
    }

    public void Dispose() => folder.Dispose();

    private async Task<string> Fill()
    {
        string letter = folder.File("letter.txt");
        await File.WriteAllTextAsync(letter, $"Signed, {Name}", TestContext.Current.CancellationToken);
        Assert.Equal(0, (await Record("save", Bench.Good("smallest.json"))).Code);
        Assert.Equal(0, (await Record("add", "smallest", "--note", $"{Name} called, 231 °C")).Code);
        Assert.Equal(0, (await Record("add", "smallest", "--file", letter)).Code);
        return EvidenceChain.FileHash(await File.ReadAllBytesAsync(letter, TestContext.Current.CancellationToken));
    }

    private Task<Run> Remove(params string[] arguments) => Record(["remove-personal", "smallest", .. arguments]);

    private Task<Run> Record(params string[] arguments) => Bench.RunAsync(["record", .. arguments, "--data", Data]);
}
