using System.Globalization;
using System.Text.Json;
using Graftbench.Core.Findings;
using Graftbench.Core.Handover;
using Graftbench.Core.Jobs;
using Graftbench.Core.Planning;
using Graftbench.Sheets;
using Graftbench.Store;
using Graftbench.Web.Diagnosing;
using Graftbench.Web.Forms;
using Graftbench.Web.Hosting;
using Graftbench.Web.JobScreen;
using Graftbench.Web.Shell;
using Microsoft.AspNetCore.Builder;
using Microsoft.AspNetCore.Http;
using Microsoft.AspNetCore.Http.HttpResults;
using Microsoft.AspNetCore.Routing;

namespace Graftbench.Web.HandingOver;

/// <summary>The screen of question 10: the checklist, the sheet, and handing over.</summary>
internal static class HandoverEndpoints
{
    private const int MostNamed = 5;
    private const int MostComplaint = 2000;

    public static void MapHandover(this IEndpointRouteBuilder routes)
    {
        routes.MapGet("/jobs/{id}/handover", Show);
        routes.MapGet("/jobs/{id}/handover/sheet", Sheet);
        routes.MapGet("/jobs/{id}/handover/sheet.pdf", Pdf);
        routes.MapPost("/jobs/{id}/handover", (Delegate)HandOver);
        routes.MapPost("/jobs/{id}/came-back", (Delegate)CameBack);
    }

    private static IResult Show(string id, string? done, BenchStore store, BenchPlans plans) =>
        store.FindJob(id) is { } stored
            ? Page(
                HandoverView.Of(stored, plans) with
                {
                    Done = done == "over" ? "Handed over: the sheet is kept in the record with its hash." : null,
                },
                StatusCodes.Status200OK
            )
            : Pages.NoSuchJob(id);

    private static IResult Sheet(string id, HttpContext http, BenchStore store, BenchPlans plans)
    {
        if (store.FindJob(id) is not { } stored)
        {
            return Pages.NoSuchJob(id);
        }
        PaperEndpoints.AllowSheet(http);
        return Results.Content(
            HandoverSheet.Html(plans.For(stored), plans.Handover(stored)),
            "text/html; charset=utf-8"
        );
    }

    private static IResult Pdf(string id, BenchStore store, BenchPlans plans) =>
        store.FindJob(id) is { } stored
            ? Results.File(
                HandoverSheetPdf.Write(plans.For(stored), plans.Handover(stored)),
                "application/pdf",
                HandoverView.SheetName(stored.Job) + ".pdf"
            )
            : Pages.NoSuchJob(id);

    private static async Task<IResult> HandOver(
        string id,
        HttpContext http,
        BenchStore store,
        BenchPlans plans,
        BenchClock clock
    )
    {
        IFormCollection form = await http.Request.ReadFormAsync(http.RequestAborted);
        if (store.FindJob(id) is not { } stored)
        {
            return Pages.NoSuchJob(id);
        }
        if (stored.Job.Stage == JobStage.HandedOver)
        {
            return Refused(stored, plans, ["It is handed over already. Undo that first, where it was a mistake."]);
        }
        if (form["revision"] != stored.Revision.ToString(CultureInfo.InvariantCulture))
        {
            return Refused(
                stored,
                plans,
                [
                    "Somebody changed the job since this page was opened. Look at the checklist as it is now, then hand it over.",
                ]
            );
        }
        if (plans.IsLooking(stored.Job))
        {
            return Refused(
                stored,
                plans,
                [
                    "Pictures or images of the flash chip are still being looked at. Try again in a moment; set aside on its screen what cannot be read.",
                ]
            );
        }
        DateTimeOffset now = clock.Now.AddTicks(-(clock.Now.Ticks % TimeSpan.TicksPerSecond));
        HandoverNote note = stored.Job.Handover ?? new HandoverNote();
        Job changed = stored.Job with
        {
            Stage = JobStage.HandedOver,
            Handover = note with { HandedOverAt = now, WarrantyFrom = note.WarrantyFrom ?? now },
        };
        // The sheet and the refusal see the job as it will be stored.
        JobPlan plan = plans.For(stored, changed);
        HandoverAnswer answer = plan.Apart!.HandedOver!;
        if (!answer.MayHandOver)
        {
            return Refused(stored, plans, Against(answer));
        }
        string name = string.Create(
            CultureInfo.InvariantCulture,
            $"{HandoverView.SheetName(changed)}-{HandoverView.Of(stored, plans).Kept.Count() + 1}.pdf"
        );
        StoredFile sheet = new(name, "application/pdf", HandoverSheetPdf.Write(plan, answer));
        string words = $"Handed over. Sheet kept as {name}.";
        EvidenceEntry entry = new()
        {
            At = now,
            Who = Saving.Who(changed),
            Kind = EvidenceKind.Decision,
            Note = words,
            File = name,
            Sha256 = EvidenceChain.FileHash(sheet.Bytes),
        };
        EvidenceDraft draft = new(
            entry.Who,
            FieldWords.NameOf(EvidenceKind.Decision),
            JsonSerializer.Serialize(new { note = words, file = name }, PlanJson.Options),
            sheet
        );
        return
            Saving.TrySave(store, changed with { Evidence = [.. changed.Evidence, entry] }, stored.Revision, draft)
                is { } failure
            ? Pages.Problem(failure.Status, "Not handed over", failure.Notice)
            : Results.LocalRedirect($"/jobs/{id}/handover?done=over");
    }

    /// <summary>Opens a job that was handed over: what was seen before stays, and a new fault begins.</summary>
    private static async Task<IResult> CameBack(
        string id,
        HttpContext http,
        BenchStore store,
        BenchPlans plans,
        BenchClock clock
    )
    {
        IFormCollection form = await http.Request.ReadFormAsync(http.RequestAborted);
        if (store.FindJob(id) is not { } stored)
        {
            return Pages.NoSuchJob(id);
        }
        string complaint = form["complaint"].ToString().Trim();
        string? problem =
            stored.Job.Stage != JobStage.HandedOver ? "The job is not handed over, so it cannot come back."
            : complaint.Length == 0 ? "Enter what the owner says first: it is held against what was tested."
            : complaint.Length > MostComplaint
                ? $"What the owner says has {complaint.Length} characters; at most {MostComplaint}, our own limit."
            : null;
        if (problem is not null)
        {
            return Refused(stored, plans, [problem], "Nothing was opened.");
        }
        string words = $"Came back: {complaint}";
        Saving.AddLine(
            store,
            clock,
            stored.Job,
            EvidenceKind.Decision,
            words,
            new DiagnosisNote { Returned = true, Words = complaint }.Payload(words),
            change: job => job with { Stage = JobStage.Returned }
        );
        return Results.LocalRedirect($"/jobs/{id}/returns");
    }

    private static IReadOnlyList<string> Against(HandoverAnswer answer)
    {
        Finding[] stops = [.. answer.Stops];
        return
        [
            .. stops.Take(MostNamed).Select(stop => $"{stop.Where}: {stop.What} {stop.Todo}"),
            .. stops.Length > MostNamed
                ? (string[])[string.Create(CultureInfo.InvariantCulture, $"and {stops.Length - MostNamed} more below.")]
                : [],
        ];
    }

    private static RazorComponentResult<HandoverPage> Refused(
        StoredJob stored,
        BenchPlans plans,
        IReadOnlyList<string> problems,
        string left = "Nothing was handed over."
    ) => Page(HandoverView.Of(stored, plans) with { Problems = [.. problems, left] }, StatusCodes.Status409Conflict);

    private static RazorComponentResult<HandoverPage> Page(HandoverView view, int status) =>
        Pages.Of<HandoverPage>(status, (nameof(HandoverPage.View), view));
}
