using System.Text.Json;
using Graftbench.Core.Drying;
using Graftbench.Core.Jobs;
using Graftbench.Core.Planning;
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
        routes.MapPost("/jobs/{id}/taken-off", TakenOff);
        routes.MapPost("/jobs/{id}/stage", SetStage);
        routes.MapGet("/jobs/{id}/undo", ShowUndo);
        routes.MapPost("/jobs/{id}/undo", Undo);
    }

    private static async Task<IResult> Dryer(
        string id,
        HttpContext http,
        BenchStore store,
        BenchClock clock,
        BenchPlans plans
    )
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
        if (into && MustComeOff(plans.For(stored), of) is { Count: > 0 } parts)
        {
            return Pages.Problem(
                StatusCodes.Status409Conflict,
                "Not into the dryer",
                $"Take off first: {string.Join(", ", parts.Select(part => part.Ref))}. Mark them as taken off on the job page, or set the finding aside there with a reason."
            );
        }
        DateTimeOffset now = ToTheSecond(clock.Now);
        Saving.Change(store, id, job => into ? DryerLog.PutIn(job, of, now) : DryerLog.TakeOut(job, of, now));
        return JobEndpoints.Back(id, into ? "in" : "out", "dry-" + of);
    }

    private static IReadOnlyList<RemoveFirst> MustComeOff(JobPlan plan, string of) =>
        plan.Drying.Subjects.FirstOrDefault(subject => subject.Id == of) is { } subject
            ? JobView.MustComeOff(plan, subject)
            : [];

    private static async Task<IResult> TakenOff(string id, HttpContext http, BenchStore store)
    {
        IFormCollection form = await http.Request.ReadFormAsync(http.RequestAborted);
        if (store.FindJob(id) is not { } stored)
        {
            return Pages.NoSuchJob(id);
        }
        string place = form["board"].ToString();
        string part = form["ref"].ToString();
        Board? board =
            place == "host" ? stored.Job.Host
            : place == "donor" ? stored.Job.Donor
            : null;
        if (board is null || board.Parts.All(each => each.Ref != part))
        {
            return Pages.Problem(
                StatusCodes.Status400BadRequest,
                "Not changed",
                $"The job has no board '{place}' with a part '{part}'."
            );
        }
        Saving.Change(
            store,
            id,
            job =>
                place == "host"
                    ? job with
                    {
                        Host = Without(job.Host, part),
                    }
                    : job with
                    {
                        Donor = job.Donor is null ? null : Without(job.Donor, part),
                    }
        );
        return JobEndpoints.Back(id, "off", "dry-" + place);
    }

    private static Board Without(Board board, string part) =>
        board with
        {
            Parts = [.. board.Parts.Select(each => each.Ref == part ? each with { TakenOff = true } : each)],
        };

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
