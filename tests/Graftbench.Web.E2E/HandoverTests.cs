using Microsoft.Playwright;
using static Microsoft.Playwright.Assertions;

namespace Graftbench.Web.E2E;

/// <summary>Hand-over in a browser, on the invented demo shop.</summary>
public class HandoverTests(BrowserBench browser) : IClassFixture<BrowserBench>
{
    private const string Tool = "/jobs/machine-tool-bridge-chip";

    // What stands against it, each with its way to set it aside.
    private const string Stops =
        "section[aria-labelledby='part-fix-first'] details.waive, section[aria-labelledby='part-blocker'] details.waive";

    private static readonly (string Label, string Text)[] Entered =
    [
        ("What was done, and why", "The bridge chip had cracked joints; it was replaced by the same one."),
        ("What works now", "All axes move, the display is steady."),
        ("Limits", "Keep the fan running."),
        ("What the owner was told", "By telephone: not all of it could be tested; agreed."),
        ("Length", "60"),
        ("Not covered", "Drops, liquid, opened by others."),
        ("Ran for", "6"),
        ("The owner's data", "Untouched."),
        ("Old parts and waste", "The old chip is kept for disposal."),
        ("Where trouble is reported", "Mill Lane 3, Monday to Friday"),
    ];

    [Fact]
    public async Task A_machine_is_handed_over_once_nothing_stands_against_it_and_undo_brings_it_back()
    {
        await using BenchPage bench = await browser.Open();
        IPage page = bench.Page;
        await bench.Go(Tool);
        await page.Locator("#question-10").GetByRole(AriaRole.Link, new() { Name = "Open the hand-over" }).ClickAsync();
        await Expect(bench.Heading("Hand-over")).ToBeVisibleAsync();
        await bench.AssertReadable("handover-before");
        await bench.Link("Enter for the sheet").First.ClickAsync();
        foreach ((string label, string text) in Entered)
        {
            await bench.Field(label).FillAsync(text);
        }
        await bench.AssertReadable("handover-form");
        await bench.Button("Save").Last.ClickAsync();
        await bench.Go(Tool + "/handover");
        await bench.Button("Hand it over").ClickAsync();
        await Expect(page.GetByRole(AriaRole.Alert)).ToContainTextAsync("Nothing was handed over.");
        // The browser notes the refusal's status; nothing else may be noted.
        Assert.All(bench.Complaints, one => Assert.Contains("409 (Conflict)", one, StringComparison.Ordinal));
        bench.Complaints.Clear();
        await bench.AssertReadable("handover-refused");

        for (int i = 0; i < 40 && await page.Locator(Stops).CountAsync() > 0; i++)
        {
            ILocator box = page.Locator(Stops).First;
            await box.Locator("summary").ClickAsync();
            await box.GetByLabel("Why the work goes on all the same").FillAsync("told to the owner, agreed");
            await box.GetByRole(AriaRole.Button).ClickAsync();
            await Expect(page.Locator("p.done")).ToContainTextAsync("Set aside with your reason");
            await bench.Go(Tool + "/handover");
        }
        await Expect(page.Locator("main")).ToContainTextAsync("It may be handed over");
        await bench.Button("Hand it over").ClickAsync();
        await Expect(page.GetByRole(AriaRole.Status)).ToContainTextAsync("the sheet is kept in the record");
        await Expect(page.Locator("main")).ToContainTextAsync("warranty until");
        await bench.AssertReadable("handover-over");
        // It outlives a reload; the first page counts the job as handed over.
        await bench.Go(Tool);
        await Expect(page.Locator("#question-10")).ToContainTextAsync("Handed over");
        await bench.Go(Tool + "/handover/sheet");
        await Expect(page.Locator("main")).ToContainTextAsync("NOT tested, so nothing is promised about it:");
        await Expect(page.Locator("main")).Not.ToContainTextAsync("told to the owner, agreed");
        await bench.Picture("handover-sheet");

        await bench.Go(Tool + "/handover");
        await bench.Link("Undo the last change").ClickAsync();
        await bench.Button("Undo").ClickAsync();
        await bench.Go(Tool + "/handover");
        await bench.Button("Hand it over").ClickAsync();
        await Expect(page.GetByRole(AriaRole.Status)).ToContainTextAsync("the sheet is kept in the record");

        // Weeks later it is on the bench again, with all that was known then.
        await page.GetByText("It came back").ClickAsync();
        await page.GetByLabel("What the owner says").FillAsync("The display flickers when it is warm.");
        await bench.Button("Open it again").ClickAsync();
        await Expect(bench.Heading("Then and now")).ToBeVisibleAsync();
        await Expect(page.Locator("table.then-now")).ToContainTextAsync("The display flickers when it is warm.");
        await Expect(page.Locator("table.then-now")).ToContainTextAsync("came back within it");
        await bench.AssertReadable("came-back");
        bench.AssertQuiet();
    }
}
