using System.Diagnostics;
using System.Globalization;
using System.Runtime.CompilerServices;
using Graftbench.Core.Heating;
using Graftbench.Core.Jobs;
using Graftbench.Core.Watching;
using Graftbench.Store;
using Graftbench.Tests.Shared;
using Graftbench.Watch;
using Graftbench.Web;
using Microsoft.AspNetCore.Builder;
using Microsoft.Extensions.DependencyInjection;
using Microsoft.Playwright;

namespace Graftbench.Bench;

/// <summary>
/// What a watched heat costs a running server and a real browser: from reading to picture, memory over a day, processor time.
/// <c>dotnet run -c Release --project bench/Graftbench.Bench -- live [minutes]</c>
/// </summary>
internal static class LiveFigures
{
    private const double PaceHz = 10;
    private const int DayChannels = 8;
    private const int DayS = 24 * 3600;
    private const string Seen = """
        sessionStorage.clear();
        addEventListener("DOMContentLoaded", () => {
          const stored = document.querySelector("[data-show=stored]");
          window.seen = [];
          const note = () => window.seen.push([parseInt(stored.textContent.replaceAll(",", "")), performance.timeOrigin + performance.now()]);
          if (stored) { new MutationObserver(note).observe(stored, { childList: true, characterData: true, subtree: true }); }
        });
        """;

    /// <summary>Prints the figures.</summary>
    /// <param name="minutes">How long the browser looks.</param>
    public static async Task Print(int minutes)
    {
        string data = Directory.CreateTempSubdirectory("graftbench-live-").FullName;
        await using WebApplication server = BenchServer.Build(new BenchOptions { DataFolder = data });
        await server.StartAsync();
        BenchStore store = server.Services.GetRequiredService<BenchStore>();
        RunHost host = server.Services.GetRequiredService<RunHost>();
        Job job = store.FindJob("arcade-graphics-chip")!.Job;
        Say($"server started: {Held()}");
        HeatPlan plan = WatchPlans.Of(job, HeatTask.Place, "GFX");
        RunOrder order = Order(job, plan);
        Say($"model of the watch built: {Held()}");
        await Day(host, order);
        await Page(server, host, order, minutes);
        await server.StopAsync();
        Directory.Delete(data, recursive: true);
    }

    private static RunOrder Order(Job job, HeatPlan plan)
    {
        string[] places = ["left of the chip", "right of the chip", "body top", "underside"];
        WatchProbe[] probes =
        [
            .. places.Select(
                (place, i) => new WatchProbe(Channel(i), plan.Model!.Places.First(one => one.Name == place))
            ),
        ];
        return new WatchWish(job.Id, "bench", plan, probes) { AlignmentChecked = true }.Order(
            null,
            CancellationToken.None
        );
    }

    // A day of eight channels at ten a second, as fast as it is taken.
    private static async Task Day(RunHost host, RunOrder order)
    {
        SteadyFeed feed = new(DayChannels, DayS, realTime: false);
        Stopwatch clock = Stopwatch.StartNew();
        WatchRun run = host.Start(order, feed);
        Say($"run started: {Held()}");
        long mostBytes = 0;
        while (run.Snapshot.GoesOn)
        {
            await Task.Delay(500);
            mostBytes = Math.Max(mostBytes, Resident());
        }
        await run.Over;
        await Task.Delay(1000);
        Say(
            $"24 h of {DayChannels} channels at {PaceHz:0} Hz in {clock.Elapsed.TotalSeconds:0} s: {run.Snapshot.StoredNumber:N0} samples on disk; most while it ran and ended {mostBytes / 1e6:0} MB; {Held()}"
        );
    }

    private static async Task Page(WebApplication server, RunHost host, RunOrder order, int minutes)
    {
        using IPlaywright playwright = await Playwright.CreateAsync();
        await using IBrowser browser = await playwright.Chromium.LaunchAsync(
            new BrowserTypeLaunchOptions
            {
                ExecutablePath = Environment.GetEnvironmentVariable("GRAFTBENCH_CHROMIUM") ?? "/usr/bin/chromium",
                Args = ["--no-sandbox", "--disable-gpu", "--disable-background-networking"],
            }
        );
        IPage page = await browser.NewPageAsync();
        await page.AddInitScriptAsync(Seen);
        SteadyFeed feed = new(order.Model.Setup.Probes.Count, (minutes * 60) + 10, realTime: true);
        WatchRun run = host.Start(order, feed);
        await page.GotoAsync($"{server.Urls.Single()}/jobs/{order.RecordId}/watch/{run.Id}");
        await page.Locator("gb-watch").WaitForAsync();
        await Task.Delay(TimeSpan.FromSeconds(5));
        Dictionary<int, double> before = BrowserCpuS();
        TimeSpan own = Process.GetCurrentProcess().TotalProcessorTime;
        Stopwatch clock = Stopwatch.StartNew();
        Task<List<double>> pictures = Pictures(run, feed, TimeSpan.FromMinutes(minutes));
        List<double> pictureMs = await pictures;
        double wallS = clock.Elapsed.TotalSeconds;
        double browserS = BrowserCpuS().Sum(one => one.Value - before.GetValueOrDefault(one.Key));
        double serverS = (Process.GetCurrentProcess().TotalProcessorTime - own).TotalSeconds;
        double[][] seen = await page.EvaluateAsync<double[][]>("window.seen");
        List<double> screenMs =
        [
            .. seen.Where(one => one[0] >= 1 && one[0] <= feed.Given)
                .Select(one => one[1] - feed.GivenAtMs((int)one[0]))
                .Order(),
        ];
        await run.EndAsync(HeatRunState.Ended);
        Say(
            $"{minutes} min, {order.Model.Setup.Probes.Count} channels at {PaceHz:0} Hz, page open, {seen.Length} pictures"
        );
        Say($"reading to snapshot, on disk: {Times(pictureMs)}");
        Say($"reading to the text on the page: {Times(screenMs)}");
        Say(
            $"processor: browser {100 * browserS / wallS:0.0} % of a core (all its processes, no graphics card), server {100 * serverS / wallS:0.0} %"
        );
        Say($"server at the end: {Held()}");
    }

    private static async Task<List<double>> Pictures(WatchRun run, SteadyFeed feed, TimeSpan length)
    {
        List<double> ms = [];
        Stopwatch clock = Stopwatch.StartNew();
        long seen = run.Snapshot.StoredNumber;
        long version = run.Snapshot.Version;
        while (clock.Elapsed < length)
        {
            RunSnapshot now = await run.NewerAsync(version, CancellationToken.None);
            double atMs = SteadyFeed.NowMs();
            version = now.Version;
            if (now.StoredNumber > seen && now.StoredNumber <= feed.Given)
            {
                seen = now.StoredNumber;
                ms.Add(atMs - feed.GivenAtMs((int)seen));
            }
        }
        ms.Sort();
        return ms;
    }

    private static string Times(List<double> sorted) =>
        sorted.Count == 0
            ? "none seen"
            : string.Create(
                CultureInfo.InvariantCulture,
                $"median {At(sorted, 0.5):0.0} ms, 95 % {At(sorted, 0.95):0.0} ms, 99 % {At(sorted, 0.99):0.0} ms, longest {sorted[^1]:0} ms ({sorted.Count:N0})"
            );

    private static double At(List<double> sorted, double share) => sorted[(int)Math.Round(share * (sorted.Count - 1))];

    private static long Resident()
    {
        using Process own = Process.GetCurrentProcess();
        return own.WorkingSet64;
    }

    // As it is, without asking for a collection: nobody asks for one at the bench either.
    private static string Held()
    {
        long managed = GC.GetTotalMemory(forceFullCollection: false);
        return string.Create(
            CultureInfo.InvariantCulture,
            $"{Resident() / 1e6:0} MB resident, {managed / 1e6:0} MB of it objects"
        );
    }

    // Every process of the browser: the system tells processor time in hundredths of a second.
    private static Dictionary<int, double> BrowserCpuS() =>
        Process
            .GetProcesses()
            .Where(one => one.ProcessName.StartsWith("chrom", StringComparison.Ordinal))
            .ToDictionary(one => one.Id, one => one.TotalProcessorTime.TotalSeconds);

    private static string Channel(int i) => ((char)('A' + i)).ToString();

    private static void Say(FormattableString text) => Console.WriteLine(text.ToString(CultureInfo.InvariantCulture));

    // A warm-up and a hold with a little noise; remembers when each sample was given.
    private sealed class SteadyFeed(int channels, int lengthS, bool realTime) : IRunFeed
    {
        private readonly double[] givenAtMs = new double[(int)(lengthS * PaceHz) + 1];
        private int given;

        public string Name => "a steady feed";

        public FeedNature Nature => FeedNature.Simulation;

        public IReadOnlyList<string> Channels { get; } = [.. Enumerable.Range(0, channels).Select(Channel)];

        public int Given => Volatile.Read(ref given);

        public static double NowMs() => DateTime.UtcNow.Subtract(DateTime.UnixEpoch).TotalMilliseconds;

        public double GivenAtMs(int number) => givenAtMs[number];

        public void Turn(double? gasC, double? preheaterC, Action<double?> taken) => taken(null);

        public async Task RunAsync(IFeedTaker taker, CancellationToken cancel)
        {
            Random random = new(1);
            Stopwatch clock = Stopwatch.StartNew();
            for (int k = 1; k < givenAtMs.Length && !cancel.IsCancellationRequested; k++)
            {
                double timeS = k / PaceHz;
                if (realTime)
                {
                    double waitS = timeS - clock.Elapsed.TotalSeconds;
                    if (waitS > 0)
                    {
                        await Task.Delay(TimeSpan.FromSeconds(waitS), cancel);
                    }
                    timeS = Math.Max(timeS, clock.Elapsed.TotalSeconds);
                }
                double levelC = 25 + (180 * (1 - Math.Exp(-timeS / 200)));
                double[] readC = [.. Channels.Select((_, i) => levelC + (2 * i) + (0.3 * random.NextDouble()))];
                givenAtMs[k] = NowMs();
                Volatile.Write(ref given, k);
                taker.Sample(timeS, readC);
            }
            taker.Tell(givenAtMs.Length / PaceHz, "over", "The feed has ended.");
        }
    }
}
