using System.Runtime.CompilerServices;
using Graftbench.Web.Tests;
using Microsoft.Playwright;
using static Microsoft.Playwright.Assertions;

namespace Graftbench.Web.E2E;

/// <summary>Pictures of an invented chip in a browser: looked at, corrected by keys, judged again.</summary>
public class PictureTests(BrowserBench browser) : IClassFixture<BrowserBench>
{
    private const string Screen = $"/jobs/{PictureFiles.Job}/pictures";

    [Theory]
    [InlineData(ColorScheme.Light, 1366, 900)]
    [InlineData(ColorScheme.Dark, 820, 1180)]
    [InlineData(ColorScheme.Light, 390, 844)]
    public async Task Balls_are_seen_corrected_by_keys_and_joints_follow(ColorScheme light, int width, int height)
    {
        await using BenchPage bench = await browser.Open(light: light, width: width, height: height);
        IPage page = bench.Page;
        await Import(bench);
        await bench.Go(Screen);
        await Add(bench, "balls on the chip", "upper right", "underside.jpg", "image/jpeg", PictureFiles.Balls);
        await Expect(page.Locator("[data-answer]")).ToContainTextAsync("141 of 144 balls as they should be: 3 missing");
        await Expect(page.Locator("a.seen-site")).ToHaveCountAsync(144);
        await bench.Picture($"pictures-balls-{width}");

        await page.Locator("a.seen-site[data-site=B2]").FocusAsync();
        // From below columns run to the left: to the right of B2 lies B1.
        await page.Keyboard.PressAsync("ArrowRight");
        await Expect(page.Locator("[data-site-title]")).ToHaveTextAsync("B1");
        await page.Keyboard.PressAsync("ArrowUp");
        await Expect(page.Locator("[data-site-title]")).ToHaveTextAsync("A1");
        await page.Keyboard.PressAsync("1");
        await Expect(page.Locator("[data-site-words]")).ToContainTextAsync("your word. Kept");
        await Expect(page.Locator("[data-answer]")).ToContainTextAsync("142 of 144");
        await bench.Button("Next place that is not good").ClickAsync();
        await Expect(page.Locator("[data-site-title]")).ToHaveTextAsync("A2");
        await bench.Picture($"pictures-corrected-{width}");
        await page.ReloadAsync();
        await Expect(page.Locator("[data-answer]")).ToContainTextAsync("142 of 144");
        await Quiet(bench);

        await bench.Go(Screen);
        await Add(bench, "X-ray", "upper left", "joints.png", "image/png", PictureFiles.XrayPng);
        await Expect(page.Locator("[data-answer]")).ToContainTextAsync("1 missing");
        await bench.Picture($"pictures-xray-{width}");
        await Quiet(bench);

        await bench.Go($"/jobs/{PictureFiles.Job}#question-6");
        await Expect(page.Locator("#question-6")).ToContainTextAsync("142 of 144 balls as they should be");
        await bench.Go(Screen);
        await bench.Picture($"pictures-list-{width}");
        await Quiet(bench);
        bench.AssertQuiet();
    }

    [Fact]
    public async Task A_side_is_marked_by_taps_and_measured()
    {
        await using BenchPage bench = await browser.Open();
        IPage page = bench.Page;
        await Import(bench);
        await bench.Go(Screen);
        await Add(bench, "from the side", null, "front.png", "image/png", PictureFiles.Side.Png);
        await Expect(page.Locator("[data-mark-line]"))
            .ToContainTextAsync("Tap in the picture: package, lower edge, left corner");
        foreach ((double x, double y) in PictureFiles.Side.Places)
        {
            await Tap(page, x, y);
        }
        await Expect(page.Locator("[data-mark-line]")).ToContainTextAsync("All places are marked");
        await bench.Field("Known length: thickness or edge of the body, mm").FillAsync(PictureFiles.Side.KnownMm);
        await bench.Button("Measure").ClickAsync();
        await Expect(page.Locator("[data-answer]")).ToContainTextAsync("Mean gap 0.400 mm");
        await bench.Picture("pictures-side");
        await Quiet(bench);
        bench.AssertQuiet();
    }

    private static async Task Tap(IPage page, double x, double y)
    {
        double[] at = await page.Locator("[data-picture]")
            .EvaluateAsync<double[]>(
                "(svg, [x, y]) => { svg.scrollIntoView({ block: 'start' }); const at = new DOMPoint(x, y).matrixTransform(svg.getScreenCTM()); return [at.x, at.y]; }",
                new[] { x, y }
            );
        await page.Mouse.ClickAsync((float)at[0], (float)at[1]);
    }

    private static async Task Import(BenchPage bench)
    {
        await bench.Go("/import");
        await bench
            .Page.Locator("#file")
            .SetInputFilesAsync(
                new FilePayload
                {
                    Name = "job.json",
                    MimeType = "application/json",
                    Buffer = PictureFiles.JobFile(Path.Combine(Folder(), "../../demo/arcade-graphics-chip.json")),
                }
            );
        await bench.Button("Import").ClickAsync();
    }

    private static async Task Add(BenchPage bench, string kind, string? corner, string name, string type, byte[] file)
    {
        await bench.Page.GetByText(kind, new() { Exact = true }).ClickAsync();
        if (corner is not null)
        {
            await bench.Page.Locator("#a1").SelectOptionAsync(new SelectOptionValue { Label = corner });
        }
        await bench
            .Page.Locator("#picture-file")
            .SetInputFilesAsync(
                new FilePayload
                {
                    Name = name,
                    MimeType = type,
                    Buffer = file,
                }
            );
        await bench.Button("Add and look").ClickAsync();
        await Expect(bench.Page.Locator("[data-answer]")).ToBeVisibleAsync(new() { Timeout = 60_000 });
    }

    private static async Task Quiet(BenchPage bench)
    {
        Axe.None(await bench.Page.Violations(bench.Page.Url));
        int wide = await bench.Page.EvaluateAsync<int>(
            "document.documentElement.scrollWidth - document.documentElement.clientWidth"
        );
        Assert.True(wide <= 0, $"{bench.Page.Url} scrolls sideways by {wide} px");
    }

    private static string Folder([CallerFilePath] string here = "") => Path.GetDirectoryName(here)!;
}
