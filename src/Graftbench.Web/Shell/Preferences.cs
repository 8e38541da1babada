using Graftbench.Web.Hosting;
using Microsoft.AspNetCore.Builder;
using Microsoft.AspNetCore.Http;
using Microsoft.AspNetCore.Routing;

namespace Graftbench.Web.Shell;

/// <summary>How this browser wants things shown: three cookies, no account.</summary>
public sealed class Preferences(IHttpContextAccessor accessor)
{
    private const string ThemeCookie = "gb-theme";
    private const string UnitCookie = "gb-unit";
    private const string FirstStepsCookie = "gb-first-steps";

    /// <summary><c>light</c>, <c>dark</c>, or <c>auto</c> for what the system wants.</summary>
    public string Theme => Cookie(ThemeCookie) is "light" or "dark" ? Cookie(ThemeCookie)! : "auto";

    /// <summary>True where temperatures are shown in °F. Entries and the record stay in °C.</summary>
    public bool Fahrenheit => Cookie(UnitCookie) == "f";

    /// <summary>True once the panel of first steps was put away.</summary>
    public bool FirstStepsAway => Cookie(FirstStepsCookie) == "away";

    /// <summary>Address of the page being shown, to come back to.</summary>
    public string Here =>
        accessor.HttpContext is { } http && HttpMethods.IsGet(http.Request.Method)
            ? http.Request.Path + http.Request.QueryString
            : "/";

    private string? Cookie(string name) => accessor.HttpContext?.Request.Cookies[name];

    internal static async Task<IResult> Save(HttpContext http)
    {
        IFormCollection form = await http.Request.ReadFormAsync(http.RequestAborted);
        CookieOptions options = new()
        {
            MaxAge = TimeSpan.FromDays(3650),
            SameSite = SameSiteMode.Strict,
            HttpOnly = true,
            Secure = http.Request.IsHttps,
            Path = "/",
        };
        if (form["theme"].ToString() is "light" or "dark" or "auto")
        {
            http.Response.Cookies.Append(ThemeCookie, form["theme"].ToString(), options);
        }
        if (form["unit"].ToString() is "c" or "f")
        {
            http.Response.Cookies.Append(UnitCookie, form["unit"].ToString(), options);
        }
        if (form["first-steps"].ToString() is "away")
        {
            http.Response.Cookies.Append(FirstStepsCookie, "away", options);
        }
        return Results.LocalRedirect(Local(form["back"].ToString()));
    }

    /// <summary>An address on this server, or the first page where the text is anything else.</summary>
    internal static string Local(string text) =>
        text.StartsWith('/')
        && !text.StartsWith("//", StringComparison.Ordinal)
        && text.All(c => c is > ' ' and < '\x7f' and not '\\')
            ? text
            : "/";
}

internal static class PreferenceEndpoints
{
    public static void MapPreferences(this IEndpointRouteBuilder routes) =>
        routes.MapPost("/preferences", (Delegate)Preferences.Save);
}
