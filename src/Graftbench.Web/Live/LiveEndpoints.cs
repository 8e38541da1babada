using System.Net.WebSockets;
using Graftbench.Store;
using Graftbench.Web.Hosting;
using Microsoft.AspNetCore.Builder;
using Microsoft.AspNetCore.Http;
using Microsoft.AspNetCore.Routing;
using Microsoft.Extensions.Hosting;

namespace Graftbench.Web.Live;

/// <summary>Tells pages that other benches changed what they show.</summary>
internal static class LiveEndpoints
{
    public static void MapLive(this IEndpointRouteBuilder routes) => routes.MapGet("/live", Serve);

    private static async Task Serve(
        HttpContext http,
        BenchStore store,
        RecordWatch watch,
        IHostApplicationLifetime lifetime
    )
    {
        if (!await PageSocket.IsAsked(http))
        {
            return;
        }
        string job = http.Request.Query["job"].ToString();
        await PageSocket.Serve(
            http,
            (socket, cancel) => Tell(socket, store, watch, job, cancel),
            lifetime.ApplicationStopping
        );
    }

    private static async Task Tell(
        WebSocket socket,
        BenchStore store,
        RecordWatch watch,
        string job,
        CancellationToken cancel
    )
    {
        await using IAsyncEnumerator<GrownRecord> news = watch.Listen(cancel).GetAsyncEnumerator(cancel);
        // Listening begins with the first question; what came between the page and now is told by its number of lines.
        ValueTask<bool> next = news.MoveNextAsync();
        await PageSocket.Send(socket, new LiveStart(job.Length == 0 ? 0 : store.Lines(job)), cancel);
        while (await next)
        {
            if (job.Length == 0 || news.Current.Id == job)
            {
                await PageSocket.Send(socket, news.Current, cancel);
            }
            next = news.MoveNextAsync();
        }
    }

    /// <summary>First message: how many lines the record of the page's job has.</summary>
    private sealed record LiveStart(long Lines);
}
