using System.Text.Json;
using Graftbench.Tests.Shared;

namespace Graftbench.Cli.Tests;

public sealed class PlanVerbTests
{
    [Theory]
    [InlineData("arcade-graphics.jsonc")]
    [InlineData("smallest.json")]
    public async Task Summary_for_a_person(string job)
    {
        Run run = (await Bench.RunAsync("plan", Bench.Good(job), "--at", Bench.At)).AssertFits();
        Assert.Equal("", run.Error);
        Assert.Equal(1, run.Code);
        Snapshot.Match(run.Out, Bench.Expected("plan-" + Path.GetFileNameWithoutExtension(job)));
    }

    [Fact]
    public async Task Nothing_to_fix_is_exit_0()
    {
        using TemporaryFolder folder = new();
        await File.WriteAllTextAsync(
            folder.File("dry.json"),
            """
            {
              "format": "graftbench-job-1", "id": "dry", "title": "Dry from end to end",
              "machine": { "authority": "order 12" },
              "host": { "lengthMm": 120, "widthMm": 80, "thicknessMm": 1.6, "solidPlanes": "no", "laminate": "epoxy-tg150" },
              "chips": [
                { "id": "U1", "from": "shelf", "to": "host", "bodyLengthMm": 10, "bodyWidthMm": 10, "bodyThicknessMm": 1.2, "moistureLevel": "1" }
              ],
              "bench": { "roomC": 22, "roomHumidityPercent": 45 },
              "dryer": { "setC": 70 }
            }
            """
        );
        Run run = await Bench.RunAsync("plan", folder.File("dry.json"), "--at", Bench.At);
        Assert.True(run.Code == 0, run.Out + run.Error);
    }

    [Fact]
    public async Task Json_is_the_whole_plan()
    {
        Run run = await Bench.RunAsync("plan", Bench.Good("arcade-graphics.jsonc"), "--at", Bench.At, "--json");
        Assert.Equal(1, run.Code);
        using JsonDocument plan = JsonDocument.Parse(run.Out);
        Assert.Equal("arcade-graphics-1", plan.RootElement.GetProperty("job").GetProperty("id").GetString());
        Assert.Equal(10, plan.RootElement.GetProperty("questions").GetArrayLength());
        Assert.Equal(
            "host",
            plan.RootElement.GetProperty("drying").GetProperty("subjects")[0].GetProperty("id").GetString()
        );
        Assert.Contains(
            plan.RootElement.GetProperty("findings").EnumerateArray(),
            finding => finding.GetProperty("verdict").GetString() == "fix-first"
        );
    }

    [Fact]
    public async Task Job_comes_from_standard_input_too()
    {
        Run file = await Bench.RunAsync("plan", Bench.Good("smallest.json"), "--at", Bench.At);
        Run input = await Bench.RunAsync(
            await File.ReadAllBytesAsync(Bench.Good("smallest.json")),
            ["plan", "-", "--at", Bench.At]
        );
        Assert.Equal(file, input);
    }

    [Theory]
    [InlineData("plan.html", "<!")]
    [InlineData("plan.PDF", "%PDF")]
    public async Task Sheet_is_written_whole(string name, string begin)
    {
        using TemporaryFolder folder = new();
        await File.WriteAllTextAsync(folder.File(name), "the sheet of yesterday");
        Run run = await Bench.RunAsync("plan", Bench.Good("smallest.json"), "--at", Bench.At, "-o", folder.File(name));
        Assert.Equal("", run.Error);
        Assert.StartsWith(begin, await File.ReadAllTextAsync(folder.File(name)), StringComparison.OrdinalIgnoreCase);
        Assert.EndsWith(
            $"Plan sheet written to {folder.File(name)}\n",
            run.Out.ReplaceLineEndings("\n"),
            StringComparison.Ordinal
        );
        Assert.Equal([folder.File(name)], Directory.GetFiles(folder.Path));
    }

    [Fact]
    public async Task Sheet_has_to_be_html_or_pdf()
    {
        using TemporaryFolder folder = new();
        Run run = await Bench.RunAsync("plan", Bench.Good("smallest.json"), "-o", folder.File("plan.docx"));
        Assert.Equal((2, ""), (run.Code, run.Out));
        Assert.Contains(".html or .pdf", run.Says, StringComparison.Ordinal);
        Assert.Empty(Directory.GetFiles(folder.Path));
    }

    [Fact]
    public async Task Sheet_needs_a_folder_that_exists()
    {
        using TemporaryFolder folder = new();
        Run run = await Bench.RunAsync("plan", Bench.Good("smallest.json"), "-o", folder.File("none/plan.html"));
        Assert.Equal((2, ""), (run.Code, run.Out));
        Assert.Contains("does not exist", run.Says, StringComparison.Ordinal);
    }

    [Fact]
    public async Task Sheet_does_not_replace_a_folder()
    {
        using TemporaryFolder folder = new();
        Directory.CreateDirectory(folder.File("plan.html"));
        Run run = await Bench.RunAsync("plan", Bench.Good("smallest.json"), "-o", folder.File("plan.html"));
        Assert.Equal((2, ""), (run.Code, run.Out));
        Assert.Contains("this is a folder", run.Says, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData("over.html", "<!", "DRAFT")]
    [InlineData("over.pdf", "%PDF", "")]
    public async Task Hand_over_sheet_is_written_beside_the_plan(string name, string begin, string says)
    {
        using TemporaryFolder folder = new();
        Run run = await Bench.RunAsync(
            "plan",
            Bench.Good("smallest.json"),
            "--at",
            Bench.At,
            "--handover",
            folder.File(name)
        );
        Assert.Equal("", run.Error);
        Assert.Equal(1, run.Code);
        string sheet = await File.ReadAllTextAsync(folder.File(name));
        Assert.StartsWith(begin, sheet, StringComparison.OrdinalIgnoreCase);
        Assert.Contains(says, sheet, StringComparison.Ordinal);
        Assert.EndsWith(
            $"Hand-over sheet written to {folder.File(name)}\n",
            run.Out.ReplaceLineEndings("\n"),
            StringComparison.Ordinal
        );
        // Question 10 is answered with it.
        Assert.Contains("to put right first", run.Out, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData("over.docx", "plan.html", ".html or .pdf")]
    [InlineData("over.html", "over.html", "cannot be the same file")]
    [InlineData("none/over.html", "plan.html", "does not exist")]
    public async Task Hand_over_sheet_that_cannot_be_written_is_refused(string name, string plan, string says)
    {
        using TemporaryFolder folder = new();
        Run run = await Bench.RunAsync(
            "plan",
            Bench.Good("smallest.json"),
            "-o",
            folder.File(plan),
            "--handover",
            folder.File(name)
        );
        Assert.Equal(2, run.Code);
        Assert.Contains(says, run.Says, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData("tomorrow")]
    [InlineData("2026-03-10")]
    [InlineData("2026-03-10T12:00")]
    public async Task Moment_needs_its_offset(string at)
    {
        Run run = (await Bench.RunAsync("plan", Bench.Good("smallest.json"), "--at", at)).AssertFits();
        Assert.Equal((2, ""), (run.Code, run.Out));
        Assert.Contains("offset from UTC", run.Says, StringComparison.Ordinal);
    }
}
