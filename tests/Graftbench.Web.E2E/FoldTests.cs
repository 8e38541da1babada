using Microsoft.Playwright;
using static Microsoft.Playwright.Assertions;

namespace Graftbench.Web.E2E;

/// <summary>The page of a job shows ten answers; only the card of the next step is open, and what a person opens stays open.</summary>
public class FoldTests(BrowserBench browser) : IClassFixture<BrowserBench>
{
    private const string Tool = "/jobs/machine-tool-bridge-chip";
    private const string Next = "#question-2 details.card-fold";
    private const string Other = "#question-1 details.card-fold";

    [Fact]
    public async Task Only_the_card_of_the_next_step_is_open()
    {
        await using BenchPage bench = await browser.Open();
        await bench.Go(Tool);

        await Expect(bench.Page.Locator(".next-step")).ToContainTextAsync("To question 2");
        await Expect(bench.Page.Locator("details.card-fold[open]")).ToHaveCountAsync(1);
        await Expect(bench.Page.Locator(Next)).ToHaveAttributeAsync("open", "");
        // What decides is read without opening anything.
        await Expect(bench.Page.Locator("#question-1 .answer")).ToBeVisibleAsync();
        await Expect(bench.Page.Locator("#question-1").GetByRole(AriaRole.Link, new() { Name = "Open the fit sheet" }))
            .ToBeVisibleAsync();
        bench.AssertQuiet();
    }

    [Fact]
    public async Task What_was_opened_and_folded_by_hand_stays_so_over_a_reload()
    {
        await using BenchPage bench = await browser.Open();
        await bench.Go(Tool);
        await bench.Page.Locator(Other + " > summary").ClickAsync();
        await bench.Page.Locator(Next + " > summary").ClickAsync();
        await bench.Page.ReloadAsync();

        await Expect(bench.Page.Locator(Other)).ToHaveAttributeAsync("open", "");
        await Expect(bench.Page.Locator(Next)).Not.ToHaveAttributeAsync("open", "");
    }

    [Fact]
    public async Task An_address_within_a_folded_card_opens_it()
    {
        await using BenchPage bench = await browser.Open();
        await bench.Go(Tool + "#question-1");
        await Expect(bench.Page.Locator(Other)).ToHaveAttributeAsync("open", "");

        await bench.Page.Locator(Next + " > summary").ClickAsync();
        await bench.Page.EvaluateAsync("location.hash = 'dry-donor'");
        await Expect(bench.Page.Locator("#dry-donor")).ToBeInViewportAsync();
        await Expect(bench.Page.Locator(Next)).ToHaveAttributeAsync("open", "");
    }

    [Fact]
    public async Task Without_scripts_a_card_opens_by_hand()
    {
        await using BenchPage bench = await browser.Open(scripts: false);
        await bench.Go(Tool);
        await bench.Page.Locator(Other + " > summary").ClickAsync();
        await Expect(bench.Page.Locator(Other + " .finding").First).ToBeVisibleAsync();
    }
}
