using Graftbench.Store;
using Graftbench.Store.Backups;
using Graftbench.Tests.Shared;
using Graftbench.Web.Keeping;
using Microsoft.Extensions.Time.Testing;

namespace Graftbench.Web.Tests;

/// <summary>The bench screens over a PostgreSQL database, and the backups that the server makes by itself.</summary>
public sealed class SharedStoreTests
{
    private static CancellationToken Stop => TestContext.Current.CancellationToken;

    [Fact]
    public async Task Two_benches_show_the_same_jobs_out_of_one_database()
    {
        string address = DatabaseServer.Instance.NewStore(out _);
        BenchOptions Shared(BenchOptions options) =>
            options with
            {
                Store = StorePlace.Of(options.DataFolder, address),
            };
        await using BenchHost one = await BenchHost.Start(demo: true, with: Shared);
        await using BenchHost other = await BenchHost.Start(with: Shared);
        using BenchClient client = other.Client();
        IReadOnlyList<StoredJob> jobs = one.Store.Jobs();
        Assert.NotEmpty(jobs);
        string page = await client.Get("/");
        Assert.All(jobs, job => Assert.Contains($"/jobs/{job.Job.Id}", page, StringComparison.Ordinal));
        Assert.DoesNotContain("backup-line", page, StringComparison.Ordinal);
        one.Store.Append(jobs[0].Job.Id, new EvidenceDraft("Ada", "note", """{"note":"seen from the other bench"}"""));
        Assert.Contains(
            "seen from the other bench",
            await client.Get($"/jobs/{jobs[0].Job.Id}"),
            StringComparison.Ordinal
        );
        Assert.True(other.Store.Verify(stop: Stop).IsWhole);
    }

    [Fact]
    public async Task The_server_backs_up_at_its_times_and_says_how_it_went()
    {
        string folder = Path.Combine(Path.GetTempPath(), $"graftbench-backups-{Guid.NewGuid():N}");
        FakeTimeProvider time = new(new DateTimeOffset(2026, 11, 27, 12, 0, 0, TimeSpan.Zero));
        try
        {
            await using BenchHost host = await BenchHost.Start(
                demo: true,
                with: options =>
                    options with
                    {
                        Time = time,
                        Backup = new BackupPlan(folder, TimeSpan.FromHours(24), 2),
                    }
            );
            using BenchClient client = host.Client();
            await Until(() => Count(folder) == 1);
            Assert.Contains("Last backup:", await Line(client), StringComparison.Ordinal);
            await Advance(time, TimeSpan.FromHours(23));
            Assert.Equal(1, Count(folder));
            for (int day = 0; day < 3; day++)
            {
                await Advance(time, TimeSpan.FromHours(25));
            }
            await Until(() => Count(folder) == 2);
            // The stick is pulled: a file stands where the folder was.
            Directory.Delete(folder, recursive: true);
            await File.WriteAllTextAsync(folder, "", Stop);
            await Advance(time, TimeSpan.FromHours(25));
            string? line = "";
            await Until(() => (line = Line(client).Result).Contains("Backup failed", StringComparison.Ordinal));
            Assert.Contains("plugged in", line, StringComparison.Ordinal);
            Assert.Contains("Last backup:", line, StringComparison.Ordinal);
            // And is there again.
            File.Delete(folder);
            await Advance(time, TimeSpan.FromMinutes(17));
            await Until(() => Count(folder) == 1);
            await Until(() => !Line(client).Result.Contains("failed", StringComparison.Ordinal));
            Assert.NotNull(new BackupFolder(folder, 2).Newest());
        }
        finally
        {
            if (Directory.Exists(folder))
            {
                Directory.Delete(folder, recursive: true);
            }
        }
    }

    private static int Count(string folder) =>
        Directory.Exists(folder) ? Directory.GetFiles(folder, "*.graftbackup").Length : 0;

    private static async Task<string> Line(BenchClient client)
    {
        string page = await client.Get("/");
        int at = page.IndexOf("id=\"backup-line\"", StringComparison.Ordinal);
        return at < 0 ? "" : page[at..page.IndexOf("</p>", at, StringComparison.Ordinal)];
    }

    // Minute by minute, as the server looks at the clock; each look gets real time to be taken.
    private static async Task Advance(FakeTimeProvider time, TimeSpan by)
    {
        for (TimeSpan done = TimeSpan.Zero; done < by; done += TimeSpan.FromMinutes(30))
        {
            time.Advance(TimeSpan.FromMinutes(30));
            await Task.Delay(5, Stop);
        }
        await Task.Delay(50, Stop);
    }

    private static async Task Until(Func<bool> isSo)
    {
        for (int tries = 0; tries < 400; tries++)
        {
            if (isSo())
            {
                return;
            }
            await Task.Delay(50, Stop);
        }
        Assert.Fail("It did not come about in 20 s.");
    }
}
