using Graftbench.Core;
using Graftbench.Core.Heating;
using Graftbench.Tests.Shared;
using Graftbench.Web.Desk;
using Graftbench.Web.Heating;
using Microsoft.Playwright;

namespace Graftbench.Web.E2E;

/// <summary>From question 3 to the picture that a slider moves.</summary>
public class HeatTests(BrowserBench browser) : IClassFixture<BrowserBench>
{
    private const string Job = "/jobs/arcade-graphics-chip";
    private const string Place = Job + "/heat/place?chip=GFX";

    private static HeatPlanning Planning(HeatPlanState state = HeatPlanState.Planned) =>
        (job, task, chip, progress, cancel) =>
        {
            progress.Report(new PlanProgress("searching settings", 0.5));
            cancel.WaitHandle.WaitOne(300);
            cancel.ThrowIfCancellationRequested();
            return HeatJobs.Plan(job, task, chip, state);
        };

    private static async Task Compute(BenchPage bench)
    {
        await bench.Go(Place);
        await bench.Button("Compute heat plan").ClickAsync();
        // The page finds out by itself.
        await bench.Heading("What to set").WaitForAsync();
        await bench.Page.Locator("gb-heat-map[data-drawn]").WaitForAsync();
    }

    [Fact]
    public async Task From_question_three_to_the_bench_card_by_buttons()
    {
        await using BenchPage bench = await browser.Open(heat: Planning());
        await bench.Go(Job + "#question-3");
        await bench.Button("Compute heat plan").ClickAsync();
        await bench.Link("Open the heat plan").ClickAsync();
        await bench.Heading("What to set").WaitForAsync();
        Assert.Contains("/heat/place", bench.Page.Url, StringComparison.Ordinal);
        await bench.Link("Bench card").ClickAsync();
        await Assertions.Expect(bench.Page).ToHaveURLAsync($"{bench.Address}{Job}/heat/place/card?chip=GFX");
        Assert.Equal(1, await bench.Page.Locator("h1").CountAsync());
        bench.AssertQuiet();
    }

    [Fact]
    public async Task One_slider_moves_picture_clock_and_line_by_keyboard()
    {
        await using BenchPage bench = await browser.Open(heat: Planning());
        await Compute(bench);
        ILocator slider = bench.Field("Time of the run");
        ILocator map = bench.Page.Locator("gb-heat-map");
        ILocator clock = bench.Page.Locator(".heat-time output");
        string before = await clock.InnerTextAsync();
        await slider.FocusAsync();
        await bench.Page.Keyboard.PressAsync("Home");
        Assert.Equal("0:00", await clock.InnerTextAsync());
        Assert.NotEqual("0:00", before);
        await Assertions.Expect(map).ToHaveAttributeAsync("data-drawn", "joints 0");
        string left = await bench.Page.Locator(".heat-cursor").EvaluateAsync<string>("each => each.style.left");
        await bench.Page.Keyboard.PressAsync("End");
        await Assertions.Expect(map).ToHaveAttributeAsync("data-drawn", "joints 420");
        Assert.NotEqual(
            left,
            await bench.Page.Locator(".heat-cursor").EvaluateAsync<string>("each => each.style.left")
        );
        Assert.StartsWith(
            "7:00, Coldest joint",
            await slider.GetAttributeAsync("aria-valuetext"),
            StringComparison.Ordinal
        );
        await bench.Page.Locator("[data-plane=bottom]").ClickAsync();
        await Assertions.Expect(map).ToHaveAttributeAsync("data-drawn", "bottom 420");
        bench.AssertQuiet();
    }

    [Fact]
    public async Task A_point_of_the_picture_is_read_by_pointer_and_by_keys()
    {
        await using BenchPage bench = await browser.Open(heat: Planning());
        await Compute(bench);
        ILocator canvas = bench.Page.Locator(".heat-canvas canvas");
        ILocator reading = bench.Page.Locator("#heat-reading");
        await canvas.ScrollIntoViewIfNeededAsync();
        LocatorBoundingBoxResult box = (await canvas.BoundingBoxAsync())!;
        // The chip's middle is 150 mm from the left and 120 mm from the lower edge of a board of 305 by 230 mm.
        await bench.Page.Mouse.MoveAsync(box.X + (box.Width * 150 / 305), box.Y + (box.Height * (230 - 120) / 230));
        await Assertions.Expect(reading).ToContainTextAsync("150 mm from the left, 120 mm from the lower edge");
        string at = await reading.InnerTextAsync();
        double shown = double.Parse(at.Split(' ')[0], System.Globalization.CultureInfo.InvariantCulture);
        Assert.InRange(shown, 200, 240);
        await canvas.FocusAsync();
        await bench.Page.Keyboard.PressAsync("Shift+ArrowLeft");
        await Assertions.Expect(reading).ToContainTextAsync("125 mm from the left");
        bench.AssertQuiet();
    }

    [Fact]
    public async Task Play_runs_and_stops()
    {
        await using BenchPage bench = await browser.Open(heat: Planning());
        await Compute(bench);
        await bench.Field("Time of the run").FocusAsync();
        await bench.Page.Keyboard.PressAsync("Home");
        await bench.Button("Play").ClickAsync();
        await Assertions.Expect(bench.Page.Locator(".heat-time output")).Not.ToHaveTextAsync("0:00");
        await bench.Button("Stop").ClickAsync();
        await bench.Button("Play").WaitForAsync();
    }

    [Fact]
    public async Task Paper_is_light_where_the_screen_is_dark()
    {
        await using BenchPage bench = await browser.Open(light: ColorScheme.Dark);
        await bench.Go(Place);
        const string Ink = "getComputedStyle(document.documentElement).getPropertyValue('--gb-text').trim()";
        Assert.Equal("#ecebe4", await bench.Page.EvaluateAsync<string>(Ink));
        await bench.Page.EmulateMediaAsync(new() { Media = Media.Print, ColorScheme = ColorScheme.Dark });
        Assert.Equal("#1d2423", await bench.Page.EvaluateAsync<string>(Ink));
    }

    [Theory]
    [InlineData(ColorScheme.Light, HeatPlanState.Planned)]
    [InlineData(ColorScheme.Dark, HeatPlanState.NotPossible)]
    public async Task The_screen_passes_axe_with_everything_unfolded(ColorScheme light, HeatPlanState state)
    {
        await using BenchPage bench = await browser.Open(light: light, heat: Planning(state));
        await bench.Go(Place);
        await Unfolded(bench);
        await Compute(bench);
        await Unfolded(bench);
        await bench.Go(Job);
        await Unfolded(bench);
        await bench.Go(Job + "/heat/place/card?chip=GFX");
        await Unfolded(bench);
    }

    [Theory, InlineData(1366), InlineData(820), InlineData(420)]
    public async Task The_screen_neither_scrolls_sideways_nor_has_small_buttons(int width)
    {
        await using BenchPage bench = await browser.Open(width: width, heat: Planning(HeatPlanState.NotPossible));
        await Compute(bench);
        int over = await bench.Page.EvaluateAsync<int>(
            "document.documentElement.scrollWidth - document.documentElement.clientWidth"
        );
        Assert.True(over <= 0, $"{over} px wider than {width} px");
        string[] small = await bench.Page.EvaluateAsync<string[]>(
            "() => [...document.querySelectorAll('main button, main .button, main summary, main input')].filter(each => each.checkVisibility() && each.type !== 'hidden' && each.getBoundingClientRect().height < 47.5).map(each => each.outerHTML.slice(0, 120))"
        );
        Assert.Empty(small);
    }

    [Fact]
    public async Task Without_scripts_every_moment_has_its_pictures()
    {
        await using BenchPage bench = await browser.Open(scripts: false, heat: Planning());
        await bench.Go(Place);
        await bench.Button("Compute heat plan").ClickAsync();
        ILocator stages = bench.Heading("What to set");
        while (await stages.CountAsync() == 0)
        {
            await Task.Delay(200, TestContext.Current.CancellationToken);
            await bench.Go(Place);
        }
        Assert.Equal(3, await bench.Page.Locator(".heat-maps svg").CountAsync());
        await bench.Page.Locator(".heat-moments a").Last.ClickAsync();
        Assert.Contains("at=", bench.Page.Url, StringComparison.Ordinal);
        Assert.Equal(3, await bench.Page.Locator(".heat-maps svg").CountAsync());
        bench.AssertQuiet();
    }

    private static async Task Unfolded(BenchPage bench)
    {
        await bench.Page.EvaluateAsync("document.querySelectorAll('details').forEach(each => each.open = true)");
        Axe.None(await bench.Page.Violations(bench.Page.Url));
    }
}
