using System.Net.WebSockets;
using System.Text;
using System.Text.Json;
using Graftbench.Store;

namespace Graftbench.Web.Tests;

/// <summary>What one bench adds, the others are told.</summary>
public sealed class LiveTests : IAsyncLifetime
{
    private const string Id = "machine-tool-bridge-chip";
    private BenchHost host = null!;

    public async ValueTask InitializeAsync() => host = await BenchHost.Start(demo: true);

    [Fact]
    public async Task What_another_program_adds_is_told_with_its_lines()
    {
        using ClientWebSocket page = await Listen("/live?job=" + Id);
        long before = (await Hear(page)).GetProperty("lines").GetInt64();
        Assert.Equal(host.Store.Lines(Id), before);
        // Another program on the same store.
        using BenchStore other = BenchStore.Open(host.Store.Folder, TimeProvider.System);
        await Task.Delay(600, TestContext.Current.CancellationToken);
        other.Append("mixing-desk-signal-processor", new EvidenceDraft("Cleo", "note", """{"note":"another job"}"""));
        other.Append(Id, new EvidenceDraft("Ben", "note", """{"note":"seen"}"""));
        JsonElement news = await Hear(page);
        Assert.Equal(
            (Id, before + 1, "Ben", "note"),
            (
                news.GetProperty("id").GetString(),
                news.GetProperty("lines").GetInt64(),
                news.GetProperty("who").GetString(),
                news.GetProperty("kind").GetString()
            )
        );
    }

    [Fact]
    public async Task A_page_of_all_jobs_hears_of_each()
    {
        using ClientWebSocket page = await Listen("/live");
        await Hear(page);
        await Task.Delay(600, TestContext.Current.CancellationToken);
        host.Store.Append(Id, new EvidenceDraft("Ben", "note", """{"note":"seen"}"""));
        Assert.Equal(Id, (await Hear(page)).GetProperty("id").GetString());
    }

    [Fact]
    public async Task Only_pages_of_this_bench_may_listen()
    {
        WebSocketException refused = await Assert.ThrowsAsync<WebSocketException>(() =>
            Listen("/live", "https://elsewhere.example")
        );
        Assert.Contains("403", refused.Message, StringComparison.Ordinal);
    }

    public async ValueTask DisposeAsync() => await host.DisposeAsync();

    private async Task<ClientWebSocket> Listen(string path, string? origin = null)
    {
        ClientWebSocket socket = new();
        socket.Options.SetRequestHeader("Origin", origin ?? host.Address.ToString().TrimEnd('/'));
        try
        {
            await socket.ConnectAsync(
                new UriBuilder(new Uri(host.Address, path)) { Scheme = "ws" }.Uri,
                TestContext.Current.CancellationToken
            );
            return socket;
        }
        catch
        {
            socket.Dispose();
            throw;
        }
    }

    private static async Task<JsonElement> Hear(ClientWebSocket socket)
    {
        using CancellationTokenSource limit = CancellationTokenSource.CreateLinkedTokenSource(
            TestContext.Current.CancellationToken
        );
        limit.CancelAfter(TimeSpan.FromSeconds(20));
        byte[] buffer = new byte[4096];
        WebSocketReceiveResult heard = await socket.ReceiveAsync(buffer, limit.Token);
        return JsonSerializer.Deserialize<JsonElement>(Encoding.UTF8.GetString(buffer, 0, heard.Count));
    }
}
