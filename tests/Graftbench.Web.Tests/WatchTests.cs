using System.Net;
using System.Net.WebSockets;
using System.Text;
using System.Text.Json;
using Graftbench.Core.Jobs;
using Graftbench.Store;
using Graftbench.Tests.Shared;
using Graftbench.Web.Heating;

namespace Graftbench.Web.Tests;

/// <summary>The watch over HTTP: from its source to its end without a script, and the live feed.</summary>
public class WatchTests(WatchTests.GoingOn goingOn) : IClassFixture<WatchTests.GoingOn>
{
    private const string Job = "/jobs/arcade-graphics-chip";
    private const string Watch = Job + "/heat/place/watch";
    private static readonly TimeSpan Patience = TimeSpan.FromSeconds(90);

    private static HeatPlanning Planning => (job, task, chip, _, _) => WatchPlans.Of(job, task, chip);

    /// <summary>One simulated heat in real time that several tests look at: to build its model takes seconds.</summary>
    public sealed class GoingOn : IAsyncLifetime
    {
        internal BenchHost Bench { get; private set; } = null!;

        internal string Run { get; private set; } = "";

        internal Uri Live =>
            new(
                Bench.Address.ToString().Replace("http:", "ws:", StringComparison.Ordinal).TrimEnd('/') + Run + "/live"
            );

        public async ValueTask InitializeAsync()
        {
            Bench = await WatchTests.Bench();
            using BenchClient client = Bench.Client();
            Run = await Started(client, "1");
        }

        public async ValueTask DisposeAsync() => await Bench.DisposeAsync();
    }

    private static async Task<BenchHost> Bench()
    {
        BenchHost bench = await BenchHost.Start(demo: true, heat: Planning);
        Job job = bench.Store.FindJob("arcade-graphics-chip")!.Job;
        bench.Desk.Request(job, Core.Heating.HeatTask.Place, "GFX");
        DateTime end = DateTime.UtcNow + Patience;
        while (bench.Desk.Status(job, Core.Heating.HeatTask.Place, "GFX").Plan is null)
        {
            Assert.True(DateTime.UtcNow < end, bench.Desk.Status(job, Core.Heating.HeatTask.Place, "GFX").Words);
            await Task.Delay(20);
        }
        return bench;
    }

    private static async Task<string> Prepared(BenchClient client, string speed)
    {
        HtmlForm source = (await client.Form(Watch + "?chip=GFX", Watch + "?chip=GFX"))
            .With("source", "simulation")
            .With("speed", speed);
        string prepare = (await client.Post(source)).Location!;
        Answer confirmed = await client.Post(await client.Form(prepare, prepare + "/confirm"));
        Assert.Equal(HttpStatusCode.Redirect, confirmed.Status);
        DateTime end = DateTime.UtcNow + Patience;
        string page;
        while (!(page = await client.Get(prepare)).Contains("the heaters go on now", StringComparison.Ordinal))
        {
            Assert.True(DateTime.UtcNow < end, page);
            Assert.DoesNotContain("could not be built", page, StringComparison.Ordinal);
            await Task.Delay(100);
        }
        return prepare;
    }

    private static async Task<string> Started(BenchClient client, string speed = "5")
    {
        string prepare = await Prepared(client, speed);
        Answer started = await client.Post(await client.Form(prepare, prepare + "/start"));
        Assert.Equal(HttpStatusCode.Redirect, started.Status);
        return started.Location!;
    }

    [Fact]
    public async Task A_simulated_heat_is_watched_from_its_source_to_its_end_without_a_script()
    {
        await using BenchHost bench = await Bench();
        using BenchClient client = bench.Client();
        string run = await Started(client);
        string page = await client.Get(run);
        Assert.Contains("SIMULATION", page, StringComparison.Ordinal);
        Assert.Contains("http-equiv=\"refresh\"", page, StringComparison.Ordinal);
        Assert.Contains("Coldest joint", page, StringComparison.Ordinal);
        Assert.DoesNotContain("style=\"", page, StringComparison.Ordinal);
        HtmlForm mark = HtmlForm.Of(page, run + "/mark").With("mark", "moved");
        Assert.Equal(HttpStatusCode.Redirect, (await client.Post(mark)).Status);
        HtmlForm set = HtmlForm.Of(page, run + "/set").With("gas", "250,5");
        Assert.Equal(HttpStatusCode.Redirect, (await client.Post(set)).Status);
        Assert.Contains("being watched", await client.Get(Job), StringComparison.Ordinal);
        Assert.Equal(HttpStatusCode.Redirect, (await client.Post(HtmlForm.Of(page, run + "/end"))).Status);
        string over = await client.Get(run);
        Assert.Contains("Ended", over, StringComparison.Ordinal);
        Assert.Contains("SIMULATION", over, StringComparison.Ordinal);
        string id = run.Split('/')[^1];
        IReadOnlyList<HeatMark> marks = bench.Store.Marks(id);
        Assert.Contains(marks, each => each.Kind == "moved");
        Assert.Contains(marks, each => each is { Kind: "set", Text: "gas 251 °C" });
        Assert.Contains(bench.Store.Evidence("arcade-graphics-chip"), line => line.Kind == BenchStore.HeatRunKind);
        Assert.Contains("SIMULATION", await client.Get(Job), StringComparison.Ordinal);
    }

    [Theory]
    [InlineData("mark", "mark", "lift")]
    [InlineData("mark", "mark", "note")]
    [InlineData("set", "gas", "hot")]
    [InlineData("set", "gas", "2000")]
    [InlineData("set", "preheater", "-5")]
    [InlineData("set", "gas", "")]
    public async Task What_is_no_mark_or_setting_is_refused_and_nothing_is_stored(
        string form,
        string field,
        string value
    )
    {
        BenchHost bench = goingOn.Bench;
        using BenchClient client = bench.Client();
        string run = goingOn.Run;
        HtmlForm wrong = HtmlForm.Of(await client.Get(run), $"{run}/{form}").With(field, value);
        Answer answer = await client.Post(wrong);
        Assert.Equal(HttpStatusCode.BadRequest, answer.Status);
        Assert.DoesNotContain(bench.Store.Marks(run.Split('/')[^1]), mark => mark.Kind is "lift" or "note" or "set");
    }

    [Theory]
    [InlineData("serial", "port", "", "No serial port")]
    [InlineData("tcp", "host", "nowhere", "no network address")]
    [InlineData("file", "file", "", "No file")]
    [InlineData("replay", "log-speed", "fast", "no number")]
    [InlineData("simulation", "speed", "0", "Speed")]
    [InlineData("telepathy", "port", "", "Choose where")]
    public async Task What_is_no_source_comes_back_with_the_reason(string kind, string field, string value, string why)
    {
        await using BenchHost bench = await Bench();
        using BenchClient client = bench.Client();
        HtmlForm source = (await client.Form(Watch + "?chip=GFX", Watch + "?chip=GFX"))
            .With("source", kind)
            .With(field, value);
        Answer answer = await client.Post(source);
        Assert.Equal(HttpStatusCode.BadRequest, answer.Status);
        Assert.Contains(why, answer.Html, StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_place_in_the_air_and_a_missing_probe_are_refused_before_the_model_is_built()
    {
        await using BenchHost bench = await Bench();
        using BenchClient client = bench.Client();
        HtmlForm source = (await client.Form(Watch + "?chip=GFX", Watch + "?chip=GFX"))
            .With("source", "simulation")
            .With("speed", "1");
        string prepare = (await client.Post(source)).Location!;
        HtmlForm form = await client.Form(prepare, prepare + "/confirm");
        Answer none = await client.Post(form.With("place-0", "").With("place-1", ""));
        Assert.Equal(HttpStatusCode.BadRequest, none.Status);
        Assert.Contains("No probe", none.Html, StringComparison.Ordinal);
        Answer air = await client.Post(
            form.With("place-0", "own").With("x-0", "10").With("y-0", "10").With("z-0", "900")
        );
        Assert.Equal(HttpStatusCode.BadRequest, air.Status);
        Assert.Contains("probe 1: height 900 mm lies off", air.Html, StringComparison.Ordinal);
    }

    [Fact]
    public async Task Lines_of_a_file_are_shown_learned_confirmed_and_kept_with_the_bench()
    {
        await using BenchHost bench = await Bench();
        using BenchClient client = bench.Client();
        string path = Path.GetTempFileName();
        try
        {
            await File.WriteAllTextAsync(
                path,
                string.Concat(Enumerable.Range(0, 30).Select(i => $"23,{i * 7 % 10};22,{i * 3 % 10}\n"))
            );
            HtmlForm source = (await client.Form(Watch + "?chip=GFX", Watch + "?chip=GFX"))
                .With("source", "file")
                .With("file", path);
            string prepare = (await client.Post(source)).Location!;
            DateTime end = DateTime.UtcNow + Patience;
            string page;
            while (!(page = await client.Get(prepare)).Contains("Is it read rightly?", StringComparison.Ordinal))
            {
                Assert.True(DateTime.UtcNow < end, page);
                await Task.Delay(50);
            }
            Assert.Contains("fields by semicolons, decimal comma", page, StringComparison.Ordinal);
            // Nothing goes on before the person has confirmed.
            Answer unread = await client.Post(HtmlForm.Of(page, prepare + "/confirm").With("format", "none"));
            Assert.Equal(HttpStatusCode.BadRequest, unread.Status);
            Answer right = await client.Post(HtmlForm.Of(page, prepare + "/confirm"));
            Assert.Equal(HttpStatusCode.Redirect, right.Status);
            string? name = bench.Store.FindJob("arcade-graphics-chip")!.Job.Bench.Name;
            Assert.Single(bench.Store.BenchFacts(name, BenchFactRules.ProbeFormat));
        }
        finally
        {
            File.Delete(path);
        }
    }

    [Fact]
    public async Task The_live_feed_is_for_pages_of_this_bench_only()
    {
        BenchHost bench = goingOn.Bench;
        Uri live = goingOn.Live;
        foreach (string? origin in new[] { null, "http://evil.example", "https://127.0.0.1", "null" })
        {
            using ClientWebSocket wrong = new();
            if (origin is not null)
            {
                wrong.Options.SetRequestHeader("Origin", origin);
            }
            wrong.Options.CollectHttpResponseDetails = true;
            await Assert.ThrowsAsync<WebSocketException>(() => wrong.ConnectAsync(live, CancellationToken.None));
            Assert.Equal(HttpStatusCode.Forbidden, wrong.HttpStatusCode);
        }
        using ClientWebSocket right = await Connected(bench, live);
        using JsonDocument first = await Message(right);
        Assert.Equal("running", first.RootElement.GetProperty("state").GetString());
        using JsonDocument second = await Message(right);
        Assert.True(
            second.RootElement.GetProperty("version").GetInt64() > first.RootElement.GetProperty("version").GetInt64()
        );
    }

    [Fact]
    public async Task A_page_that_leaves_or_talks_is_let_go()
    {
        BenchHost bench = goingOn.Bench;
        using BenchClient client = bench.Client();
        Uri live = goingOn.Live;
        using ClientWebSocket leaving = await Connected(bench, live);
        using JsonDocument seen = await Message(leaving);
        await leaving.CloseAsync(WebSocketCloseStatus.NormalClosure, null, CancellationToken.None).WaitAsync(Patience);
        using ClientWebSocket talking = await Connected(bench, live);
        await talking.SendAsync(new byte[5000], WebSocketMessageType.Binary, false, CancellationToken.None);
        byte[] buffer = new byte[64 * 1024];
        using CancellationTokenSource limit = new(Patience);
        bool closed = false;
        while (!closed)
        {
            try
            {
                closed = (await talking.ReceiveAsync(buffer, limit.Token)).MessageType == WebSocketMessageType.Close;
            }
            catch (WebSocketException)
            {
                closed = true;
            }
        }
        // The run has not noticed.
        Assert.Contains("Coldest joint", await client.Get(goingOn.Run), StringComparison.Ordinal);
    }

    [Fact]
    public async Task The_history_comes_once_as_numbers_and_only_for_its_own_job()
    {
        using BenchClient client = goingOn.Bench.Client();
        string run = goingOn.Run;
        while (goingOn.Bench.Store.Samples(run.Split('/')[^1]).Count < 5)
        {
            await Task.Delay(100);
        }
        byte[] history = await client.Http.GetByteArrayAsync(new Uri(run + "/history.bin", UriKind.Relative));
        const int Columns = Graftbench.Watch.RunHistory.FixedColumns + 4;
        Assert.True(
            history.Length > 0 && history.Length % (4 * (Graftbench.Watch.RunHistory.FixedColumns + 2)) == 0,
            $"{history.Length} {Columns}"
        );
        using HttpResponseMessage other = await client.Http.GetAsync(
            new Uri("/jobs/other/watch/" + run.Split('/')[^1] + "/history.bin", UriKind.Relative)
        );
        Assert.Equal(HttpStatusCode.NotFound, other.StatusCode);
    }

    private static async Task<ClientWebSocket> Connected(BenchHost bench, Uri live)
    {
        ClientWebSocket socket = new();
        socket.Options.SetRequestHeader("Origin", bench.Address.ToString().TrimEnd('/'));
        await socket.ConnectAsync(live, CancellationToken.None).WaitAsync(Patience);
        return socket;
    }

    private static async Task<JsonDocument> Message(ClientWebSocket socket)
    {
        byte[] buffer = new byte[256 * 1024];
        int count = 0;
        ValueWebSocketReceiveResult got;
        using CancellationTokenSource limit = new(Patience);
        do
        {
            got = await socket.ReceiveAsync(buffer.AsMemory(count), limit.Token);
            count += got.Count;
        } while (!got.EndOfMessage);
        return JsonDocument.Parse(Encoding.UTF8.GetString(buffer, 0, count));
    }
}
