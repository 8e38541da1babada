using System.Net.WebSockets;
using Graftbench.Watch;
using Graftbench.Web.Hosting;
using Graftbench.Web.Shell;
using Microsoft.AspNetCore.Http;
using Microsoft.Extensions.Hosting;

namespace Graftbench.Web.Watching;

/// <summary>The live feed of a run: a picture of the moment whenever there is a new one, at most ten a second.</summary>
internal static class LiveSocket
{
    private static readonly TimeSpan LeastGap = TimeSpan.FromMilliseconds(90);

    public static async Task Serve(
        string id,
        string run,
        HttpContext http,
        RunHost host,
        Preferences preferences,
        IHostApplicationLifetime lifetime
    )
    {
        if (!await PageSocket.IsAsked(http))
        {
            return;
        }
        if (host.Find(run) is not { } going || going.Order.RecordId != id)
        {
            http.Response.StatusCode = StatusCodes.Status404NotFound;
            await http.Response.WriteAsync("No such run goes on here.");
            return;
        }
        bool fahrenheit = preferences.Fahrenheit;
        await PageSocket.Serve(
            http,
            (socket, cancel) => Tell(socket, going, fahrenheit, cancel),
            lifetime.ApplicationStopping
        );
    }

    private static async Task Tell(WebSocket socket, WatchRun run, bool fahrenheit, CancellationToken cancel)
    {
        long seen = -1;
        while (true)
        {
            RunSnapshot now = await run.NewerAsync(seen, cancel);
            seen = now.Version;
            await PageSocket.Send(socket, WatchFace.Of(run, now, fahrenheit), cancel);
            if (!now.GoesOn)
            {
                return;
            }
            await Task.Delay(LeastGap, cancel);
        }
    }
}
