using Graftbench.Web.Hosting;
using Graftbench.Web.Shell;
using Microsoft.AspNetCore.Builder;
using Microsoft.AspNetCore.Http;
using Microsoft.AspNetCore.Http.HttpResults;
using Microsoft.AspNetCore.Routing;

namespace Graftbench.Web.Network;

/// <summary>Signing in and out on a paired device, the own passphrase, and who is at the bench.</summary>
internal static class SignInEndpoints
{
    private const int MostAtOnce = 30;
    private const string Wrong = "Name and passphrase do not go together. Nobody was signed in.";

    public static void MapSignIn(this IEndpointRouteBuilder routes)
    {
        routes.MapGet(
            "/sign-in",
            (HttpContext http) => PairEndpoints.Only(http) ?? Page(http, StatusCodes.Status200OK, "")
        );
        routes.MapPost("/sign-in", (Delegate)SignIn);
        routes.MapPost("/sign-out", SignOut);
        routes.MapGet("/me", () => Pages.Of<MePage>());
        routes.MapPost("/me/passphrase", (Delegate)ChangeOwn);
        routes.MapPost("/who", (Delegate)SayWho);
    }

    public static RazorComponentResult<SignInPage> Page(HttpContext http, int status, string problem, string name = "")
    {
        string here = HttpMethods.IsGet(http.Request.Method) ? http.Request.Path + http.Request.QueryString : "/";
        return Page(status, problem, name, here.StartsWith("/sign-in", StringComparison.Ordinal) ? "/" : here);
    }

    private static RazorComponentResult<SignInPage> Page(int status, string problem, string name, string back) =>
        Pages.Of<SignInPage>(
            status,
            (nameof(SignInPage.Problem), problem),
            (nameof(SignInPage.Name), name),
            (nameof(SignInPage.Back), back)
        );

    private static async Task<IResult> SignIn(
        HttpContext http,
        AccessBook book,
        Sessions sessions,
        OpenRequests open,
        Attempts attempts,
        AuditTrail audit
    )
    {
        if (PairEndpoints.Only(http) is { } refusal)
        {
            return refusal;
        }
        Device device = Visitor.Of(http).Device!;
        IFormCollection form = await http.Request.ReadFormAsync(http.RequestAborted);
        string name = FormName.Plain(form["person"].ToString());
        string back = Preferences.Local(form["back"].ToString());
        name = name.Length > 80 ? name[..80] : name;
        // By device and by name: neither many names on one device nor many devices for one name get around the wait.
        string[] keys = ["sign-in|" + device.Id, "sign-in||" + name.ToUpperInvariant()];
        if (!attempts.HasRoom("sign-in", MostAtOnce, TimeSpan.FromMinutes(1)))
        {
            return Wait(http, TimeSpan.FromMinutes(1), name, back);
        }
        if (keys.Select(attempts.Begin).ToList().Find(wait => wait is not null) is { } longest)
        {
            return Wait(http, longest, name, back);
        }
        Person? person = book.FindByName(name);
        bool right = await Passphrase.IsAsync(person?.Passphrase, form["passphrase"].ToString(), http.RequestAborted);
        if (!right)
        {
            // The name that was entered is not written down: it may be a passphrase in the wrong field.
            if (keys.Select(attempts.Wait).Max() is { } wait)
            {
                audit.Add(
                    "bench",
                    "sign-in-locked",
                    $"Wrong passphrases on \"{device.Name}\": next try in {BenchClock.Span(wait)}."
                );
            }
            return Page(StatusCodes.Status401Unauthorized, Wrong, name, back);
        }
        // Hashing takes a while, in which the device may have been revoked.
        if (book.FindDevice(device.Id) is null || book.FindPerson(person!.Id)?.Passphrase != person.Passphrase)
        {
            return Page(StatusCodes.Status401Unauthorized, Wrong, name, back);
        }
        Array.ForEach(keys, attempts.Right);
        string secret = sessions.Begin(device.Id, person.Id);
        open.CutOffEnded();
        book.SignedIn(device.Id, person.Id);
        http.Response.Cookies.Append(DoorCookies.Session, secret, DoorCookies.Options(null));
        return Results.LocalRedirect(back);
    }

    private static RazorComponentResult<SignInPage> Wait(HttpContext http, TimeSpan wait, string name, string back)
    {
        http.Response.Headers.RetryAfter = PairEndpoints.Seconds(wait);
        return Page(
            StatusCodes.Status429TooManyRequests,
            $"Too many tries. Wait {BenchClock.Span(wait < TimeSpan.FromMinutes(1) ? TimeSpan.FromMinutes(1) : wait)}, then try again.",
            name,
            back
        );
    }

    private static IResult SignOut(HttpContext http, Sessions sessions, OpenRequests open)
    {
        if (Visitor.Of(http).Device is { } device)
        {
            sessions.EndOn(device.Id);
            http.Response.Cookies.Delete(DoorCookies.Session, DoorCookies.Options(null));
            // This very request is one of them: it is cut off only after its answer.
            http.Response.OnCompleted(() =>
            {
                open.CutOffEnded();
                return Task.CompletedTask;
            });
        }
        return Results.LocalRedirect(Visitor.Of(http).AtBench ? "/" : "/sign-in");
    }

    private static async Task<IResult> ChangeOwn(
        HttpContext http,
        AccessBook book,
        Sessions sessions,
        OpenRequests open,
        Attempts attempts,
        AuditTrail audit
    )
    {
        Visitor me = Visitor.Of(http);
        if (me.AtBench || me.Person is not { } person)
        {
            return Pages.Of<MePage>(StatusCodes.Status409Conflict);
        }
        IFormCollection form = await http.Request.ReadFormAsync(http.RequestAborted);
        string fresh = form["new"].ToString();
        if (Passphrase.Problem(fresh) is { } problem)
        {
            return Me(StatusCodes.Status422UnprocessableEntity, problem: problem);
        }
        string key = "sign-in|" + me.Device!.Id;
        if (attempts.Begin(key) is { } wait)
        {
            http.Response.Headers.RetryAfter = PairEndpoints.Seconds(wait);
            return Me(StatusCodes.Status429TooManyRequests, problem: "Too many tries. Wait a while, then try again.");
        }
        if (!await Passphrase.IsAsync(person.Passphrase, form["old"].ToString(), http.RequestAborted))
        {
            return Me(
                StatusCodes.Status401Unauthorized,
                problem: "That is not the passphrase you have now. It stays as it was."
            );
        }
        attempts.Right(key);
        Passphrase kept = Passphrase.Of(fresh);
        book.Change(person.Id, one => one with { Passphrase = kept });
        sessions.EndOf(person.Id, except: me.SessionId);
        open.CutOffEnded();
        audit.Add(person.Name, "passphrase-changed", $"{person.Name} has a new passphrase, by themselves.");
        return Me(StatusCodes.Status200OK, notice: "Changed. On other devices you are signed out.");
    }

    private static RazorComponentResult<MePage> Me(int status, string notice = "", string problem = "") =>
        Pages.Of<MePage>(status, (nameof(MePage.Notice), notice), (nameof(MePage.Problem), problem));

    private static async Task<IResult> SayWho(HttpContext http, AccessBook book)
    {
        IFormCollection form = await http.Request.ReadFormAsync(http.RequestAborted);
        string id = book.FindPerson(form["who"].ToString())?.Id ?? VisitorAccess.NotListed;
        http.Response.Cookies.Append(
            VisitorAccess.AtBenchCookie,
            id,
            new CookieOptions
            {
                HttpOnly = true,
                SameSite = SameSiteMode.Strict,
                Path = "/",
                MaxAge = TimeSpan.FromDays(400),
            }
        );
        return Results.LocalRedirect(Preferences.Local(form["back"].ToString()));
    }
}
