using Microsoft.Playwright;
using static Microsoft.Playwright.Assertions;

namespace Graftbench.Web.E2E;

/// <summary>A board that does not work, diagnosed in a real browser: by taps, by keys, and without scripts.</summary>
public class DiagnosisTests(BrowserBench browser) : IClassFixture<BrowserBench>
{
    private const string Job = "/jobs/arcade-graphics-chip";
    private const string Screen = Job + "/diagnosis";

    [Fact]
    public async Task Outcomes_are_tapped_one_is_taken_back_and_the_closed_case_outlives_a_reload()
    {
        await using BenchPage bench = await browser.Open();
        await bench.Go(Job);
        await bench.Link("Open the diagnosis").ClickAsync();
        ILocator next = bench.Page.Locator(".next-test");
        await Expect(next).ToContainTextAsync("Press the package");
        await bench.Picture("diagnosis-start");

        // Another test than the next one is a tap further away.
        await bench
            .Page.Locator(".tests > li", new() { HasText = "Supply current at the first start" })
            .Locator("summary")
            .First.ClickAsync();
        await bench.Button("It rises and then starts anew").ClickAsync();
        await Expect(bench.Page.GetByRole(AriaRole.Status)).ToContainTextAsync("Recorded");
        // The page stayed: only its content was replaced. Then a key for the next test's second outcome.
        await bench.Page.EvaluateAsync("() => { window.stayed = true; }");
        await Expect(next).ToContainTextAsync("Press the package");
        await bench.Page.Keyboard.PressAsync("2");
        await Expect(next).ToContainTextAsync("Read the boot memory again");
        // The worked case of docs/models/diagnosis.md: .2540, then .6355 and .3183.
        await Expect(bench.Page.Locator(".causes > li").First).ToContainTextAsync("25 in 100");
        await bench.Picture("diagnosis-two");
        await next.GetByRole(AriaRole.Button, new() { Name = "The image is wrong or lacks the chip" }).ClickAsync();
        await Expect(bench.Page.Locator(".causes > li").First)
            .ToContainTextAsync("Firmware does not know the chip 64 in 100");
        await Expect(bench.Page.Locator(".causes > li").Nth(1)).ToContainTextAsync("32 in 100");
        await Expect(bench.Page.Locator(".answer").First).ToContainTextAsync("Not decided");
        Assert.True(await bench.Page.EvaluateAsync<bool>("window.stayed === true"));
        await Looks(bench, "diagnosis-three");

        await bench.Page.Locator(".seen > li").First.GetByRole(AriaRole.Button).ClickAsync();
        await Expect(bench.Page.Locator(".seen > li")).ToHaveCountAsync(2);
        await Expect(bench.Page.Locator(".causes > li").First).ToContainTextAsync("25 in 100");

        await bench.Page.GetByLabel("What it was").SelectOptionAsync("firmware");
        await bench.Page.GetByLabel("What was done").FillAsync("newer image written and read back");
        await bench.Page.GetByLabel("one action alone undid it").CheckAsync();
        await bench.Button("Close the case").ClickAsync();
        await Expect(bench.Page.Locator(".answer").First).ToContainTextAsync("Closed: Firmware does not know the chip");
        await bench.Page.ReloadAsync();
        await Expect(bench.Page.Locator(".answer").First).ToContainTextAsync("Closed: Firmware does not know the chip");
        await Expect(bench.Page.Locator(".next-test")).ToHaveCountAsync(0);
        // What the case taught does not speak for it a second time.
        await Expect(bench.Page.Locator(".causes > li").First).ToContainTextAsync("25 in 100");
        await bench.Page.GetByText("closed case of this shop").ClickAsync();
        await Looks(bench, "diagnosis-closed");
        await bench.Go(Job + "#question-9");
        await Expect(bench.Page.Locator("#question-9")).ToContainTextAsync("Closed: Firmware does not know the chip");
        bench.AssertQuiet();
    }

    [Fact]
    public async Task A_row_is_refused_and_then_taken_without_scripts_and_the_page_prints_light()
    {
        await using BenchPage bench = await browser.Open(scripts: false, light: ColorScheme.Dark, width: 820);
        await bench.Go(Screen + "?table=press&edit=pillow");
        await bench.Field("the behaviour changes").FillAsync("0.9");
        await bench.Field("nothing changes").FillAsync("0.2");
        await bench.Field("Who changes it").FillAsync("Ada");
        await bench.Field("Why").FillAsync("eleven of twelve here");
        await bench.Button("Let this row count").ClickAsync();
        await Expect(bench.Page.GetByRole(AriaRole.Alert)).ToContainTextAsync("sum to 1.1, not to 1");
        await Expect(bench.Field("Why")).ToHaveValueAsync("eleven of twelve here");
        await bench.Picture("diagnosis-refused");
        await bench.Field("nothing changes").FillAsync("0.1");
        await bench.Button("Let this row count").ClickAsync();
        await Expect(bench.Page.GetByRole(AriaRole.Status)).ToContainTextAsync("The row counts from now on");
        await bench.Page.EmulateMediaAsync(new() { Media = Media.Print, ColorScheme = ColorScheme.Dark });
        Assert.Equal(
            "rgb(255, 255, 255)",
            await bench.Page.EvaluateAsync<string>("getComputedStyle(document.body).backgroundColor")
        );
        await bench.Picture("diagnosis-print");
    }

    // The rules in both schemes, and no screen from a phone's on that scrolls sideways.
    private static async Task Looks(BenchPage bench, string name)
    {
        await bench.Page.EvaluateAsync("document.querySelectorAll('details').forEach(each => each.open = true)");
        foreach ((int width, int height) in ((int, int)[])[(390, 844), (820, 1180), (1366, 900)])
        {
            await bench.Page.SetViewportSizeAsync(width, height);
            int over = await bench.Page.EvaluateAsync<int>(
                "document.documentElement.scrollWidth - document.documentElement.clientWidth"
            );
            await bench.Picture($"{name}-{width}");
            Assert.True(over <= 0, $"{name} is {over} px wider than {width} px.");
            string[] small = await bench.Page.EvaluateAsync<string[]>(
                """
                () => [...document.querySelectorAll('gb-diagnosis button, gb-diagnosis select, gb-diagnosis summary, gb-diagnosis input:not([type=hidden]):not([type=radio])')]
                  .filter(each => each.checkVisibility() && each.getBoundingClientRect().height < 47.5)
                  .map(each => each.outerHTML.slice(0, 120))
                """
            );
            Assert.True(small.Length == 0, string.Join('\n', small));
            if (width == 820)
            {
                Axe.None(await bench.Page.ColourViolations(ColorScheme.Dark, name));
                await bench.Picture($"{name}-dark");
                Axe.None(await bench.Page.Violations($"{name} {width} dark"));
                await bench.Page.EmulateMediaAsync(new() { ColorScheme = ColorScheme.Light });
            }
        }
        Axe.None(await bench.Page.Violations($"{name} 1366"));
    }
}
