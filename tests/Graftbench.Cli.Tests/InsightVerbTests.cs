using System.Text;
using System.Text.Json;
using Graftbench.Core.Jobs;
using Graftbench.Store;
using Graftbench.Tests.Shared;
using Microsoft.Data.Sqlite;

namespace Graftbench.Cli.Tests;

/// <summary><c>graftbench record insight</c> on an invented shop whose clock runs through the first half of 2026.</summary>
public sealed class InsightVerbTests : IDisposable
{
    private const string At = "2026-06-01T12:00Z";

    private readonly TemporaryFolder folder = new();
    private readonly ShopClock clock = new();

    private string Data => folder.File("data");

    [Fact]
    public async Task The_shop_reads_what_its_jobs_teach()
    {
        Fill();
        Run run = (await Bench.RunAsync("record", "insight", "--at", At, "--data", Data)).AssertFits();
        Assert.Equal("", run.Error);
        Assert.Equal(0, run.Code);
        Snapshot.Match(run.Out, Bench.Expected("record-insight"));
    }

    [Fact]
    public async Task Json_says_the_same_and_longer_watching_decides_fewer()
    {
        Fill();
        JsonElement usual = await Counts();
        Assert.Equal((9, 1, 2), (Number(usual, "worked"), Number(usual, "cameBack"), Number(usual, "didNotWork")));
        JsonElement longer = await Counts("--days", "120");
        Assert.True(Number(longer, "tooEarly") > Number(usual, "tooEarly"));
        JsonElement late = await Counts("--since", "2026-05-01");
        Assert.True(Number(late, "worked") < Number(usual, "worked"));
    }

    [Fact]
    public async Task A_job_that_cannot_be_read_is_named_and_not_counted()
    {
        Fill();
        SqliteConnection.ClearAllPools();
        using (SqliteConnection store = new($"Data Source={Path.Combine(Data, "graftbench.db")};Pooling=False"))
        {
            store.Open();
            using SqliteCommand spoil = store.CreateCommand();
            spoil.CommandText = "UPDATE job SET document = '{' WHERE id = 'done-1'";
            Assert.Equal(1, spoil.ExecuteNonQuery());
        }
        Run run = await Bench.RunAsync("record", "insight", "--at", At, "--data", Data);
        Assert.Equal(0, run.Code);
        Assert.Contains("Not counted, since they cannot be read: done-1", run.Out, StringComparison.Ordinal);
        Assert.Contains("8 of 11", run.Out, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData("--days", "0", "--days: from 1 to 365 days.")]
    [InlineData("--days", "366", "--days: from 1 to 365 days.")]
    [InlineData("--since", "May", "--since: May is no date")]
    [InlineData("--at", "noon", "--at noon")]
    public async Task Bad_input_is_said(string option, string value, string expected)
    {
        Fill();
        Run run = await Bench.RunAsync("record", "insight", option, value, "--data", Data);
        Assert.Equal(2, run.Code);
        Assert.Contains(expected, run.Says, StringComparison.Ordinal);
    }

    public void Dispose() => folder.Dispose();

    private async Task<JsonElement> Counts(params string[] options)
    {
        Run run = await Bench.RunAsync(["record", "insight", "--json", "--at", At, "--data", Data, .. options]);
        Assert.True(run.Code == 0, run.Error);
        using JsonDocument answer = JsonDocument.Parse(run.Out);
        return answer.RootElement.GetProperty("answer").GetProperty("counts").Clone();
    }

    private static int Number(JsonElement counts, string name) => counts.GetProperty(name).GetInt32();

    // Nine that work, one that came back and was handed over again, two that did not work, one of late, one on the bench.
    private void Fill()
    {
        using BenchStore store = BenchStore.Open(Data, clock);
        for (int i = 1; i <= 9; i++)
        {
            Save(store, Over(Job($"done-{i}", i % 2 == 0 ? "SAC305" : "Sn63Pb37", i), Day(1, 10).AddDays(8 * i)));
        }
        Job back = Over(Job("back", "SAC305", 4), Day(2, 1));
        int revision = Save(store, back);
        clock.Now = Day(2, 12);
        revision = store.SaveJob(back with { Stage = JobStage.Returned }, revision, "Ada").Revision;
        clock.Now = Day(3, 1);
        store.SaveJob(Over(back, Day(2, 28)), revision, "Ada");
        Save(store, Job("lost", "SAC305", 2) with { Stage = JobStage.Placing, Result = WorkResult.DoesNotWork });
        int given = Save(store, Job("given-up", "SAC305", 3));
        Assert.Equal(1, given);
        store.Append(
            "given-up",
            new EvidenceDraft("Ada", "decision", """{"note":"Given up.","diagnosis":{"proof":"none"}}""")
        );
        Save(store, Over(Job("late", "SAC305", 1), Day(5, 25)));
        Save(store, Job("bench", "SAC305", 1));
    }

    private int Save(BenchStore store, Job job)
    {
        clock.Now = job.Handover?.HandedOverAt?.AddHours(1) ?? Day(3, 10);
        return store.SaveJob(job, 0, "Ada").Revision;
    }

    private static Job Over(Job job, DateTimeOffset at) =>
        job with
        {
            Stage = JobStage.HandedOver,
            Handover = new HandoverNote { HandedOverAt = at },
        };

    private static Job Job(string id, string balls, int number)
    {
        JobReading smallest = JobReader.Read(File.ReadAllBytes(Bench.Good("smallest.json")), Day(6, 1));
        Job job = smallest.Job!;
        return job with
        {
            Id = id,
            OpenedAt = Day(1, 2),
            Shop = new Shop { Technician = number % 3 == 0 ? "Ben" : "Ada", Currency = "EUR" },
            Materials = new Materials { BallAlloy = balls },
            Donor = job.Host with { Origin = "Market, water damage" },
            Chips = [job.Chips[0] with { From = ChipPlace.Donor, PitchMm = 0.8, BallCount = 256 }],
            Work =
            [
                new WorkEntry { What = WorkStep.Place, SpentMin = 20 + number },
                new WorkEntry { What = WorkStep.Parts, Cost = 10 * number },
            ],
        };
    }

    private static DateTimeOffset Day(int month, int day) => new(2026, month, day, 9, 0, 0, TimeSpan.Zero);

    private sealed class ShopClock : TimeProvider
    {
        public DateTimeOffset Now { get; set; } = Day(1, 2);

        public override DateTimeOffset GetUtcNow() => Now;
    }
}
