using System.Text.RegularExpressions;
using Microsoft.Playwright;
using static Microsoft.Playwright.Assertions;

namespace Graftbench.Web.E2E;

public class FirstJobTests(BrowserBench browser) : IClassFixture<BrowserBench>
{
    [Fact]
    public async Task Today_shows_the_demo_with_its_clocks()
    {
        await using BenchPage bench = await browser.Open();
        await bench.Go("/");
        await Expect(bench.Heading("Today")).ToBeVisibleAsync();
        await Expect(bench.Page.GetByRole(AriaRole.Heading, new() { Level = 3 })).ToHaveCountAsync(3);
        ILocator clock = bench.Page.Locator("gb-countdown time").First;
        await Expect(clock)
            .ToHaveTextAsync(
                new Regex(@"^in \d+ (?:d|h|min) \d+ (?:h|min|s)$", RegexOptions.None, TimeSpan.FromSeconds(1))
            );
        bench.AssertQuiet();
    }

    [Fact]
    public async Task A_job_goes_from_an_empty_bench_to_its_plan_sheet()
    {
        await using BenchPage bench = await browser.Open(demo: false);
        await bench.Go("/");
        await Expect(bench.Heading("The bench is empty")).ToBeVisibleAsync();
        await bench.Link("Enter a new job").First.ClickAsync();
        await FillJob(bench, scripts: true);
        await bench.Button("Save and plan").ClickAsync();

        await Expect(bench.Heading("Synthesiser: voice chip")).ToBeVisibleAsync();
        await Expect(bench.Heading("Are the boards and the chip dry?")).ToBeVisibleAsync();
        await Expect(bench.Page.GetByText("coin cell", new() { Exact = false }).First).ToBeVisibleAsync();
        bench.AssertQuiet();

        await bench.Link("Plan sheet").First.ClickAsync();
        await Expect(bench.Page)
            .ToHaveURLAsync(
                new Regex("/jobs/synthesiser-voice-chip/sheet$", RegexOptions.None, TimeSpan.FromSeconds(1))
            );
        await Expect(bench.Page.GetByRole(AriaRole.Heading, new() { Level = 1 }))
            .ToContainTextAsync("Synthesiser: voice chip");
        bench.AssertQuiet();
    }

    [Fact]
    public async Task The_same_job_can_be_entered_without_scripts()
    {
        await using BenchPage bench = await browser.Open(demo: false, scripts: false);
        await bench.Go("/jobs/new");
        await FillJob(bench, scripts: false);
        await bench.Button("Save and plan").ClickAsync();
        await Expect(bench.Heading("Synthesiser: voice chip")).ToBeVisibleAsync();
    }

    [Fact]
    public async Task A_wrong_entry_is_named_at_the_top_and_the_link_leads_to_it()
    {
        await using BenchPage bench = await browser.Open(demo: false);
        await bench.Go("/jobs/new");
        await FillJob(bench, scripts: true);
        await bench.Field("Dryer holds").FillAsync("900");
        await bench.Button("Save and plan").ClickAsync();
        await Expect(bench.Page.GetByRole(AriaRole.Alert)).ToContainTextAsync("20");
        await bench.Link("Dryer holds").ClickAsync();
        await Expect(bench.Field("Dryer holds")).ToHaveValueAsync("900");
        await Expect(bench.Field("Dryer holds")).ToHaveAttributeAsync("aria-invalid", "true");
        await Expect(bench.Field("Job in one line (needed)")).ToHaveValueAsync("Synthesiser: voice chip");
    }

    [Fact]
    public async Task Enter_in_a_line_goes_to_the_next_field_and_saves_nothing()
    {
        await using BenchPage bench = await browser.Open(demo: false);
        await bench.Go("/jobs/new");
        await bench.Field("Job in one line (needed)").FillAsync("Half typed");
        await bench.Page.Keyboard.PressAsync("Enter");
        await Expect(bench.Field("Machine")).ToBeFocusedAsync();
        await Expect(bench.Heading("New job")).ToBeVisibleAsync();
        await Expect(bench.Field("Job in one line (needed)")).ToHaveValueAsync("Half typed");
        bench.AssertQuiet();
    }

    [Fact]
    public async Task Dryer_clock_starts_and_stops_by_its_buttons_and_survives_a_reload()
    {
        await using BenchPage bench = await browser.Open(demo: false);
        await bench.Go("/jobs/new");
        await FillJob(bench, scripts: true);
        await bench.Field("Coin cells").FillAsync("");
        await bench.Button("Save and plan").ClickAsync();

        await bench.Button("Into the dryer now").First.ClickAsync();
        await Expect(bench.Page.Locator("p.done")).ToHaveTextAsync("In the dryer: the clock runs.");
        await Expect(bench.Page.GetByText("In the dryer", new() { Exact = true }).First).ToBeVisibleAsync();
        await bench.Page.ReloadAsync();
        await Expect(bench.Page.Locator("gb-countdown time").First).ToContainTextAsync("in ");
        await bench.Page.WaitForTimeoutAsync(1100);
        await bench.Page.GetByRole(AriaRole.Button, new() { Name = "Taken out now" }).First.ClickAsync();
        await Expect(bench.Page.Locator("p.done")).ToHaveTextAsync("Taken out: the bake is on record.");
        bench.AssertQuiet();
    }

    [Fact]
    public async Task Moisture_slider_tells_what_is_left_at_each_time()
    {
        await using BenchPage bench = await browser.Open();
        await bench.Go("/jobs/arcade-graphics-chip#dry-donor");
        ILocator parts = bench
            .Page.Locator("#dry-donor details")
            .Filter(new() { HasText = "What takes the time" })
            .First;
        await parts.Locator("summary").First.ClickAsync();
        ILocator slider = parts.Locator("details[open] gb-profile").First.GetByRole(AriaRole.Slider);
        string before = (await slider.GetAttributeAsync("aria-valuetext"))!;
        await slider.FocusAsync();
        await bench.Page.Keyboard.PressAsync("End");
        await Expect(slider).Not.ToHaveAttributeAsync("aria-valuetext", before);
        await Expect(slider)
            .ToHaveAttributeAsync(
                "aria-valuetext",
                new Regex("% of saturated left", RegexOptions.None, TimeSpan.FromSeconds(1))
            );
    }

    [Fact]
    public async Task The_keyboard_alone_leads_from_Today_into_a_saved_note()
    {
        await using BenchPage bench = await browser.Open();
        await bench.Go("/");
        await bench.Page.Keyboard.PressAsync("Tab");
        await Expect(bench.Link("Skip to content")).ToBeFocusedAsync();
        await bench.Page.Keyboard.PressAsync("Enter");
        await TabTo(bench, bench.Page.Locator(".job-line a").First);
        await bench.Page.Keyboard.PressAsync("Enter");
        await Expect(bench.Page.GetByRole(AriaRole.Navigation, new() { Name = "The ten questions" }))
            .ToBeVisibleAsync();
        await TabTo(bench, bench.Link("Evidence"));
        await bench.Page.Keyboard.PressAsync("Enter");
        await TabTo(bench, bench.Field("Add a note"));
        await bench.Page.Keyboard.TypeAsync("Second meter agrees.");
        await TabTo(bench, bench.Button("Add the note"));
        await bench.Page.Keyboard.PressAsync("Enter");
        await Expect(bench.Page.GetByText("Second meter agrees.")).ToBeVisibleAsync();
        bench.AssertQuiet();
    }

    [Fact]
    public async Task Dark_is_kept_for_the_next_page()
    {
        await using BenchPage bench = await browser.Open();
        await bench.Go("/reference");
        await bench.Button("Dark").ClickAsync();
        await Expect(bench.Page).ToHaveURLAsync(bench.Address + "/reference");
        await bench.Link("Shelf").ClickAsync();
        await Expect(bench.Page.Locator("html")).ToHaveAttributeAsync("data-theme", "dark");
        await Expect(bench.Button("Dark")).ToHaveAttributeAsync("aria-pressed", "true");
    }

    [Fact]
    public async Task A_board_from_the_shelf_begins_a_new_job_with_its_heats()
    {
        await using BenchPage bench = await browser.Open(demo: false);
        await bench.Go("/shelf/board/new");
        await bench.Field("Name (needed)").FillAsync("Grey box, spare board");
        await bench.Field("Length (needed)").FillAsync("180");
        await bench.Field("Width (needed)").FillAsync("120");
        await bench.Button("Add a heat").ClickAsync();
        await bench.Field("What for").SelectOptionAsync("build");
        await bench.Field("When (needed)").FillAsync("2024-05-06T10:00");
        await bench.Button("Save").Last.ClickAsync();
        await bench.Link("Grey box, spare board: host of a new job").ClickAsync();
        await Expect(bench.Page.GetByText("From the shelf, as the host: Grey box, spare board, heats on record: 1"))
            .ToBeVisibleAsync();
        await Expect(bench.Field("Length (needed)", bench.Group("2 Host board"))).ToHaveValueAsync("180");
    }

    private static async Task TabTo(BenchPage bench, ILocator target)
    {
        for (int i = 0; i < 200; i++)
        {
            await bench.Page.Keyboard.PressAsync("Tab");
            if (await target.EvaluateAsync<bool>("element => element === document.activeElement"))
            {
                return;
            }
        }
        Assert.Fail("The Tab key did not reach the element.");
    }

    private static async Task FillJob(BenchPage bench, bool scripts)
    {
        await bench.Field("Job in one line (needed)").FillAsync("Synthesiser: voice chip");
        ILocator host = bench.Group("2 Host board");
        await bench.Field("Start from a size").SelectOptionAsync("card-100x160");
        if (!scripts)
        {
            await host.GetByRole(AriaRole.Button, new() { Name = "Take sizes" }).ClickAsync();
        }
        await Expect(bench.Field("Length (needed)", host)).ToHaveValueAsync("160");
        await bench.Field("Coin cells").FillAsync("1");
        ILocator chip = bench.Group("3 Chip");
        ILocator choice = bench.Field("Class from the package library");
        string last = (await choice.Locator("option").Last.GetAttributeAsync("value"))!;
        await choice.SelectOptionAsync(last);
        if (!scripts)
        {
            await chip.GetByRole(AriaRole.Button, new() { Name = "Take sizes" }).ClickAsync();
        }
        await Expect(bench.Field("Body length (needed)", chip)).Not.ToHaveValueAsync("");
        await bench.Button("Same board as the host: take its sizes").ClickAsync();
        await Expect(bench.Field("Length (needed)", bench.Group("4 Donor board"))).ToHaveValueAsync("160");
        await bench.Field("Room").FillAsync("21,5");
        await bench.Field("Room humidity").FillAsync("45");
    }
}
