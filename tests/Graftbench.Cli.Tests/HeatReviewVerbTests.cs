using System.Globalization;
using System.Text;
using System.Text.Json;
using Graftbench.Core.Jobs;
using Graftbench.Core.Reviewing;
using Graftbench.Store;

namespace Graftbench.Cli.Tests;

public sealed class HeatReviewVerbTests
{
    private static readonly string Job = Path.Combine(Bench.Root, "demo/machine-tool-bridge-chip.json");

    // A profile made by arithmetic, not a board's: so it is marked.
    private static string Log(double peakC, bool simulated = true)
    {
        StringBuilder text = new(simulated ? "# SIMULATION\n" : "");
        text.Append("time s,T1,T2\n");
        for (int i = 0; i <= 400; i++)
        {
            double c = i <= 300 ? 25 + (peakC - 25) * i / 300.0 : peakC - 1.5 * (i - 300);
            text.Append(CultureInfo.InvariantCulture, $"{i},{c:0.0},{25 + (c - 25) * 0.8:0.0}\n");
        }
        return text.ToString();
    }

    [Fact]
    public async Task A_log_without_a_job_is_measured_only()
    {
        using TemporaryFolder folder = new();
        string log = folder.File("run.csv");
        await File.WriteAllTextAsync(log, Log(240));
        Run run = (await Bench.RunAsync("heat", "review", log)).AssertFits();
        Assert.Equal(0, run.Code);
        Assert.StartsWith("run.csv  [SIMULATION", run.Out, StringComparison.Ordinal);
        Assert.Contains("limits are not checked", run.Out, StringComparison.Ordinal);
        Assert.Contains("peak: 240.0 °C", run.Out, StringComparison.Ordinal);
    }

    [Fact]
    public async Task With_a_job_limits_are_checked_and_a_hot_body_is_exit_1()
    {
        using TemporaryFolder folder = new();
        string log = folder.File("run.csv");
        string second = folder.File("second.csv");
        string svg = folder.File("run.svg");
        await File.WriteAllTextAsync(log, Log(258, simulated: false));
        await File.WriteAllTextAsync(second, Log(240, simulated: false));
        Run run = (
            await Bench.RunAsync(
                "heat",
                "review",
                log,
                "--job",
                Job,
                "--probe",
                "T1=body",
                "--with",
                second,
                "--align",
                "150",
                "--svg",
                svg
            )
        ).AssertFits();
        Assert.Equal((1, ""), (run.Code, run.Error));
        Assert.Contains("fix first BRIDGE body, peak: 258.0", run.Out, StringComparison.Ordinal);
        Assert.Contains("Beside second.csv", run.Out, StringComparison.Ordinal);
        Assert.Contains("For the heat ledger", run.Out, StringComparison.Ordinal);
        Assert.Contains("set points", run.Out, StringComparison.Ordinal);
        Assert.StartsWith("<svg", await File.ReadAllTextAsync(svg), StringComparison.Ordinal);
        Run json = await Bench.RunAsync("heat", "review", log, "--job", Job, "--probe", "T1=body", "--json");
        using JsonDocument document = JsonDocument.Parse(json.Out);
        Assert.Equal("fix-first", document.RootElement.GetProperty("review").GetProperty("verdict").GetString());
    }

    [Fact]
    public async Task All_that_is_wrong_is_said_at_once()
    {
        Run run = (
            await Bench.RunAsync("heat", "review", "--task", "melt", "--unit", "X", "--probe", "T1", "--write-ledger")
        ).AssertFits();
        Assert.Equal((2, ""), (run.Code, run.Out));
        foreach (string what in (string[])["Name either", "--write-ledger", "--task melt", "--unit X", "--probe T1"])
        {
            Assert.Contains(what, run.Says, StringComparison.Ordinal);
        }
    }

    [Fact]
    public async Task What_is_no_log_is_refused_in_words()
    {
        using TemporaryFolder folder = new();
        string file = folder.File("a.bin");
        await File.WriteAllBytesAsync(file, [0, 1, 2, 3, 255, 254, 10, 13, 0]);
        foreach (string name in (string[])[file, folder.File("missing.csv"), Bench.Root, ""])
        {
            Run run = (await Bench.RunAsync("heat", "review", name)).AssertFits();
            Assert.Equal((2, ""), (run.Code, run.Out));
            Assert.NotEqual("", run.Error);
        }
    }

    [Fact]
    public async Task A_run_of_the_store_is_reviewed_and_its_ledger_written_once()
    {
        using TemporaryFolder folder = new();
        string data = folder.File("data");
        string id;
        using (BenchStore store = BenchStore.Open(data, TimeProvider.System))
        {
            Job job = JobReader.Read(await File.ReadAllBytesAsync(Job), DateTimeOffset.Now).Job!;
            store.SaveJob(job, 0, "test");
            byte[] log = Encoding.UTF8.GetBytes(Log(238, simulated: false));
            RunLog read = RunLogReader.Read(log, RunLogReader.Learn(log).Formats[0].Format).Log!;
            id = StoredRuns
                .Keep(
                    store,
                    job.Id,
                    "test",
                    read,
                    new RunSetup
                    {
                        Task = Core.Heating.HeatTask.Place,
                        ChipId = "BRIDGE",
                        Probes = [new RunProbe("T1", "body")],
                    }
                )
                .Id;
        }
        Run run = (
            await Bench.RunAsync("heat", "review", "--run", id[..16], "--data", data, "--write-ledger")
        ).AssertFits();
        Assert.Contains("Written to the heat ledger: BRIDGE, host", run.Says, StringComparison.Ordinal);
        Assert.Contains("peak: 238.0", run.Out, StringComparison.Ordinal);
        Run again = (
            await Bench.RunAsync("heat", "review", "--run", id, "--data", data, "--write-ledger")
        ).AssertFits();
        Assert.Equal(2, again.Code);
        Assert.Contains("not written twice", again.Says, StringComparison.Ordinal);
        Assert.Equal(2, (await Bench.RunAsync("heat", "review", "--run", "zzzz", "--data", data)).Code);
        using BenchStore after = BenchStore.Open(data, TimeProvider.System);
        Assert.Equal(
            2,
            after
                .FindJob("machine-tool-bridge-chip")!
                .Job.History.Heats.Count(heat => heat.Why?.Contains(id, StringComparison.Ordinal) == true)
        );
    }

    [Fact]
    public async Task Help_has_a_worked_example()
    {
        Run run = (await Bench.RunAsync("heat", "review", "--help")).AssertFits();
        Assert.Equal((0, ""), (run.Code, run.Error));
        Assert.Contains("graftbench heat review run.csv --job job.json", run.Out, StringComparison.Ordinal);
    }
}
