using System.Net;
using System.Text.Json;
using Graftbench.Web.Shell;

namespace Graftbench.Web.Tests;

/// <summary>Question 5 on the job page and the screen of the joints, on the real planner, as a browser without scripts sees them.</summary>
public sealed class JointPageTests
{
    private const string Job = "/jobs/arcade-graphics-chip";
    private const string Screen = Job + "/joints?chip=GFX";

    [Fact]
    public async Task Question_five_goes_from_not_computed_to_its_answer()
    {
        await using BenchHost host = await BenchHost.Start(demo: true);
        using BenchClient client = host.Client();
        string before = await client.Get(Job);
        HtmlForm form = HtmlForm.Of(before, Job + "/joints/compute?chip=GFX");
        Answer asked = await client.Post(form);
        Assert.Equal((HttpStatusCode.Redirect, Job + "#question-5"), (asked.Status, asked.Location));
        while (!(await client.Get(Job + "/joints/state?chip=GFX")).Contains("\"done\",", StringComparison.Ordinal))
        {
            await Task.Delay(50, TestContext.Current.CancellationToken);
        }
        string after = await client.Get(Job);
        Assert.Contains("Open the joints", after, StringComparison.Ordinal);
        Assert.DoesNotContain("Compute joint seat", after, StringComparison.Ordinal);
        string screen = await client.Get(Screen);
        Assert.Contains("What helps, side by side", screen, StringComparison.Ordinal);
        Assert.Contains("How much solder, and how even", screen, StringComparison.Ordinal);
        // Tin-lead on tin-lead: one alloy, its curve and no map.
        Assert.Contains("Solder of the joint", screen, StringComparison.Ordinal);
        Assert.Contains("Do not move the board before every joint is below", screen, StringComparison.Ordinal);
        Assert.Contains("Liquid share of the joint over temperature", screen, StringComparison.Ordinal);
        Assert.DoesNotContain("Other mixtures of the two alloys", screen, StringComparison.Ordinal);
        string plan = await client.Get(Job + "/joints/plan.json?chip=GFX");
        Assert.Contains("\"mixture\": {", plan, StringComparison.Ordinal);
        using JsonDocument data = JsonDocument.Parse(await client.Get(Job + "/joints/plan.json?chip=GFX"));
        Assert.Equal(388, data.RootElement.GetProperty("joints").GetArrayLength());
        // What the planner tells the technician is what job page and screen say.
        string answer = data.RootElement.GetProperty("answer").GetString()!;
        Assert.Contains("balls of", answer, StringComparison.OrdinalIgnoreCase);
        (string head, string below) = AnswerText.Cut(answer);
        foreach (string page in new[] { after, screen })
        {
            Assert.Contains(head, WebUtility.HtmlDecode(page), StringComparison.Ordinal);
            Assert.Contains(below, WebUtility.HtmlDecode(page), StringComparison.Ordinal);
        }
    }

    [Fact]
    public async Task The_choice_of_balls_says_what_lies_on_the_shelf()
    {
        await using BenchHost host = await BenchHost.Start(demo: true);
        using BenchClient client = host.Client();
        async Task Put(string title, string what, params (string Path, string Value)[] fields)
        {
            HtmlForm form = (await client.Form("/shelf/material/new", "/shelf/material/new"))
                .With("x.title", title)
                .With("x.what", what)
                .With("do", "save");
            foreach ((string path, string value) in fields)
            {
                form = form.With(path, value);
            }
            Assert.Equal(HttpStatusCode.Redirect, (await client.Post(form)).Status);
        }
        await Put("Jar seven", "balls", ("materials.ballDiameterMm", "0.76"), ("materials.ballAlloy", "Sn63Pb37"));
        await Put("Plate three", "stencil", ("materials.stencilHoleMm", "0.85"), ("materials.stencilPitchMm", "1.27"));
        await Put("Plate of old", "stencil");
        HtmlForm compute = HtmlForm.Of(await client.Get(Job), Job + "/joints/compute?chip=GFX");
        await client.Post(compute);
        while (!(await client.Get(Job + "/joints/state?chip=GFX")).Contains("\"done\",", StringComparison.Ordinal))
        {
            await Task.Delay(50, TestContext.Current.CancellationToken);
        }
        string screen = WebUtility.HtmlDecode(await client.Get(Screen));
        Assert.Contains(
            "balls: Jar seven (Sn63Pb37); stencil: Plate three (holes of 0.85 mm)",
            screen,
            StringComparison.Ordinal
        );
        Assert.Contains("no such balls; ", screen, StringComparison.Ordinal);
        Assert.Contains("no size recorded: Plate of old", screen, StringComparison.Ordinal);
        string sheet = WebUtility.HtmlDecode(await client.Get(Job + "/sheet"));
        Assert.Contains("Shelf: balls: Jar seven", sheet, StringComparison.Ordinal);
    }

    [Fact]
    public async Task More_solder_on_the_lands_is_looked_at_without_a_script_and_stores_nothing()
    {
        await using BenchHost host = await BenchHost.Start(demo: true);
        using BenchClient client = host.Client();
        int revision = host.Store.FindJob("arcade-graphics-chip")!.Revision;
        string bare = await client.Get(Screen + "&dome=0&spread=25");
        string full = await client.Get(Screen + "&dome=0.1&spread=10");
        Assert.Contains("Cut through the row", bare, StringComparison.Ordinal);
        Assert.Contains("all form in 100 % of packages", full, StringComparison.Ordinal);
        Assert.DoesNotContain("all form in 100 % of packages", bare, StringComparison.Ordinal);
        Assert.Equal(revision, host.Store.FindJob("arcade-graphics-chip")!.Revision);
    }

    [Theory]
    [InlineData("&dome=NaN&spread=-5&row=abc", 3)]
    [InlineData("&dome=1e300&spread=1e300&row=-3", 3)]
    [InlineData("&dome=&spread=&row=99999", 1)]
    public async Task Nonsense_in_the_address_is_said_and_the_jobs_own_shown(string query, int wrong)
    {
        await using BenchHost host = await BenchHost.Start(demo: true);
        using BenchClient client = host.Client();
        string page = await client.Get(Screen + query);
        Assert.Contains("0.02 mm", page, StringComparison.Ordinal);
        string look = await client.Get(Job + "/joints/look?chip=GFX" + query);
        Assert.Contains("data-look-result", look, StringComparison.Ordinal);
        Assert.Equal(wrong, look.Split("own is shown.").Length - 1);
    }

    [Fact]
    public async Task A_chip_without_pads_says_what_is_missing_and_is_never_ok()
    {
        await using BenchHost host = await BenchHost.Start(demo: true);
        using BenchClient client = host.Client();
        string page = await client.Get("/jobs/machine-tool-bridge-chip/joints");
        Assert.Contains("diameter on the chip", page, StringComparison.Ordinal);
        Assert.DoesNotContain("data-look-result", page, StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_chip_that_is_not_there_is_said_in_words()
    {
        await using BenchHost host = await BenchHost.Start(demo: true);
        using BenchClient client = host.Client();
        using HttpResponseMessage answer = await client.Http.GetAsync(
            new Uri(Job + "/joints?chip=NONE", UriKind.Relative),
            TestContext.Current.CancellationToken
        );
        Assert.Equal(HttpStatusCode.NotFound, answer.StatusCode);
        Assert.Contains(
            "no such chip",
            await answer.Content.ReadAsStringAsync(TestContext.Current.CancellationToken),
            StringComparison.Ordinal
        );
    }

    [Fact]
    public async Task A_part_under_the_chip_is_added_in_the_form()
    {
        await using BenchHost host = await BenchHost.Start(demo: true);
        using BenchClient client = host.Client();
        string page = await client.Get(Job + "/edit/seat");
        Assert.Contains("parts on its underside", page, StringComparison.Ordinal);
        Assert.Contains("chips[0].seat.parts[3].heightMm", page, StringComparison.Ordinal);
        Assert.Contains("add:chips[0].seat.parts", page, StringComparison.Ordinal);
    }
}
