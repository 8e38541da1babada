using Graftbench.Core.Jobs;
using Graftbench.Store;
using Graftbench.Web.Hosting;
using Graftbench.Web.PersonalData;
using Graftbench.Web.Shell;
using Microsoft.AspNetCore.Builder;
using Microsoft.AspNetCore.Http;
using Microsoft.AspNetCore.Routing;

namespace Graftbench.Web.JobScreen;

internal static class JobEndpoints
{
    /// <summary>What was just done, by the short name in the address: words never come from the address itself.</summary>
    private static readonly Dictionary<string, string> Done = new(StringComparer.Ordinal)
    {
        ["saved"] = "Saved.",
        ["merged"] = "Both versions were saved together.",
        ["in"] = "In the dryer: the clock runs.",
        ["out"] = "Taken out: the bake is on record.",
        ["off"] = "Marked as taken off the board.",
        ["weighing"] = "Weighing saved.",
        ["heat"] = "Heat saved.",
        ["heats"] = "Heat saved, for the chip and for the board.",
        ["work"] = "Time and cost saved.",
        ["exposure"] = "Where it has been is saved.",
        ["note"] = "Note added.",
        ["file"] = "File attached.",
        ["waiver"] = "Set aside with your reason; the finding stays visible.",
        ["undo"] = "The earlier revision was saved again.",
        ["stage"] = "Stage saved.",
        ["imported"] = "Imported.",
        ["here"] = "This was here already: nothing changed.",
    };

    public static void MapJobScreen(this IEndpointRouteBuilder routes)
    {
        routes.MapGet("/jobs/{id}", Show);
        routes.MapGet("/jobs/{id}/record", Record);
        routes.MapEditing();
        routes.MapMerging();
        routes.MapAdding();
        routes.MapActions();
        routes.MapEvidence();
        routes.MapPapers();
        routes.MapPersonalData();
    }

    /// <summary>Back to the job page with a line about what was done.</summary>
    public static IResult Back(string id, string done, string anchor = "") =>
        Results.LocalRedirect($"/jobs/{id}?done={done}{(anchor.Length == 0 ? "" : "#" + anchor)}");

    private static JobView View(StoredJob stored, BenchStore store, BenchPlans plans, string? done) =>
        new(stored, plans.For(stored), store.EvidenceBrief(stored.Job.Id, EvidenceText.MostCompared + 1), done)
        {
            Emptied = store.EmptiedFiles(stored.Job.Id),
        };

    private static IResult Record(string id, BenchStore store, BenchPlans plans) =>
        store.FindJob(id) is { } stored
            ? Pages.Of<RecordPage>((nameof(RecordPage.View), View(stored, store, plans, null)))
            : Pages.NoSuchJob(id);

    private static IResult Show(string id, string? done, BenchStore store, BenchPlans plans) =>
        store.FindJob(id) is { } stored
            ? Pages.Of<JobPage>((nameof(JobPage.View), View(stored, store, plans, Done.GetValueOrDefault(done ?? ""))))
            : Pages.NoSuchJob(id);
}
