using Graftbench.Web.Hosting;
using Graftbench.Web.Shell;
using Microsoft.AspNetCore.Builder;
using Microsoft.AspNetCore.Http;
using Microsoft.AspNetCore.Http.HttpResults;
using Microsoft.AspNetCore.Routing;

namespace Graftbench.Web.Network;

/// <summary>Pairing a device: a code from the bench for a long secret.</summary>
internal static class PairEndpoints
{
    /// <summary>Longest name of a device.</summary>
    public const int MostNameCharacters = 60;

    private const int MostAtOnce = 30;
    private const string WrongCode =
        "This code is not valid, or not any more. Have the Devices page at the bench show a new one. Nothing was paired.";

    // A browser keeps no cookie for longer.
    private static readonly TimeSpan Lasts = TimeSpan.FromDays(400);

    public static void MapPairing(this IEndpointRouteBuilder routes)
    {
        routes.MapGet("/pair", (HttpContext http) => Only(http) ?? Page(StatusCodes.Status200OK, false));
        routes.MapPost("/pair", (Delegate)Pair);
        routes.MapGet("/network/authority.crt", Authority);
    }

    public static RazorComponentResult<PairPage> Page(
        int status,
        bool wasPaired,
        string problem = "",
        string name = ""
    ) =>
        Pages.Of<PairPage>(
            status,
            (nameof(PairPage.WasPaired), wasPaired),
            (nameof(PairPage.Problem), problem),
            (nameof(PairPage.Name), name)
        );

    /// <summary>A page that says so where somebody at the bench itself asks for what is meant for other devices.</summary>
    public static IResult? Only(HttpContext http) =>
        Visitor.Of(http).AtBench
            ? Pages.Problem(
                StatusCodes.Status409Conflict,
                "Not at the bench",
                "This page is for other devices. At the bench nobody pairs or signs in."
            )
            : null;

    private static async Task<IResult> Pair(
        HttpContext http,
        AccessBook book,
        PairingCodes codes,
        Attempts attempts,
        AuditTrail audit
    )
    {
        if (Only(http) is { } refusal)
        {
            return refusal;
        }
        IFormCollection form = await http.Request.ReadFormAsync(http.RequestAborted);
        string name = FormName.Plain(form["name"].ToString());
        string source = NetworkDoor.Source(http.Connection.RemoteIpAddress);
        if (
            !attempts.HasRoom("pair", MostAtOnce, TimeSpan.FromMinutes(1))
            || attempts.Begin("pair|" + source) is not null
        )
        {
            return Wait(http, attempts.Wait("pair|" + source) ?? TimeSpan.FromMinutes(1));
        }
        if (FormName.Problem("A device", name, MostNameCharacters) is { } problem)
        {
            attempts.Right("pair|" + source);
            return Page(StatusCodes.Status422UnprocessableEntity, false, problem + " Nothing was paired.", name);
        }
        if (book.Devices.Count >= AccessBook.MostDevices)
        {
            attempts.Right("pair|" + source);
            return Page(
                StatusCodes.Status409Conflict,
                false,
                $"The bench knows {AccessBook.MostDevices} devices, no more fit: take one off the list there first."
            );
        }
        if (!codes.Take(form["code"].ToString()))
        {
            if (attempts.Wait("pair|" + source) is { } wait)
            {
                audit.Add(
                    "bench",
                    "pairing-locked",
                    $"Wrong pairing codes from {source}: next try in {BenchClock.Span(wait)}."
                );
            }
            return Page(StatusCodes.Status401Unauthorized, false, WrongCode, name);
        }
        attempts.Right("pair|" + source);
        (Device device, string secret) = book.Pair(name);
        audit.Add("bench", "device-paired", $"Device \"{device.Name}\" paired from {source}.");
        http.Response.Cookies.Append(DoorCookies.Device, secret, DoorCookies.Options(Lasts));
        http.Response.Cookies.Delete(DoorCookies.Session, DoorCookies.Options(null));
        return Results.LocalRedirect("/sign-in");
    }

    private static RazorComponentResult<PairPage> Wait(HttpContext http, TimeSpan wait)
    {
        http.Response.Headers.RetryAfter = Seconds(wait);
        return Page(
            StatusCodes.Status429TooManyRequests,
            false,
            $"Too many tries. Wait {BenchClock.Span(wait < TimeSpan.FromMinutes(1) ? TimeSpan.FromMinutes(1) : wait)}, then try again."
        );
    }

    public static string Seconds(TimeSpan wait) =>
        Math.Ceiling(wait.TotalSeconds).ToString(System.Globalization.CultureInfo.InvariantCulture);

    private static IResult Authority(BenchNetwork network) =>
        network.Certificates is { } certificates
            ? Results.File(certificates.AuthorityFile, "application/x-x509-ca-cert", "graftbench-authority.crt")
            : Pages.NotFound("/network/authority.crt");
}

/// <summary>Names that somebody types for a person or a device.</summary>
internal static class FormName
{
    /// <summary>A name as it is kept.</summary>
    public static string Plain(string text) => text.Trim();

    /// <summary>Why a name is not taken; null where it is.</summary>
    /// <param name="what">What is named, at the start of a sentence.</param>
    /// <param name="name">The name.</param>
    /// <param name="most">Most characters.</param>
    public static string? Problem(string what, string name, int most) =>
        name.Length == 0 ? $"{what} needs a name."
        : name.Length > most ? $"{what}'s name has at most {most} characters. Entered: {name.Length}."
        : name.Any(c => char.IsControl(c) || char.IsSurrogate(c) || IsHidden(c))
            ? $"{what}'s name may hold letters, digits and signs, but nothing that cannot be seen."
        : null;

    // Signs without a width or that turn the direction of writing make one name look like another.
    private static bool IsHidden(char c) =>
        char.GetUnicodeCategory(c)
            is System.Globalization.UnicodeCategory.Format
                or System.Globalization.UnicodeCategory.LineSeparator
                or System.Globalization.UnicodeCategory.ParagraphSeparator
                or System.Globalization.UnicodeCategory.PrivateUse
                or System.Globalization.UnicodeCategory.OtherNotAssigned;
}
