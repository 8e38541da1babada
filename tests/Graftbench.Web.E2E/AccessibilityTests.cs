using Microsoft.Playwright;
using static Microsoft.Playwright.Assertions;

namespace Graftbench.Web.E2E;

public class AccessibilityTests(BrowserBench browser) : IClassFixture<BrowserBench>
{
    private static readonly string[] Addresses =
    [
        "/",
        "/jobs/new",
        "/import",
        "/shelf",
        "/shelf/board/new",
        "/shelf/chip/new",
        "/shelf/material/new",
        "/bench",
        "/bench/calibrate?job=arcade-graphics-chip",
        "/reference",
        "/jobs/arcade-graphics-chip",
        "/jobs/mixing-desk-signal-processor",
        "/jobs/arcade-graphics-chip/edit/machine",
        "/jobs/arcade-graphics-chip/edit/host-parts",
        "/jobs/arcade-graphics-chip/edit/chips",
        "/jobs/arcade-graphics-chip/edit/host",
        "/jobs/arcade-graphics-chip/edit/heaters",
        "/jobs/arcade-graphics-chip/edit/dryer",
        "/jobs/arcade-graphics-chip/edit/history",
        "/jobs/arcade-graphics-chip/edit/heats",
        "/jobs/arcade-graphics-chip/add/weighing",
        "/jobs/arcade-graphics-chip/add/heat",
        "/jobs/arcade-graphics-chip/add/work",
        "/jobs/arcade-graphics-chip/add/exposure?of=host",
        "/jobs/arcade-graphics-chip/edit/donor",
        "/jobs/arcade-graphics-chip/edit/fit",
        "/jobs/arcade-graphics-chip/edit/handover",
        "/jobs/arcade-graphics-chip/edit/materials",
        "/jobs/arcade-graphics-chip/edit/seat",
        "/jobs/arcade-graphics-chip/edit/weighings",
        "/jobs/arcade-graphics-chip/record",
        "/jobs/arcade-graphics-chip/personal-data",
        "/jobs",
        "/devices",
        "/jobs/arcade-graphics-chip/edit/work",
        "/insight",
        "/nothing",
    ];

    [Fact]
    public async Task Every_page_passes_axe_with_everything_unfolded()
    {
        await using BenchPage bench = await browser.Open();
        List<string> violations = [];
        foreach (string address in Addresses)
        {
            await bench.Go(address);
            // What is folded away counts too.
            await bench.Page.EvaluateAsync("document.querySelectorAll('details').forEach(each => each.open = true)");
            violations.AddRange(await bench.Page.Violations(address));
            violations.AddRange(await bench.Page.ColourViolations(ColorScheme.Dark, address));
            await bench.Page.EmulateMediaAsync(new() { ColorScheme = ColorScheme.Light });
        }
        Axe.None(violations);
        Assert.All(bench.Complaints, complaint => Assert.Contains("404", complaint, StringComparison.Ordinal));
        Assert.All(bench.Requests, url => Assert.StartsWith(bench.Address, url, StringComparison.Ordinal));
    }

    [Theory, InlineData(1366), InlineData(1024), InlineData(820), InlineData(390)]
    public async Task No_page_scrolls_sideways(int width)
    {
        await using BenchPage bench = await browser.Open(width: width);
        foreach (string address in Addresses)
        {
            await bench.Go(address);
            int over = await bench.Page.EvaluateAsync<int>(
                "document.documentElement.scrollWidth - document.documentElement.clientWidth"
            );
            Assert.True(over <= 0, $"{address} is {over} px wider than {width} px");
        }
    }

    [Fact]
    public async Task The_filter_of_the_reference_leaves_only_what_holds_the_words_on_a_phone_too()
    {
        await using BenchPage bench = await browser.Open(width: 390);
        await bench.Go("/reference");
        ILocator seen = bench.Page.Locator(".reference-table tbody tr:visible, .truth-block:visible");
        int all = await seen.CountAsync();
        await bench.Field("Show only rows with").PressSequentiallyAsync("lambert");
        await Expect(seen).ToHaveCountAsync(1);
        await Expect(bench.Page.Locator(".truth-question:visible")).ToHaveCountAsync(1);
        await bench.Field("Show only rows with").FillAsync("mlcc");
        await Expect(bench.Page.Locator(".truth-block:visible")).ToHaveCountAsync(0);
        await Expect(bench.Page.Locator("#table-neighbour-limits tr:visible").First).ToBeVisibleAsync();
        await bench.Field("Show only rows with").FillAsync("");
        await Expect(seen).ToHaveCountAsync(all);
    }

    [Fact]
    public async Task Everything_that_is_pressed_is_large_enough_for_gloves()
    {
        const string small = """
            () => [...document.querySelectorAll('button, .button, select, summary, main input:not([type=hidden]):not([type=checkbox]):not([type=radio]), main textarea')]
              .filter(each => !each.classList.contains('first-button') && each.checkVisibility() && !each.closest('.waive'))
              .filter(each => each.getBoundingClientRect().height < 47.5)
              .map(each => each.outerHTML.slice(0, 120))
            """;
        await using BenchPage bench = await browser.Open(width: 820);
        foreach (string address in Addresses)
        {
            await bench.Go(address);
            string[] found = await bench.Page.EvaluateAsync<string[]>(small);
            Assert.True(found.Length == 0, $"{address}: {string.Join('\n', found)}");
        }
    }
}
