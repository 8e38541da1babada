using System.Diagnostics;
using Graftbench.Store;
using Microsoft.Data.Sqlite;

namespace Graftbench.Cli.Tests;

/// <summary>What the program says where the system would say it in its own words.</summary>
public sealed class WordsTests : IDisposable
{
    private readonly TemporaryFolder folder = new();

    [Fact]
    public async Task Empty_and_odd_values_are_refused_in_words()
    {
        string data = folder.File("data");
        Assert.Equal(0, (await Bench.RunAsync("record", "save", Bench.Good("smallest.json"), "--data", data)).Code);
        (string Says, string[] Arguments)[] cases =
        [
            ("--data: the name of the folder is empty", ["record", "list", "--data", ""]),
            ("The name of the job document is empty", ["plan", ""]),
            ("The name of the file to write is empty", ["schema", "-o", ""]),
            ("between 1980 and 2199", ["plan", Bench.Good("smallest.json"), "--at", "1979-12-31T00:00Z"]),
            ("between 1980 and 2199", ["plan", Bench.Good("smallest.json"), "--at", "9999-12-31T23:00Z"]),
            (
                "revisions count from 1",
                ["record", "save", Bench.Good("smallest.json"), "--revision", "-1", "--data", data]
            ),
            ("a note needs words", ["record", "add", "smallest", "--note", "", "--data", data]),
            ("this is a folder", ["record", "add", "smallest", "--file", folder.Path, "--data", data]),
            ("The name of the export is empty", ["record", "import", "", "--data", data]),
            ("The name of the zip is empty", ["record", "export", "--all", "-o", "", "--data", data]),
            ("who must be", ["record", "add", "smallest", "--note", "x", "--who", "", "--data", data]),
        ];
        foreach ((string says, string[] arguments) in cases)
        {
            Run run = (await Bench.RunAsync(arguments)).AssertFits();
            Assert.Equal((2, ""), (run.Code, run.Out));
            Assert.Contains(says, run.Says, StringComparison.Ordinal);
            Assert.DoesNotContain("(Parameter", run.Says, StringComparison.Ordinal);
        }
    }

    [Fact]
    public async Task A_note_does_not_turn_the_terminal_around()
    {
        string data = folder.File("data");
        Assert.Equal(0, (await Bench.RunAsync("record", "save", Bench.Good("smallest.json"), "--data", data)).Code);
        await Bench.RunAsync("record", "add", "smallest", "--note", "a \u202egnp.exe \u2066b", "--data", data);
        Run show = await Bench.RunAsync("record", "show", "smallest", "--data", data);
        Assert.DoesNotContain('\u202e', show.Out);
        Assert.DoesNotContain('\u2066', show.Out);
        Assert.Contains("gnp.exe", show.Out, StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_store_of_a_newer_program_is_not_served()
    {
        string data = folder.File("data");
        Assert.Equal(0, (await Bench.RunAsync("record", "save", Bench.Good("smallest.json"), "--data", data)).Code);
        await using (
            SqliteConnection store = new($"Data Source={Path.Combine(data, BenchStore.FileName)};Pooling=False")
        )
        {
            await store.OpenAsync(TestContext.Current.CancellationToken);
            await using SqliteCommand command = store.CreateCommand();
            command.CommandText = "PRAGMA user_version = 99";
            await command.ExecuteNonQueryAsync(TestContext.Current.CancellationToken);
        }
        Run run = (await Bench.RunAsync("serve", "--port", "0", "--no-demo", "--data", data)).AssertFits();
        Assert.Equal((2, ""), (run.Code, run.Out));
        Assert.Contains("newer", run.Says, StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_full_output_is_said()
    {
        using Process shell = Process.Start(
            new ProcessStartInfo(
                "sh",
                ["-c", "dotnet \"$0\" schema > /dev/full", Path.Combine(AppContext.BaseDirectory, "graftbench.dll")]
            )
            {
                RedirectStandardError = true,
                UseShellExecute = false,
            }
        )!;
        string error = await shell.StandardError.ReadToEndAsync(TestContext.Current.CancellationToken);
        await shell.WaitForExitAsync(TestContext.Current.CancellationToken);
        Assert.Equal(3, shell.ExitCode);
        Assert.StartsWith("The answer could not be written in full", error, StringComparison.Ordinal);
    }

    public void Dispose() => folder.Dispose();
}
