using Graftbench.Core.Joints;
using Graftbench.Core.Planning;
using Graftbench.Store;
using Graftbench.Web.Desk;
using Graftbench.Web.Forms;
using Graftbench.Web.Hosting;
using Graftbench.Web.Shell;
using Microsoft.AspNetCore.Builder;
using Microsoft.AspNetCore.Http;
using Microsoft.AspNetCore.Http.HttpResults;
using Microsoft.AspNetCore.Routing;

namespace Graftbench.Web.Seating;

/// <summary>The screen of the joints, the desk behind it, the live picture, and the answer as data.</summary>
internal static class JointEndpoints
{
    public static void MapJoints(this IEndpointRouteBuilder routes)
    {
        routes.MapGet("/jobs/{id}/joints", Show);
        routes.MapGet("/jobs/{id}/joints/look", Look);
        routes.MapPost("/jobs/{id}/joints/compute", (Delegate)Compute);
        routes.MapPost("/jobs/{id}/joints/cancel", (Delegate)Cancel);
        routes.MapGet("/jobs/{id}/joints/state", State);
        routes.MapGet("/jobs/{id}/joints/plan.json", Json);
    }

    private static IResult Show(
        string id,
        string? chip,
        string? dome,
        string? spread,
        string? row,
        HttpContext http,
        BenchStore store,
        JointDesk desk,
        JointShelf shelf,
        BenchPlans plans
    )
    {
        if (store.FindJob(id) is not { } stored)
        {
            return Pages.NoSuchJob(id);
        }
        JointSubject? subject = JointSubject.Find(stored.Job, chip);
        if (subject is null && !string.IsNullOrEmpty(chip))
        {
            return NoSuchChip(id);
        }
        DeskStatus<JointPlan>? status = subject is null ? null : desk.Status(stored.Job, subject.Chip.Id);
        if (subject is not null && status?.Plan is { } found)
        {
            status = status with { Plan = shelf.Mark(stored.Job, subject.Chip, found) };
        }
        JobPlan plan = status?.Plan is { } joints ? plans.For(stored, joints) : plans.For(stored);
        JointLook look = JointLook.Read(dome, spread, row);
        JointPlan? glance = subject is null ? null : Glance(stored, subject, look, desk, http.RequestAborted);
        return Pages.Of<JointPage>(
            (nameof(JointPage.View), new JointView(stored, subject, status, plan, look, glance))
        );
    }

    // Only the part of the page that the slider changes.
    private static IResult Look(
        string id,
        string? chip,
        string? dome,
        string? spread,
        string? row,
        HttpContext http,
        BenchStore store,
        JointDesk desk
    )
    {
        http.Response.Headers.CacheControl = "no-store";
        JointLook look = JointLook.Read(dome, spread, row);
        return
            store.FindJob(id) is { } stored
            && JointSubject.Find(stored.Job, chip) is { } subject
            && Glance(stored, subject, look, desk, http.RequestAborted) is { Joints.Count: > 0 } glance
            ? new RazorComponentResult<JointLookBox>(
                new Dictionary<string, object?>(StringComparer.Ordinal)
                {
                    [nameof(JointLookBox.Joints)] = glance,
                    [nameof(JointLookBox.Look)] = look,
                }
            )
            : Results.NotFound();
    }

    private static JointPlan? Glance(
        StoredJob stored,
        JointSubject subject,
        JointLook look,
        JointDesk desk,
        CancellationToken cancel
    ) => desk.Glance(subject.With(stored.Job, look), subject.Chip.Id, cancel);

    private static async Task<IResult> Compute(string id, HttpContext http, BenchStore store, JointDesk desk)
    {
        (StoredJob? stored, JointSubject? subject, bool fromJob) = await Asked(id, http, store);
        if (stored is null || subject is null)
        {
            return stored is null ? Pages.NoSuchJob(id) : NoSuchChip(id);
        }
        return DeskAnswers.Requested(desk.Request(stored.Job, subject.Chip.Id), Back(id, subject, fromJob));
    }

    private static async Task<IResult> Cancel(string id, HttpContext http, BenchStore store, JointDesk desk)
    {
        (StoredJob? stored, JointSubject? subject, bool fromJob) = await Asked(id, http, store);
        if (stored is null || subject is null)
        {
            return stored is null ? Pages.NoSuchJob(id) : NoSuchChip(id);
        }
        desk.Cancel(stored.Job, subject.Chip.Id);
        return Back(id, subject, fromJob);
    }

    private static async Task<(StoredJob? Stored, JointSubject? Subject, bool FromJob)> Asked(
        string id,
        HttpContext http,
        BenchStore store
    )
    {
        IFormCollection form = await http.Request.ReadFormAsync(http.RequestAborted);
        StoredJob? stored = store.FindJob(id);
        return (
            stored,
            stored is null ? null : JointSubject.Find(stored.Job, form["chip"].ToString()),
            form["back"] == "job"
        );
    }

    private static IResult Back(string id, JointSubject subject, bool fromJob) =>
        Results.LocalRedirect(fromJob ? $"/jobs/{id}#question-{JointView.Question}" : subject.Address(id));

    private static IResult State(string id, string? chip, HttpContext http, BenchStore store, JointDesk desk)
    {
        http.Response.Headers.CacheControl = "no-store";
        return store.FindJob(id) is { } stored && JointSubject.Find(stored.Job, chip) is { } subject
            ? DeskAnswers.State(desk.Status(stored.Job, subject.Chip.Id))
            : Results.NotFound();
    }

    private static IResult Json(string id, string? chip, BenchStore store, JointDesk desk, JointShelf shelf) =>
        store.FindJob(id) is { } stored
        && JointSubject.Find(stored.Job, chip) is { } subject
        && desk.Status(stored.Job, subject.Chip.Id).Plan is { } joints
            ? Results.Text(JointPlanJson.Write(shelf.Mark(stored.Job, subject.Chip, joints)), "application/json")
            : Pages.Problem(
                StatusCodes.Status404NotFound,
                "No joint seat yet",
                $"The joint seat of '{id}' is not computed, or the job has changed since. Compute it on the screen of the joints."
            );

    private static RazorComponentResult<ProblemPage> NoSuchChip(string id) =>
        Pages.Problem(
            StatusCodes.Status404NotFound,
            "No such chip",
            $"The job '{id}' has no such chip that goes to the host: see its chips and where they go."
        );
}
