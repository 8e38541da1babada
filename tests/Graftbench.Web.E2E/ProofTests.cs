using System.Globalization;
using System.Runtime.CompilerServices;
using System.Text;
using Microsoft.Playwright;
using static Microsoft.Playwright.Assertions;

namespace Graftbench.Web.E2E;

/// <summary>Fit sheet and readings in a browser, on the invented demo shop.</summary>
public class ProofTests(BrowserBench browser) : IClassFixture<BrowserBench>
{
    private const string Desk = "/jobs/mixing-desk-signal-processor";
    private const string Tool = "/jobs/machine-tool-bridge-chip";

    [Fact]
    public async Task A_chip_is_held_against_its_board_and_a_ball_is_picked()
    {
        await using BenchPage bench = await browser.Open();
        IPage page = bench.Page;
        await bench.Go(Desk);
        await Expect(page.Locator("#question-1")).ToContainTextAsync("Nothing found against it, but not known");
        await bench.Link("Open the fit sheet").ClickAsync();
        await Expect(bench.Heading("Fit")).ToBeVisibleAsync();
        await bench.AssertReadable("fit");

        // T10 of the chip's field carries another name; a tap shows both sides.
        ILocator field = page.Locator("gb-ball-field").Nth(1);
        await Tap(page, field, 15, 9);
        await Expect(page.Locator("#ball h3")).ToContainTextAsync("T10: signals under another name");
        await Expect(page.Locator("#ball table")).ToContainTextAsync("SPI_CS_N");
        await bench.Link("Seen from below").ClickAsync();
        await Expect(page.Locator("#ball h3")).ToContainTextAsync("T10");
        await bench.Picture("fit-below");

        await bench.Link("Enter what chip and board say").ClickAsync();
        await page.Locator("[name='host.gives.rails[0].setV']").FillAsync("1,5");
        await page.Locator("[name='host.gives.rails[0].measuredV']").FillAsync("");
        await bench.Button("Save").Last.ClickAsync();
        await bench.Go(Desk + "/fit");
        await Expect(page.Locator("main"))
            .ToContainTextAsync("No. chip DSP, VDDC: The board gives a voltage that the chip does not take.");
        await bench.Go(Desk + "/edit/fit");
        await bench.AssertReadable("fit-form");
        bench.AssertQuiet();
    }

    private static async Task Tap(IPage page, ILocator field, int row, int column)
    {
        await field.ScrollIntoViewIfNeededAsync();
        double[] at = await field.EvaluateAsync<double[]>(
            """
            (field, [row, column]) => {
              const d = field.dataset;
              const svg = field.querySelector("svg");
              const at = new DOMPoint(Number(d.x0) + column * Number(d.dx), Number(d.y0) + row * Number(d.dy)).matrixTransform(svg.getScreenCTM());
              return [at.x, at.y];
            }
            """,
            new[] { row, column }
        );
        await page.Mouse.ClickAsync((float)at[0], (float)at[1]);
    }

    [Fact]
    public async Task Readings_are_typed_with_keys_for_gloves_and_the_proof_stops_the_power()
    {
        await using BenchPage bench = await browser.Open();
        IPage page = bench.Page;
        await bench.Go(Tool);
        await page.Locator("#question-7").GetByRole(AriaRole.Link, new() { Name = "Take readings" }).ClickAsync();
        await bench.Field("Meter").FillAsync("M1");
        await bench.Field("Board, °C").FillAsync("21,5");
        await page.Locator("#leads").SelectOptionAsync("subtracted");
        await bench.Button("Measure like this").ClickAsync();
        await Expect(bench.Heading("V3")).ToBeVisibleAsync();
        // The place of the lead is tapped on the board: 120 mm from the left, 95 mm from below.
        await page.GetByText("Where it is measured").ClickAsync();
        ILocator board = page.Locator("gb-board-point");
        await board.ScrollIntoViewIfNeededAsync();
        double[] at = await board.EvaluateAsync<double[]>(
            """
            (board) => {
              const d = board.dataset;
              const at = new DOMPoint(Number(d.x0) + 120 * Number(d.scale), Number(d.y0) - 95 * Number(d.scale));
              const there = at.matrixTransform(board.querySelector("svg").getScreenCTM());
              return [there.x, there.y];
            }
            """
        );
        await page.Mouse.ClickAsync((float)at[0], (float)at[1]);
        await Expect(page.Locator("#x")).Not.ToHaveValueAsync("");
        string x = await page.Locator("#x").InputValueAsync();
        Assert.InRange(double.Parse(x, CultureInfo.InvariantCulture), 119.5, 120.5);
        await Keys(bench, "212");
        await bench.Button("Save, next net").ClickAsync();
        await Expect(bench.Heading("VCORE")).ToBeVisibleAsync();
        // The value has the focus: Enter stores.
        await Expect(page.Locator("#value")).ToBeFocusedAsync();
        await page.Keyboard.TypeAsync("1.9");
        await page.Keyboard.PressAsync("Enter");
        await Expect(bench.Heading("Every net here has a reading")).ToBeVisibleAsync();
        foreach (
            (string state, string v3, string core) in new[]
            {
                ("Donor's baseline", "236", "14.6"),
                ("After placing", "209", "0.31"),
            }
        )
        {
            await page.GetByRole(AriaRole.Link, new() { Name = state }).ClickAsync();
            await Expect(bench.Heading("V3")).ToBeVisibleAsync();
            await Expect(page.Locator("#value")).ToBeFocusedAsync();
            await page.Keyboard.TypeAsync(v3);
            await page.Keyboard.PressAsync("Enter");
            await Expect(bench.Heading("VCORE")).ToBeVisibleAsync();
            await Expect(page.Locator("#value")).ToBeFocusedAsync();
            await page.Keyboard.TypeAsync(core);
            await page.Keyboard.PressAsync("Enter");
            await Expect(bench.Heading("Every net here has a reading")).ToBeVisibleAsync();
        }
        await bench.AssertReadable("readings");
        await bench.Link("Proof before power").ClickAsync();
        await Expect(page.Locator("main")).ToContainTextAsync("Do not power: VCORE is 0.02 of its donor's baseline");
        await Expect(page.Locator("main")).ToContainTextAsync("Not yet: what stands against it is below.");
        await bench.AssertReadable("proof");
        // What is stored outlives a reload, and the job's page says the same.
        await bench.Go(Tool + "#question-7");
        await Expect(page.Locator("#question-7")).ToContainTextAsync("Do not power");
        bench.AssertQuiet();
    }

    private static async Task Keys(BenchPage bench, string keys)
    {
        foreach (char key in keys)
        {
            await bench.Button(key.ToString()).ClickAsync();
        }
    }

    [Fact]
    public async Task A_board_that_comes_back_after_weeks_shows_which_corner_has_moved()
    {
        await using BenchPage bench = await browser.Open();
        IPage page = bench.Page;
        await bench.Go(Tool + "/readings");
        await page.Locator("#list")
            .SetInputFilesAsync(
                new FilePayload
                {
                    Name = "both.csv",
                    MimeType = "text/csv",
                    Buffer = Encoding.UTF8.GetBytes(Corner()),
                }
            );
        await bench.Button("Import the list").ClickAsync();
        await Expect(page.GetByText("All readings of the list are saved.")).ToBeVisibleAsync();
        await bench.Go(Tool + "/returns");
        await Expect(page.Locator("main")).ToContainTextAsync("they lie together at a corner, which speaks for joints");
        await bench.AssertReadable("returns");
        bench.AssertQuiet();
    }

    // All nets fall by 6 mV (3 K warmer); four of them, whose balls lie at one corner, rise by 40 mV.
    private static string Corner()
    {
        string[] balls = ["A2", "A3", "B1", "B2"];
        Dictionary<string, string> netOf = File.ReadAllLines(Path.Combine(Folder(), "../../demo/bx272.csv"))
            .Select(line => line.Split(','))
            .Where(cells => cells.Length > 2 && cells[2] == "signal")
            .ToDictionary(cells => cells[0], cells => cells[1]);
        StringBuilder list = new("net,kind,value,unit,state,meter,repeat,temperature\n");
        int at = 0;
        foreach (
            (string ball, string net) in netOf.Where(one =>
                balls.Contains(one.Key) || one.Key.Length == 2 || one.Key[0] is 'W' or 'Y'
            )
        )
        {
            double before = 0.45 + (0.004 * (at++ % 20));
            double moved = balls.Contains(ball) ? 0.04 : 0;
            for (int repeat = 1; repeat <= 3; repeat++)
            {
                double noise = 0.001 * (repeat - 2);
                list.Append(
                    FormattableString.Invariant($"{net},diode,{before + noise:0.0000},V,handover,M1,{repeat},22\n")
                );
                list.Append(
                    FormattableString.Invariant(
                        $"{net},diode,{before + noise - 0.006 + moved:0.0000},V,return,M1,{repeat},25\n"
                    )
                );
            }
        }
        return list.ToString();
    }

    private static string Folder([CallerFilePath] string here = "") => Path.GetDirectoryName(here)!;
}
