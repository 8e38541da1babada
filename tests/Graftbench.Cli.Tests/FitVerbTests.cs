using System.Text.Json;
using System.Text.Json.Nodes;

namespace Graftbench.Cli.Tests;

/// <summary>The verb on the invented demo job, and on files that are not there or not right.</summary>
public sealed class FitVerbTests : IDisposable
{
    private readonly string folder = Directory.CreateTempSubdirectory("graftbench-fit-").FullName;

    private static readonly string Demo = Path.Combine(Bench.Root, "demo");

    [Fact]
    public async Task The_demo_job_says_rule_by_rule_what_is_known()
    {
        Run answer = await Bench.RunAsync("fit", Path.Combine(Demo, "mixing-desk-signal-processor.json"));
        Assert.Equal(0, answer.Code);
        Assert.Contains("Nothing found against it, but not known: 1 of 16", answer.Out, StringComparison.Ordinal);
        Assert.Contains("T10 GPIO6 / SPI_CS_N", answer.Out, StringComparison.Ordinal);
        Assert.Contains("as it is 254", answer.Out, StringComparison.Ordinal);
        using JsonDocument json = JsonDocument.Parse(
            (await Bench.RunAsync("fit", Path.Combine(Demo, "mixing-desk-signal-processor.json"), "--json")).Out
        );
        Assert.Equal("unknown", json.RootElement.GetProperty("verdict").GetString());
        Assert.Equal(3, json.RootElement.GetProperty("rails").GetArrayLength());
    }

    [Fact]
    public async Task A_list_that_is_missing_or_another_one_is_bad_input()
    {
        JsonNode job = JsonNode.Parse(File.ReadAllText(Path.Combine(Demo, "machine-tool-bridge-chip.json")))!;
        string path = Write("job.json", job.ToJsonString());
        Run missing = await Bench.RunAsync("fit", path);
        Assert.Equal(2, missing.Code);
        Assert.Contains("bx272.csv: there is no such file", missing.Error, StringComparison.Ordinal);

        File.Copy(Path.Combine(Demo, "bx272.csv"), Path.Combine(folder, "bx272.csv"));
        Assert.Equal(0, (await Bench.RunAsync("fit", path)).Code);

        job["chips"]![0]!["ballList"]!["sha256"] = new string('0', 64);
        Run other = await Bench.RunAsync("fit", Write("other.json", job.ToJsonString()));
        Assert.Equal(2, other.Code);
        Assert.Contains("not the file that the job means", other.Error, StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_rail_that_the_chip_does_not_take_ends_with_1_and_the_plan_says_so_too()
    {
        JsonNode job = JsonNode.Parse(File.ReadAllText(Path.Combine(Demo, "machine-tool-bridge-chip.json")))!;
        job["host"]!["gives"]!["rails"]![0]!["setV"] = 3.3;
        string path = Write("job.json", job.ToJsonString());
        File.Copy(Path.Combine(Demo, "bx272.csv"), Path.Combine(folder, "bx272.csv"));
        Run fit = await Bench.RunAsync("fit", path);
        Assert.Equal(1, fit.Code);
        Assert.StartsWith(
            "Will chip BRIDGE work on this board?\nblocker: No. chip BRIDGE, VCORE",
            fit.Out,
            StringComparison.Ordinal
        );
        Run plan = await Bench.RunAsync("plan", path, "--at", "2026-11-24T18:00+01:00");
        Assert.Contains(
            "The board gives a voltage that the chip does not take.",
            plan.Out.ReplaceLineEndings(" ").Replace("              ", "", StringComparison.Ordinal),
            StringComparison.Ordinal
        );
    }

    [Fact]
    public async Task An_image_without_a_signature_and_a_chip_that_is_not_there_are_said()
    {
        string job = Path.Combine(Demo, "machine-tool-bridge-chip.json");
        Run image = await Bench.RunAsync("fit", job, "--image", job);
        Assert.Equal(2, image.Code);
        Assert.Contains("needs.signature", image.Error, StringComparison.Ordinal);
        Run chip = await Bench.RunAsync("fit", job, "--chip", "NOPE");
        Assert.Equal(2, chip.Code);
        Assert.Contains("BRIDGE", chip.Error, StringComparison.Ordinal);
    }

    [Fact]
    public async Task Readings_beside_a_job_answer_question_seven_in_its_plan()
    {
        JsonNode job = JsonNode.Parse(File.ReadAllText(Path.Combine(Demo, "machine-tool-bridge-chip.json")))!;
        File.Copy(Path.Combine(Demo, "bx272.csv"), Path.Combine(folder, "bx272.csv"));
        job["evidence"]!
            .AsArray()
            .Add(
                JsonNode.Parse(
                    """{ "at": "2026-11-24T15:00:00+01:00", "who": "T. Arden", "kind": "reading", "file": "rails.csv" }"""
                )
            );
        string path = Write("job.json", job.ToJsonString());
        Write(
            "rails.csv",
            "net,value,unit,state,leads\nVCORE,14.6,ohm,donor-baseline,subtracted\nVCORE,1.2,ohm,after-placing,subtracted\n"
        );
        Run plan = await Bench.RunAsync("plan", path, "--at", "2026-11-24T18:00+01:00");
        Assert.Equal(1, plan.Code);
        Assert.Contains(
            "blocker: Do not power: VCORE is 0.08 of its donor's baseline",
            plan.Out,
            StringComparison.Ordinal
        );

        Write("rails.csv", "net,value,unit,state\nVCORE,much,ohm,baseline\n");
        Run wrong = await Bench.RunAsync("plan", path, "--at", "2026-11-24T18:00+01:00");
        Assert.Equal(1, wrong.Code);
        Assert.Contains("rails.csv, line 2", wrong.Out, StringComparison.Ordinal);
    }

    public void Dispose() => Directory.Delete(folder, recursive: true);

    private string Write(string name, string text)
    {
        string path = Path.Combine(folder, name);
        File.WriteAllText(path, text);
        return path;
    }
}
