using System.Text.RegularExpressions;
using Microsoft.Playwright;

namespace Graftbench.Web.E2E;

/// <summary>Solder on the lands: the slider that draws the cut anew, and the whole answer, on the real planner.</summary>
public partial class JointTests(BrowserBench browser) : IClassFixture<BrowserBench>
{
    private const string Screen = "/jobs/arcade-graphics-chip/joints?chip=GFX";

    // Of 200 drawn packages one or two may fail.
    [GeneratedRegex(@"all form in (?:99\.\d|100) % of packages", RegexOptions.None, 1000)]
    private static partial Regex NearlyAll();

    [Fact]
    public async Task The_slider_draws_the_cut_and_the_field_anew_by_keyboard()
    {
        await using BenchPage bench = await browser.Open();
        await bench.Go(Screen);
        ILocator line = bench.Page.Locator("[data-look-result] .answer");
        await Assertions.Expect(bench.Button("Show")).ToBeHiddenAsync();
        string before = await line.InnerTextAsync();
        ILocator slider = bench.Field("Mean height on the lands");
        await slider.FocusAsync();
        await bench.Page.Keyboard.PressAsync("Home");
        await Assertions.Expect(line).Not.ToHaveTextAsync(before);
        Assert.Equal("0 mm", await bench.Page.Locator("[data-dome]").InnerTextAsync());
        for (int i = 0; i < 20; i++)
        {
            await bench.Page.Keyboard.PressAsync("ArrowRight");
        }
        await Assertions.Expect(line).ToContainTextAsync(NearlyAll());
        Assert.Equal(2, await bench.Page.Locator("[data-look-result] svg[role=img]").CountAsync());
        bench.AssertQuiet();
    }

    [Fact]
    public async Task The_whole_answer_neither_scrolls_sideways_nor_fails_a_reader_at_any_width()
    {
        await using BenchPage bench = await browser.Open();
        await bench.Go(Screen);
        await bench.Button("Compute joint seat").ClickAsync();
        await bench.Heading("What helps, side by side").WaitForAsync(new() { Timeout = 60_000 });
        await bench.Page.EvaluateAsync("document.querySelectorAll('details').forEach(each => each.open = true)");
        foreach (int width in (int[])[1366, 820, 420])
        {
            await bench.Page.SetViewportSizeAsync(width, 900);
            int over = await bench.Page.EvaluateAsync<int>(
                "document.documentElement.scrollWidth - document.documentElement.clientWidth"
            );
            Assert.True(over <= 0, $"The page is {over} px wider than {width} px.");
            Axe.None(await bench.Page.Violations($"{width} px"));
        }
        // On the job's page the answer stands in its own card, and what is found nowhere else.
        await bench.Page.SetViewportSizeAsync(1366, 900);
        await bench.Go("/jobs/arcade-graphics-chip#question-5");
        await Assertions
            .Expect(bench.Page.Locator("#question-5 .card-fold .code").Filter(new() { HasText = "joints." }).First)
            .ToBeVisibleAsync();
        await Assertions
            .Expect(bench.Page.Locator(".other-findings .code").Filter(new() { HasText = "joints." }))
            .ToHaveCountAsync(0);
    }
}
