using System.Globalization;
using System.Text.Json;
using Graftbench.Core.Fit;
using Graftbench.Core.Fit.Maps;
using Graftbench.Core.Inspection;
using Graftbench.Core.Jobs;
using Graftbench.Core.Planning;
using Graftbench.Store;
using Graftbench.Web.Forms;
using Graftbench.Web.Hosting;
using Graftbench.Web.Shell;
using Microsoft.AspNetCore.Builder;
using Microsoft.AspNetCore.Http;
using Microsoft.AspNetCore.Http.HttpResults;
using Microsoft.AspNetCore.Routing;

namespace Graftbench.Web.Fitting;

/// <summary>The screen of question 1: the fit sheet, the two ball lists, and the sheet as data.</summary>
internal static class FitEndpoints
{
    private const long MostListBytes = 4L * BallMapReader.MostCharacters;
    private const int MostProblems = 40;

    private static readonly Dictionary<string, string> Done = new(StringComparer.Ordinal)
    {
        ["list"] = "List attached as evidence and compared.",
        ["changed"] = "Changed; the list itself stays as it was given.",
    };

    public static void MapFit(this IEndpointRouteBuilder routes)
    {
        routes.MapGet("/jobs/{id}/fit", Show);
        routes.MapGet("/jobs/{id}/fit/sheet.json", Json);
        routes.MapPost("/jobs/{id}/fit/list", (Delegate)Take);
    }

    private static IResult Show(string id, string? ball, string? view, string? done, BenchStore store, FitDesk desk) =>
        store.FindJob(id) is { } stored
            ? Page(
                FitView.Of(stored, desk) with
                {
                    Ball = ball,
                    FromBelow = view == "below",
                    Done = Done.GetValueOrDefault(done ?? ""),
                },
                StatusCodes.Status200OK
            )
            : Pages.NoSuchJob(id);

    private static IResult Json(string id, BenchStore store, FitDesk desk) =>
        store.FindJob(id) is { } stored && FitView.Of(stored, desk).Sheet is { } sheet
            ? Results.Json(sheet, PlanJson.Options)
            : Pages.NoSuchJob(id);

    private static async Task<IResult> Take(
        string id,
        HttpContext http,
        BenchStore store,
        FitDesk desk,
        BenchClock clock
    )
    {
        IFormCollection form = await http.Request.ReadFormAsync(http.RequestAborted);
        if (store.FindJob(id) is not { } stored)
        {
            return Pages.NoSuchJob(id);
        }
        FitView page = FitView.Of(stored, desk);
        List<string> problems = [];
        ShownList? whose = page.Lists.FirstOrDefault(one => one.Whose == form["whose"].ToString());
        if (whose is null)
        {
            problems.Add("Say whose list it is: what the board is made for, or the chip's.");
        }
        BallView? view = form["view"].ToString() switch
        {
            "top" => BallView.Top,
            "bottom" => BallView.Bottom,
            _ => null,
        };
        if (view is null)
        {
            problems.Add("Say from where the list or its drawing looks at the balls: from the top, or from below.");
        }
        string package = form["package"].ToString().Trim();
        IFormFile? sent = form.Files.FirstOrDefault(file => file.Name == "file" && file.Length > 0);
        BallListFile? old = whose?.File;
        if (sent is null && old is null)
        {
            problems.Add("Choose the file first.");
        }
        if (sent is { Length: > MostListBytes })
        {
            problems.Add(
                string.Create(
                    CultureInfo.InvariantCulture,
                    $"{sent.FileName}: {sent.Length / 1048576.0:0.0} MiB are more than the {MostListBytes / 1048576} MiB that are read (our limit). Cut it to the package you need."
                )
            );
        }
        if (problems.Count > 0)
        {
            return Refused(page, problems);
        }
        StoredFile? file = null;
        if (sent is not null)
        {
            byte[] bytes = new byte[sent.Length];
            await using Stream stream = sent.OpenReadStream();
            await stream.ReadExactlyAsync(bytes, http.RequestAborted);
            file = new StoredFile(FileNames.Plain(sent.FileName, "list"), "text/plain", bytes);
        }
        BallListFile list = new()
        {
            File = file?.Name ?? old!.File,
            Sha256 = file is null ? old!.Sha256 : EvidenceChain.FileHash(file.Bytes),
            View = view!.Value,
            Package = package.Length > 0 ? package : null,
        };
        if (file is not null)
        {
            BallListRead read = BallListFiles.Read(file.Bytes, list, whose!.Title);
            // Several packages are no fault of the file: the next step asks which one.
            bool usable = read.Map is not null || (read.Packages.Count > 1 && package.Length == 0 && IsSound(read));
            if (!usable)
            {
                return Refused(
                    page,
                    [
                        .. read
                            .Findings.Take(MostProblems)
                            .Select(finding => $"{finding.Value}: {finding.What} {finding.Todo}"),
                    ]
                );
            }
        }
        string words =
            $"Ball list, {whose!.Title}: {list.File}, seen from {(view == BallView.Top ? "the top" : "below")}{(package.Length > 0 ? $", package {package}" : "")}.";
        Saving.AddLine(
            store,
            clock,
            stored.Job,
            EvidenceKind.Note,
            words,
            JsonSerializer.Serialize(
                new
                {
                    note = words,
                    file = file?.Name,
                    fit = new { whose = whose.Whose, list },
                },
                PlanJson.Options
            ),
            file,
            job => With(job, whose.Whose, list)
        );
        return Results.LocalRedirect($"{page.Address}?done={(file is null ? "changed" : "list")}#lists");
    }

    private static bool IsSound(BallListRead read) =>
        read.Findings.All(finding => finding.Code != "fit.list" || finding.Verdict > Core.Findings.Verdict.FixFirst);

    private static Job With(Job job, string whose, BallListFile list)
    {
        if (whose == "host")
        {
            return job with
            {
                Host = job.Host with { Gives = (job.Host.Gives ?? new BoardGives()) with { BallList = list } },
            };
        }
        Chip? chip = FitPlanner.Main(job);
        return job with { Chips = [.. job.Chips.Select(one => one == chip ? one with { BallList = list } : one)] };
    }

    private static RazorComponentResult<FitPage> Refused(FitView page, IReadOnlyList<string> problems) =>
        Page(page with { Problems = [.. problems, "Nothing was saved."] }, StatusCodes.Status422UnprocessableEntity);

    private static RazorComponentResult<FitPage> Page(FitView view, int status) =>
        Pages.Of<FitPage>(status, (nameof(FitPage.View), view));
}
