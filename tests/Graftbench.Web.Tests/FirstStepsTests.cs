using System.Net;
using System.Text.RegularExpressions;
using Graftbench.Core.Jobs;

namespace Graftbench.Web.Tests;

/// <summary>The panel that says how the bench works: there until the shop has a job of its own, or it is put away.</summary>
public partial class FirstStepsTests
{
    private const string Title = "How this bench works";

    [Theory, InlineData(false), InlineData(true)]
    public async Task Six_steps_stand_on_a_store_without_own_jobs_and_each_leads_somewhere(bool demo)
    {
        await using BenchHost bench = await BenchHost.Start(demo);
        using BenchClient client = bench.Client();
        string panel = Panel(await client.Get("/"));

        string[] steps = [.. Steps().Matches(panel).Select(step => step.Value)];
        Assert.Equal(6, steps.Length);
        foreach (string step in steps)
        {
            string[] links = [.. Links().Matches(step).Select(link => WebUtility.HtmlDecode(link.Groups["to"].Value))];
            Assert.NotEmpty(links);
            foreach (string link in links)
            {
                string page = await client.Get(link.Split('#')[0]);
                Assert.DoesNotContain("No row holds", page, StringComparison.Ordinal);
                if (link.Contains('#', StringComparison.Ordinal))
                {
                    Assert.Contains($"id=\"{link.Split('#')[1]}\"", page, StringComparison.Ordinal);
                }
            }
        }
    }

    [Fact]
    public async Task Put_away_it_stays_away_in_this_browser()
    {
        await using BenchHost bench = await BenchHost.Start();
        using BenchClient client = bench.Client();
        HtmlForm form = HtmlForm.Of(Panel(await client.Get("/")), "/preferences");
        Answer answer = await client.Post(form);

        Assert.Equal("/", answer.Location);
        Assert.DoesNotContain(Title, await client.Get("/"), StringComparison.Ordinal);
        Cookie cookie = Assert.Single(client.Cookies.GetCookies(bench.Address), one => one.Name == "gb-first-steps");
        Assert.True(cookie.Expires > DateTime.Now.AddYears(1));
        using BenchClient other = bench.Client();
        Assert.Contains(Title, await other.Get("/"), StringComparison.Ordinal);
    }

    [Fact]
    public async Task First_job_of_the_shop_takes_it_away()
    {
        await using BenchHost bench = await BenchHost.Start(demo: true);
        using BenchClient client = bench.Client();
        Job own = bench.Store.FindJob("arcade-graphics-chip")!.Job with { Id = "own-job" };
        bench.Store.SaveJob(own, 0, "tester");

        Assert.DoesNotContain(Title, await client.Get("/"), StringComparison.Ordinal);
    }

    private static string Panel(string html)
    {
        int from = html.IndexOf("<section class=\"panel first-steps\"", StringComparison.Ordinal);
        Assert.True(from >= 0, "The page has no panel of first steps.");
        return html[from..html.IndexOf("</section>", from, StringComparison.Ordinal)];
    }

    [GeneratedRegex("<li>.*?</li>", RegexOptions.Singleline, matchTimeoutMilliseconds: 1000)]
    private static partial Regex Steps();

    [GeneratedRegex("href=\"(?<to>[^\"]*)\"", RegexOptions.ExplicitCapture, matchTimeoutMilliseconds: 1000)]
    private static partial Regex Links();
}
