using System.Security.Cryptography;
using System.Text;
using System.Text.RegularExpressions;
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
internal static partial class PaperEndpoints
{
    public static void MapPapers(this IEndpointRouteBuilder routes)
    {
        routes.MapGet("/jobs/{id}/sheet", Sheet);
        routes.MapGet("/jobs/{id}/sheet.pdf", Pdf);
        routes.MapGet("/jobs/{id}/job.json", JobFile);
    }

    private static IResult Sheet(string id, HttpContext http, BenchStore store, BenchPlans plans)
    {
        if (store.FindJob(id) is not { } stored)
        {
            return Pages.NoSuchJob(id);
        }
        string html = Pictures.Sheet(plans.For(stored));
        // The sheet carries its own style, since it must print from a file too: it is allowed by its hash and nothing else is.
        http.Response.Headers.ContentSecurityPolicy =
            $"default-src 'none'; style-src {StyleHashes(html)}; img-src data:; base-uri 'none'; form-action 'none'; frame-ancestors 'none'";
        return Results.Content(html, "text/html; charset=utf-8");
    }

    private static IResult Pdf(string id, BenchStore store, BenchPlans plans) =>
        store.FindJob(id) is { } stored
            ? Results.File(Pictures.SheetPdf(plans.For(stored)), "application/pdf", $"{stored.Job.Id}-plan.pdf")
            : Pages.NoSuchJob(id);

    private static IResult JobFile(string id, BenchStore store) =>
        store.FindJob(id) is { } stored
            ? Results.File(JobFormat.Write(stored.Job), "application/json", $"{stored.Job.Id}.json")
            : Pages.NoSuchJob(id);

    private static string StyleHashes(string html)
    {
        List<string> hashes = StyleElement()
            .Matches(html)
            .Select(match => $"'sha256-{Convert.ToBase64String(SHA256.HashData(Encoding.UTF8.GetBytes(match.Groups[1].Value)))}'")
            .Distinct(StringComparer.Ordinal)
            .ToList();
        return hashes.Count == 0 ? "'none'" : string.Join(' ', hashes);
    }

    [GeneratedRegex("<style[^>]*>(.*?)</style>", RegexOptions.Singleline)]
    private static partial Regex StyleElement();
}
