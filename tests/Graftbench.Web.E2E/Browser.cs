using Graftbench.Web.Heating;
using Graftbench.Web.Network;
using Microsoft.AspNetCore.Builder;
using Microsoft.Extensions.DependencyInjection;
using Microsoft.Playwright;

namespace Graftbench.Web.E2E;

/// <summary>A really started bench and a headless Chromium that looks at it. One for each test class.</summary>
public sealed class BrowserBench : IAsyncLifetime
{
    private IPlaywright playwright = null!;
    private IBrowser browser = null!;

    // Beside other tests on two cores a page may take a while; what never comes fails all the same.
    private const float PatienceMs = 20_000;

    public async ValueTask InitializeAsync()
    {
        Assertions.SetDefaultExpectTimeout(PatienceMs);
        playwright = await Playwright.CreateAsync();
        browser = await playwright.Chromium.LaunchAsync(
            new BrowserTypeLaunchOptions
            {
                ExecutablePath = Environment.GetEnvironmentVariable("GRAFTBENCH_CHROMIUM") ?? "/usr/bin/chromium",
                Args =
                [
                    "--no-sandbox",
                    "--disable-gpu",
                    "--disable-quic",
                    "--no-first-run",
                    "--disable-background-networking",
                    "--disable-component-update",
                    "--disable-sync",
                ],
            }
        );
    }

    /// <summary>A bench of its own with a page on it.</summary>
    public async Task<BenchPage> Open(
        bool demo = true,
        bool scripts = true,
        ColorScheme light = ColorScheme.Light,
        int width = 1366,
        int height = 900,
        HeatPlanning? heat = null,
        NetworkOptions? network = null,
        Action<string>? fill = null
    )
    {
        IBrowserContext context = await browser.NewContextAsync(
            new BrowserNewContextOptions
            {
                JavaScriptEnabled = scripts,
                ColorScheme = light,
                ViewportSize = new ViewportSize { Width = width, Height = height },
                ReducedMotion = ReducedMotion.Reduce,
            }
        );
        return await BenchPage.Start(context, demo, heat, network, fill);
    }

    /// <summary>Another device: a browser of its own that takes the bench's certificate as it is.</summary>
    public Task<IBrowserContext> Device(int width = 390, int height = 844, ColorScheme light = ColorScheme.Light) =>
        browser.NewContextAsync(
            new BrowserNewContextOptions
            {
                IgnoreHTTPSErrors = true,
                ColorScheme = light,
                ViewportSize = new ViewportSize { Width = width, Height = height },
                ReducedMotion = ReducedMotion.Reduce,
            }
        );

    public async ValueTask DisposeAsync()
    {
        await browser.DisposeAsync();
        playwright.Dispose();
    }
}

/// <summary>One browser page on one bench; keeps every request and every complaint of the browser.</summary>
public sealed class BenchPage : IAsyncDisposable
{
    private readonly WebApplication app;
    private readonly IBrowserContext context;
    private readonly string folder;

    private BenchPage(WebApplication app, IBrowserContext context, IPage page, string folder)
    {
        this.app = app;
        this.context = context;
        this.folder = folder;
        Page = page;
        Page.Request += (_, request) => Requests.Add(request.Url);
        Page.Console += (_, message) =>
        {
            if (message.Type is "error" or "warning")
            {
                Complaints.Add($"{message.Text} {message.Location}");
            }
        };
        Page.PageError += (_, error) => Complaints.Add(error);
    }

    public IPage Page { get; }

    /// <summary>Address of the bench without a slash at its end.</summary>
    public string Address => app.Urls.Single(url => url.StartsWith("http:", StringComparison.Ordinal));

    /// <summary>Address for other devices.</summary>
    public string Door => app.Urls.Single(url => url.StartsWith("https:", StringComparison.Ordinal));

    /// <summary>What the bench stored.</summary>
    public Graftbench.Store.BenchStore Store => app.Services.GetRequiredService<Graftbench.Store.BenchStore>();

    public List<string> Requests { get; } = [];

    /// <summary>Errors and warnings of the console: broken policies and failed scripts show up here.</summary>
    public List<string> Complaints { get; } = [];

    public static async Task<BenchPage> Start(
        IBrowserContext context,
        bool demo,
        HeatPlanning? heat = null,
        NetworkOptions? network = null,
        Action<string>? fill = null
    )
    {
        string data = Directory.CreateTempSubdirectory("graftbench-e2e-").FullName;
        fill?.Invoke(data);
        WebApplication server = BenchServer.Build(
            new BenchOptions
            {
                DataFolder = data,
                LoadDemo = demo,
                Heat = heat,
                Network = network,
            }
        );
        await server.StartAsync();
        return new BenchPage(server, context, await context.NewPageAsync(), data);
    }

    public Task Go(string path) => Page.GotoAsync(Address + path);

    /// <summary>The field with a label, inside a group where the label occurs more than once.</summary>
    public ILocator Field(string label, ILocator? inside = null) =>
        inside is null
            ? Page.GetByLabel(label, new PageGetByLabelOptions { Exact = true })
            : inside.GetByLabel(label, new LocatorGetByLabelOptions { Exact = true });

    public ILocator Group(string name) =>
        Page.GetByRole(AriaRole.Group, new PageGetByRoleOptions { Name = name, Exact = true });

    public ILocator Button(string name) =>
        Page.GetByRole(AriaRole.Button, new PageGetByRoleOptions { Name = name, Exact = true });

    public ILocator Link(string name) =>
        Page.GetByRole(AriaRole.Link, new PageGetByRoleOptions { Name = name, Exact = true });

    public ILocator Heading(string name) =>
        Page.GetByRole(AriaRole.Heading, new PageGetByRoleOptions { Name = name, Exact = true });

    /// <summary>A picture of the whole page, kept only where somebody wants to look at it.</summary>
    public async Task Picture(string name)
    {
        if (Environment.GetEnvironmentVariable("GRAFTBENCH_PICTURES") is { Length: > 0 } folder)
        {
            await Page.ScreenshotAsync(new() { Path = Path.Combine(folder, name + ".png"), FullPage = true });
        }
    }

    /// <summary>Shows the page on a phone, a tablet and wide: nothing cut off sideways, no fault that axe knows, colours in the dark too.</summary>
    /// <param name="name">Name of its pictures, where somebody wants to look at them.</param>
    public async Task AssertReadable(string name)
    {
        foreach ((int width, int height) in ((int, int)[])[(390, 844), (820, 1180), (1366, 900)])
        {
            await Page.SetViewportSizeAsync(width, height);
            int wide = await Page.EvaluateAsync<int>(
                "document.documentElement.scrollWidth - document.documentElement.clientWidth"
            );
            Assert.True(wide <= 0, $"{Page.Url} scrolls sideways by {wide} px at {width}");
            if (width == 820)
            {
                Axe.None(await Page.ColourViolations(ColorScheme.Dark, name));
                await Picture($"{name}-{width}");
                await Page.EmulateMediaAsync(new() { ColorScheme = ColorScheme.Light });
            }
            else
            {
                await Picture($"{name}-{width}");
            }
        }
        Axe.None(await Page.Violations(name));
    }

    /// <summary>Nothing was asked of anyone else, and the browser had nothing to complain about.</summary>
    public void AssertQuiet()
    {
        Assert.All(
            Requests,
            url =>
                Assert.True(
                    url.StartsWith(Address, StringComparison.Ordinal)
                        || url.StartsWith("data:", StringComparison.Ordinal),
                    url
                )
        );
        Assert.True(Complaints.Count == 0, string.Join('\n', Complaints));
    }

    public async ValueTask DisposeAsync()
    {
        await context.DisposeAsync();
        await app.StopAsync();
        await app.DisposeAsync();
        Directory.Delete(folder, recursive: true);
    }
}
