using Graftbench.Core.Jobs;
using Graftbench.Store;

namespace Graftbench.Web.Tests;

/// <summary>The list of jobs, and Today with a very full bench.</summary>
public sealed class SearchPageTests : IAsyncLifetime
{
    private BenchHost host = null!;
    private BenchClient client = null!;

    public async ValueTask InitializeAsync()
    {
        host = await BenchHost.Start(demo: true);
        client = host.Client();
    }

    [Theory]
    [InlineData("/jobs", "3 jobs")]
    [InlineData("/jobs?q=bridge", "1 job")]
    [InlineData("/jobs?q=BRIDGE+tool", "1 job")]
    [InlineData("/jobs?q=nowhere-to-be-found", "No job and no evidence has all of these words")]
    [InlineData("/jobs?in=out", "There is no such job yet.")]
    [InlineData("/jobs?in=bench", "3 jobs")]
    [InlineData("/jobs?in=7&page=-3", "3 jobs")]
    [InlineData("/jobs?page=99", "This page is behind the last one.")]
    [InlineData("/jobs?q=%3Cscript%3Ealert(1)%3C/script%3E", "value=\"&lt;script&gt;alert(1)&lt;/script&gt;\"")]
    public async Task Jobs_are_found(string address, string expected) =>
        Assert.Contains(expected, await client.Get(address), StringComparison.Ordinal);

    [Fact]
    public async Task Found_words_are_marked_where_they_stand_and_evidence_is_named()
    {
        Assert.Contains("<mark>bridge</mark>", await client.Get("/jobs?q=brid"), StringComparison.Ordinal);
        host.Store.Append(
            "machine-tool-bridge-chip",
            new EvidenceDraft("Ben", "note", """{"note":"quokka near the corner"}""")
        );
        string html = await client.Get("/jobs?q=quokka");
        Assert.Contains("In its evidence.", html, StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_full_bench_shows_the_last_ones_and_says_so()
    {
        Job job = host.Store.FindJob("machine-tool-bridge-chip")!.Job;
        for (int i = 0; i < 45; i++)
        {
            host.Store.SaveJob(job with { Id = $"copy-{i}", Title = $"Copy {i}" }, 0, "Ada");
        }
        string today = await client.Get("/");
        Assert.Contains("All 48 on the bench", today, StringComparison.Ordinal);
        Assert.Contains("Page 1 of 2", await client.Get("/jobs"), StringComparison.Ordinal);
        Assert.Contains("Page 2 of 2", await client.Get("/jobs?page=2"), StringComparison.Ordinal);
    }

    public async ValueTask DisposeAsync()
    {
        client.Dispose();
        await host.DisposeAsync();
    }
}
