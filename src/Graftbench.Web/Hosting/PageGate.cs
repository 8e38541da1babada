using Microsoft.AspNetCore.Http;

namespace Graftbench.Web.Hosting;

/// <summary>
/// Lets a few pages be made at once and has the others wait. Making more of them at once serves nobody sooner, since the
/// processor is the same, and every page in the making holds the plans that it shows.
/// </summary>
internal sealed class PageGate(RequestDelegate next) : IDisposable
{
    /// <summary>Pages that are made at once.</summary>
    public static int Places { get; } = Math.Max(8, 4 * Environment.ProcessorCount);

    // Somebody who reads an answer slowly holds a place; nobody waits for that forever.
    private static readonly TimeSpan Patience = TimeSpan.FromSeconds(30);

    private readonly SemaphoreSlim _free = new(Places);

    /// <summary>Handles one request.</summary>
    public async Task InvokeAsync(HttpContext http)
    {
        if (!HttpMethods.IsGet(http.Request.Method) || http.WebSockets.IsWebSocketRequest)
        {
            await next(http);
            return;
        }
        bool entered = await _free.WaitAsync(Patience, http.RequestAborted);
        try
        {
            await next(http);
        }
        finally
        {
            if (entered)
            {
                _free.Release();
            }
        }
    }

    /// <inheritdoc />
    public void Dispose() => _free.Dispose();
}
