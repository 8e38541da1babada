using System.Buffers.Binary;
using System.Net;
using System.Text.Json;
using Graftbench.Core;
using Graftbench.Core.Heating;
using Graftbench.Tests.Shared;
using Graftbench.Web.Desk;
using Graftbench.Web.Heating;

namespace Graftbench.Web.Tests;

/// <summary>Question 3 on the job page and the heat screen, as a browser without scripts sees them.</summary>
public sealed class HeatPageTests
{
    private const string Job = "/jobs/arcade-graphics-chip";
    private const string Place = Job + "/heat/place?chip=GFX";

    private static HeatPlanning Planning(HeatPlanState state = HeatPlanState.Planned) =>
        (job, task, chip, progress, cancel) => HeatJobs.Plan(job, task, chip, state);

    private static async Task Compute(BenchClient client)
    {
        HtmlForm form = await client.Form(Place, Job + "/heat/place/compute?chip=GFX");
        Assert.Equal(HttpStatusCode.Redirect, (await client.Post(form)).Status);
        await Done(client);
    }

    private static async Task Done(BenchClient client)
    {
        while (!(await client.Get(Job + "/heat/place/state?chip=GFX")).Contains("\"done\",", StringComparison.Ordinal))
        {
            await Task.Delay(20, TestContext.Current.CancellationToken);
        }
    }

    [Fact]
    public async Task Question_three_goes_from_not_computed_to_its_answer()
    {
        await using BenchHost host = await BenchHost.Start(demo: true, Planning());
        using BenchClient client = host.Client();
        string before = await client.Get(Job);
        Assert.Contains("Compute heat plan", before, StringComparison.Ordinal);
        HtmlForm form = HtmlForm.Of(before, Job + "/heat/place/compute?chip=GFX");
        Answer asked = await client.Post(form);
        Assert.Equal((HttpStatusCode.Redirect, Job + "#question-3"), (asked.Status, asked.Location));
        await Done(client);
        string after = await client.Get(Job);
        Assert.Contains("Yes: 4 stages", after, StringComparison.Ordinal);
        Assert.Contains("chance that all melts", after, StringComparison.Ordinal);
        Assert.Contains("Open the heat plan", after, StringComparison.Ordinal);
        Assert.DoesNotContain("Compute heat plan", after, StringComparison.Ordinal);
        Assert.Contains("Heat plan: Solder the chip on", await client.Get(Job + "/sheet"), StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_page_never_waits_for_a_plan_and_says_how_far_it_is()
    {
        using ManualResetEventSlim go = new();
        await using BenchHost host = await BenchHost.Start(
            demo: true,
            (job, task, chip, progress, cancel) =>
            {
                progress.Report(new PlanProgress("searching settings", 0.37));
                go.Wait(cancel);
                return HeatJobs.Plan(job, task, chip);
            }
        );
        using BenchClient client = host.Client();
        HtmlForm form = await client.Form(Place, Job + "/heat/place/compute?chip=GFX");
        Answer asked = await client.Post(form);
        Assert.Equal(Place, asked.Location);
        while (!(await client.Get(Job + "/heat/place/state?chip=GFX")).Contains("0.37", StringComparison.Ordinal))
        {
            await Task.Delay(10, TestContext.Current.CancellationToken);
        }
        string page = await client.Get(Place);
        Assert.Contains("37 %", page, StringComparison.Ordinal);
        Assert.Contains("searching settings", page, StringComparison.Ordinal);
        Assert.Contains("<noscript><meta http-equiv=\"refresh\"", page, StringComparison.Ordinal);
        Assert.Contains("37 %", await client.Get(Job), StringComparison.Ordinal);
        Answer stopped = await client.Post(HtmlForm.Of(page, Job + "/heat/place/cancel?chip=GFX"));
        Assert.Equal(HttpStatusCode.Redirect, stopped.Status);
        Assert.Contains("Stopped before it was done", await client.Get(Place), StringComparison.Ordinal);
    }

    [Theory]
    [InlineData(HeatPlanState.Planned)]
    [InlineData(HeatPlanState.NotPossible)]
    [InlineData(HeatPlanState.NoAnswer)]
    public async Task The_heat_screen_is_complete_without_scripts(HeatPlanState state)
    {
        await using BenchHost host = await BenchHost.Start(demo: true, Planning(state));
        using BenchClient client = host.Client();
        await Compute(client);
        string page = await client.Get(Place);
        HeatPlan heat = HeatJobs.Plan(host.Store.FindJob("arcade-graphics-chip")!.Job, HeatTask.Place, "GFX", state);
        Assert.Contains(heat.Answer, WebUtility.HtmlDecode(page), StringComparison.Ordinal);
        Assert.Contains("Findings", page, StringComparison.Ordinal);
        Assert.DoesNotContain("NaN", page, StringComparison.Ordinal);
        if (state == HeatPlanState.NoAnswer)
        {
            Assert.DoesNotContain("What to set", page, StringComparison.Ordinal);
            return;
        }
        foreach (
            string part in (string[])
                [
                    "What to set",
                    "Temperatures over the run",
                    "Joint plane at",
                    "Underside, as seen through from the top at",
                    "Limits and margins",
                    "Where to put a probe",
                    "What moves the answer",
                    "What was assumed",
                    "How far to trust the model",
                    "The same as a table",
                ]
        )
        {
            Assert.Contains(part, page, StringComparison.Ordinal);
        }
        Assert.Equal(state == HeatPlanState.NotPossible, page.Contains("What would help", StringComparison.Ordinal));
        string early = await client.Get(Place + "&at=60");
        Assert.Contains("Joint plane at 1:00", early, StringComparison.Ordinal);
        Assert.Contains("Joint plane at", await client.Get(Place + "&at=NaN"), StringComparison.Ordinal);
        Assert.Contains("Joint plane at", await client.Get(Place + "&at=junk"), StringComparison.Ordinal);
    }

    [Fact]
    public async Task Cells_card_and_data_leave_the_desk()
    {
        await using BenchHost host = await BenchHost.Start(demo: true, Planning());
        using BenchClient client = host.Client();
        await Compute(client);
        HeatPlan heat = HeatJobs.Plan(host.Store.FindJob("arcade-graphics-chip")!.Job, HeatTask.Place, "GFX");
        HeatPlane plane = heat.Planes.Single(each => each.Name == "joints");
        byte[] cells = await client.Http.GetByteArrayAsync(
            new Uri(Job + "/heat/place/plane/joints?chip=GFX", UriKind.Relative),
            TestContext.Current.CancellationToken
        );
        int number = plane.Columns * plane.Rows;
        Assert.Equal(2 * number * plane.Frames.Count, cells.Length);
        for (int i = 0; i < number; i += 97)
        {
            short tenths = BinaryPrimitives.ReadInt16LittleEndian(cells.AsSpan(2 * ((3 * number) + i)));
            short expected = plane.Covered[i]
                ? (short)Math.Round(10.0 * plane.Frames[3].TemperaturesC[i])
                : short.MinValue;
            Assert.Equal(expected, tenths);
        }
        string card = await client.Get(Job + "/heat/place/card?chip=GFX");
        Assert.Contains("When to stop", card, StringComparison.Ordinal);
        byte[] pdf = await client.Http.GetByteArrayAsync(
            new Uri(Job + "/heat/place/card.pdf?chip=GFX", UriKind.Relative),
            TestContext.Current.CancellationToken
        );
        Assert.Equal("%PDF"u8.ToArray(), pdf[..4]);
        using JsonDocument json = JsonDocument.Parse(await client.Get(Job + "/heat/place/plan.json?chip=GFX"));
        Assert.Equal("planned", json.RootElement.GetProperty("state").GetString());
    }

    [Fact]
    public async Task What_is_not_there_is_said_in_words()
    {
        await using BenchHost host = await BenchHost.Start(demo: true);
        using BenchClient client = host.Client();
        Assert.Contains("holds no planner for the heat plan", await client.Get(Place), StringComparison.Ordinal);
        foreach (
            string path in (string[])
                [
                    "/jobs/none/heat",
                    Job + "/heat/none",
                    Job + "/heat/place?chip=none",
                    Job + "/heat/place/card?chip=GFX",
                    Job + "/heat/place/card.pdf",
                    Job + "/heat/place/plan.json",
                    Job + "/heat/place/plane/joints?chip=GFX",
                    Job + "/heat/place/state?chip=none",
                ]
        )
        {
            using HttpResponseMessage answer = await client.Http.GetAsync(
                new Uri(path, UriKind.Relative),
                TestContext.Current.CancellationToken
            );
            Assert.Equal(HttpStatusCode.NotFound, answer.StatusCode);
            Assert.Contains(
                "<h1",
                await answer.Content.ReadAsStringAsync(TestContext.Current.CancellationToken),
                StringComparison.Ordinal
            );
        }
    }
}
