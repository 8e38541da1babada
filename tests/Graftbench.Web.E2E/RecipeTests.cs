using System.Runtime.CompilerServices;
using Microsoft.Playwright;
using static Microsoft.Playwright.Assertions;

namespace Graftbench.Web.E2E;

/// <summary>The jobs of the cookbook in a browser, as somebody new plays them: taken in with their files, then read.</summary>
public class RecipeTests(BrowserBench browser) : IClassFixture<BrowserBench>
{
    // What a page may weigh on its first load, as it goes over the wire.
    private const int MostBytes = 150 * 1024;

    private static readonly string Home = Path.GetFullPath(Path.Combine(Folder(), "../../recipes"));

    /// <summary>Recipe, its document, the files that it names, the question that decides, and the words that must be on its card.</summary>
    public static TheoryData<string, string, string[], int, string> Jobs =>
        new()
        {
            { "core-voltage", "job.json", ["sp256-a.csv", "sp256-d.csv"], 1, "a voltage that the chip does not take" },
            { "core-voltage", "revision-c.json", ["sp256-a.csv", "sp256-c.csv"], 1, "Nothing found against it" },
            { "slow-dryer", "job.json", [], 2, "Not dry" },
            { "underside-parts", "job.json", [], 2, "Not dry" },
            { "neighbour-connector", "job.json", [], 3, "heat plan" },
            { "firmware-lacks-chip", "job.json", [], 8, "flash" },
            { "came-back", "job.json", ["sp256-a.csv", "return.csv"], 10, "they lie together at a corner" },
            { "from-intake-to-hand-over", "soak.json", ["sp256-a.csv", "readings.csv"], 10, "It may be handed over" },
        };

    [Theory]
    [MemberData(nameof(Jobs))]
    public async Task A_recipe_is_taken_in_with_its_files_and_its_card_says_what_counts(
        string recipe,
        string document,
        string[] files,
        int question,
        string says
    )
    {
        await using BenchPage bench = await browser.Open(demo: false);
        await TakeIn(bench, recipe, [document, .. files]);
        ILocator card = bench.Page.Locator($"#question-{question}");
        await Expect(card).ToContainTextAsync(says);
        await bench.Picture($"recipe-{recipe}-{Path.GetFileNameWithoutExtension(document)}");
        Axe.None(await bench.Page.Violations(recipe));
        bench.AssertQuiet();
    }

    [Fact]
    public async Task No_page_of_a_whole_job_is_heavy_on_its_first_load()
    {
        await using BenchPage bench = await browser.Open();
        List<string> heavy = [];
        foreach (
            string address in (string[])
                [
                    "/",
                    "/jobs",
                    "/jobs/new",
                    "/reference",
                    "/bench",
                    "/shelf",
                    "/insight",
                    "/jobs/machine-tool-bridge-chip",
                    "/jobs/arcade-graphics-chip",
                    "/jobs/mixing-desk-signal-processor",
                    "/jobs/mixing-desk-signal-processor/fit",
                    "/jobs/machine-tool-bridge-chip/handover",
                    "/jobs/machine-tool-bridge-chip/readings",
                    "/jobs/machine-tool-bridge-chip/firmware",
                    "/jobs/machine-tool-bridge-chip/edit/host-parts",
                ]
        )
        {
            // A browser that was here before would not fetch scripts again.
            await using IBrowserContext fresh = await browser.Device(width: 1366, height: 900);
            IPage page = await fresh.NewPageAsync();
            await page.GotoAsync(bench.Address + address);
            int bytes = await page.EvaluateAsync<int>(
                "[...performance.getEntriesByType('navigation'), ...performance.getEntriesByType('resource')]"
                    + ".reduce((sum, each) => sum + each.transferSize, 0)"
            );
            Assert.True(bytes > 1000, $"{address}: {bytes} bytes were counted");
            if (bytes > MostBytes)
            {
                heavy.Add($"{address}: {bytes / 1024} KiB");
            }
        }
        Assert.True(heavy.Count == 0, string.Join('\n', heavy));
    }

    [Fact]
    public async Task Files_that_do_not_belong_to_the_job_are_all_named_and_nothing_is_stored()
    {
        await using BenchPage bench = await browser.Open(demo: false);
        await bench.Go("/import");
        await bench
            .Field("Files")
            .SetInputFilesAsync([
                Path.Combine(Home, "core-voltage/job.json"),
                Path.Combine(Home, "core-voltage/sp256-c.csv"),
                Path.Combine(Home, "came-back/return.csv"),
            ]);
        await bench.Button("Import").ClickAsync();
        ILocator alert = bench.Page.GetByRole(AriaRole.Alert);
        await Expect(alert).ToContainTextAsync("sp256-c.csv: the job does not name this file");
        await Expect(alert).ToContainTextAsync("return.csv: the job does not name this file");
        Assert.Empty(bench.Store.Records());
    }

    private static async Task TakeIn(BenchPage bench, string recipe, string[] files)
    {
        await bench.Go("/");
        await bench.Page.GetByRole(AriaRole.Link, new() { Name = "Import" }).First.ClickAsync();
        await bench.Field("Files").SetInputFilesAsync(files.Select(file => Path.Combine(Home, recipe, file)));
        await bench.Button("Import").ClickAsync();
        await Expect(bench.Page.GetByText("Imported.")).ToBeVisibleAsync();
    }

    private static string Folder([CallerFilePath] string file = "") => Path.GetDirectoryName(file)!;
}
