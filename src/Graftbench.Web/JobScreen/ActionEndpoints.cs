using System.Text.Json;
using Graftbench.Core.Jobs;
using Graftbench.Store;
using Graftbench.Web.Forms;
using Graftbench.Web.Hosting;
using Graftbench.Web.Shell;
using Microsoft.AspNetCore.Builder;
using Microsoft.AspNetCore.Http;
using Microsoft.AspNetCore.Routing;

namespace Graftbench.Web.JobScreen;

/// <summary>The buttons of the job page that change one thing at once.</summary>
internal static class ActionEndpoints
{
    public static void MapActions(this IEndpointRouteBuilder routes)
    {
        routes.MapPost("/jobs/{id}/dryer", Dryer);
        routes.MapPost("/jobs/{id}/stage", SetStage);
        routes.MapGet("/jobs/{id}/undo", ShowUndo);
        routes.MapPost("/jobs/{id}/undo", Undo);
    }

    private static async Task<IResult> Dryer(string id, HttpContext http, BenchStore store, BenchClock clock)
    {
        IFormCollection form = await http.Request.ReadFormAsync(http.RequestAborted);
        if (store.FindJob(id) is not { } stored)
        {
            return Pages.NoSuchJob(id);
        }
        string of = form["of"].ToString();
        if (of is not ("host" or "donor") && stored.Job.Chips.All(chip => chip.Id != of))
        {
            return Pages.Problem(
                StatusCodes.Status400BadRequest,
                "Not changed",
                $"The job has no board or chip named '{of}'."
            );
        }
        bool into = form["do"] == "in";
        DateTimeOffset now = ToTheSecond(clock.Now);
        Saving.Change(store, id, job => into ? DryerLog.PutIn(job, of, now) : DryerLog.TakeOut(job, of, now));
        return JobEndpoints.Back(id, into ? "in" : "out", "dry-" + of);
    }

    private static async Task<IResult> SetStage(string id, HttpContext http, BenchStore store)
    {
        IFormCollection form = await http.Request.ReadFormAsync(http.RequestAborted);
        if (store.FindJob(id) is null)
        {
            return Pages.NoSuchJob(id);
        }
        foreach (JobStage stage in Enum.GetValues<JobStage>())
        {
            if (FieldWords.NameOf(stage) == form["stage"])
            {
                Saving.Change(store, id, job => job with { Stage = stage });
                return JobEndpoints.Back(id, "stage");
            }
        }
        return Pages.Problem(StatusCodes.Status400BadRequest, "Not changed", "There is no such stage.");
    }

    private static IResult ShowUndo(string id, BenchStore store, BenchClock clock)
    {
        if (store.FindJob(id) is not { } stored)
        {
            return Pages.NoSuchJob(id);
        }
        if (store.FindJob(id, stored.Revision - 1) is not { } earlier)
        {
            return Pages.Problem(
                StatusCodes.Status409Conflict,
                "Nothing to undo",
                "This job has been saved only once."
            );
        }
        IReadOnlyList<FieldChange> changes = FieldChange.Between(
            JobDraft.ToDocument(stored.Job),
            JobDraft.ToDocument(earlier.Job)
        );
        return Pages.Of<UndoPage>(
            (nameof(UndoPage.Now), stored),
            (nameof(UndoPage.Earlier), earlier),
            (nameof(UndoPage.Changes), changes)
        );
    }

    private static async Task<IResult> Undo(string id, HttpContext http, BenchStore store)
    {
        IFormCollection form = await http.Request.ReadFormAsync(http.RequestAborted);
        if (!int.TryParse(form["revision"], out int revision) || store.FindJob(id, revision - 1) is not { } earlier)
        {
            return Pages.Problem(
                StatusCodes.Status409Conflict,
                "Nothing to undo",
                "There is no earlier revision of this job."
            );
        }
        return Saving.TrySave(store, earlier.Job, revision) is { } failure
            ? Pages.Problem(failure.Status, "Not undone", failure.Notice)
            : JobEndpoints.Back(id, "undo");
    }

    private static DateTimeOffset ToTheSecond(DateTimeOffset moment) =>
        moment.AddTicks(-(moment.Ticks % TimeSpan.TicksPerSecond));
}
