using System.Net;
using Graftbench.Store;
using Graftbench.Tests.Shared;
using Graftbench.Web.Network;
using Microsoft.Playwright;

namespace Graftbench.Web.E2E;

/// <summary>A phone is paired, works, and is put out: two browsers, one at the bench and one over https.</summary>
public class NetworkTests(BrowserBench browser) : IClassFixture<BrowserBench>
{
    private const string Person = "Jo Ferro";
    private const string Words = "four plain words here";
    private const string Job = "/jobs/arcade-graphics-chip";
    private static readonly NetworkOptions Network = new() { Address = IPAddress.Loopback, Port = 0 };

    [Fact]
    public async Task A_phone_is_paired_takes_a_picture_watches_and_is_put_out_at_once()
    {
        await using BenchPage bench = await browser.Open(
            heat: (job, task, chip, _, _) => WatchPlans.Of(job, task, chip),
            network: Network
        );
        await bench.Go("/");
        await bench.Link("Devices").ClickAsync();
        await bench.Heading("Devices").WaitForAsync();
        await AddPerson(bench);
        await bench.AssertReadable("devices-people");
        string code = await ShowCode(bench);
        await bench.AssertReadable("devices-code");

        await using IBrowserContext phone = await browser.Device();
        IPage page = await phone.NewPageAsync();
        List<string> complaints = Complaints(page);
        await page.GotoAsync(bench.Door + "/");
        await page.GetByRole(AriaRole.Heading, new() { Name = "This device is not paired" }).WaitForAsync();
        await Readable(page, "pair");
        // As the picture at the bench says it: the code fills itself in and leaves the address.
        await page.GotoAsync($"{bench.Door}/pair#code={code}");
        await Assertions.Expect(page.Locator("#code")).ToHaveValueAsync(code);
        Assert.DoesNotContain(code, page.Url, StringComparison.Ordinal);
        // By keys only: the name has the focus already.
        await page.Keyboard.TypeAsync("Phone of Jo");
        await page.Keyboard.PressAsync("Enter");
        await page.GetByRole(AriaRole.Heading, new() { Name = "Who are you?" }).WaitForAsync();
        await Readable(page, "sign-in");
        await page.GetByLabel("Your name").FillAsync(Person);
        await page.GetByLabel("Your passphrase").FillAsync(Words);
        await page.Keyboard.PressAsync("Enter");
        await page.GetByRole(AriaRole.Link, new() { Name = Person }).WaitForAsync();
        await Readable(page, "phone-today");

        await page.GotoAsync(bench.Door + Job);
        await page.GetByLabel("Attach a picture or file")
            .SetInputFilesAsync(
                new FilePayload
                {
                    Name = "phone.png",
                    MimeType = "image/png",
                    Buffer = await page.ScreenshotAsync(),
                }
            );
        await page.GetByRole(AriaRole.Button, new() { Name = "Attach", Exact = true }).ClickAsync();
        await page.Locator(".done").First.WaitForAsync();
        EvidenceLine line = bench.Store.Evidence("arcade-graphics-chip").Last(one => one.FileSha256 is not null);
        Assert.Equal((Person, "image/png"), (line.Who, line.FileMediaType));
        await Assertions.Expect(page.Locator("#evidence")).ToContainTextAsync(Person);

        await Watched(bench, page);
        await page.EvaluateAsync(
            """
            () => new Promise((opened) => {
              const socket = new WebSocket(`wss://${location.host}${document.querySelector("gb-watch").dataset.live}`);
              window.feedClosed = new Promise((done) => { socket.onclose = () => done(); });
              socket.onopen = () => opened();
            })
            """
        );
        Task closed = page.EvaluateAsync("() => window.feedClosed");
        await bench.Go("/devices");
        await bench.Button("Revoke Phone of Jo").ClickAsync();
        await bench.Page.GetByText("Revoked: the device is out.").WaitForAsync();
        Assert.Same(closed, await Task.WhenAny(closed, Task.Delay(TimeSpan.FromSeconds(1))));
        await page.GotoAsync(bench.Door + Job);
        await page.GetByRole(AriaRole.Heading, new() { Name = "This device is no longer paired" }).WaitForAsync();
        await bench.Page.Locator(".evidence").GetByText("Device \"Phone of Jo\" revoked.").WaitForAsync();
        Assert.All(bench.Requests, url => Assert.StartsWith(bench.Address, url, StringComparison.Ordinal));
        complaints.AddRange(bench.Complaints);
        // What the browser says of pages that were refused is no fault of theirs.
        Assert.DoesNotContain(complaints, text => text.Contains("Content Security Policy", StringComparison.Ordinal));
    }

    [Fact]
    public async Task A_viewer_is_told_that_they_look_on()
    {
        await using BenchPage bench = await browser.Open(network: Network);
        await bench.Go("/devices");
        await AddPerson(bench, "viewer");
        string code = await ShowCode(bench);
        await using IBrowserContext tablet = await browser.Device(820, 1180, ColorScheme.Dark);
        IPage page = await tablet.NewPageAsync();
        await page.GotoAsync($"{bench.Door}/pair#code={code}");
        await page.GetByLabel("What this device is called").FillAsync("Tablet");
        await page.Keyboard.PressAsync("Enter");
        await page.GetByLabel("Your name").FillAsync(Person);
        await page.GetByLabel("Your passphrase").FillAsync(Words);
        await page.Keyboard.PressAsync("Enter");
        await page.GetByText("You look on").WaitForAsync();
        await page.GotoAsync(bench.Door + Job);
        await page.GetByLabel("Add a note").FillAsync("no");
        await page.GetByRole(AriaRole.Button, new() { Name = "Add the note" }).ClickAsync();
        await page.GetByRole(AriaRole.Heading, new() { Name = "Not for your role" }).WaitForAsync();
        await Readable(page, "viewer-refused");
    }

    private static async Task AddPerson(BenchPage bench, string role = "technician")
    {
        ILocator form = bench.Page.Locator("form[action='/people']");
        await form.GetByLabel("Name, as it goes into the record").FillAsync(Person);
        await form.GetByLabel("Role").SelectOptionAsync(role);
        await form.GetByLabel("First passphrase").FillAsync(Words);
        await bench.Button("Add the person").ClickAsync();
        await bench.Page.GetByText("Added.").WaitForAsync();
    }

    private static async Task<string> ShowCode(BenchPage bench)
    {
        await bench.Button("Show a code").ClickAsync();
        return await bench.Page.Locator(".code-text").InnerTextAsync();
    }

    /// <summary>A simulated heat, started at the bench, on the phone's screen.</summary>
    private static async Task Watched(BenchPage bench, IPage page)
    {
        LocatorWaitForOptions patient = new() { Timeout = 120_000 };
        await bench.Go(Job + "/heat/place?chip=GFX");
        await bench.Button("Compute heat plan").ClickAsync();
        await bench.Link("Watch this heat").WaitForAsync(patient);
        await bench.Go(Job + "/heat/place/watch?chip=GFX");
        await bench.Page.GetByLabel("Simulated bench, for learning: nothing is heated").CheckAsync();
        await bench.Button("Listen to it").ClickAsync();
        await bench.Page.GetByLabel("I have looked from two sides").CheckAsync();
        await bench.Button("Build the model").ClickAsync();
        ILocator start = bench.Button("Start: the heaters go on now");
        await start.WaitForAsync(patient);
        await start.ClickAsync();
        await bench.Page.Locator("gb-watch").WaitForAsync();
        await page.GotoAsync(bench.Door + new Uri(bench.Page.Url).AbsolutePath);
        await page.Locator("gb-watch").WaitForAsync();
    }

    private static List<string> Complaints(IPage page)
    {
        List<string> complaints = [];
        page.Console += (_, message) =>
        {
            if (message.Type is "error" or "warning")
            {
                complaints.Add(message.Text);
            }
        };
        return complaints;
    }

    private static async Task Readable(IPage page, string name)
    {
        int wide = await page.EvaluateAsync<int>(
            "document.documentElement.scrollWidth - document.documentElement.clientWidth"
        );
        Assert.True(wide <= 0, $"{page.Url} scrolls sideways by {wide} px");
        Axe.None(await page.Violations(name));
        if (Environment.GetEnvironmentVariable("GRAFTBENCH_PICTURES") is { Length: > 0 } folder)
        {
            await page.ScreenshotAsync(new() { Path = Path.Combine(folder, $"network-{name}.png"), FullPage = true });
        }
    }
}
