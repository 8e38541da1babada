using System.Text.Json;

namespace Graftbench.Cli.Tests;

/// <summary><c>graftbench heat watch</c> on a stored log, played again.</summary>
public sealed class HeatWatchVerbTests : IDisposable
{
    private readonly string folder = Directory.CreateTempSubdirectory("graftbench-watch-").FullName;

    private static string Of(string name) => Path.Combine(Bench.Root, "tests/corpus/calibration", name);

    private Task<Run> Watch(string source, params string[] more) =>
        Bench.RunAsync(["heat", "watch", Of("scrap.json"), "--data", folder, "--source", source, .. more]);

    [Fact]
    public async Task A_stored_log_is_watched_second_by_second_and_kept_as_a_replay()
    {
        Run run = await Watch(
            $"replay:{Of("trial.csv")}@400",
            "--yes",
            "--json",
            "--probe",
            "board=58,60,0",
            "--probe",
            "top=body top"
        );
        Assert.True(run.Code is 0, run.Error);
        List<JsonElement> seconds =
        [
            .. run
                .Out.Split('\n', StringSplitOptions.RemoveEmptyEntries)
                .Select(line => JsonSerializer.Deserialize<JsonElement>(line)),
        ];
        Assert.All(seconds, each => Assert.Equal("replay", each.GetProperty("nature").GetString()));
        Run record = await Bench.RunAsync("record", "show", "scrap-trial", "--data", folder);
        Assert.Contains("heat-run", record.Out, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData("telepathy:left", "--source")]
    [InlineData("simulation@0", "--source")]
    [InlineData("replay:no-such-log.csv@10", "no-such-log.csv")]
    public async Task A_source_that_is_none_is_said(string source, string says)
    {
        Run run = (await Watch(source, "--yes")).AssertFits();
        Assert.Equal(2, run.Code);
        Assert.Contains(says, run.Says, StringComparison.Ordinal);
    }

    public void Dispose() => Directory.Delete(folder, recursive: true);
}
