using System.Globalization;
using System.Text.Json.Nodes;
using Graftbench.Store;
using Graftbench.Web.Forms;
using Graftbench.Web.Hosting;
using Graftbench.Web.Shell;
using Microsoft.AspNetCore.Builder;
using Microsoft.AspNetCore.Http;
using Microsoft.AspNetCore.Http.HttpResults;
using Microsoft.AspNetCore.Routing;

namespace Graftbench.Web.Shelf;

internal static class ShelfEndpoints
{
    public static void MapShelf(this IEndpointRouteBuilder routes)
    {
        routes.MapGet("/shelf", ShowAll);
        routes.MapGet("/shelf/{kind}/{id}", ShowOne);
        routes.MapPost("/shelf/{kind}/{id}", Save);
    }

    private static RazorComponentResult<ShelfPage> ShowAll(BenchStore store) =>
        Pages.Of<ShelfPage>(
            (nameof(ShelfPage.Things), ShelfThing.Kinds.Keys.SelectMany(store.Shelf).Select(ShelfThing.Of).ToList())
        );

    private static IResult ShowOne(string kind, string id, BenchStore store, BenchClock clock)
    {
        if (!ShelfThing.Kinds.ContainsKey(kind))
        {
            return Pages.NotFound($"/shelf/{kind}");
        }
        if (id == "new")
        {
            return Page(kind, id, ShelfForm.Empty(kind, clock));
        }
        return store.Shelf(kind).FirstOrDefault(item => item.Id == id) is { } found
            ? Page(kind, id, ShelfForm.Of(ShelfThing.Of(found), clock))
            : Pages.NotFound($"/shelf/{kind}/{id}");
    }

    private static async Task<IResult> Save(
        string kind,
        string id,
        HttpContext http,
        BenchStore store,
        BenchClock clock
    )
    {
        ShelfItem? found = store.Shelf(kind).FirstOrDefault(item => item.Id == id);
        if (!ShelfThing.Kinds.ContainsKey(kind) || (found is null && id != "new"))
        {
            return Pages.NotFound($"/shelf/{kind}/{id}");
        }
        IFormCollection posted = await http.Request.ReadFormAsync(http.RequestAborted);
        ShelfForm form = found is null ? ShelfForm.Empty(kind, clock) : ShelfForm.Of(ShelfThing.Of(found), clock);
        form.Take(posted);
        string what = posted["do"].ToString();
        if (what == "add:history.heats")
        {
            form.Draft.AddEntry("history.heats");
            return Page(kind, id, form);
        }
        if (
            what.StartsWith("remove:history.heats[", StringComparison.Ordinal)
            && int.TryParse(
                what.AsSpan("remove:history.heats[".Length).TrimEnd(']'),
                CultureInfo.InvariantCulture,
                out int index
            )
        )
        {
            form.Draft.RemoveEntry("history.heats", index);
            return Page(kind, id, form);
        }
        if (!form.Check())
        {
            return Page(kind, id, form, StatusCodes.Status422UnprocessableEntity);
        }
        int seen = int.TryParse(posted["revision"], CultureInfo.InvariantCulture, out int revision) ? revision : 0;
        string itemId = found?.Id ?? NewId(store, kind, form.Title);
        try
        {
            store.SaveShelfItem(itemId, kind, form.Title, form.ToJson(), seen, Saving.WhoWithoutJob);
            return Results.LocalRedirect($"/shelf#{itemId}");
        }
        catch (StaleRevisionException stale)
        {
            form.Draft.Revision = stale.Found;
            form.Draft.Notice = stale.Message + " Your entries are still below; saving again puts them on top.";
            return Page(kind, id, form, StatusCodes.Status409Conflict);
        }
        catch (StoreException failure)
        {
            form.Draft.Notice = failure.Message + " What you typed is still below; save again.";
            return Page(kind, id, form, StatusCodes.Status503ServiceUnavailable);
        }
    }

    private static string NewId(BenchStore store, string kind, string title)
    {
        string stem = kind + "-" + ShelfThing.Plain(title);
        HashSet<string> taken = ShelfThing
            .Kinds.Keys.SelectMany(store.Shelf)
            .Select(item => item.Id)
            .ToHashSet(StringComparer.Ordinal);
        string id = stem;
        for (int i = 2; taken.Contains(id); i++)
        {
            id = string.Create(CultureInfo.InvariantCulture, $"{stem}-{i}");
        }
        return id;
    }

    private static RazorComponentResult<ShelfItemPage> Page(
        string kind,
        string id,
        ShelfForm form,
        int status = StatusCodes.Status200OK
    ) =>
        Pages.Of<ShelfItemPage>(
            status,
            (nameof(ShelfItemPage.Kind), kind),
            (nameof(ShelfItemPage.Id), id),
            (nameof(ShelfItemPage.Posted), form)
        );
}
