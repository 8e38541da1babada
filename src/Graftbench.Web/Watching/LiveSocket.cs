using System.Net.WebSockets;
using System.Text.Json;
using Graftbench.Watch;
using Graftbench.Web.Shell;
using Microsoft.AspNetCore.Http;
using Microsoft.Extensions.Hosting;

namespace Graftbench.Web.Watching;

/// <summary>The live feed of a run: a picture of the moment whenever there is a new one, at most ten a second.</summary>
internal static class LiveSocket
{
    private const int MostHeardBytes = 1024;
    private static readonly TimeSpan LeastGap = TimeSpan.FromMilliseconds(90);
    private static readonly TimeSpan Patience = TimeSpan.FromSeconds(5);

    public static async Task Serve(
        string id,
        string run,
        HttpContext http,
        RunHost host,
        Preferences preferences,
        IHostApplicationLifetime lifetime
    )
    {
        // Pages of other sites may open sockets to this machine; the browser says whose page it is.
        if (http.Request.Headers.Origin != $"{http.Request.Scheme}://{http.Request.Host}")
        {
            http.Response.StatusCode = StatusCodes.Status403Forbidden;
            await http.Response.WriteAsync("Only pages of this bench may listen.");
            return;
        }
        if (!http.WebSockets.IsWebSocketRequest)
        {
            http.Response.StatusCode = StatusCodes.Status400BadRequest;
            await http.Response.WriteAsync("This address is a live feed.");
            return;
        }
        if (host.Find(run) is not { } going || going.Order.RecordId != id)
        {
            http.Response.StatusCode = StatusCodes.Status404NotFound;
            await http.Response.WriteAsync("No such run goes on here.");
            return;
        }
        bool fahrenheit = preferences.Fahrenheit;
        using CancellationTokenSource stop = CancellationTokenSource.CreateLinkedTokenSource(
            http.RequestAborted,
            lifetime.ApplicationStopping
        );
        using WebSocket socket = await http.WebSockets.AcceptWebSocketAsync();
        // Without reading, a page that has left would stay counted as there.
        Task reading = Read(socket, stop);
        try
        {
            await Send(socket, going, fahrenheit, stop.Token);
        }
        catch (Exception error) when (error is OperationCanceledException or WebSocketException or IOException) { }
        await Close(socket);
        await stop.CancelAsync();
        await reading;
    }

    private static async Task Send(WebSocket socket, WatchRun run, bool fahrenheit, CancellationToken cancel)
    {
        long seen = -1;
        while (true)
        {
            RunSnapshot now = await run.NewerAsync(seen, cancel);
            seen = now.Version;
            byte[] message = JsonSerializer.SerializeToUtf8Bytes(
                WatchFace.Of(run, now, fahrenheit),
                JsonSerializerOptions.Web
            );
            await socket.SendAsync(message, WebSocketMessageType.Text, endOfMessage: true, cancel);
            if (!now.GoesOn)
            {
                return;
            }
            await Task.Delay(LeastGap, cancel);
        }
    }

    private static async Task Read(WebSocket socket, CancellationTokenSource stop)
    {
        byte[] buffer = new byte[MostHeardBytes];
        try
        {
            while (socket.State == WebSocketState.Open)
            {
                WebSocketReceiveResult heard = await socket.ReceiveAsync(buffer, stop.Token);
                // Pages say nothing here; who does is no page of ours.
                if (heard.MessageType == WebSocketMessageType.Close || !heard.EndOfMessage)
                {
                    break;
                }
            }
        }
        catch (Exception error) when (error is OperationCanceledException or WebSocketException or IOException) { }
        await stop.CancelAsync();
    }

    private static async Task Close(WebSocket socket)
    {
        if (socket.State is not (WebSocketState.Open or WebSocketState.CloseReceived))
        {
            return;
        }
        using CancellationTokenSource limit = new(Patience);
        try
        {
            await socket.CloseOutputAsync(WebSocketCloseStatus.NormalClosure, "over", limit.Token);
        }
        catch (Exception error) when (error is OperationCanceledException or WebSocketException or IOException) { }
    }
}
