using Graftbench.Core.Jobs;
using Graftbench.Sheets;
using Graftbench.Store;
using Graftbench.Web.Hosting;
using Graftbench.Web.Shell;
using Microsoft.AspNetCore.Builder;
using Microsoft.AspNetCore.Http;
using Microsoft.AspNetCore.Routing;

namespace Graftbench.Web.JobScreen;

/// <summary>What leaves the bench on paper or as a file.</summary>
internal static class PaperEndpoints
{
    public static void MapPapers(this IEndpointRouteBuilder routes)
    {
        routes.MapGet("/jobs/{id}/sheet", Sheet);
        routes.MapGet("/jobs/{id}/sheet.pdf", Pdf);
        routes.MapGet("/jobs/{id}/job.json", JobFile);
        routes.MapGet("/jobs/{id}/record.zip", Record);
        routes.MapGet("/tables.zip", Tables);
    }

    private static IResult Sheet(
        string id,
        HttpContext http,
        BenchStore store,
        BenchPlans plans,
        Preferences preferences
    )
    {
        if (store.FindJob(id) is not { } stored)
        {
            return Pages.NoSuchJob(id);
        }
        string html = PlanSheet.Html(plans.For(stored), new Display(preferences.Fahrenheit));
        AllowSheet(http);
        return Results.Content(html, "text/html; charset=utf-8");
    }

    /// <summary>Lets a sheet be shown: it carries its own style, since it must print from a file too; that is allowed by its hash, and nothing else is.</summary>
    public static void AllowSheet(HttpContext http) =>
        http.Response.Headers.ContentSecurityPolicy =
            $"default-src 'none'; style-src {PlanSheet.StyleSource}; img-src data:; base-uri 'none'; form-action 'none'; frame-ancestors 'none'";

    private static IResult Pdf(string id, BenchStore store, BenchPlans plans, Preferences preferences) =>
        store.FindJob(id) is { } stored
            ? Results.File(
                PlanSheetPdf.Write(plans.For(stored), new Display(preferences.Fahrenheit)),
                "application/pdf",
                $"{stored.Job.Id}-plan.pdf"
            )
            : Pages.NoSuchJob(id);

    private static IResult Record(string id, HttpContext http, BenchStore store)
    {
        if (store.FindJob(id) is null)
        {
            return Pages.NoSuchJob(id);
        }
        FileStream zip = Vanishing(http);
        store.Export([id], zip, $"{id}.zip", http.RequestAborted);
        return Sent(zip, $"{id}.zip");
    }

    private static IResult Tables(HttpContext http, BenchStore store)
    {
        FileStream zip = Vanishing(http);
        store.WriteTables(zip, http.RequestAborted);
        return Sent(zip, "graftbench-tables.zip");
    }

    private static IResult Sent(FileStream zip, string name)
    {
        zip.Position = 0;
        return Results.Stream(zip, "application/zip", name);
    }

    // A record may be larger than memory: it is written to a file that vanishes when the answer has been sent.
    private static FileStream Vanishing(HttpContext http)
    {
        FileStream zip = new(
            Path.Combine(Path.GetTempPath(), $"graftbench-{Guid.NewGuid():N}.zip"),
            FileMode.CreateNew,
            FileAccess.ReadWrite,
            FileShare.None,
            128 * 1024,
            FileOptions.DeleteOnClose
        );
        http.Response.RegisterForDispose(zip);
        return zip;
    }

    private static IResult JobFile(string id, BenchStore store) =>
        store.FindJob(id) is { } stored
            ? Results.File(JobFormat.Write(stored.Job), "application/json", $"{stored.Job.Id}.json")
            : Pages.NoSuchJob(id);
}
