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
        if (form.Files.GetFile("file") is not { Length: > 0 } upload)
        {
            return Refused(ImportResult.Of("Choose a file first; an empty file holds no job."));
        }
        await using Stream stream = upload.OpenReadStream();
        byte[] head = new byte[4];
        int read = await stream.ReadAtLeastAsync(head, head.Length, throwOnEndOfStream: false, http.RequestAborted);
        stream.Position = 0;
        return read == head.Length && head.AsSpan().SequenceEqual("PK\x03\x04"u8)
            ? TakeRecord(stream, store, http.RequestAborted)
            : await TakeJob(stream, upload.Length, store, clock, http.RequestAborted);
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
        Stream stream,
        long length,
        BenchStore store,
        BenchClock clock,
        CancellationToken stop
    )
    {
        if (length > JobFormat.MaxBytes)
        {
            return Refused(
                ImportResult.Of(
                    $"The file has {length / (1024 * 1024)} MB; a job document has at most {JobFormat.MaxBytes / (1024 * 1024)} MB. Pictures, logs and dumps are files beside it."
                )
            );
        }
        byte[] text = new byte[length];
        await stream.ReadExactlyAsync(text, stop);
        JobReading reading = JobReader.Read(text, clock.Now);
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
        return Saving.TrySave(store, job, 0) is { } failure
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
    /// <summary>Nothing stands against it.</summary>
    public static ImportResult Nothing { get; } = new([], 0, [], null);

    /// <summary>One sentence stands against it.</summary>
    public static ImportResult Of(string notice) => Nothing with { Notice = notice };
}
