using Graftbench.Tests.Shared;
using Microsoft.Playwright;
using static Microsoft.Playwright.Assertions;

namespace Graftbench.Web.E2E;

/// <summary>What the shop learned, and time and cost of a job, in a browser.</summary>
public class InsightTests(BrowserBench browser) : IClassFixture<BrowserBench>
{
    private const string Arcade = "/jobs/arcade-graphics-chip";

    [Fact]
    public async Task What_the_jobs_teach_can_be_read_and_narrowed()
    {
        await using BenchPage bench = await browser.Open(
            demo: false,
            fill: folder => InsightShop.Fill(folder, TimeProvider.System.GetUtcNow())
        );
        IPage page = bench.Page;
        await bench.Go("/");
        await bench.Link("Insight").ClickAsync();
        await Expect(bench.Heading("Insight")).ToBeVisibleAsync();
        // A slow machine shows a line of progress first, which goes by itself.
        await Expect(page.Locator("main"))
            .ToContainTextAsync($"{InsightShop.Worked} of {InsightShop.Decided} decided jobs worked");
        await Expect(page.Locator(".insight-told"))
            .ToContainTextAsync("Solder, lead-free: worked more often than the rest");
        await bench.AssertReadable("insight");
        await page.EvaluateAsync("document.querySelectorAll('details').forEach(each => each.open = true)");
        await bench.AssertReadable("insight-tables");
        await page.EmulateMediaAsync(new() { ColorScheme = ColorScheme.Dark });
        await bench.Picture("insight-dark");
        await page.EmulateMediaAsync(new() { ColorScheme = ColorScheme.Light });

        await bench.Field("Days of watching").FillAsync("365");
        await bench.Button("Count").ClickAsync();
        await Expect(page.Locator("main")).ToContainTextAsync("No job is decided yet.");
        await bench.AssertReadable("insight-undecided");
        bench.AssertQuiet();
    }

    [Fact]
    public async Task An_empty_shop_is_told_where_to_begin()
    {
        await using BenchPage bench = await browser.Open(demo: false);
        await bench.Go("/insight");
        await Expect(bench.Heading("No job to count")).ToBeVisibleAsync();
        await bench.AssertReadable("insight-empty");
        bench.AssertQuiet();
    }

    [Fact]
    public async Task Minutes_are_entered_by_big_buttons_and_added_up()
    {
        await using BenchPage bench = await browser.Open();
        IPage page = bench.Page;
        await bench.Go(Arcade);
        ILocator section = page.Locator("#work");
        await section.Locator("summary").ClickAsync();
        await section.GetByText("Clean the chip", new() { Exact = true }).ClickAsync();
        await section.GetByRole(AriaRole.Button, new() { Name = "15 minutes more" }).ClickAsync();
        await section.GetByRole(AriaRole.Button, new() { Name = "5 minutes more", Exact = true }).ClickAsync();
        await section.GetByRole(AriaRole.Button, new() { Name = "5 minutes less" }).ClickAsync();
        await Expect(section.GetByLabel("Minutes", new() { Exact = true })).ToHaveValueAsync("15");
        await bench.AssertReadable("work-form");
        await section.GetByRole(AriaRole.Button, new() { Name = "Save" }).ClickAsync();
        await Expect(page.Locator("#work .work-list")).ToContainTextAsync("Clean the chip");
        await Expect(page.Locator("#work .work-list")).ToContainTextAsync("15 min");
        await bench.AssertReadable("work-stored");
        bench.AssertQuiet();
    }
}
