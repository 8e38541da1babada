using System.Text.Json;
using Graftbench.Tests.Shared;

namespace Graftbench.Cli.Tests;

public sealed class DryVerbTests
{
    [Fact]
    public async Task Reasons_for_a_person()
    {
        Run run = (await Bench.RunAsync("dry", Bench.Good("mixing-desk.json"), "--at", Bench.At)).AssertFits();
        Assert.Equal("", run.Error);
        Snapshot.Match(run.Out, Bench.Expected("dry-mixing-desk"));
    }

    [Fact]
    public async Task A_single_body_needs_no_job()
    {
        string[] body =
        [
            "--thickness-mm",
            "1.6",
            "--level",
            "3",
            "--at-c",
            "70",
            "--room-c",
            "25",
            "--room-humidity",
            "50",
        ];
        Run run = (await Bench.RunAsync(["dry", .. body, "--at", Bench.At])).AssertFits();
        Assert.Equal("", run.Error);
        Assert.Equal(1, run.Code);
        Snapshot.Match(run.Out, Bench.Expected("dry-single-body"));
    }

    // The standard's own table, user-site bake: 1.4 to 2.0 mm, level 3, 125 °C: 27 h beyond 72 h over, 17 h up to it.
    [Theory]
    [InlineData("more", 27)]
    [InlineData("less", 17)]
    public async Task How_far_floor_life_is_exceeded_picks_the_column(string over, double tabulatedH)
    {
        string[] body = ["--thickness-mm", "2.0", "--level", "3", "--at-c", "125", "--humidity", "1", "--over", over];
        Run run = await Bench.RunAsync(["dry", .. body, "--at", Bench.At, "--json"]);
        using JsonDocument answer = JsonDocument.Parse(run.Out);
        JsonElement table = answer.RootElement.GetProperty("bodies")[0].GetProperty("table");
        Assert.True(table.GetProperty("applies").GetBoolean(), run.Out);
        Assert.Equal(tabulatedH, table.GetProperty("hours").GetDouble());
    }

    [Fact]
    public async Task A_large_body_with_planes_takes_the_row_of_large_bodies()
    {
        string[] body = ["--thickness-mm", "1.6", "--level", "3", "--at-c", "125", "--humidity", "1"];
        Run small = await Bench.RunAsync(["dry", .. body, "--at", Bench.At, "--json"]);
        Run large = await Bench.RunAsync([
            "dry",
            .. body,
            "--at",
            Bench.At,
            "--json",
            "--body-mm",
            "27x27",
            "--planes",
            "yes",
        ]);
        Run stacked = await Bench.RunAsync(["dry", .. body, "--at", Bench.At, "--json", "--stacked"]);
        Assert.Equal((27, 96, 96), (TableH(small), TableH(large), TableH(stacked)));
    }

    [Fact]
    public async Task Limits_are_those_of_the_job_document()
    {
        Run run = (
            await Bench.RunAsync("dry", "--thickness-mm", "1600", "--level", "3", "--at-c", "158", "--body-mm", "27x-1")
        ).AssertFits();
        Assert.Equal((2, ""), (run.Code, run.Out));
        Run sizes = (
            await Bench.RunAsync("dry", "--thickness-mm", "1600", "--level", "3", "--at-c", "158")
        ).AssertFits();
        Assert.Contains("--thickness-mm The value is too large.", sizes.Says, StringComparison.Ordinal);
        Assert.Contains("Did you mean 1.6 (mm)", sizes.Says, StringComparison.Ordinal);
        Assert.Contains("Did you mean 70 (°C)", sizes.Says, StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_job_and_a_body_do_not_go_together()
    {
        Run run = await Bench.RunAsync("dry", Bench.Good("smallest.json"), "--level", "3");
        Assert.Equal((2, ""), (run.Code, run.Out));
        Assert.Contains("not both", run.Says, StringComparison.Ordinal);
    }

    [Fact]
    public async Task Json_is_the_drying_part()
    {
        Run run = await Bench.RunAsync("dry", Bench.Good("mixing-desk.json"), "--at", Bench.At, "--json");
        using JsonDocument answer = JsonDocument.Parse(run.Out);
        Assert.Equal(4.5, answer.RootElement.GetProperty("climate").GetProperty("humidityPercent").GetDouble());
    }

    private static double TableH(Run run)
    {
        using JsonDocument answer = JsonDocument.Parse(run.Out);
        return answer.RootElement.GetProperty("bodies")[0].GetProperty("table").GetProperty("hours").GetDouble();
    }
}
