using Graftbench.Core.Diagnosis;
using Graftbench.Store;
using Graftbench.Web.Hosting;
using Graftbench.Web.Imaging;
using Microsoft.AspNetCore.Builder;
using Microsoft.AspNetCore.Http;
using Microsoft.AspNetCore.Http.HttpResults;
using Microsoft.AspNetCore.Routing;

namespace Graftbench.Web.Diagnosing;

/// <summary>The screen of the diagnosis: looking. What changes the record is in <see cref="DiagnosisActions"/>.</summary>
internal static class DiagnosisEndpoints
{
    private static readonly Dictionary<string, string> Done = new(StringComparer.Ordinal)
    {
        ["seen"] = "Recorded, and counted.",
        ["back"] = "Taken back: it stays in the record and counts no more.",
        ["closed"] = "Closed. A case with a proven cause moves the table of the shop.",
        ["open"] = "Open again: the case teaches nothing until it is closed.",
        ["row"] = "The row counts from now on, in every job of the shop.",
    };

    public static void MapDiagnosis(this IEndpointRouteBuilder routes)
    {
        routes.MapGet("/jobs/{id}/diagnosis", Show);
        routes.MapDiagnosisActions();
    }

    private static IResult Show(
        string id,
        HttpContext http,
        BenchStore store,
        DiagnosisDesk desk,
        FirmwareDesk firmware,
        SuggestedOutcomes suggested
    )
    {
        if (store.FindJob(id) is not { } stored)
        {
            return Pages.NoSuchJob(id);
        }
        IQueryCollection query = http.Request.Query;
        return Page(
            Opened(stored, desk, firmware, suggested, query["table"].ToString(), query["edit"].ToString()) with
            {
                Done = Done.GetValueOrDefault(query["done"].ToString()),
                TableOpen = query.ContainsKey("table"),
            },
            StatusCodes.Status200OK
        );
    }

    /// <summary>The screen of a job.</summary>
    /// <param name="stored">The job.</param>
    /// <param name="desk">Answers.</param>
    /// <param name="firmware">Images of the flash chip.</param>
    /// <param name="suggested">What other evidence suggests.</param>
    /// <param name="table">Test whose rows are shown, or <c>shares</c>; anything else shows the next test's.</param>
    /// <param name="edit">Cause whose row is edited; anything else edits none.</param>
    public static DiagnosisView Opened(
        StoredJob stored,
        DiagnosisDesk desk,
        FirmwareDesk firmware,
        SuggestedOutcomes suggested,
        string table = "",
        string edit = ""
    )
    {
        DiagnosisRecord record = desk.Record(stored.Job.Id);
        CauseTable rows = desk.Table();
        FirmwareRecord images = firmware.Record(stored.Job.Id);
        DiagnosisAnswer answer = desk.Answer(
            stored.Job,
            record,
            desk.Table(stored.Job.Id),
            images.Images.Count > 0 ? firmware.Answer(images).Summary : null
        );
        return new DiagnosisView(stored, record, answer, rows)
        {
            Before = desk.Before(),
            Edits = desk.Edits(),
            Account = DiagnosisDesk.Account(stored.Job),
            Suggested =
            [
                .. suggested
                    .Of(stored)
                    .Where(one => !record.Seen.Any(line => line.Seen.TestId == one.TestId && line.From == one.From))
                    .Where(one =>
                        record.Seen.LastOrDefault(line => line.Seen.TestId == one.TestId)?.Seen.OutcomeId
                        != one.OutcomeId
                    ),
            ],
            ShownTest =
                table == DiagnosisActions.Shares ? null
                : rows.TestOf(table) >= 0 ? table
                : (answer.Tests.Count > 0 ? answer.Tests[0].Test : rows.Tests[0]).Id,
            EditedCause = rows.CauseOf(edit) >= 0 ? edit : null,
        };
    }

    /// <summary>The page.</summary>
    public static RazorComponentResult<DiagnosisPage> Page(DiagnosisView view, int status) =>
        Pages.Of<DiagnosisPage>(status, (nameof(DiagnosisPage.View), view));
}
