using System.Diagnostics;
using System.Globalization;
using System.Net.WebSockets;
using System.Text;
using System.Text.Json;
using Graftbench.Core.Jobs;
using Graftbench.Core.Proof;
using Graftbench.Store;

namespace Graftbench.Bench;

/// <summary>
/// A shop after years: how long its pages take, how much memory the server needs, how soon one bench sees what another did.
/// <c>dotnet run -c Release --project bench/Graftbench.Bench -- shop [jobs] [connection of an empty PostgreSQL database]</c>
/// </summary>
internal static class ShopFigures
{
    private const int ReadingsPerJob = 100;
    private const int OpenJobs = 60;
    private const int Rounds = 30;
    private const int Viewers = 500;
    private static readonly string[] Words = ["sledge", "organ", "kiln", "lathe", "loom", "press", "mill", "pump"];

    /// <summary>Prints the figures.</summary>
    /// <param name="jobs">Jobs in the store.</param>
    /// <param name="connection">A PostgreSQL database; null for the SQLite file.</param>
    public static async Task Print(int jobs, string? connection)
    {
        string data = Directory.CreateTempSubdirectory("graftbench-shop-").FullName;
        try
        {
            StorePlace place = StorePlace.Of(data, connection);
            Say(
                $"store: {(place.IsShared ? "PostgreSQL" : "SQLite")}, {jobs:N0} jobs, {(long)jobs * ReadingsPerJob:N0} readings"
            );
            Fill(place, jobs);
            await Serve(place, data, connection, jobs);
        }
        finally
        {
            Directory.Delete(data, recursive: true);
        }
    }

    private static void Fill(StorePlace place, int jobs)
    {
        Stopwatch clock = Stopwatch.StartNew();
        Job[] patterns =
        [
            .. Directory
                .EnumerateFiles(Path.Combine(Root(), "demo"), "*.json")
                .Order(StringComparer.Ordinal)
                .Select(file => JobReader.Read(File.ReadAllBytes(file), TimeProvider.System.GetUtcNow()).Job!),
        ];
        string csv = ReadingList.Write(
            Enumerable
                .Range(0, ReadingsPerJob)
                .Select(i => new Reading
                {
                    Net = $"NET{i:000}",
                    Kind = ReadingKind.Diode,
                    State = i % 2 == 0 ? ReadingState.Baseline : ReadingState.Handover,
                    Value = MeterValue.Of(0.45 + (i * 0.001)),
                })
        );
        string payload = JsonSerializer.Serialize(
            new
            {
                note = "readings imported",
                file = (string?)null,
                readings = new { csv },
            }
        );
        using BenchStore store = BenchStore.Open(place, TimeProvider.System);
        for (int i = 0; i < jobs; i++)
        {
            Job pattern = patterns[i % patterns.Length];
            string word = Words[i % Words.Length];
            string id = string.Create(CultureInfo.InvariantCulture, $"{word}-{i:00000}");
            store.SaveJob(
                pattern with
                {
                    Id = id,
                    Title = $"{pattern.Title}, {word} {i}",
                    Stage = i >= jobs - OpenJobs ? JobStage.Proving : JobStage.HandedOver,
                    Machine = pattern.Machine with { Serial = $"S{i * 7919 % 1_000_003}", Owner = $"Customer {i}" },
                },
                0,
                "Ada"
            );
            store.Append(id, new EvidenceDraft("Ada", "reading", payload));
        }
        Say($"filled in {clock.Elapsed.TotalSeconds:0} s");
    }

    private static async Task Serve(StorePlace place, string data, string? connection, int jobs)
    {
        string program = Path.Combine(Root(), "src/Graftbench.Cli/bin/Release/net10.0/graftbench.dll");
        if (!File.Exists(program))
        {
            throw new InvalidOperationException(
                "The server is not built: dotnet build src/Graftbench.Cli -c Release, then start this again."
            );
        }
        int port = 5900 + (Environment.ProcessId % 90);
        ProcessStartInfo start = new("dotnet")
        {
            RedirectStandardOutput = true,
            RedirectStandardError = true,
            UseShellExecute = false,
        };
        foreach (string argument in (string[])[program, "serve", "--port", $"{port}", "--data", data, "--no-demo"])
        {
            start.ArgumentList.Add(argument);
        }
        if (connection is not null)
        {
            start.Environment[StorePlace.Variable] = connection;
        }
        Stopwatch clock = Stopwatch.StartNew();
        using Process server = Process.Start(start)!;
        _ = server.StandardOutput.ReadToEndAsync();
        _ = server.StandardError.ReadToEndAsync();
        try
        {
            using HttpClient http = new(
                new SocketsHttpHandler { MaxConnectionsPerServer = Viewers, UseCookies = false }
            )
            {
                BaseAddress = new Uri($"http://127.0.0.1:{port}"),
                Timeout = TimeSpan.FromMinutes(2),
            };
            while (!await Answers(http) && clock.Elapsed < TimeSpan.FromMinutes(2))
            {
                await Task.Delay(50);
            }
            Say($"server answers after {clock.Elapsed.TotalSeconds:0.0} s, holds {Resident(server) / 1e6:0} MB");
            string last = string.Create(
                CultureInfo.InvariantCulture,
                $"{Words[(jobs - 1) % Words.Length]}-{jobs - 1:00000}"
            );
            string old = string.Create(CultureInfo.InvariantCulture, $"{Words[7 % Words.Length]}-{7:00000}");
            // A person opens the page after reading its address; the server uses that time to make it once.
            await Task.Delay(TimeSpan.FromSeconds(4));
            await Page(http, "Today", _ => "/");
            await Page(http, "search, rare word", i => $"/jobs?q=S{i * 7919 % 1_000_003}");
            await Page(http, "search, frequent word", _ => "/jobs?q=lathe");
            await Page(http, "search, word of every job", _ => "/jobs?q=customer+chip");
            await Page(
                http,
                "search, last page",
                _ => string.Create(CultureInfo.InvariantCulture, $"/jobs?page={jobs / 40}")
            );
            await Page(http, "job on the bench", _ => "/jobs/" + last);
            await Page(
                http,
                "old job, each another",
                i => string.Create(CultureInfo.InvariantCulture, $"/jobs/{Words[i % Words.Length]}-{i:00000}")
            );
            await Page(http, "diagnosis", _ => $"/jobs/{old}/diagnosis");
            Say($"server holds {Resident(server) / 1e6:0} MB, at most {Peak(server) / 1e6:0} MB so far");
            await Live(place, port, last);
            await Crowd(http, port, last);
            Say($"server holds {Resident(server) / 1e6:0} MB, at most {Peak(server) / 1e6:0} MB");
        }
        finally
        {
            server.Kill(entireProcessTree: true);
            await server.WaitForExitAsync();
        }
    }

    private static async Task<bool> Answers(HttpClient http)
    {
        try
        {
            return (await http.GetAsync(new Uri("/health", UriKind.Relative))).IsSuccessStatusCode;
        }
        catch (HttpRequestException)
        {
            return false;
        }
    }

    private static async Task Page(HttpClient http, string what, Func<int, string> address)
    {
        List<double> times = [];
        for (int i = 0; i <= Rounds; i++)
        {
            Stopwatch clock = Stopwatch.StartNew();
            using HttpResponseMessage answer = await http.GetAsync(new Uri(address(i), UriKind.Relative));
            byte[] body = await answer.Content.ReadAsByteArrayAsync();
            times.Add(clock.Elapsed.TotalMilliseconds);
            if (!answer.IsSuccessStatusCode)
            {
                Say($"{what}: {address(i)} answered {(int)answer.StatusCode}, {body.Length} bytes");
                return;
            }
        }
        double first = times[0];
        times.RemoveAt(0);
        times.Sort();
        Say(
            $"{what}: first {first:0} ms, then median {times[times.Count / 2]:0} ms, longest of {Rounds} {times[^1]:0} ms"
        );
    }

    // Another program appends; a page of this server hears of it.
    private static async Task Live(StorePlace place, int port, string job)
    {
        using BenchStore other = BenchStore.Open(place, TimeProvider.System);
        using ClientWebSocket page = await Listen(port);
        await Hear(page);
        await Task.Delay(1000);
        List<double> times = [];
        for (int i = 0; i < Rounds; i++)
        {
            await Task.Delay(Random.Shared.Next(100, 500));
            Stopwatch clock = Stopwatch.StartNew();
            other.Append(job, new EvidenceDraft("Ben", "note", """{"note":"seen from the other bench"}"""));
            await Hear(page);
            times.Add(clock.Elapsed.TotalMilliseconds);
        }
        times.Sort();
        Say($"bench to bench: median {times[times.Count / 2]:0} ms, longest of {Rounds} {times[^1]:0} ms");
    }

    // So many pages at once, each with its live feed; then one line that all of them hear of.
    private static async Task Crowd(HttpClient http, int port, string job)
    {
        Stopwatch clock = Stopwatch.StartNew();
        int[] statuses = await Task.WhenAll(
            Enumerable
                .Range(0, Viewers)
                .Select(async i =>
                {
                    using HttpResponseMessage answer = await http.GetAsync(
                        new Uri(i % 2 == 0 ? "/" : "/jobs/" + job, UriKind.Relative)
                    );
                    await answer.Content.ReadAsByteArrayAsync();
                    return (int)answer.StatusCode;
                })
        );
        Say(
            $"{Viewers} pages at once: {statuses.Count(status => status == 200)} answered in {clock.Elapsed.TotalSeconds:0.0} s"
        );
        ClientWebSocket[] pages = await Task.WhenAll(Enumerable.Range(0, Viewers).Select(_ => Listen(port)));
        await Task.WhenAll(pages.Select(Hear));
        Say($"{Viewers} pages listen");
        Array.ForEach(pages, page => page.Dispose());
    }

    private static async Task<ClientWebSocket> Listen(int port)
    {
        ClientWebSocket socket = new();
        socket.Options.SetRequestHeader("Origin", $"http://127.0.0.1:{port}");
        await socket.ConnectAsync(new Uri($"ws://127.0.0.1:{port}/live"), CancellationToken.None);
        return socket;
    }

    private static async Task<string> Hear(ClientWebSocket socket)
    {
        byte[] buffer = new byte[4096];
        WebSocketReceiveResult heard = await socket.ReceiveAsync(buffer, CancellationToken.None);
        return Encoding.UTF8.GetString(buffer, 0, heard.Count);
    }

    private static long Resident(Process process) => StatusKb(process, "VmRSS:") * 1024;

    private static long Peak(Process process) => StatusKb(process, "VmHWM:") * 1024;

    private static long StatusKb(Process process, string field) =>
        File.ReadLines($"/proc/{process.Id}/status")
            .Where(line => line.StartsWith(field, StringComparison.Ordinal))
            .Select(line =>
                long.Parse(line.Split(' ', StringSplitOptions.RemoveEmptyEntries)[^2], CultureInfo.InvariantCulture)
            )
            .FirstOrDefault();

    private static string Root()
    {
        DirectoryInfo? folder = new(AppContext.BaseDirectory);
        while (folder is not null && !File.Exists(Path.Combine(folder.FullName, "Graftbench.slnx")))
        {
            folder = folder.Parent;
        }
        return folder?.FullName ?? throw new InvalidOperationException("Run this inside the checkout.");
    }

    private static void Say(FormattableString text) => Console.WriteLine(FormattableString.Invariant(text));
}
