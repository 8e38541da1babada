using System.Text.Json;

namespace Graftbench.Cli.Tests;

/// <summary><c>graftbench proof</c>: the worked example, exit codes, returns, bad input.</summary>
public sealed class ProofVerbTests
{
    private static string Example(string name) => Path.Combine(Bench.Root, "docs/examples", name);

    private static readonly string[] Worked =
    [
        "proof",
        Example("readings.csv"),
        "--balls",
        Example("balls.csv"),
        "--standby-a",
        "0.05",
        "--supply-v",
        "19",
    ];

    [Fact]
    public async Task The_worked_example_of_the_help_stops_at_a_low_rail()
    {
        Run run = (await Bench.RunAsync(Worked)).AssertFits();
        Assert.Equal((1, ""), (run.Code, run.Error));
        Assert.StartsWith("Do not power: 1V8_MEM is 0.31 of its donor's baseline.", run.Out, StringComparison.Ordinal);
        foreach (
            string says in new[]
            {
                "fix first: signal AD5: The signal is open",
                "not proven: A4, A6,",
                "First power: not before the proof allows it.",
                "8.0 mV expected of +4.0 K",
            }
        )
        {
            Assert.Contains(says, run.Out, StringComparison.Ordinal);
        }
    }

    [Fact]
    public async Task What_is_let_pass_by_name_opens_the_plan_of_the_first_power()
    {
        Run run = (
            await Bench.RunAsync([
                .. Worked,
                "--cooler",
                "--waive",
                "1V8_MEM=twin reads 27 Ω",
                "--waive",
                "AD5=not used here",
            ])
        ).AssertFits();
        Assert.Equal(0, run.Code);
        Assert.Contains("limit 0.06 A", run.Out, StringComparison.Ordinal);
        Assert.Contains("3V3: 3.135 to 3.465 V", run.Out, StringComparison.Ordinal);
        Assert.Contains("It was set aside: twin reads 27 Ω", run.Out, StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_trace_says_what_it_looks_like_and_what_to_tell_the_diagnosis()
    {
        Run run = (await Bench.RunAsync([.. Worked, "--trace", Example("trace.csv"), "--limit-a", "0.6"])).AssertFits();
        Assert.Equal(1, run.Code);
        Assert.Contains("starts anew every few seconds", run.Out, StringComparison.Ordinal);
        Assert.Contains("graftbench next-test --seen current=restarts", run.Out, StringComparison.Ordinal);
    }

    [Fact]
    public async Task Json_has_every_net_ball_and_step()
    {
        Run run = await Bench.RunAsync([.. Worked, "--json"]);
        using JsonDocument document = JsonDocument.Parse(run.Out);
        JsonElement root = document.RootElement;
        Assert.False(root.GetProperty("mayPower").GetBoolean());
        Assert.Equal(23, root.GetProperty("nets").GetArrayLength());
        Assert.Equal(36, root.GetProperty("coverage").GetProperty("balls").GetArrayLength());
        Assert.Equal("blocker", root.GetProperty("verdict").GetString());
    }

    [Fact]
    public async Task Returns_are_compared_with_the_hand_over()
    {
        Run run = (
            await Bench.RunAsync("proof", Example("return.csv"), "--balls", Example("balls.csv"), "--return")
        ).AssertFits();
        Assert.Equal((1, ""), (run.Code, run.Error));
        Assert.StartsWith(
            "3 of 19 nets have moved since hand-over: they lie together at a corner",
            run.Out,
            StringComparison.Ordinal
        );
        Assert.Contains("10.0 mV expected of -5.0 K", run.Out, StringComparison.Ordinal);
    }

    [Fact]
    public async Task Nothing_measured_is_not_known_and_ends_with_one()
    {
        string file = Path.GetTempFileName();
        await File.WriteAllTextAsync(file, "net,kind,value,state\nDATA,diode,0.5,after-placing\n");
        Run run = (await Bench.RunAsync("proof", file)).AssertFits();
        File.Delete(file);
        Assert.Equal(1, run.Code);
        Assert.StartsWith("Not yet: no rail was measured.", run.Out, StringComparison.Ordinal);
    }

    [Fact]
    public async Task All_that_is_wrong_is_said_at_once()
    {
        string file = Path.GetTempFileName();
        await File.WriteAllTextAsync(file, "net,kind,value,state\nA,diode,452,baseline\nB,smell,1,baseline\n");
        Run run = await Bench.RunAsync(
            "proof",
            file,
            "--rail",
            "X=magic",
            "--waive",
            "X",
            "--limits",
            "ratio-stop=much",
            "--limits",
            "no-such=1",
            "--limit-a",
            "-1",
            "--good",
            "A1"
        );
        File.Delete(file);
        Assert.Equal((2, ""), (run.Code, run.Out));
        foreach (
            string says in new[]
            {
                "line 2: 452 V lies outside",
                "write 452 mV",
                "line 3: 'smell' is no kind",
                "--rail X=magic: write NAME=CLASS",
                "--waive X: write NAME=WHY",
                "--limits ratio-stop=much: write ID=VALUE",
                "There is no limit 'no-such'",
                "--limit-a -1: above 0",
                "--good needs the ball list",
            }
        )
        {
            Assert.Contains(says, run.Says, StringComparison.Ordinal);
        }
    }

    [Fact]
    public async Task Files_that_are_not_there_are_bad_input() =>
        Assert.Equal(2, (await Bench.RunAsync("proof", "no-such-file.csv")).Code);
}
