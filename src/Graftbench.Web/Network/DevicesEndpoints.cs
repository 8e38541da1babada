using Graftbench.Web.Hosting;
using Microsoft.AspNetCore.Builder;
using Microsoft.AspNetCore.Http;
using Microsoft.AspNetCore.Http.HttpResults;
using Microsoft.AspNetCore.Routing;

namespace Graftbench.Web.Network;

/// <summary>People and devices, for the owner.</summary>
internal static class DevicesEndpoints
{
    /// <summary>Longest name of a person, as the evidence takes it.</summary>
    public const int MostNameCharacters = Store.EvidenceRules.MaxWhoLength;

    private static readonly Dictionary<string, string> Done = new(StringComparer.Ordinal)
    {
        ["code"] = "The code below pairs one device.",
        ["revoked"] = "Revoked: the device is out.",
        ["added"] = "Added.",
        ["role"] = "The role is changed, from the next page on.",
        ["passphrase"] = "The new passphrase counts; the person is signed out everywhere.",
        ["removed"] =
            "Taken off the list and signed out everywhere. What they did stays in the record under their name.",
    };

    public static void MapDevices(this IEndpointRouteBuilder routes)
    {
        routes.MapGet("/devices", (HttpContext http) => Page(done: http.Request.Query["done"].ToString()));
        routes.MapPost("/devices/code", MakeCode);
        routes.MapPost("/devices/{device}/revoke", Revoke);
        routes.MapPost("/people", (Delegate)AddPerson);
        routes.MapPost("/people/{person}/role", (Delegate)ChangeRole);
        routes.MapPost("/people/{person}/passphrase", (Delegate)SetPassphrase);
        routes.MapPost("/people/{person}/remove", RemovePerson);
    }

    private static RazorComponentResult<DevicesPage> Page(
        int status = StatusCodes.Status200OK,
        string problem = "",
        string done = "",
        string name = "",
        string role = ""
    ) =>
        Pages.Of<DevicesPage>(
            status,
            (nameof(DevicesPage.Problem), problem),
            (nameof(DevicesPage.Notice), Done.GetValueOrDefault(done, "")),
            (nameof(DevicesPage.Name), name),
            (nameof(DevicesPage.Role), role)
        );

    private static RazorComponentResult<DevicesPage> Closed(AccessBook book) =>
        Page(StatusCodes.Status503ServiceUnavailable, book.Problem!);

    private static IResult MakeCode(BenchNetwork network, AccessBook book, PairingCodes codes)
    {
        if (book.Problem is not null)
        {
            return Closed(book);
        }
        if (!network.IsOn)
        {
            return Page(
                StatusCodes.Status409Conflict,
                "The bench answers this machine only: start it with --network first."
            );
        }
        codes.Make();
        return Results.LocalRedirect("/devices?done=code#code");
    }

    private static IResult Revoke(
        string device,
        HttpContext http,
        AccessBook book,
        Sessions sessions,
        OpenRequests open,
        AuditTrail audit
    )
    {
        if (book.FindDevice(device) is not { } found)
        {
            return Page(
                StatusCodes.Status404NotFound,
                "There is no such device on the list; it may be revoked already."
            );
        }
        book.Revoke(found.Id);
        sessions.EndOn(found.Id);
        audit.Add(Visitor.Of(http).Name, "device-revoked", $"Device \"{found.Name}\" revoked.");
        // An owner may revoke the device in hand; its own answer still goes out.
        http.Response.OnCompleted(() =>
        {
            open.CutOffDevice(found.Id);
            return Task.CompletedTask;
        });
        return Results.LocalRedirect("/devices?done=revoked#devices");
    }

    private static async Task<IResult> AddPerson(HttpContext http, AccessBook book, AuditTrail audit)
    {
        IFormCollection form = await http.Request.ReadFormAsync(http.RequestAborted);
        if (book.Problem is not null)
        {
            return Closed(book);
        }
        string name = FormName.Plain(form["name"].ToString());
        string passphrase = form["passphrase"].ToString();
        Role? role = RoleWords.Read(form["role"].ToString());
        List<string> problems =
        [
            .. new[]
            {
                FormName.Problem("A person", name, MostNameCharacters),
                book.FindByName(name) is not null
                    ? "There is a person of that name already; names go into the record."
                    : null,
                role is null ? "Choose a role: viewer, technician or owner." : null,
                Passphrase.Problem(passphrase),
                book.People.Count >= AccessBook.MostPeople ? $"At most {AccessBook.MostPeople} people fit." : null,
            }.OfType<string>(),
        ];
        if (problems.Count > 0)
        {
            return Page(
                StatusCodes.Status422UnprocessableEntity,
                string.Join(" ", problems) + " Nobody was added.",
                name: name,
                role: form["role"].ToString()
            );
        }
        Person person = book.Add(name, role!.Value, Passphrase.Of(passphrase));
        audit.Add(Visitor.Of(http).Name, "person-added", $"{person.Name} added as {RoleWords.Of(person.Role)}.");
        return Results.LocalRedirect("/devices?done=added#people");
    }

    private static async Task<IResult> ChangeRole(string person, HttpContext http, AccessBook book, AuditTrail audit)
    {
        IFormCollection form = await http.Request.ReadFormAsync(http.RequestAborted);
        if (book.FindPerson(person) is not { } found)
        {
            return NoSuchPerson();
        }
        if (RoleWords.Read(form["role"].ToString()) is not { } role)
        {
            return Page(StatusCodes.Status422UnprocessableEntity, "Choose a role: viewer, technician or owner.");
        }
        if (role != found.Role)
        {
            book.Change(found.Id, one => one with { Role = role });
            audit.Add(
                Visitor.Of(http).Name,
                "role-changed",
                $"{found.Name}: {RoleWords.Of(role)} instead of {RoleWords.Of(found.Role)}."
            );
        }
        return Results.LocalRedirect("/devices?done=role#people");
    }

    private static async Task<IResult> SetPassphrase(
        string person,
        HttpContext http,
        AccessBook book,
        Sessions sessions,
        OpenRequests open,
        Attempts attempts,
        AuditTrail audit
    )
    {
        IFormCollection form = await http.Request.ReadFormAsync(http.RequestAborted);
        if (book.FindPerson(person) is not { } found)
        {
            return NoSuchPerson();
        }
        string passphrase = form["passphrase"].ToString();
        if (Passphrase.Problem(passphrase) is { } problem)
        {
            return Page(StatusCodes.Status422UnprocessableEntity, problem + " The passphrase stays as it was.");
        }
        Passphrase kept = Passphrase.Of(passphrase);
        book.Change(found.Id, one => one with { Passphrase = kept });
        sessions.EndOf(found.Id);
        attempts.Right("sign-in||" + found.Name.ToUpperInvariant());
        audit.Add(Visitor.Of(http).Name, "passphrase-changed", $"{found.Name} has a new passphrase, set by the owner.");
        CutOffAfter(http, open);
        return Results.LocalRedirect("/devices?done=passphrase#people");
    }

    private static IResult RemovePerson(
        string person,
        HttpContext http,
        AccessBook book,
        Sessions sessions,
        OpenRequests open,
        AuditTrail audit
    )
    {
        if (book.FindPerson(person) is not { } found)
        {
            return NoSuchPerson();
        }
        book.RemovePerson(found.Id);
        sessions.EndOf(found.Id);
        audit.Add(
            Visitor.Of(http).Name,
            "person-removed",
            $"{found.Name}, {RoleWords.Of(found.Role)}, taken off the list."
        );
        CutOffAfter(http, open);
        return Results.LocalRedirect("/devices?done=removed#people");
    }

    private static void CutOffAfter(HttpContext http, OpenRequests open) =>
        http.Response.OnCompleted(() =>
        {
            open.CutOffEnded();
            return Task.CompletedTask;
        });

    private static RazorComponentResult<DevicesPage> NoSuchPerson() =>
        Page(StatusCodes.Status404NotFound, "There is no such person on the list; somebody may have taken them off.");
}
