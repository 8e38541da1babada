using System.Runtime.CompilerServices;
using Microsoft.Playwright;

namespace Graftbench.Web.E2E;

/// <summary>A bench calibrated in a browser: from the log file to the line that says how far the model is trusted.</summary>
public class CalibrationTests(BrowserBench browser) : IClassFixture<BrowserBench>
{
    private static readonly string Corpus = Path.Combine(Folder(), "../corpus/calibration");

    [Theory, InlineData(true, ColorScheme.Light), InlineData(false, ColorScheme.Dark)]
    public async Task A_log_becomes_what_the_bench_screen_says(bool scripts, ColorScheme light)
    {
        await using BenchPage bench = await browser.Open(demo: false, scripts: scripts, light: light);
        await bench.Go("/import");
        await bench.Page.Locator("#file").SetInputFilesAsync(Path.Combine(Corpus, "scrap.json"));
        await bench.Button("Import").ClickAsync();
        await bench.Go("/");
        await bench.Page.GetByRole(AriaRole.Link, new() { Name = "Bench", Exact = true }).ClickAsync();
        await bench.Heading("Left bench").WaitForAsync();
        await Assertions
            .Expect(bench.Page.Locator(".bench .answer"))
            .ToHaveTextAsync("Never calibrated: usual figures count.");
        await bench.Page.GetByRole(AriaRole.Link, new() { Name = "Calibrate this bench" }).ClickAsync();
        await Check(bench, scripts);
        await bench
            .Page.Locator("#set")
            .FillAsync(
                await File.ReadAllTextAsync(Path.Combine(Corpus, "set.csv"), TestContext.Current.CancellationToken)
            );
        await bench.Page.Locator("#log").SetInputFilesAsync(Path.Combine(Corpus, "trial.csv"));
        (string Channel, string Place)[] probes = [("board", "58,60"), ("top", "body top"), ("far", "15,105")];
        for (int i = 0; i < probes.Length; i++)
        {
            await bench.Page.Locator($"#channel{i}").FillAsync(probes[i].Channel);
            await bench.Page.Locator($"#place{i}").FillAsync(probes[i].Place);
        }
        await bench.Page.GetByLabel("The nozzle was seen").CheckAsync();
        await bench.Button("Calibrate").ClickAsync();
        await bench.Button("Save it for this bench").WaitForAsync(new() { Timeout = 60_000 });
        await Check(bench, scripts);
        await bench.Button("Save it for this bench").ClickAsync();
        await Assertions
            .Expect(bench.Page.Locator(".bench .answer"))
            .ToContainTextAsync("the coldest joint is forecast to");
        await Check(bench, scripts);
        Assert.All(bench.Requests, url => Assert.StartsWith(bench.Address, url, StringComparison.Ordinal));
        bench.AssertQuiet();
    }

    private static async Task Check(BenchPage bench, bool scripts)
    {
        foreach (int width in (int[])[1366, 820, 420])
        {
            await bench.Page.SetViewportSizeAsync(width, 900);
            int over = await bench.Page.EvaluateAsync<int>(
                "document.documentElement.scrollWidth - document.documentElement.clientWidth"
            );
            Assert.True(over <= 0, $"The page is {over} px wider than {width} px.");
            string[] parts = new Uri(bench.Page.Url).AbsolutePath.Split('/', StringSplitOptions.RemoveEmptyEntries);
            await bench.Picture($"{(parts.Length > 1 ? parts[1] : "bench")}-{width}-{scripts}");
            if (!scripts)
            {
                continue;
            }
            Axe.None(await bench.Page.Violations($"{width} px"));
        }
    }

    private static string Folder([CallerFilePath] string file = "") => Path.GetDirectoryName(file)!;
}
