using Graftbench.Web.Shell;
using Microsoft.AspNetCore.Antiforgery;
using Microsoft.AspNetCore.Http;
using Microsoft.AspNetCore.Http.Features;
using Microsoft.AspNetCore.Http.HttpResults;
using Microsoft.Extensions.DependencyInjection;
using Microsoft.Extensions.Logging;

namespace Graftbench.Web.Hosting;

/// <summary>
/// What every request passes: security headers out, a size limit and a form token in. A failure becomes a page that says
/// what happened, never a stack trace.
/// </summary>
public sealed partial class RequestGuard(RequestDelegate next, IAntiforgery antiforgery, ILogger<RequestGuard> log)
{
    /// <summary>Largest ordinary form [bytes].</summary>
    public const long MaxFormBytes = 4 * 1024 * 1024;

    /// <summary>Largest file that is attached to a job [bytes], form around it included.</summary>
    public const long MaxAttachmentBytes = 32 * 1024 * 1024;

    /// <summary>Largest record that is imported, or images that are added at once [bytes].</summary>
    public const long MaxImportBytes = 256 * 1024 * 1024;

    /// <summary>Longest body that is read to its end only to be refused [bytes]; beyond it the connection is cut.</summary>
    public const long MostDroppedBytes = 1024L * 1024 * 1024;

    /// <summary>Most fields in one form.</summary>
    public const int MaxFormFields = 20_000;

    /// <summary>Nothing from elsewhere, nothing inline.</summary>
    public const string ContentSecurityPolicy =
        "default-src 'self'; script-src 'self'; style-src 'self'; img-src 'self' data: blob:; connect-src 'self'; "
        + "object-src 'none'; base-uri 'self'; form-action 'self'; frame-ancestors 'none'";

    /// <summary>Handles one request.</summary>
    public async Task InvokeAsync(HttpContext http)
    {
        ArgumentNullException.ThrowIfNull(http);
        AddHeaders(http.Response.Headers);
        http.Response.OnStarting(KeepTypedText, http.Response);
        string method = http.Request.Method;
        try
        {
            if (!HttpMethods.IsGet(http.Request.Method) && !HttpMethods.IsPost(method))
            {
                await MethodPage(http, method).ExecuteAsync(http);
                return;
            }
            if (!HttpMethods.IsGet(http.Request.Method))
            {
                if (await IsTooLarge(http))
                {
                    await TooLargePage(http).ExecuteAsync(http);
                    return;
                }
                if (!await antiforgery.IsRequestValidAsync(http))
                {
                    await Pages
                        .Problem(
                            StatusCodes.Status400BadRequest,
                            "This form was not accepted",
                            "It did not carry the token of a page of this bench. Open the page again and repeat the entry."
                        )
                        .ExecuteAsync(http);
                    return;
                }
            }
            await next(http);
            if (!http.Response.HasStarted && http.Response.ContentType is null)
            {
                await PutIntoWords(http, method);
            }
        }
        catch (Exception failure) when (!http.Response.HasStarted && Cause<BadHttpRequestException>(failure) is { } bad)
        {
            await ShowAnew(
                http,
                bad.StatusCode == StatusCodes.Status413PayloadTooLarge
                    ? TooLargePage(http)
                    : Pages.Problem(
                        bad.StatusCode,
                        "This request was not accepted",
                        "The browser's request could not be read."
                    )
            );
        }
        catch (Exception failure) when (!http.Response.HasStarted && Cause<InvalidDataException>(failure) is { } bad)
        {
            LogBadForm(log, bad, http.Request.Path);
            await ShowAnew(
                http,
                Pages.Problem(
                    StatusCodes.Status400BadRequest,
                    "This form could not be read",
                    "Its parts are broken or exceed a limit: " + bad.Message
                )
            );
        }
        catch (Exception failure) when (!http.Response.HasStarted && failure is not OperationCanceledException)
        {
            LogFailure(log, failure, http.Request.Path);
            await ShowAnew(
                http,
                Pages.Problem(
                    StatusCodes.Status500InternalServerError,
                    "Something broke here",
                    (
                        HttpMethods.IsGet(http.Request.Method)
                            ? "The page could not be shown; showing it changes nothing. "
                            : "It is not certain whether this was stored: look at the record before you repeat it. Go back in the browser: what you typed is still in the form. "
                    ) + $"For a report: {failure.GetType().Name}: {failure.Message}"
                )
            );
        }
    }

    /// <summary>
    /// Takes back what a page that failed had prepared and shows the page which says so, with services of its own: what
    /// renders pages is in the middle of the one that failed.
    /// </summary>
    private static async Task ShowAnew(HttpContext http, RazorComponentResult<ProblemPage> page)
    {
        http.Response.Clear();
        AddHeaders(http.Response.Headers);
        IServiceProvider before = http.RequestServices;
        AsyncServiceScope scope = before.CreateAsyncScope();
        await using (scope)
        {
            http.RequestServices = scope.ServiceProvider;
            await page.ExecuteAsync(http);
            http.RequestServices = before;
        }
    }

    /// <summary>An answer without a page gets one: no such address, or not this way.</summary>
    private static Task PutIntoWords(HttpContext http, string method) =>
        http.Response.StatusCode switch
        {
            StatusCodes.Status404NotFound => Pages.NotFound(http.Request.Path.Value ?? "").ExecuteAsync(http),
            StatusCodes.Status405MethodNotAllowed => MethodPage(http, method).ExecuteAsync(http),
            _ => Task.CompletedTask,
        };

    private static RazorComponentResult<ProblemPage> MethodPage(HttpContext http, string method)
    {
        if (http.Response.Headers.Allow.Count == 0)
        {
            http.Response.Headers.Allow = "GET, HEAD, POST";
        }
        return Pages.Problem(
            StatusCodes.Status405MethodNotAllowed,
            "Not this way",
            $"This address does not answer {method}. Nothing was changed."
        );
    }

    internal static void AddHeaders(IHeaderDictionary headers)
    {
        headers.ContentSecurityPolicy = ContentSecurityPolicy;
        headers.XContentTypeOptions = "nosniff";
        headers["Referrer-Policy"] = "same-origin";
        headers["Permissions-Policy"] = "geolocation=(), microphone=(), payment=(), usb=()";
        headers["Cross-Origin-Opener-Policy"] = "same-origin";
        headers["Cross-Origin-Resource-Policy"] = "same-origin";
        headers.XFrameOptions = "DENY";
    }

    /// <summary>
    /// A page is asked for anew each time, since the record may have moved on; but the browser may keep what was typed when
    /// its Back button is pressed, which "no-store" of the form token would forbid.
    /// </summary>
    private static Task KeepTypedText(object state)
    {
        HttpResponse response = (HttpResponse)state;
        if (response.ContentType?.StartsWith("text/html", StringComparison.Ordinal) == true)
        {
            response.Headers.CacheControl = "private, no-cache";
            response.Headers.Remove("Pragma");
        }
        return Task.CompletedTask;
    }

    /// <summary>The failure itself, or the one that the form token's check wrapped.</summary>
    private static T? Cause<T>(Exception failure)
        where T : Exception => failure as T ?? failure.InnerException as T;

    /// <summary>
    /// Sets the limit of this address. A body that says that it is longer is read to its end and dropped, since a browser
    /// that is cut off while it sends shows its own error in place of our answer.
    /// </summary>
    private static async Task<bool> IsTooLarge(HttpContext http)
    {
        IHttpMaxRequestBodySizeFeature? limit = http.Features.Get<IHttpMaxRequestBodySizeFeature>();
        if (limit is not { IsReadOnly: false })
        {
            return false;
        }
        limit.MaxRequestBodySize = LimitBytes(http.Request.Path);
        if (http.Request.ContentLength is not { } length || length <= limit.MaxRequestBodySize)
        {
            return false;
        }
        if (length <= MostDroppedBytes)
        {
            limit.MaxRequestBodySize = null;
            await http.Request.Body.CopyToAsync(Stream.Null, http.RequestAborted);
        }
        return true;
    }

    private static long LimitBytes(PathString path) =>
        path == "/import"
        || path.Value?.EndsWith("/firmware/images", StringComparison.Ordinal) == true
        || path.Value?.EndsWith("/pictures", StringComparison.Ordinal) == true
            ? MaxImportBytes
        : path.Value is { } value
        && (
            value.EndsWith("/evidence/file", StringComparison.Ordinal)
            || value.EndsWith("/photo", StringComparison.Ordinal)
            || value.EndsWith("/runs/log", StringComparison.Ordinal)
        )
            ? MaxAttachmentBytes
        : MaxFormBytes;

    private static RazorComponentResult<ProblemPage> TooLargePage(HttpContext http) =>
        Pages.Problem(
            StatusCodes.Status413PayloadTooLarge,
            "Too large",
            $"The limit here is {LimitBytes(http.Request.Path) / (1024 * 1024)} MB. Nothing was saved."
        );

    [LoggerMessage(Level = LogLevel.Error, Message = "Request for {Path} failed")]
    private static partial void LogFailure(ILogger log, Exception failure, PathString path);

    [LoggerMessage(Level = LogLevel.Warning, Message = "Form for {Path} could not be read")]
    private static partial void LogBadForm(ILogger log, Exception failure, PathString path);
}
