using System.Security.Claims;
using Graftbench.Web.Hosting;
using Graftbench.Web.Shell;
using Microsoft.AspNetCore.Http;
using Microsoft.AspNetCore.Routing;

namespace Graftbench.Web.Network;

/// <summary>
/// The one place that lets in or refuses, before a body is read: at the bench everything goes; from elsewhere only what the
/// visitor's role may. An address without a stated role is refused.
/// </summary>
public sealed class AccessGuard(
    RequestDelegate next,
    BenchNetwork network,
    AccessBook book,
    Sessions sessions,
    OpenRequests open,
    Attempts attempts
)
{
    /// <summary>Most requests of one device in ten seconds: live pages ask a few times a second.</summary>
    public const int MostRequests = 600;

    /// <summary>Most requests of one address without a paired device in ten seconds.</summary>
    public const int MostUnpairedRequests = 200;

    private static readonly TimeSpan Stretch = TimeSpan.FromSeconds(10);

    /// <summary>Handles one request.</summary>
    public async Task InvokeAsync(HttpContext http)
    {
        ArgumentNullException.ThrowIfNull(http);
        bool atBench = http.Features.Get<BenchDoor>() is not null;
        if (atBench ? network.IsOn && !IsBenchHost(http.Request.Host.Host) : !network.Serves(http.Request.Host.Host))
        {
            await Say(http, StatusCodes.Status400BadRequest, "No such bench", "This address is not one of this bench.");
            return;
        }
        if (IsForeign(http, strict: !atBench))
        {
            await Say(
                http,
                StatusCodes.Status403Forbidden,
                "Not from a page of this bench",
                "Another site, or a program that does not say where it comes from, asked for a change. Nothing was changed."
            );
            return;
        }
        if (atBench)
        {
            new Visitor(Role.Bench, book.FindPerson(http.Request.Cookies[VisitorAccess.AtBenchCookie])).Enter(http);
            await next(http);
            return;
        }
        await FromElsewhere(http);
    }

    private async Task FromElsewhere(HttpContext http)
    {
        Visitor visitor = Known(http);
        visitor.Enter(http);
        string source = NetworkDoor.Source(http.Connection.RemoteIpAddress);
        bool hasRoom = visitor.Device is { } device
            ? attempts.HasRoom("device|" + device.Id, MostRequests, Stretch)
            : attempts.HasRoom("address|" + source, MostUnpairedRequests, Stretch);
        if (!hasRoom)
        {
            http.Response.Headers.RetryAfter = "10";
            await Say(
                http,
                StatusCodes.Status429TooManyRequests,
                "Too much at once",
                "Wait ten seconds and try again."
            );
            return;
        }
        if (book.Problem is not null)
        {
            await Say(
                http,
                StatusCodes.Status503ServiceUnavailable,
                "Closed",
                "The list of people and devices cannot be read, so nobody is let in. The screen at the bench says more."
            );
            return;
        }
        Role needed = Needed(http.GetEndpoint());
        if (!visitor.May(needed))
        {
            await Refuse(http, visitor, needed);
            return;
        }
        if (visitor.SessionId is not { } id || visitor.Person is not { } person)
        {
            await next(http);
            return;
        }
        // Form tokens are bound to the session: one that was taken from elsewhere is worth nothing here.
        http.User = new ClaimsPrincipal(
            new ClaimsIdentity([new Claim("sub", id), new Claim(ClaimTypes.Name, person.Name)], "graftbench")
        );
        Session session = new(id, visitor.Device!.Id, person.Id, default, default);
        using IDisposable? noted = open.Note(http, session, http.WebSockets.IsWebSocketRequest);
        if (noted is null)
        {
            await Say(
                http,
                StatusCodes.Status429TooManyRequests,
                "Too many live feeds",
                $"A device may have {OpenRequests.MostFeeds} live pages open at once. Close one."
            );
            return;
        }
        // Revoked between the look and the note: the one who revokes looks through what is noted only once.
        if (!sessions.GoesOn(id))
        {
            await Refuse(http, Visitor.Nobody, needed);
            return;
        }
        await next(http);
    }

    private Visitor Known(HttpContext http)
    {
        if (book.FindByToken(http.Request.Cookies[DoorCookies.Device]) is not { } device)
        {
            return Visitor.Nobody;
        }
        if (book.Problem is null)
        {
            book.Seen(device);
        }
        return
            sessions.Use(http.Request.Cookies[DoorCookies.Session], device.Id) is { } session
            && book.FindPerson(session.PersonId) is { } person
            ? new Visitor(person.Role, person, device, session.Id)
            : new Visitor(Role.Paired, null, device);
    }

    /// <summary>What an endpoint needs. Nothing stated is refused; an address that is none may be asked for by who may look on.</summary>
    private static Role Needed(Endpoint? endpoint) =>
        endpoint?.Metadata.GetMetadata<NeededRole>() is { } stated ? stated.Role
        : endpoint is RouteEndpoint ? Role.Bench
        : Role.Viewer;

    /// <summary>
    /// Whether a change or a live feed is asked for by a page of another site. Browsers say whose page it is; from elsewhere
    /// somebody who does not say it is refused, at the bench the form token still stands in the way.
    /// </summary>
    private static bool IsForeign(HttpContext http, bool strict)
    {
        if (HttpMethods.IsGet(http.Request.Method) && !http.WebSockets.IsWebSocketRequest)
        {
            return false;
        }
        string origin = http.Request.Headers.Origin.ToString();
        string site = http.Request.Headers["Sec-Fetch-Site"].ToString();
        if (origin.Length > 0 && origin != $"{http.Request.Scheme}://{http.Request.Host}")
        {
            return true;
        }
        if (site.Length > 0 && site is not "same-origin" and not "none")
        {
            return true;
        }
        return strict && origin.Length == 0 && site.Length == 0;
    }

    private static bool IsBenchHost(string host) =>
        host == "127.0.0.1" || string.Equals(host, "localhost", StringComparison.OrdinalIgnoreCase);

    private static Task Refuse(HttpContext http, Visitor visitor, Role needed)
    {
        if (visitor.Device is null)
        {
            bool wasPaired = http.Request.Cookies[DoorCookies.Device] is not null;
            return Show(http, PairEndpoints.Page(StatusCodes.Status401Unauthorized, wasPaired));
        }
        if (visitor.Person is null)
        {
            return Show(http, SignInEndpoints.Page(http, StatusCodes.Status401Unauthorized, ""));
        }
        return Say(
            http,
            StatusCodes.Status403Forbidden,
            "Not for your role",
            $"You are signed in as {visitor.Person.Name}, {RoleWords.Of(visitor.Role)}. This needs the role {RoleWords.Of(needed)}. Nothing was changed."
        );
    }

    private static Task Say(HttpContext http, int status, string title, string text) =>
        Show(http, Pages.Of<DoorPage>(status, (nameof(DoorPage.Title), title), (nameof(DoorPage.Text), text)));

    private static Task Show(HttpContext http, IResult page)
    {
        RequestGuard.AddHeaders(http.Response.Headers);
        http.Response.OnStarting(
            state =>
            {
                ((HttpResponse)state).Headers.CacheControl = "no-store";
                return Task.CompletedTask;
            },
            http.Response
        );
        return page.ExecuteAsync(http);
    }
}

/// <summary>Names of the cookies of other devices: sent by the browser to this very host only, over a secure connection only.</summary>
internal static class DoorCookies
{
    public const string Device = "__Host-gb-device";
    public const string Session = "__Host-gb-session";

    /// <summary>How a cookie is kept.</summary>
    /// <param name="lasts">How long; null for until the browser is closed.</param>
    public static CookieOptions Options(TimeSpan? lasts) =>
        new()
        {
            Secure = true,
            HttpOnly = true,
            SameSite = SameSiteMode.Strict,
            Path = "/",
            MaxAge = lasts,
        };
}

/// <summary>Roles in words.</summary>
internal static class RoleWords
{
    public static string Of(Role role) =>
        role switch
        {
            Role.Viewer => "viewer",
            Role.Technician => "technician",
            Role.Owner => "owner",
            Role.Bench => "the bench itself",
            _ => "nobody",
        };

    /// <summary>What a role may, in a sentence.</summary>
    public static string May(Role role) =>
        role switch
        {
            Role.Viewer => "looks at pages; changes and downloads nothing, and does not see firmware",
            Role.Technician => "works on jobs: changes, uploads, downloads",
            Role.Owner => "everything a technician may, people and devices, and taking out a customer's data",
            _ => "",
        };

    /// <summary>Reads a role that a person can have.</summary>
    public static Role? Read(string text) =>
        text switch
        {
            "viewer" => Role.Viewer,
            "technician" => Role.Technician,
            "owner" => Role.Owner,
            _ => null,
        };
}
