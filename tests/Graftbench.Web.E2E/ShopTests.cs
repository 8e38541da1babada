using Microsoft.Playwright;
using static Microsoft.Playwright.Assertions;

namespace Graftbench.Web.E2E;

/// <summary>Two benches on one record: what one does the other sees, and nothing is lost where both change the same job.</summary>
public class ShopTests(BrowserBench browser) : IClassFixture<BrowserBench>
{
    private const string Tool = "/jobs/machine-tool-bridge-chip";

    [Fact]
    public async Task What_the_other_bench_does_appears_and_two_versions_are_saved_together()
    {
        await using BenchPage bench = await browser.Open();
        IPage left = bench.Page;
        IPage right = await left.Context.NewPageAsync();
        await bench.Go("/");
        await Expect(left.Locator("gb-live")).ToHaveAttributeAsync("data-state", "listening");

        await right.GotoAsync(bench.Address + Tool + "/edit/machine");
        await right.GetByLabel("Job in one line").FillAsync("Renamed at the other bench");
        await right.GetByRole(AriaRole.Button, new() { Name = "Save", Exact = true }).Last.ClickAsync();
        // Shown without a reload, as nobody types here.
        await Expect(left.Locator("main")).ToContainTextAsync("Renamed at the other bench");

        await bench.Go(Tool);
        await Expect(left.Locator("gb-live")).ToHaveAttributeAsync("data-state", "listening");
        await right.GotoAsync(bench.Address + Tool + "/edit/machine");
        await left.GotoAsync(bench.Address + Tool + "/edit/machine");
        await right.GetByLabel("Owner", new() { Exact = true }).FillAsync("Right owner");
        await right.GetByLabel("What is wrong").FillAsync("Right says so");
        await right.GetByRole(AriaRole.Button, new() { Name = "Save", Exact = true }).Last.ClickAsync();
        await Expect(right.GetByRole(AriaRole.Status).First).ToContainTextAsync("Saved");

        await bench.Field("Owner").FillAsync("Left owner");
        await bench.Field("Serial number").FillAsync("LEFT-7");
        await bench.Button("Save").Last.ClickAsync();
        await Expect(bench.Heading("Two versions of this job")).ToBeVisibleAsync();
        Assert.All(bench.Complaints, one => Assert.Contains("409 (Conflict)", one, StringComparison.Ordinal));
        bench.Complaints.Clear();
        await bench.AssertReadable("merge");
        await left.GetByLabel("Yours").CheckAsync();
        await bench.Button("Save both together").ClickAsync();
        await Expect(left.Locator("p.done")).ToContainTextAsync("saved together");

        // The job page of the other bench says that it is old.
        await Expect(right.Locator(".live-news")).ToContainTextAsync("added to this job just now");
        await right.GetByRole(AriaRole.Link, new() { Name = "Show it" }).ClickAsync();
        await right.GotoAsync(bench.Address + Tool + "/edit/machine");
        await Expect(right.GetByLabel("Owner", new() { Exact = true })).ToHaveValueAsync("Left owner");
        await Expect(right.GetByLabel("Serial number")).ToHaveValueAsync("LEFT-7");
        await Expect(right.GetByLabel("What is wrong")).ToHaveValueAsync("Right says so");
        bench.AssertQuiet();
    }

    [Fact]
    public async Task Jobs_are_found_while_the_words_are_typed_with_the_keyboard_alone()
    {
        await using BenchPage bench = await browser.Open();
        IPage page = bench.Page;
        await bench.Go("/jobs");
        await page.Keyboard.PressAsync("/");
        await page.Keyboard.TypeAsync("brid");
        await Expect(bench.Heading("1 job")).ToBeVisibleAsync();
        await Expect(page.Locator("mark").First).ToBeVisibleAsync();
        await bench.AssertReadable("jobs");
        await page.Keyboard.PressAsync("ArrowDown");
        await page.Keyboard.PressAsync("Enter");
        await Expect(page.Locator("#question-1")).ToBeVisibleAsync();
        await page.GoBackAsync();
        await Expect(bench.Field("Find")).ToHaveValueAsync("brid");
        bench.AssertQuiet();

        await using BenchPage plain = await browser.Open(scripts: false);
        await plain.Go("/jobs");
        await plain.Field("Find").FillAsync("brid");
        await plain.Button("Find").ClickAsync();
        await Expect(plain.Heading("1 job")).ToBeVisibleAsync();
    }

    [Theory, InlineData(true), InlineData(false)]
    public async Task A_customers_name_is_taken_out_after_a_look(bool scripts)
    {
        await using BenchPage bench = await browser.Open(scripts: scripts);
        IPage page = bench.Page;
        await bench.Go(Tool + "/edit/machine");
        await bench.Field("Owner").FillAsync("Zuzana Quxyková, Mill Lane 7");
        await bench.Button("Save").Last.ClickAsync();
        await bench.Field("Add a note").FillAsync("Zuzana Quxykova called: chip lifted at 231 °C");
        await bench.Button("Add the note").ClickAsync();
        await bench.Link("Take out personal data").ClickAsync();
        ILocator words = bench.Field("Words, one on each line");
        Assert.Contains("Zuzana Quxyková, Mill Lane 7", await words.InputValueAsync(), StringComparison.Ordinal);
        await words.FillAsync("zuzana quxykova\nMill Lane 7");
        await bench.Button("Look what would change").ClickAsync();
        await Expect(page.Locator("table")).ToContainTextAsync("[removed] called: chip lifted at 231 °C");
        if (scripts)
        {
            await bench.AssertReadable("personal-data");
        }
        await bench.Field("Why").FillAsync("the owner's letter of 3 May");
        await page.GetByLabel("I looked at every place and file above").CheckAsync();
        await bench.Button("Take it out for good").ClickAsync();
        await Expect(bench.Heading("Personal data taken out")).ToBeVisibleAsync();
        if (scripts)
        {
            await bench.AssertReadable("personal-data-done");
        }
        await bench.Link("The record").ClickAsync();
        await Expect(page.Locator("main")).ToContainTextAsync("[removed] called: chip lifted at 231 °C");
        await Expect(page.Locator("main")).Not.ToContainTextAsync("Quxyk");
        bench.AssertQuiet();
    }
}
