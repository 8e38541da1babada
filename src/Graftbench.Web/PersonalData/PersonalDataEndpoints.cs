using Graftbench.Store;
using Graftbench.Web.Hosting;
using Microsoft.AspNetCore.Builder;
using Microsoft.AspNetCore.Http;
using Microsoft.AspNetCore.Http.HttpResults;
using Microsoft.AspNetCore.Routing;

namespace Graftbench.Web.PersonalData;

/// <summary>Takes personal data out of the record of a job: a look first, then for good.</summary>
/// <remarks>The words travel in the body only: an address would leave them in histories and logs.</remarks>
internal static class PersonalDataEndpoints
{
    private const char Between = '\n';

    public static void MapPersonalData(this IEndpointRouteBuilder routes)
    {
        routes.MapGet("/jobs/{id}/personal-data", Show);
        routes.MapPost("/jobs/{id}/personal-data/look", Look);
        routes.MapPost("/jobs/{id}/personal-data", Remove);
    }

    private static IResult Show(string id, HttpContext http, BenchStore store)
    {
        if (store.FindJob(id) is not { } stored)
        {
            return Pages.NoSuchJob(id);
        }
        PersonalDataLook all = store.LookForPersonalData(new RemovalRequest(id, [], []));
        Forbid(http);
        return Pages.Of<PersonalDataPage>(
            (nameof(PersonalDataPage.Look), all),
            (nameof(PersonalDataPage.Words), string.Join(Between, all.OtherOwners)),
            (nameof(PersonalDataPage.Authority), stored.Job.Machine.Authority)
        );
    }

    private static async Task<IResult> Look(string id, HttpContext http, BenchStore store)
    {
        IFormCollection form = await http.Request.ReadFormAsync(http.RequestAborted);
        if (store.FindJob(id) is null)
        {
            return Pages.NoSuchJob(id);
        }
        Forbid(http);
        return Looked(id, form, store, null, StatusCodes.Status200OK);
    }

    private static async Task<IResult> Remove(string id, HttpContext http, BenchStore store)
    {
        IFormCollection form = await http.Request.ReadFormAsync(http.RequestAborted);
        if (store.FindJob(id) is not { } stored)
        {
            return Pages.NoSuchJob(id);
        }
        Forbid(http);
        if (!Plain(form["words"].ToString()).SequenceEqual(Plain(form["seen-words"].ToString())))
        {
            const string changed =
                "Nothing was removed: the words are not those that were looked for. Below is what these words would change.";
            return Looked(id, form, store, changed, StatusCodes.Status409Conflict);
        }
        if (form["sure"] != "yes")
        {
            const string unsure = "Nothing was removed: say that you looked at every place and file below.";
            return Looked(id, form, store, unsure, StatusCodes.Status422UnprocessableEntity);
        }
        try
        {
            RemovalReport report = store.RemovePersonalData(
                new RemovalRequest(id, Plain(form["words"].ToString()), Files(form)),
                form["seen"].ToString(),
                Saving.Who(stored.Job),
                form["why"].ToString()
            );
            return Pages.Of<PersonalDataDonePage>(
                (nameof(PersonalDataDonePage.Stored), store.FindJob(id)),
                (nameof(PersonalDataDonePage.Report), report)
            );
        }
        catch (RemovalRefusedException refusal)
        {
            return Looked(
                id,
                form,
                store,
                "Nothing was removed. " + string.Join(" ", refusal.Problems),
                StatusCodes.Status422UnprocessableEntity
            );
        }
        catch (RecordMovedException moved)
        {
            return Looked(id, form, store, $"{moved.What}. {moved.Todo}", StatusCodes.Status409Conflict);
        }
        catch (StoreException failure)
        {
            return Looked(id, form, store, failure.Message, StatusCodes.Status503ServiceUnavailable);
        }
    }

    private static RazorComponentResult<PersonalDataPage> Looked(
        string id,
        IFormCollection form,
        BenchStore store,
        string? notice,
        int status
    )
    {
        RemovalRequest request = new(id, Plain(form["words"].ToString()), Files(form));
        PersonalDataLook look = store.LookForPersonalData(request);
        bool isFirst = form["seen"].Count == 0;
        if (isFirst && request.Words.Count > 0)
        {
            // What visibly holds a word is offered chosen; a person takes it back where the file is needed.
            string[] holding = [.. look.Files.Where(IsOffered).Select(file => file.Sha256)];
            look = store.LookForPersonalData(request with { Files = holding });
        }
        return Pages.Of<PersonalDataPage>(
            status,
            (nameof(PersonalDataPage.Look), look),
            (nameof(PersonalDataPage.Words), string.Join(Between, request.Words)),
            (nameof(PersonalDataPage.Why), form["why"].ToString()),
            (nameof(PersonalDataPage.Notice), notice),
            (nameof(PersonalDataPage.IsLooked), true)
        );
    }

    private static bool IsOffered(RemovalFile file) => file.CanGo && file.Holding == FileHolding.Holds;

    private static string[] Plain(string words) =>
        [
            .. words
                .ReplaceLineEndings("\n")
                .Split(Between, StringSplitOptions.TrimEntries | StringSplitOptions.RemoveEmptyEntries),
        ];

    private static string[] Files(IFormCollection form) => [.. form["file"].OfType<string>()];

    // Neither the browser nor anything on the way keeps a page that lists what is to be forgotten.
    private static void Forbid(HttpContext http) => http.Response.Headers.CacheControl = "no-store";
}
