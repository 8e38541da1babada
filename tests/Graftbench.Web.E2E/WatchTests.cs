using System.Diagnostics;
using System.Globalization;
using System.Net;
using System.Net.Sockets;
using Graftbench.Store;
using Graftbench.Tests.Shared;
using Graftbench.Web.Heating;
using Microsoft.Playwright;

namespace Graftbench.Web.E2E;

/// <summary>A heat watched in a real browser: from its source to its end, and through the death of the bench.</summary>
[Collection(Alone.Name)]
public class WatchTests(BrowserBench browser) : IClassFixture<BrowserBench>
{
    private const string Plan = "/jobs/arcade-graphics-chip/heat/place?chip=GFX";
    private const string Watch = "/jobs/arcade-graphics-chip/heat/place/watch?chip=GFX";
    private static readonly LocatorWaitForOptions Patient = new() { Timeout = 120_000 };

    private static HeatPlanning Planning => (job, task, chip, _, _) => WatchPlans.Of(job, task, chip);

    private static async Task Start(IPage page, string address, string speed)
    {
        await page.GotoAsync(address + Watch);
        await page.GetByLabel("Simulated bench, for learning: nothing is heated").CheckAsync();
        await page.Locator("input[name=speed]").FillAsync(speed);
        await page.GetByRole(AriaRole.Button, new PageGetByRoleOptions { Name = "Listen to it" }).ClickAsync();
        // The advised places are drawn, the first two as the fields below have them.
        ILocator places = page.GetByRole(AriaRole.Img, new() { Name = "Advised places for probes, seen from the top" });
        await Assertions.Expect(places.Locator("g > title")).Not.ToHaveCountAsync(0);
        await Assertions
            .Expect(page.Locator("select[name='place-0'] option:checked"))
            .ToContainTextAsync(await places.Locator("g > title").First.TextContentAsync() ?? "no place");
        Axe.None(await page.Violations("prepare"));
        await page.GetByLabel("I have looked from two sides").CheckAsync();
        await page.GetByRole(AriaRole.Button, new PageGetByRoleOptions { Name = "Build the model" }).ClickAsync();
        ILocator start = page.GetByRole(
            AriaRole.Button,
            new PageGetByRoleOptions { Name = "Start: the heaters go on now" }
        );
        await start.WaitForAsync(Patient);
        await start.ClickAsync();
        await page.Locator("gb-watch").WaitForAsync();
    }

    private static async Task Compute(BenchPage bench)
    {
        await bench.Go(Plan);
        await bench.Button("Compute heat plan").ClickAsync();
        await bench.Link("Watch this heat").WaitForAsync(Patient);
    }

    [Fact]
    public async Task A_simulated_heat_is_watched_from_its_start_to_its_review()
    {
        await using BenchPage bench = await browser.Open(heat: Planning);
        await Compute(bench);
        await Start(bench.Page, bench.Address, "30");
        await bench.Page.GetByText("SIMULATION: nothing is heated").WaitForAsync();
        await bench.Page.Keyboard.PressAsync("1");
        await bench.Page.GetByText("moved: kept").WaitForAsync();
        await Assertions
            .Expect(bench.Page.Locator("[data-list=marks]"))
            .ToContainTextAsync("Preheat reached", new() { Timeout = 60_000 });
        await bench.Field("Gas, °C").FillAsync("345");
        await bench.Button("That counts now").ClickAsync();
        await bench.Page.GetByText("set: kept").WaitForAsync();
        await bench.Page.GetByText("as you have set").WaitForAsync();
        await bench.Button("Sound on").ClickAsync();
        await bench.Button("Sound is on").WaitForAsync();
        Axe.None(await bench.Page.Violations("watch"));
        // What was set by hand counts until the person says that the heaters are off.
        await bench.Page.Locator("gb-watch[data-cue=let-settle]").WaitForAsync(Patient);
        await bench.Picture("watch-let-settle");
        await bench.Button("Heaters are off").ClickAsync();
        await Assertions.Expect(bench.Page.Locator("[data-show=settings]")).ToContainTextAsync("gas off");
        await bench.Page.Locator("gb-watch[data-cue=solid]").WaitForAsync(Patient);
        await Assertions.Expect(bench.Page.Locator("[data-live-words]")).ToContainTextAsync("Solid");
        await bench.Picture("watch-solid");
        await bench.Page.GetByText("End the run").ClickAsync();
        await bench.Button("End now").ClickAsync();
        await bench.Heading("Ended").WaitForAsync();
        // What was said on the way stands in the record, however fast the page was.
        ILocator happened = bench.Page.Locator(".watch-happened-list");
        foreach (string said in (string[])["moved", "Preheat reached", "Let it settle", "Do not move it", "Solid"])
        {
            await Assertions.Expect(happened).ToContainTextAsync(said);
        }
        await bench.Link("Review").ClickAsync();
        await Assertions.Expect(bench.Page.GetByRole(AriaRole.Note)).ToContainTextAsync("SIMULATION");
        await bench.Button("Compute joint temperatures").ClickAsync();
        await Assertions
            .Expect(bench.Page.Locator(".heat-answer .answer"))
            .ToContainTextAsync("coldest", new() { Timeout = 120_000 });
        await bench.Picture("watch-review");
        bench.AssertQuiet();
    }

    /// <summary>One heat runs on; the page is opened anew on a screen of each size.</summary>
    [Fact]
    public async Task Nothing_is_cut_off_and_keys_are_large_enough_for_gloves()
    {
        await using BenchPage bench = await browser.Open(heat: Planning);
        await Compute(bench);
        await Start(bench.Page, bench.Address, "1");
        foreach ((int width, int height) in ((int, int)[])[(1366, 768), (820, 1180), (420, 900)])
        {
            await bench.Page.SetViewportSizeAsync(width, height);
            await bench.Page.ReloadAsync();
            await bench.Page.Locator("gb-watch").WaitForAsync();
            await FitsScreen(bench, width, height);
        }
    }

    private static async Task FitsScreen(BenchPage bench, int width, int height)
    {
        int wide = await bench.Page.EvaluateAsync<int>("document.documentElement.scrollWidth");
        Assert.True(wide <= width, $"{wide} px wide on {width}");
        foreach (string key in new[] { "Moved", "Dropped", "Smelled", "Popped" })
        {
            LocatorBoundingBoxResult box = (
                await bench.Page.Locator($".watch-key:has-text('{key}')").BoundingBoxAsync()
            )!;
            Assert.True(box.Height >= 56 && box.Width >= 90, $"{key} on {width} px: {box.Width} x {box.Height}");
        }
        // The cue and the coldest joint are on the screen without scrolling.
        LocatorBoundingBoxResult coldest = (await bench.Page.Locator(".watch-big").BoundingBoxAsync())!;
        Assert.True(coldest.Y + coldest.Height < height, $"{coldest.Y + coldest.Height} on {width} x {height}");
        float headline = (await bench.Page.Locator(".watch-headline").BoundingBoxAsync())!.Height;
        Assert.True(headline >= 40, $"{headline} on {width} px");
    }

    /// <summary>Rounds come from the variable <c>GRAFTBENCH_KILLS</c>; scripts/kill-watch does twenty.</summary>
    [Fact]
    public async Task A_killed_bench_loses_nothing_it_acknowledged_and_the_page_finds_it_again()
    {
        int rounds = int.TryParse(
            Environment.GetEnvironmentVariable("GRAFTBENCH_KILLS"),
            CultureInfo.InvariantCulture,
            out int asked
        )
            ? asked
            : 2;
        await using BenchPage bench = await browser.Open(demo: false);
        IPage page = bench.Page;
        page.SetDefaultTimeout(90_000);
        string folder = Directory.CreateTempSubdirectory("graftbench-killed-").FullName;
        int port = FreePort();
        string address = $"http://127.0.0.1:{port.ToString(CultureInfo.InvariantCulture)}";
        Random random = new(rounds);
        Process process = await KilledBench.Start(folder, port);
        try
        {
            for (int round = 1; round <= rounds; round++)
            {
                await Planned(page, address);
                await Start(page, address, "20");
                string run = page.Url.Split('/')[^1];
                await page.WaitForFunctionAsync(
                    "() => parseInt(document.querySelector('[data-show=stored]').textContent) > 10"
                );
                await Task.Delay(random.Next(0, 2500));
                long acknowledged = await page.EvaluateAsync<long>(
                    "parseInt(document.querySelector('[data-show=stored]').textContent.replaceAll(',', ''))"
                );
                process.Kill();
                await process.WaitForExitAsync();
                await page.GetByText("No connection", new PageGetByTextOptions { Exact = true }).WaitForAsync();
                Stopwatch away = Stopwatch.StartNew();
                process = await KilledBench.Start(folder, port);
                await page.GetByRole(AriaRole.Heading, new PageGetByRoleOptions { Name = "Interrupted" })
                    .WaitForAsync(Patient);
                using BenchStore store = BenchStore.Open(folder, TimeProvider.System);
                IReadOnlyList<HeatSample> kept = store.Samples(run);
                Assert.True(kept.Count >= acknowledged, $"round {round}: {kept.Count} of {acknowledged}");
                Assert.All(kept.Zip(kept.Skip(1)), pair => Assert.True(pair.Second.TimeS > pair.First.TimeS));
                Assert.Equal(HeatRunState.Interrupted, store.FindRun(run)!.State);
                Assert.NotNull(store.FindRun(run)!.EvidenceSequence);
                Assert.True(store.Verify().IsWhole);
                Console.WriteLine(
                    string.Create(
                        CultureInfo.InvariantCulture,
                        $"round {round}: {acknowledged} acknowledged, {kept.Count} kept, page back after {away.Elapsed.TotalSeconds:0.0} s"
                    )
                );
            }
        }
        finally
        {
            process.Kill();
            await process.WaitForExitAsync();
            Directory.Delete(folder, recursive: true);
        }
    }

    private static async Task Planned(IPage page, string address)
    {
        Stopwatch waited = Stopwatch.StartNew();
        do
        {
            await page.GotoAsync(address + Watch);
            Assert.True(waited.Elapsed < TimeSpan.FromSeconds(60), "There is no plan.");
        } while (
            await page.GetByRole(AriaRole.Button, new PageGetByRoleOptions { Name = "Listen to it" }).CountAsync() == 0
        );
    }

    private static int FreePort()
    {
        using TcpListener probe = new(IPAddress.Loopback, 0);
        probe.Start();
        return ((IPEndPoint)probe.LocalEndpoint).Port;
    }
}
