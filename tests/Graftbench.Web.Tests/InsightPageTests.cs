using System.Net;
using System.Text.RegularExpressions;
using Graftbench.Core.Jobs;
using Graftbench.Store;
using Graftbench.Tests.Shared;

namespace Graftbench.Web.Tests;

/// <summary>What the shop learned, and time and cost of a job, as a browser without scripts sees them.</summary>
public sealed partial class InsightPageTests
{
    private const string Arcade = "/jobs/arcade-graphics-chip";

    private static Task<BenchHost> Shop() =>
        BenchHost.Start(with: options =>
        {
            InsightShop.Fill(options.DataFolder, TimeProvider.System.GetUtcNow());
            return options;
        });

    private static async Task<string> Insight(BenchClient client, string query = "")
    {
        // A page that is still reading says so; the next look is complete.
        for (int i = 0; i < 60; i++)
        {
            string html = await client.Get("/insight" + query);
            if (!html.Contains("Reading the jobs", StringComparison.Ordinal))
            {
                return WebUtility.HtmlDecode(Spaces().Replace(html, " "));
            }
            await Task.Delay(100, TestContext.Current.CancellationToken);
        }
        Assert.Fail("The jobs are never read to their end.");
        return "";
    }

    [Fact]
    public async Task A_shop_without_jobs_is_told_what_to_do()
    {
        await using BenchHost host = await BenchHost.Start();
        using BenchClient client = host.Client();
        string page = await Insight(client);
        Assert.Contains("No job to count", page, StringComparison.Ordinal);
        Assert.Contains("href=\"/jobs/new\"", page, StringComparison.Ordinal);
        Assert.Contains("href=\"/insight\" aria-current=\"page\"", page, StringComparison.Ordinal);
    }

    [Fact]
    public async Task Jobs_on_the_bench_are_in_no_rate()
    {
        await using BenchHost host = await BenchHost.Start(demo: true);
        using BenchClient client = host.Client();
        string page = await Insight(client);
        Assert.Contains("No job is decided yet.", page, StringComparison.Ordinal);
        Assert.DoesNotContain("0 of 0", page, StringComparison.Ordinal);
    }

    [Fact]
    public async Task Counts_stand_with_their_intervals_and_only_what_chance_cannot_make_is_named()
    {
        await using BenchHost host = await Shop();
        using BenchClient client = host.Client();
        string page = await Insight(client);
        Assert.Contains(
            $"{InsightShop.Worked} of {InsightShop.Decided} decided jobs worked",
            page,
            StringComparison.Ordinal
        );
        // binomtest(37, 48) of SciPy 1.10.1: 0.626938 to 0.879723.
        Assert.Contains("0.63 to 0.88", page, StringComparison.Ordinal);
        foreach (
            (string title, int count) in new[]
            {
                ("Came back", InsightShop.CameBack),
                ("Did not work", InsightShop.DidNotWork),
                ("Too early to say", InsightShop.TooEarly),
                ("On the bench", InsightShop.Open),
            }
        )
        {
            Assert.Contains($"{title}</th><td class=\"count\">{count}<", page, StringComparison.Ordinal);
        }
        Assert.Contains("Solder, lead-free: worked more often than the rest", page, StringComparison.Ordinal);
        Assert.Contains("cannot be told from chance", page, StringComparison.Ordinal);
        Assert.DoesNotContain("Technician, Bo: worked", page, StringComparison.Ordinal);
        Assert.Contains("The groups were not drawn by lot", page, StringComparison.Ordinal);
    }

    [Fact]
    public async Task Ended_days_can_be_left_out_and_a_wrong_day_is_said()
    {
        await using BenchHost host = await Shop();
        using BenchClient client = host.Client();
        string since = TimeProvider.System.GetLocalNow().AddDays(-70).ToString("yyyy-MM-dd", null);
        string page = await Insight(client, $"?since={since}");
        Assert.Contains("decided jobs worked", page, StringComparison.Ordinal);
        Assert.DoesNotContain($"of {InsightShop.Decided} decided", page, StringComparison.Ordinal);
        using HttpResponseMessage wrong = await client.Http.GetAsync(
            new Uri("/insight?since=soon&days=0", UriKind.Relative),
            TestContext.Current.CancellationToken
        );
        Assert.Equal(HttpStatusCode.UnprocessableEntity, wrong.StatusCode);
        string text = await wrong.Content.ReadAsStringAsync(TestContext.Current.CancellationToken);
        Assert.Contains("this is no date", text, StringComparison.Ordinal);
        Assert.Contains("a whole number from 1 to 365", text, StringComparison.Ordinal);
    }

    [Fact]
    public async Task What_changes_in_a_job_or_its_record_is_counted_at_the_next_look()
    {
        await using BenchHost host = await Shop();
        using BenchClient client = host.Client();
        await Insight(client);
        StoredJob job = host.Store.FindJob("invented-50")!;
        // Given up on the screen of question 9: a line of evidence, and no new revision of the job.
        host.Store.Append(
            job.Job.Id,
            new EvidenceDraft("Ada", "decision", """{"note":"Given up.","diagnosis":{"proof":"none"}}""")
        );
        Assert.Contains(
            $"On the bench</th><td class=\"count\">{InsightShop.Open - 1}<",
            await Insight(client),
            StringComparison.Ordinal
        );
        StoredJob other = host.Store.FindJob("invented-51")!;
        host.Store.SaveJob(other.Job with { Result = WorkResult.DoesNotWork }, other.Revision, "Ada");
        Assert.Contains(
            $"On the bench</th><td class=\"count\">{InsightShop.Open - 2}<",
            await Insight(client),
            StringComparison.Ordinal
        );
    }

    [Fact]
    public async Task Minutes_and_cost_are_entered_on_the_job_page_and_added_up()
    {
        await using BenchHost host = await BenchHost.Start(demo: true);
        using BenchClient client = host.Client();
        StoredJob before = host.Store.FindJob("arcade-graphics-chip")!;
        int at = before.Job.Work.Count;
        HtmlForm form = await client.Form(Arcade, Arcade + "/add/work");
        form = form.With($"work[{at}].what", "chip-clean").With($"work[{at}].spentMin", "22,5");
        Answer saved = await client.Post(form.With($"work[{at}].cost", "1.20"));
        Assert.True(saved.Status == HttpStatusCode.Redirect, saved.Html);
        WorkEntry entry = host.Store.FindJob("arcade-graphics-chip")!.Job.Work[^1];
        Assert.Equal((WorkStep.ChipClean, 22.5, 1.2), (entry.What, entry.SpentMin, entry.Cost));
        Assert.NotNull(entry.At);
        Assert.Contains("Clean the chip", await client.Get(Arcade), StringComparison.Ordinal);
        // Neither time nor cost is no entry.
        Answer empty = await client.Post(
            (await client.Form(Arcade, Arcade + "/add/work")).With($"work[{at + 1}].what", "lift")
        );
        Assert.Equal(HttpStatusCode.UnprocessableEntity, empty.Status);
        Assert.Contains("neither time nor cost", empty.Html, StringComparison.Ordinal);
        Assert.Equal(at + 1, host.Store.FindJob("arcade-graphics-chip")!.Job.Work.Count);
    }

    // The sheets and scripts of the page and of its parts stand side by side.
    [Fact]
    public async Task The_job_page_keeps_the_style_of_all_its_parts()
    {
        await using BenchHost host = await BenchHost.Start(demo: true);
        using BenchClient client = host.Client();
        string page = await client.Get(Arcade);
        foreach (string name in new[] { "heat.css", "watch.css", "heat-status.js", "insight.css", "work.js" })
        {
            Assert.Contains("/" + name.Split('.')[0], page, StringComparison.Ordinal);
        }
    }

    [GeneratedRegex(@"\s+", RegexOptions.None, matchTimeoutMilliseconds: 1000)]
    private static partial Regex Spaces();
}
