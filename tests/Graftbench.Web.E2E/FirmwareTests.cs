using System.Text.RegularExpressions;
using Graftbench.Web.Tests;
using Microsoft.Playwright;
using static Microsoft.Playwright.Assertions;

namespace Graftbench.Web.E2E;

/// <summary>The firmware from two reads to an exact read-back, in a browser, on invented images.</summary>
public class FirmwareTests(BrowserBench browser) : IClassFixture<BrowserBench>
{
    private const string Job = "/jobs/arcade-graphics-chip";
    private const string Screen = Job + "/firmware";

    [Fact]
    public async Task A_technician_goes_from_two_reads_to_an_exact_read_back()
    {
        await using BenchPage bench = await browser.Open();
        IPage page = bench.Page;
        await bench.Go(Job);
        await bench.Link("Open the firmware").ClickAsync();
        byte[] own = FirmwareFiles.Own();
        await Add(bench, "read of this board's chip", true, ("first.bin", own), ("second.bin", own));
        await Add(bench, "newer image", false, ("maker.bin", FirmwareFiles.Newer()));

        await bench.Link("Trust").ClickAsync();
        await bench.Field("Capacity by the chip's marking").SelectOptionAsync("1024");
        await bench.Button("Save").ClickAsync();
        await Expect(page.GetByText("Trusted: 2 reads of 1 MiB are equal.")).ToBeVisibleAsync();

        await bench.Link("Processor").ClickAsync();
        await bench.Field("Signature of the new processor, hexadecimal").FillAsync(FirmwareFiles.Signature);
        await bench.Button("Ask the images").ClickAsync();
        await Expect(page.GetByText("The newer image lists the processor", new() { Exact = true }).First)
            .ToBeVisibleAsync();

        await bench.Link("What is where").ClickAsync();
        ILocator parts = page.Locator("a.flash-part");
        await parts.First.FocusAsync();
        await page.Keyboard.PressAsync("ArrowRight");
        string second = await parts.Nth(1).GetAttributeAsync("aria-label") ?? "";
        await Expect(page.Locator("[data-flash-line]")).ToHaveTextAsync(second);
        await page.Keyboard.PressAsync("Enter");
        await Expect(
                page.GetByRole(
                    AriaRole.Heading,
                    new() { NameRegex = new("^At 1000h", RegexOptions.None, TimeSpan.FromSeconds(1)) }
                )
            )
            .ToBeVisibleAsync();
        await bench.Field("Text to find").FillAsync(FirmwareFiles.Serial);
        await bench.Button("Show").ClickAsync();
        await Expect(
                page.GetByRole(
                    AriaRole.Heading,
                    new() { NameRegex = new("^Found [0-9]+ times", RegexOptions.None, TimeSpan.FromSeconds(1)) }
                )
            )
            .ToBeVisibleAsync();

        await bench.Link("Identity").ClickAsync();
        ILocator ticks = page.Locator("input[name=take]");
        Assert.True(await ticks.CountAsync() > 3);
        await page.Locator("#authority").FillAsync("Owner, signed order of 3 March; invoice seen");
        foreach (string name in (string[])["same", "twice", "locks"])
        {
            await page.Locator($"input[name={name}]").FocusAsync();
            await page.Keyboard.PressAsync("Space");
        }
        await bench.Button("Combine into a new image").ClickAsync();
        await Expect(bench.Heading("Combined image")).ToBeVisibleAsync();
        IDownload download = await page.RunAndWaitForDownloadAsync(() => bench.Link("Download the image").ClickAsync());
        byte[] combined = await System.IO.File.ReadAllBytesAsync(
            await download.PathAsync(),
            TestContext.Current.CancellationToken
        );
        Assert.Equal("arcade-graphics-chip-combined-1.bin", download.SuggestedFilename);

        await bench.Link("Read-back").First.ClickAsync();
        await bench.Field("Read-back (choose, or drop it here)").SetInputFilesAsync(File("back.bin", combined));
        await bench.Button("Add and compare").ClickAsync();
        await Expect(page.GetByText("Exact: the chip holds the intended image.").First).ToBeVisibleAsync();

        await bench.Go(Job);
        await Expect(page.Locator("#question-8")).ToContainTextAsync("Read-back exact");
        await Expect(page.Locator("#question-8 .card-head .verdict")).ToContainTextAsync("Ok");
        bench.AssertQuiet();
    }

    [Fact]
    public async Task Files_can_be_dropped_on_the_form()
    {
        await using BenchPage bench = await browser.Open();
        await bench.Go(Screen);
        await bench.Page.EvaluateAsync(
            """
            () => {
              const files = new DataTransfer();
              files.items.add(new File([new Uint8Array(4096).fill(7)], "one.bin"));
              files.items.add(new File([new Uint8Array(4096).fill(8)], "two.bin"));
              document.querySelector("[data-drop]").dispatchEvent(
                new DragEvent("drop", { dataTransfer: files, bubbles: true, cancelable: true }));
            }
            """
        );
        await bench.Button("Add to the record").ClickAsync();
        await Expect(bench.Heading("one.bin")).ToBeVisibleAsync();
        await Expect(bench.Heading("two.bin")).ToBeVisibleAsync();
        bench.AssertQuiet();
    }

    [Fact]
    public async Task Every_part_passes_axe_is_large_enough_and_never_scrolls_sideways()
    {
        await using BenchPage bench = await browser.Open();
        await Filled(bench);
        List<string> wrong = [];
        foreach (string part in Parts)
        {
            await bench.Go($"{Screen}?step={part}");
            await bench.Page.EvaluateAsync("document.querySelectorAll('details').forEach(each => each.open = true)");
            foreach (int width in (int[])[1366, 820, 420])
            {
                await bench.Page.SetViewportSizeAsync(width, 900);
                int over = await bench.Page.EvaluateAsync<int>(
                    "document.documentElement.scrollWidth - document.documentElement.clientWidth"
                );
                if (over > 0)
                {
                    wrong.Add($"{part} is {over} px wider than {width} px");
                }
                const string Small = """
                    () => [...document.querySelectorAll('button, .button, select, summary, .firmware-step a, main input:not([type=hidden]):not([type=checkbox]):not([type=radio]), main textarea')]
                      .filter(each => each.checkVisibility() && each.getBoundingClientRect().height < 47.5)
                      .map(each => each.outerHTML.slice(0, 120))
                    """;
                wrong.AddRange(
                    (await bench.Page.EvaluateAsync<string[]>(Small)).Select(html =>
                        $"{part}, {width} px: small: {html}"
                    )
                );
            }
            wrong.AddRange(await bench.Page.Violations(part));
            wrong.AddRange(await bench.Page.ColourViolations(ColorScheme.Dark, part));
            await bench.Page.EmulateMediaAsync(new() { ColorScheme = ColorScheme.Light });
        }
        Assert.True(wrong.Count == 0, string.Join('\n', wrong));
    }

    /// <summary>Addresses of all parts, with something in each.</summary>
    internal static readonly string[] Parts =
    [
        "images",
        "trust",
        "map",
        "map&at=80080",
        $"map&text={FirmwareFiles.Serial}",
        "compare",
        "knows",
        "identity",
        "combined",
        "read-back",
    ];

    /// <summary>A record with reads that differ, a newer image, a combination and a read-back.</summary>
    internal static async Task Filled(BenchPage bench)
    {
        byte[] own = FirmwareFiles.Own();
        await bench.Go(Screen);
        await Add(bench, "read of this board's chip", true, ("first.bin", own), ("second.bin", own));
        await Add(bench, "newer image", false, ("maker.bin", FirmwareFiles.Newer()));
        await bench.Go($"{Screen}?step=knows");
        await bench.Field("Signature of the new processor, hexadecimal").FillAsync(FirmwareFiles.Signature);
        await bench.Button("Ask the images").ClickAsync();
        await bench.Go($"{Screen}?step=identity");
        await bench.Page.Locator("#authority").FillAsync("Owner, signed order of 3 March; invoice seen");
        foreach (string name in (string[])["same", "twice", "locks"])
        {
            await bench.Page.Locator($"input[name={name}]").CheckAsync();
        }
        await bench.Button("Combine into a new image").ClickAsync();
        await Expect(bench.Heading("Combined image")).ToBeVisibleAsync();
        await bench.Go(Screen);
        await Add(bench, "read of this board's chip", true, ("third.bin", FirmwareFiles.Noisy()));
        await Add(bench, "read-back after writing", false, ("back.bin", FirmwareFiles.Newer()));
    }

    private static async Task Add(BenchPage bench, string role, bool anew, params (string Name, byte[] Bytes)[] files)
    {
        await bench.Field(role).CheckAsync();
        if (anew)
        {
            await bench.Field("Each file is a read of its own: read anew, clip seated again").CheckAsync();
        }
        await bench
            .Page.Locator("#firmware-file")
            .SetInputFilesAsync(files.Select(file => File(file.Name, file.Bytes)));
        await bench.Button("Add to the record").ClickAsync();
        await Expect(bench.Page.GetByText("Attached as evidence", new() { Exact = false })).ToBeVisibleAsync();
    }

    private static FilePayload File(string name, byte[] bytes) =>
        new()
        {
            Name = name,
            MimeType = "application/octet-stream",
            Buffer = bytes,
        };
}
