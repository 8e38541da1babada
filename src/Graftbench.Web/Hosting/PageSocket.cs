using System.Net.WebSockets;
using System.Text.Json;
using Microsoft.AspNetCore.Http;

namespace Graftbench.Web.Hosting;

/// <summary>A socket over which a page of this bench is told what is new. Pages only listen.</summary>
internal static class PageSocket
{
    private const int MostHeardBytes = 1024;
    private static readonly TimeSpan Patience = TimeSpan.FromSeconds(5);

    /// <summary>Whether a page of this bench asks for a socket; else the answer says why not.</summary>
    public static async Task<bool> IsAsked(HttpContext http)
    {
        // Pages of other sites may open sockets to this machine; the browser says whose page it is.
        if (http.Request.Headers.Origin != $"{http.Request.Scheme}://{http.Request.Host}")
        {
            http.Response.StatusCode = StatusCodes.Status403Forbidden;
            await http.Response.WriteAsync("Only pages of this bench may listen.");
            return false;
        }
        if (!http.WebSockets.IsWebSocketRequest)
        {
            http.Response.StatusCode = StatusCodes.Status400BadRequest;
            await http.Response.WriteAsync("This address is a live feed.");
            return false;
        }
        return true;
    }

    /// <summary>Takes the page in and tells it what <paramref name="tell"/> tells, until either ends it.</summary>
    /// <param name="http">The request.</param>
    /// <param name="tell">Sends messages until there are no more.</param>
    /// <param name="ending">Ends when the program stops.</param>
    public static async Task Serve(
        HttpContext http,
        Func<WebSocket, CancellationToken, Task> tell,
        CancellationToken ending
    )
    {
        using CancellationTokenSource stop = CancellationTokenSource.CreateLinkedTokenSource(
            http.RequestAborted,
            ending
        );
        using WebSocket socket = await http.WebSockets.AcceptWebSocketAsync();
        // Without reading, a page that has left would stay counted as there.
        Task reading = Read(socket, stop);
        try
        {
            await tell(socket, stop.Token);
        }
        catch (Exception error) when (error is OperationCanceledException or WebSocketException or IOException) { }
        await Close(socket);
        await stop.CancelAsync();
        await reading;
    }

    /// <summary>Sends one message.</summary>
    public static Task Send<TMessage>(WebSocket socket, TMessage message, CancellationToken cancel) =>
        socket.SendAsync(
            JsonSerializer.SerializeToUtf8Bytes(message, JsonSerializerOptions.Web),
            WebSocketMessageType.Text,
            endOfMessage: true,
            cancel
        );

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
