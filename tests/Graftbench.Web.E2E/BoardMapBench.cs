using System.Globalization;
using System.Text.Json;
using System.Text.RegularExpressions;
using Graftbench.Core.Jobs;
using Graftbench.Store;
using Microsoft.AspNetCore.Builder;
using Microsoft.Extensions.DependencyInjection;
using Microsoft.Playwright;
using SkiaSharp;

namespace Graftbench.Web.E2E;

/// <summary>A bench server on a free port with a store of its own, and a browser.</summary>
public sealed class BoardBench : IAsyncLifetime
{
    private readonly string folder = Directory.CreateTempSubdirectory("graftbench-board-").FullName;
    private WebApplication? app;
    private IPlaywright? playwright;
    private int jobs;

    public BenchStore Store => app!.Services.GetRequiredService<BenchStore>();

    public string Address => app!.Urls.First();

    public IBrowser Browser { get; private set; } = null!;

    public async ValueTask InitializeAsync()
    {
        app = BenchServer.Build(new BenchOptions { DataFolder = folder, LoadDemo = false });
        await app.StartAsync();
        playwright = await Playwright.CreateAsync();
        Browser = await playwright.Chromium.LaunchAsync(
            new()
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

    public async ValueTask DisposeAsync()
    {
        await Browser.DisposeAsync();
        playwright?.Dispose();
        await app!.DisposeAsync();
        Directory.Delete(folder, recursive: true);
    }

    /// <summary>A stored job: a board of 180 by 120 mm with a chip in its middle and two parts.</summary>
    public string NewJob(Func<Job, Job>? change = null)
    {
        string id = string.Create(CultureInfo.InvariantCulture, $"board-{Interlocked.Increment(ref jobs)}");
        Job job = new()
        {
            Format = JobFormat.Name,
            Id = id,
            Title = "Mixing desk, signal processor",
            Host = new Board
            {
                Name = "Desk main board",
                LengthMm = 180,
                WidthMm = 120,
                ThicknessMm = 1.6,
                Laminate = LaminateKind.EpoxyTg150,
                Parts =
                [
                    new Part
                    {
                        Ref = "C12",
                        Kind = PartKind.AluminiumElectrolytic,
                        XMm = 30,
                        YMm = 90,
                        LengthMm = 8,
                        WidthMm = 8,
                        HeightMm = 12.5,
                        BakeLimitC = 105,
                    },
                    new Part
                    {
                        Ref = "U7",
                        Kind = PartKind.MouldedPackage,
                        XMm = 130,
                        YMm = 80,
                        LengthMm = 14,
                        WidthMm = 14,
                    },
                ],
            },
            Chips =
            [
                new Chip
                {
                    Id = "DSP",
                    Marking = "as drawn in the test",
                    From = ChipPlace.Shelf,
                    To = ChipPlace.Host,
                    BodyLengthMm = 35,
                    BodyWidthMm = 35,
                    BodyThicknessMm = 2.3,
                    PitchMm = 1.27,
                    Rows = 26,
                    Columns = 26,
                    XMm = 90,
                    YMm = 60,
                },
            ],
        };
        Store.SaveJob(change is null ? job : change(job), 0, "test");
        return id;
    }

    public async Task<BoardScreen> Open(string id, BrowserNewContextOptions? options = null)
    {
        options ??= new();
        options.ViewportSize ??= new() { Width = 1280, Height = 900 };
        IBrowserContext context = await Browser.NewContextAsync(options);
        IPage page = await context.NewPageAsync();
        BoardScreen screen = new(page);
        await page.GotoAsync($"{Address}/jobs/{id}/board/host");
        await screen.Ready();
        return screen;
    }
}

/// <summary>The page on which a board is drawn, in millimetres. On leaving, the browser's console must hold no error.</summary>
public sealed partial class BoardScreen : IAsyncDisposable
{
    private readonly List<string> errors = [];

    public BoardScreen(IPage page)
    {
        Page = page;
        page.PageError += (_, error) => errors.Add(error);
        page.Console += (_, message) =>
        {
            // A refused save is answered with its HTTP status, which the browser also writes to the console.
            if (
                message.Type == "error"
                && !message.Text.StartsWith("Failed to load resource", StringComparison.Ordinal)
            )
            {
                errors.Add(message.Text);
            }
        };
    }

    public IPage Page { get; }

    [GeneratedRegex("^blob:", RegexOptions.None, matchTimeoutMilliseconds: 1000)]
    public static partial Regex LocalPhoto { get; }

    [GeneratedRegex("/photo/[0-9a-f]{64}$", RegexOptions.None, matchTimeoutMilliseconds: 1000)]
    public static partial Regex KeptPhoto { get; }

    public ILocator Canvas => Page.Locator(".bm-canvas");

    public ILocator List => Page.GetByRole(AriaRole.Listbox, new() { Name = "Objects on the board" });

    public ILocator Remarks => Page.GetByRole(AriaRole.Region, new() { Name = "Remarks" });

    public ILocator State => Page.Locator(".bm-state");

    public ILocator Near => Page.Locator(".bm-figures .bm-near");

    public ILocator SubmitButton => Page.GetByRole(AriaRole.Button, new() { Name = "Save", Exact = true });

    public ILocator Button(string name) => Page.GetByRole(AriaRole.Button, new() { Name = name, Exact = true });

    public ILocator Field(string label) => Page.GetByLabel(label, new() { Exact = true });

    public async Task Ready()
    {
        await Page.Locator("gb-board-map.bm-ready").WaitForAsync();
        await Frame();
    }

    /// <summary>Waits until everything asked for so far is drawn.</summary>
    public Task Frame() =>
        Page.EvaluateAsync(
            "() => new Promise(done => requestAnimationFrame(() => requestAnimationFrame(() => requestAnimationFrame(done))))"
        );

    public Task Says(string text) => Assertions.Expect(Page.Locator(".bm-live")).ToHaveTextAsync(text);

    public async Task Choose(string name)
    {
        await List.Locator("li").Filter(new() { Has = Page.GetByText(name, new() { Exact = true }) }).ClickAsync();
        await Frame();
    }

    public async Task<string> Chosen()
    {
        await Frame();
        return await List.Locator("[aria-selected=true]").InnerTextAsync();
    }

    public async Task PickKind(string kind)
    {
        await Button("Place…").ClickAsync();
        await Button(kind).ClickAsync();
        await Frame();
    }

    public async Task SetPlace(double xMm, double yMm)
    {
        await Field("X [mm]").FillAsync(xMm.ToString(CultureInfo.InvariantCulture));
        await Field("Y [mm]").FillAsync(yMm.ToString(CultureInfo.InvariantCulture));
        await Field("Y [mm]").PressAsync("Tab");
        await Frame();
    }

    public async Task Save()
    {
        List<string> seen = [];
        void Ask(object? sender, IDialog dialog)
        {
            seen.Add($"the browser asked: {dialog.Type} {dialog.Message}");
            _ = dialog.DismissAsync();
        }
        void Answer(object? sender, IResponse response) =>
            seen.Add($"{response.Request.Method} {response.Url}: {response.Status}");
        Page.Dialog += Ask;
        Page.Response += Answer;
        try
        {
            await SubmitButton.ClickAsync();
            await Page.GetByText("Saved as revision").WaitForAsync();
        }
        catch (TimeoutException)
        {
            // Says which it was: a field that stops the form, a question of the browser, a refusal, or no answer at all.
            string held = await Page.EvaluateAsync<string>(
                "() => [...document.querySelectorAll('#drawing-form input:invalid, #drawing-form select:invalid')].map(each => `${each.id} = '${each.value}'`).join(', ')"
            );
            string shown = string.Join(" / ", await Page.Locator("[role=alert]").AllInnerTextsAsync());
            Assert.Fail($"Not saved. Invalid: {held}. Said: {shown}. Seen: {string.Join("; ", seen)}");
        }
        finally
        {
            Page.Dialog -= Ask;
            Page.Response -= Answer;
        }
        await Ready();
    }

    public Task<double> PxPerMm() =>
        Page.EvaluateAsync<double>("() => document.querySelector('gb-board-map').view.pxPerMm");

    public async Task<float> X(double xMm) => (await Px(xMm, 0))[0];

    public async Task<float> Y(double yMm) => (await Px(0, yMm))[1];

    private async Task<float[]> Px(double xMm, double yMm)
    {
        await Canvas.ScrollIntoViewIfNeededAsync();
        return await Page.EvaluateAsync<float[]>(
            """
            ([x, y]) => {
              const { view } = document.querySelector('gb-board-map');
              const box = document.querySelector('.bm-svg').getBoundingClientRect();
              return [box.left + view.width / 2 + (x - view.x) * view.pxPerMm, box.top + view.height / 2 - (y - view.y) * view.pxPerMm];
            }
            """,
            new[] { xMm, yMm }
        );
    }

    /// <summary>Where a drawn element is on the board [mm]: left, lower, right and upper edge.</summary>
    public async Task<double[]> EdgesMm(ILocator element)
    {
        await Frame();
        return await element.EvaluateAsync<double[]>(
            """
            drawn => {
              const { view } = document.querySelector('gb-board-map');
              const box = document.querySelector('.bm-svg').getBoundingClientRect();
              const { left, bottom, right, top } = drawn.getBoundingClientRect();
              const x = px => view.x + (px - box.left - view.width / 2) / view.pxPerMm;
              const y = px => view.y - (px - box.top - view.height / 2) / view.pxPerMm;
              return [x(left), y(bottom), x(right), y(top)];
            }
            """
        );
    }

    public async Task Drag(double fromXMm, double fromYMm, double toXMm, double toYMm)
    {
        float[] from = await Px(fromXMm, fromYMm);
        float[] to = await Px(toXMm, toYMm);
        await DragPx(from[0], from[1], to[0], to[1]);
    }

    public async Task DragPx(double fromX, double fromY, double toX, double toY)
    {
        await Page.Mouse.MoveAsync((float)fromX, (float)fromY);
        await Page.Mouse.DownAsync();
        await Page.Mouse.MoveAsync((float)toX, (float)toY, new() { Steps = 6 });
        await Page.Mouse.UpAsync();
        await Frame();
    }

    public async Task TouchDrag(ICDPSession touch, double fromXMm, double fromYMm, double toXMm, double toYMm)
    {
        float[] from = await Px(fromXMm, fromYMm);
        float[] to = await Px(toXMm, toYMm);
        await Touch(touch, "touchStart", (from[0], from[1]));
        for (int i = 1; i <= 6; i++)
        {
            await Touch(
                touch,
                "touchMove",
                (from[0] + ((to[0] - from[0]) * i / 6), from[1] + ((to[1] - from[1]) * i / 6))
            );
        }
        await Touch(touch, "touchEnd");
        await Frame();
    }

    /// <summary>Two fingers move apart around a point of the board.</summary>
    public async Task Pinch(ICDPSession touch, double xMm, double yMm, double fromApartMm, double toApartMm)
    {
        float[] at = await Px(xMm, yMm);
        double scale = await PxPerMm();
        for (int i = 0; i <= 5; i++)
        {
            double apart = (fromApartMm + ((toApartMm - fromApartMm) * i / 5)) * scale / 2;
            await Touch(touch, i == 0 ? "touchStart" : "touchMove", (at[0] - apart, at[1]), (at[0] + apart, at[1]));
        }
        await Touch(touch, "touchEnd");
        await Frame();
    }

    private static Task<JsonElement?> Touch(ICDPSession touch, string type, params (double X, double Y)[] points) =>
        touch.SendAsync(
            "Input.dispatchTouchEvent",
            new()
            {
                ["type"] = type,
                ["touchPoints"] = points
                    .Select(
                        (point, id) =>
                            new Dictionary<string, object>
                            {
                                ["x"] = point.X,
                                ["y"] = point.Y,
                                ["id"] = id,
                            }
                    )
                    .ToArray(),
            }
        );

    /// <summary>The drawing as it would be posted now.</summary>
    public async Task<string> DrawnText()
    {
        await Frame();
        return await Page.EvaluateAsync<string>(
            """
            () => {
              const form = document.getElementById('drawing-form');
              const field = form.querySelector('[data-drawing]');
              const stop = event => event.preventDefault();
              form.addEventListener('submit', stop);
              form.dispatchEvent(new SubmitEvent('submit', { cancelable: true, bubbles: true }));
              form.removeEventListener('submit', stop);
              window.dispatchEvent(new PageTransitionEvent('pageshow', { persisted: true }));
              return field.value;
            }
            """
        );
    }

    public async Task<Board> Drawn()
    {
        using JsonDocument drawing = JsonDocument.Parse(await DrawnText());
        return drawing.RootElement.GetProperty("board").Deserialize<Board>(JobFormat.Json)!;
    }

    public async Task<(double?, double?)> PlaceOf(string reference)
    {
        Part part = (await Drawn()).Parts.Single(each => each.Ref == reference);
        return (part.XMm, part.YMm);
    }

    public async Task CheckAccessibility(string state)
    {
        await Frame();
        Axe.None(await Page.Violations(state, ".bm-page"));
        Axe.None(await Page.ColourViolations(ColorScheme.Dark, state, ".bm-page"));
        await Page.EmulateMediaAsync(new() { ColorScheme = ColorScheme.Light });
    }

    public async ValueTask DisposeAsync()
    {
        await Page.Context.DisposeAsync();
        Assert.Empty(errors);
    }
}

/// <summary>Pictures that a person or an attacker may send.</summary>
public static class TestPhotos
{
    public static TheoryData<string, string> Hostile =>
        new()
        {
            { "text", "This file is no JPEG, PNG or WebP picture." },
            { "bitmap", "This file is no JPEG, PNG or WebP picture." },
            { "page", "This file is no JPEG, PNG or WebP picture." },
            { "cut-jpeg", "The picture is damaged or ends too early." },
            { "cut-png", "The picture is damaged or ends too early." },
            { "huge-png", "The picture has 900.0 million pixels; at most 40 million are taken." },
            { "large-file", "The photo is larger than 20 MB." },
        };

    public static byte[] Bytes(string what) =>
        what switch
        {
            "text" => "GIF89a is not enough"u8.ToArray(),
            "bitmap" => [.. "BM"u8, .. new byte[64]],
            "page" => "<svg xmlns='http://www.w3.org/2000/svg' onload='alert(1)'/>"u8.ToArray(),
            "cut-jpeg" => Encode(SKEncodedImageFormat.Jpeg, 800, 600) is var jpeg ? jpeg[..(jpeg.Length / 2)] : [],
            "cut-png" => Encode(SKEncodedImageFormat.Png, 800, 600) is var png ? png[..(png.Length / 2)] : [],
            "huge-png" => HugePng(),
            "large-file" => [.. Encode(SKEncodedImageFormat.Jpeg, 80, 60), .. new byte[21 * 1024 * 1024]],
            _ => throw new ArgumentOutOfRangeException(nameof(what)),
        };

    /// <summary>A JPEG whose camera data says "turn right by 90 degrees" and holds a text, with a red mark at the upper left.</summary>
    public static byte[] JpegTurned(int width, int height, string text)
    {
        byte[] jpeg = Encode(SKEncodedImageFormat.Jpeg, width, height);
        byte[] words = System.Text.Encoding.ASCII.GetBytes(text);
        // Big-endian TIFF with two entries: orientation (tag 274) = 6, and an ASCII description (tag 270) after the table.
        byte[] exif =
        [
            .. "Exif\0\0MM\0*"u8,
            0,
            0,
            0,
            8,
            0,
            2,
            0x01,
            0x0E,
            0,
            2,
            0,
            0,
            0,
            (byte)words.Length,
            0,
            0,
            0,
            38,
            0x01,
            0x12,
            0,
            3,
            0,
            0,
            0,
            1,
            0,
            6,
            0,
            0,
            0,
            0,
            0,
            0,
            .. words,
        ];
        int length = exif.Length + 2;
        return [.. jpeg[..2], 0xFF, 0xE1, (byte)(length >> 8), (byte)length, .. exif, .. jpeg[2..]];
    }

    private static byte[] Encode(SKEncodedImageFormat format, int width, int height)
    {
        using SKBitmap bitmap = new(width, height);
        using SKCanvas canvas = new(bitmap);
        canvas.Clear(SKColors.SeaGreen);
        using SKPaint red = new() { Color = SKColors.Red };
        canvas.DrawRect(0, 0, width / 5f, height / 5f, red);
        using SKPaint line = new() { Color = SKColors.White, StrokeWidth = 3 };
        for (int i = 0; i < 40; i++)
        {
            canvas.DrawLine(i * width / 40f, height * 0.3f, width - (i * width / 40f), height, line);
        }
        using SKImage image = SKImage.FromBitmap(bitmap);
        return image.Encode(format, 90).ToArray();
    }

    /// <summary>A small PNG whose header says 30,000 by 30,000 pixels.</summary>
    private static byte[] HugePng()
    {
        byte[] png = Encode(SKEncodedImageFormat.Png, 60, 60);
        byte[] side = [0, 0, 0x75, 0x30];
        side.CopyTo(png, 16);
        side.CopyTo(png, 20);
        System.Buffers.Binary.BinaryPrimitives.WriteUInt32BigEndian(png.AsSpan(29), Checksum(png.AsSpan(12, 17)));
        return png;
    }

    /// <summary>CRC-32 of a PNG chunk.</summary>
    private static uint Checksum(ReadOnlySpan<byte> bytes)
    {
        uint sum = uint.MaxValue;
        foreach (byte each in bytes)
        {
            sum ^= each;
            for (int bit = 0; bit < 8; bit++)
            {
                sum = (sum >> 1) ^ ((sum & 1) == 1 ? 0xEDB88320u : 0);
            }
        }
        return ~sum;
    }
}
