using Graftbench.Core.Findings;
using Graftbench.Core.Jobs;
using Graftbench.Store;
using Graftbench.Web.Demo;
using Graftbench.Web.Hosting;
using Graftbench.Web.JobScreen;
using Graftbench.Web.Shell;
using Microsoft.AspNetCore.Builder;
using Microsoft.AspNetCore.Http;
using Microsoft.AspNetCore.Http.HttpResults;
using Microsoft.AspNetCore.Routing;

namespace Graftbench.Web.Import;

/// <summary>Jobs and whole records from files, and the demo shop.</summary>
internal static class ImportEndpoints
{
    private const long MostBesideBytes = 64 * 1024 * 1024;

    public static void MapImport(this IEndpointRouteBuilder routes)
    {
        routes.MapGet("/import", () => Page(ImportResult.Nothing));
        routes.MapPost("/import", Take);
        routes.MapPost("/demo", LoadDemo);
    }

    private static IResult LoadDemo(BenchStore store, TimeProvider time) =>
        DemoShop.LoadOnce(store, time) > 0
            ? Results.LocalRedirect("/")
            : Pages.Problem(
                StatusCodes.Status409Conflict,
                "Not loaded",
                "The demo shop is loaded only into a store that has never held a job."
            );

    private static async Task<IResult> Take(HttpContext http, BenchStore store, BenchClock clock)
    {
        IFormCollection form = await http.Request.ReadFormAsync(http.RequestAborted);
        List<IFormFile> given = [.. form.Files.Where(file => file.Name == "file" && file.Length > 0)];
        if (given.Count == 0)
        {
            return Refused(ImportResult.Of("Choose a file first; an empty file holds no job."));
        }
        if (given.Count == 1)
        {
            await using Stream stream = given[0].OpenReadStream();
            byte[] head = new byte[4];
            int read = await stream.ReadAtLeastAsync(head, head.Length, throwOnEndOfStream: false, http.RequestAborted);
            stream.Position = 0;
            if (read == head.Length && head.AsSpan().SequenceEqual("PK\x03\x04"u8))
            {
                return TakeRecord(stream, store, http.RequestAborted);
            }
        }
        List<IFormFile> documents = given.Count == 1 ? given : [.. given.Where(IsDocument)];
        if (documents.Count != 1)
        {
            return Refused(
                ImportResult.Of(
                    $"{given.Count} files were chosen, {documents.Count} of them job documents (.json). Choose one job document and the files that it names; a zip of a record goes alone."
                )
            );
        }
        List<(string Name, byte[] Bytes)> beside = [];
        foreach (IFormFile file in given.Where(file => file != documents[0]))
        {
            if (file.Length > MostBesideBytes)
            {
                return Refused(
                    ImportResult.Of(
                        $"{FileNames.Plain(file.FileName, "file")} has {file.Length / (1024 * 1024)} MB; a file beside a job has at most {MostBesideBytes / (1024 * 1024)} MB (our limit). Add it on the page of the job."
                    )
                );
            }
            beside.Add((file.FileName, await Bytes(file, http.RequestAborted)));
        }
        return await TakeJob(documents[0], beside, store, clock, http.RequestAborted);
    }

    private static bool IsDocument(IFormFile file) =>
        Path.GetExtension(file.FileName).ToLowerInvariant() is ".json" or ".jsonc";

    private static async Task<byte[]> Bytes(IFormFile file, CancellationToken stop)
    {
        byte[] bytes = new byte[file.Length];
        await using Stream stream = file.OpenReadStream();
        await stream.ReadExactlyAsync(bytes, stop);
        return bytes;
    }

    private static IResult TakeRecord(Stream zip, BenchStore store, CancellationToken stop)
    {
        ImportReport report = store.Import(zip, null, stop);
        if (!report.IsDone)
        {
            return Refused(ImportResult.Nothing with { Findings = report.Findings });
        }
        List<string> jobs = report
            .Records.Select(record => record.Id)
            .Where(id => id != BenchStore.ShopRecord)
            .ToList();
        bool changed = report.Records.Any(record => record.WasNew || record.LinesAdded > 0);
        return jobs.Count == 1 ? JobEndpoints.Back(jobs[0], changed ? "imported" : "here")
            : changed ? Results.LocalRedirect("/")
            : Page(ImportResult.Of("Everything in this file was here already: nothing changed."));
    }

    private static async Task<IResult> TakeJob(
        IFormFile document,
        List<(string Name, byte[] Bytes)> beside,
        BenchStore store,
        BenchClock clock,
        CancellationToken stop
    )
    {
        if (document.Length > JobFormat.MaxBytes)
        {
            return Refused(
                ImportResult.Of(
                    $"The file has {document.Length / (1024 * 1024)} MB; a job document has at most {JobFormat.MaxBytes / (1024 * 1024)} MB. Pictures, logs and dumps are files beside it."
                )
            );
        }
        JobReading reading = JobReader.Read(await Bytes(document, stop), clock.Now);
        if (reading.Job is not { } job)
        {
            return Refused(ImportResult.Nothing with { Problems = reading.Problems, NotListed = reading.NotListed });
        }
        if (store.FindJob(job.Id) is { } known)
        {
            if (JobFormat.Write(known.Job).AsSpan().SequenceEqual(JobFormat.Write(job)))
            {
                return JobEndpoints.Back(job.Id, "here");
            }
            return Refused(
                ImportResult.Of(
                    $"The store holds another job named '{job.Id}' already ({known.Job.Title}). Give the one in the file another \"id\", or change the stored one on its page."
                )
            );
        }
        JobWithFiles whole = new(job, beside);
        if (whole.Problems.Count > 0)
        {
            return Refused(ImportResult.Nothing with { Beside = whole.Problems });
        }
        return whole.Keep(store) is { } failure
            ? Refused(ImportResult.Of(failure.Notice))
            : JobEndpoints.Back(job.Id, "imported");
    }

    private static RazorComponentResult<ImportPage> Refused(ImportResult result) =>
        Page(result, StatusCodes.Status422UnprocessableEntity);

    private static RazorComponentResult<ImportPage> Page(ImportResult result, int status = StatusCodes.Status200OK) =>
        Pages.Of<ImportPage>(status, (nameof(ImportPage.Result), result));
}

/// <summary>What stood against an import.</summary>
/// <param name="Problems">What is wrong with a job document.</param>
/// <param name="NotListed">How many more problems there were than the list holds.</param>
/// <param name="Findings">What is wrong with a record.</param>
/// <param name="Notice">Anything else.</param>
public sealed record ImportResult(
    IReadOnlyList<JobProblem> Problems,
    int NotListed,
    IReadOnlyList<Finding> Findings,
    string? Notice
)
{
    /// <summary>What is wrong with files beside the job document.</summary>
    public IReadOnlyList<string> Beside { get; init; } = [];

    /// <summary>Nothing stands against it.</summary>
    public static ImportResult Nothing { get; } = new([], 0, [], null);

    /// <summary>One sentence stands against it.</summary>
    public static ImportResult Of(string notice) => Nothing with { Notice = notice };
}
