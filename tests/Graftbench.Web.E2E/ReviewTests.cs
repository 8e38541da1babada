using System.Globalization;
using System.Text;
using Graftbench.Core.Heating;
using Graftbench.Core.Jobs;
using Graftbench.Core.Physics.Heat;
using Graftbench.Core.Reviewing;
using Graftbench.Core.Watching;
using Microsoft.Playwright;

namespace Graftbench.Web.E2E;

/// <summary>A logger's file becomes a run, is reviewed with its joints estimated, and can be read on any screen and paper.</summary>
public class ReviewTests(BrowserBench browser) : IClassFixture<BrowserBench>
{
    private const string JobId = "machine-tool-bridge-chip";

    private static readonly HeatSchedule Plan = new(
        [new(0, 25), new(120, 180), new(220, 230), new(300, 310), new(340, 310), new(341, 25)],
        [new(0, 25), new(60, 150), new(220, 200), new(340, 230), new(341, 25)],
        460
    );

    // Made by the simulated bench from the demo job, and marked as that.
    private static string LogOf(byte[] document)
    {
        Job job = JobReader.Read(document, DateTimeOffset.Now).Job!;
        BoardHeatModel model = new HeatModels().Build(job, HeatTask.Place, "BRIDGE", null, null);
        double x = model.Chip.X0Mm - 5;
        double y = (model.Chip.Y0Mm + model.Chip.Y1Mm) / 2;
        WatchProbe[] probes =
        [
            new("top", model.Places.First(place => place.Kind == HeatPlaceKind.BodyTop)),
            new("beside", new HeatPlace("beside", HeatPlaceKind.Probe, null, x, y, 0)),
        ];
        SimulatedHeat heat = SimulatedBench.Run(new WatchSetup(model, probes), Plan, new BenchTruth(), rough: true);
        RunSetup setup = new()
        {
            Task = HeatTask.Place,
            ChipId = "BRIDGE",
            Plan = Plan,
            HeatingS = 340,
            Simulated = true,
            AlignmentChecked = true,
            Probes =
            [
                new RunProbe("top", "body"),
                new RunProbe("beside", string.Create(CultureInfo.InvariantCulture, $"{x:0.0},{y:0.0}")),
            ],
        };
        StringBuilder text = new(
            "# SIMULATION\n# setup " + setup.ToJson() + "\n# mark 200,moved,tape came off\ntimeS,top,beside\n"
        );
        foreach (IGrouping<double, ProbeReading> moment in heat.Readings.GroupBy(reading => reading.TimeS))
        {
            if (moment.Key is not (> 90 and < 120))
            {
                text.Append(CultureInfo.InvariantCulture, $"{moment.Key:0.0}");
                foreach (ProbeReading reading in moment)
                {
                    text.Append(CultureInfo.InvariantCulture, $",{reading.TemperatureC:0.0}");
                }
                text.Append('\n');
            }
        }
        return text.ToString();
    }

    private static async Task<BenchPage> Reviewed(BenchPage bench)
    {
        IAPIResponse document = await bench.Page.APIRequest.GetAsync($"{bench.Address}/jobs/{JobId}/job.json");
        string log = LogOf(await document.BodyAsync());
        await bench.Go($"/jobs/{JobId}");
        await bench
            .Page.Locator("#question-4")
            .GetByRole(AriaRole.Link, new() { Name = "Review a logger's file" })
            .ClickAsync();
        await bench
            .Field("Log file")
            .SetInputFilesAsync(
                new FilePayload
                {
                    Name = "heat.csv",
                    MimeType = "text/csv",
                    Buffer = Encoding.UTF8.GetBytes(log),
                }
            );
        await bench.Button("Look into it").ClickAsync();
        await bench.Page.GetByLabel("What it was for").SelectOptionAsync("place BRIDGE");
        return bench;
    }

    [Fact]
    public async Task A_log_is_confirmed_reviewed_and_readable_everywhere()
    {
        await using BenchPage bench = await browser.Open();
        await Reviewed(bench);
        await Look(bench, "confirm");
        await bench.Button("Save as a run and review it").ClickAsync();
        await Assertions.Expect(bench.Page.GetByRole(AriaRole.Note)).ToContainTextAsync("SIMULATION");
        await bench.Button("Compute joint temperatures").ClickAsync();
        ILocator answer = bench.Page.Locator(".heat-answer .answer");
        await Assertions.Expect(answer).ToContainTextAsync("coldest", new() { Timeout = 120_000 });
        await Assertions.Expect(answer).ToContainTextAsync("SIMULATION");
        Assert.Contains(
            "no readings",
            await bench.Page.Locator(".picture svg").First.InnerHTMLAsync(),
            StringComparison.Ordinal
        );
        await Assertions.Expect(bench.Button("Write to the heat ledger")).ToHaveCountAsync(0);
        await Look(bench, "review");
        await bench.Page.EmulateMediaAsync(new() { Media = Media.Print, ColorScheme = ColorScheme.Dark });
        string paper = await bench.Page.EvaluateAsync<string>("getComputedStyle(document.body).backgroundColor");
        string ink = await bench.Page.EvaluateAsync<string>("getComputedStyle(document.body).color");
        Assert.True(Brightness(paper) > Brightness(ink), $"printed from dark: {ink} on {paper}");
        await bench.Picture("review-print");
        bench.AssertQuiet();
    }

    [Fact]
    public async Task It_works_without_scripts_too()
    {
        await using BenchPage bench = await browser.Open(scripts: false, light: ColorScheme.Dark);
        await Reviewed(bench);
        await bench.Button("Save as a run and review it").ClickAsync();
        await Assertions.Expect(bench.Page.Locator(".picture svg").First).ToBeVisibleAsync();
        await bench.Picture("review-dark");
        bench.AssertQuiet();
    }

    private static double Brightness(string colour)
    {
        double[] parts =
        [
            .. colour
                .Split('(', ',', ')', ' ')
                .Where(part => double.TryParse(part, CultureInfo.InvariantCulture, out _))
                .Select(part => double.Parse(part, CultureInfo.InvariantCulture)),
        ];
        return parts.Length >= 4 && parts[3] == 0 ? 255 : parts.Take(3).DefaultIfEmpty(255).Average();
    }

    private static async Task Look(BenchPage bench, string name)
    {
        await bench.Page.EvaluateAsync("document.querySelectorAll('details').forEach(each => each.open = true)");
        foreach (int width in (int[])[1366, 820, 420])
        {
            await bench.Page.SetViewportSizeAsync(width, 900);
            int over = await bench.Page.EvaluateAsync<int>(
                "document.documentElement.scrollWidth - document.documentElement.clientWidth"
            );
            await bench.Picture($"{name}-{width}");
            Assert.True(over <= 0, $"{name} is {over} px wider than {width} px.");
            Axe.None(await bench.Page.Violations($"{name} {width} px"));
        }
        await bench.Page.SetViewportSizeAsync(1366, 900);
    }
}
