using System.Buffers.Binary;
using System.Globalization;
using Graftbench.Core.Heating;
using Graftbench.Core.Planning;
using Graftbench.Sheets;
using Graftbench.Store;
using Graftbench.Web.Desk;
using Graftbench.Web.Forms;
using Graftbench.Web.Hosting;
using Graftbench.Web.JobScreen;
using Graftbench.Web.Shell;
using Microsoft.AspNetCore.Builder;
using Microsoft.AspNetCore.Http;
using Microsoft.AspNetCore.Http.HttpResults;
using Microsoft.AspNetCore.Routing;

namespace Graftbench.Web.Heating;

/// <summary>The heat screen, the desk behind it, and what leaves it on paper or as data.</summary>
internal static class HeatEndpoints
{
    /// <summary>What stands for a cell off the board in a plane's data.</summary>
    public const short NoValue = short.MinValue;

    public static void MapHeat(this IEndpointRouteBuilder routes)
    {
        routes.MapGet("/jobs/{id}/heat/{task?}", Show);
        routes.MapPost("/jobs/{id}/heat/{task}/compute", (Delegate)Compute);
        routes.MapPost("/jobs/{id}/heat/{task}/cancel", (Delegate)Cancel);
        routes.MapGet("/jobs/{id}/heat/{task}/state", State);
        routes.MapGet("/jobs/{id}/heat/{task}/plane/{name}", Plane);
        routes.MapGet("/jobs/{id}/heat/{task}/plan.json", Json);
        routes.MapGet("/jobs/{id}/heat/{task}/card", Card);
        routes.MapGet("/jobs/{id}/heat/{task}/card.pdf", CardPdf);
    }

    private static IResult Show(
        string id,
        string? task,
        string? chip,
        string? at,
        BenchStore store,
        HeatDesk desk,
        BenchPlans plans
    )
    {
        if (store.FindJob(id) is not { } stored)
        {
            return Pages.NoSuchJob(id);
        }
        HeatSubject? subject = HeatSubject.Find(stored.Job, task, chip);
        if (subject is null && (task is not null || chip is not null))
        {
            return NoSuchHeat(id);
        }
        DeskStatus<HeatPlan>? status = subject is null ? null : desk.Status(stored.Job, subject.Task, subject.Chip.Id);
        JobPlan plan = status?.Plan is { } heat ? plans.For(stored, heat) : plans.WithoutHeat(stored);
        double? atS =
            double.TryParse(at, NumberStyles.Float, CultureInfo.InvariantCulture, out double given)
            && double.IsFinite(given)
                ? given
                : null;
        return Pages.Of<HeatPage>((nameof(HeatPage.View), new HeatView(stored, subject, status, plan, atS)));
    }

    private static async Task<IResult> Compute(
        string id,
        string task,
        HttpContext http,
        BenchStore store,
        HeatDesk desk
    )
    {
        (StoredJob? stored, HeatSubject? subject, bool fromJob) = await Asked(id, task, http, store);
        if (stored is null || subject is null)
        {
            return stored is null ? Pages.NoSuchJob(id) : NoSuchHeat(id);
        }
        return DeskAnswers.Requested(
            desk.Request(stored.Job, subject.Task, subject.Chip.Id),
            Back(id, subject, fromJob)
        );
    }

    private static async Task<IResult> Cancel(string id, string task, HttpContext http, BenchStore store, HeatDesk desk)
    {
        (StoredJob? stored, HeatSubject? subject, bool fromJob) = await Asked(id, task, http, store);
        if (stored is null || subject is null)
        {
            return stored is null ? Pages.NoSuchJob(id) : NoSuchHeat(id);
        }
        desk.Cancel(stored.Job, subject.Task, subject.Chip.Id);
        return Back(id, subject, fromJob);
    }

    private static async Task<(StoredJob? Stored, HeatSubject? Subject, bool FromJob)> Asked(
        string id,
        string task,
        HttpContext http,
        BenchStore store
    )
    {
        IFormCollection form = await http.Request.ReadFormAsync(http.RequestAborted);
        StoredJob? stored = store.FindJob(id);
        return (
            stored,
            stored is null ? null : HeatSubject.Find(stored.Job, task, form["chip"].ToString()),
            form["back"] == "job"
        );
    }

    private static IResult Back(string id, HeatSubject subject, bool fromJob) =>
        Results.LocalRedirect(fromJob ? $"/jobs/{id}#question-3" : subject.Address(id));

    private static IResult State(
        string id,
        string task,
        string? chip,
        HttpContext http,
        BenchStore store,
        HeatDesk desk
    )
    {
        http.Response.Headers.CacheControl = "no-store";
        if (store.FindJob(id) is not { } stored || HeatSubject.Find(stored.Job, task, chip) is not { } subject)
        {
            return Results.NotFound();
        }
        return DeskAnswers.State(desk.Status(stored.Job, subject.Task, subject.Chip.Id));
    }

    private static IResult Plane(
        string id,
        string task,
        string name,
        string? chip,
        HttpContext http,
        BenchStore store,
        HeatDesk desk
    )
    {
        HeatPlane? plane = Find(id, task, chip, store, desk)
            ?.Heat.Planes.FirstOrDefault(each => each.Name == name && each.Frames.Count > 0);
        if (plane is null)
        {
            return Results.NotFound();
        }
        // The page names the plan's hash in the address: what it once got stays right.
        http.Response.Headers.CacheControl = "private, max-age=3600";
        return Results.Bytes(Tenths(plane), "application/octet-stream");
    }

    /// <summary>All frames of a plane, one after the other, in tenths of a degree Celsius, little end first.</summary>
    internal static byte[] Tenths(HeatPlane plane)
    {
        int cells = plane.Columns * plane.Rows;
        byte[] data = new byte[2 * cells * plane.Frames.Count];
        for (int frame = 0; frame < plane.Frames.Count; frame++)
        {
            float[] values = plane.Frames[frame].TemperaturesC;
            for (int i = 0; i < cells; i++)
            {
                bool known =
                    i < values.Length && i < plane.Covered.Count && plane.Covered[i] && float.IsFinite(values[i]);
                short tenths = known ? (short)Math.Clamp(Math.Round(10.0 * values[i]), -32_000, 32_000) : NoValue;
                BinaryPrimitives.WriteInt16LittleEndian(data.AsSpan(2 * ((frame * cells) + i)), tenths);
            }
        }
        return data;
    }

    private static IResult Json(string id, string task, string? chip, BenchStore store, HeatDesk desk) =>
        Find(id, task, chip, store, desk) is { } found
            ? Results.Text(HeatPlanJson.Write(found.Heat), "application/json")
            : NoPlanYet(id);

    private static IResult Card(
        string id,
        string task,
        string? chip,
        HttpContext http,
        BenchStore store,
        HeatDesk desk,
        BenchPlans plans,
        Preferences preferences
    )
    {
        if (Find(id, task, chip, store, desk) is not { } found)
        {
            return NoPlanYet(id);
        }
        http.Response.Headers.ContentSecurityPolicy =
            $"default-src 'none'; style-src {CardSheet.StyleSource}; img-src data:; base-uri 'none'; form-action 'none'; frame-ancestors 'none'";
        return Results.Content(
            CardSheet.Html(plans.For(found.Stored, found.Heat), new Display(preferences.Fahrenheit)),
            "text/html; charset=utf-8"
        );
    }

    private static IResult CardPdf(
        string id,
        string task,
        string? chip,
        BenchStore store,
        HeatDesk desk,
        BenchPlans plans,
        Preferences preferences
    ) =>
        Find(id, task, chip, store, desk) is { } found
            ? Results.File(
                CardSheet.Pdf(plans.For(found.Stored, found.Heat), new Display(preferences.Fahrenheit)),
                "application/pdf",
                $"{id}-{task}-card.pdf"
            )
            : NoPlanYet(id);

    private static (StoredJob Stored, HeatPlan Heat)? Find(
        string id,
        string task,
        string? chip,
        BenchStore store,
        HeatDesk desk
    ) =>
        store.FindJob(id) is { } stored
        && HeatSubject.Find(stored.Job, task, chip) is { } subject
        && desk.Status(stored.Job, subject.Task, subject.Chip.Id).Plan is { } heat
            ? (stored, heat)
            : null;

    private static RazorComponentResult<ProblemPage> NoSuchHeat(string id) =>
        Pages.Problem(
            StatusCodes.Status404NotFound,
            "No such heat",
            $"The job '{id}' has no such heat: see its chips, where they come from and where they go."
        );

    private static RazorComponentResult<ProblemPage> NoPlanYet(string id) =>
        Pages.Problem(
            StatusCodes.Status404NotFound,
            "No heat plan yet",
            $"The heat plan of '{id}' is not computed, or the job has changed since. Compute it on the heat screen."
        );
}
