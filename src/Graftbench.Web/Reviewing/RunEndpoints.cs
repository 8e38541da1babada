using System.Globalization;
using System.Text.Json;
using Graftbench.Core.Heating;
using Graftbench.Core.Jobs;
using Graftbench.Core.Planning;
using Graftbench.Core.Reviewing;
using Graftbench.Store;
using Graftbench.Web.Desk;
using Graftbench.Web.Heating;
using Graftbench.Web.Hosting;
using Microsoft.AspNetCore.Builder;
using Microsoft.AspNetCore.Http;
using Microsoft.AspNetCore.Http.HttpResults;
using Microsoft.AspNetCore.Routing;

namespace Graftbench.Web.Reviewing;

/// <summary>Reviews of runs: the screen, what is laid over it, the heat ledger, and its data.</summary>
internal static class RunEndpoints
{
    private static readonly Dictionary<string, string> Done = new(StringComparer.Ordinal)
    {
        ["kept"] = "The log is saved as a run of this job.",
        ["ledger"] = "Written to the heat ledger.",
        ["twice"] = "This run is in the heat ledger already; nothing was written.",
    };

    public static void MapRuns(this IEndpointRouteBuilder routes)
    {
        routes.MapGet("/jobs/{id}/runs/{runId}", Show);
        routes.MapPost("/jobs/{id}/runs/{runId}/compute", Compute);
        routes.MapPost("/jobs/{id}/runs/{runId}/cancel", Cancel);
        routes.MapGet("/jobs/{id}/runs/{runId}/state", State);
        routes.MapPost("/jobs/{id}/runs/{runId}/ledger", (Delegate)WriteLedger);
        routes.MapGet("/jobs/{id}/runs/{runId}/review.json", Json);
        routes.MapLogs();
    }

    /// <summary>The page for a run that does not exist.</summary>
    private static RazorComponentResult<Shell.ProblemPage> NoSuchRun(string id) =>
        Pages.Problem(StatusCodes.Status404NotFound, "No such run", $"The job '{id}' has no heat run of that id.");

    private static (StoredJob Stored, HeatRun Run)? Find(BenchStore store, string id, string runId) =>
        store.FindJob(id) is { } stored && store.FindRun(runId) is { } run && run.RecordId == id ? (stored, run) : null;

    private static IResult Show(
        string id,
        string runId,
        string? with,
        string? align,
        string? done,
        BenchStore store,
        RunDesk desk
    )
    {
        if (Find(store, id, runId) is not { } found)
        {
            return store.FindJob(id) is null ? Pages.NoSuchJob(id) : NoSuchRun(id);
        }
        (StoredJob stored, HeatRun run) = found;
        RunSetup setup = desk.SetupOf(stored.Job, run);
        DeskStatus<RunReview> status = desk.Status(stored.Job, run);
        RunReview review = Known(desk, stored.Job, run);
        List<HeatRun> others = [.. store.Runs(id).Where(other => other.Id != run.Id)];
        HeatRun? second = others.Find(other => other.Id == with);
        RunReview? other = second is null ? null : Known(desk, stored.Job, second);
        double? alignC =
            double.TryParse(align, NumberStyles.Float, CultureInfo.InvariantCulture, out double levelC)
            && levelC is >= 30 and <= 400
                ? levelC
                : null;
        return Pages.Of<RunPage>(
            (
                nameof(RunPage.View),
                new RunView(
                    stored,
                    run,
                    setup,
                    review,
                    status,
                    RunReviewing.WhyNot(stored.Job, setup),
                    others,
                    other,
                    other is null ? null : RunOverlay.Of(review, other, alignC),
                    alignC,
                    setup.Replay
                        ? []
                        : HeatEntries.Propose(review, stored.Job, run.Id, setup.HeatedAt ?? run.StartedAt),
                    HeatEntries.Written(stored.Job, run.Id),
                    Done.GetValueOrDefault(done ?? "")
                )
            )
        );
    }

    // What is computed, else what the probes say by themselves.
    private static RunReview Known(RunDesk desk, Job job, HeatRun run) =>
        desk.Status(job, run).Plan ?? desk.Review(job, run, estimate: false);

    private static IResult Compute(string id, string runId, BenchStore store, RunDesk desk) =>
        Find(store, id, runId) is { } found
            ? DeskAnswers.Requested(
                desk.Request(found.Stored.Job, found.Run),
                Results.LocalRedirect(RunView.AddressOf(id, found.Run))
            )
            : NoSuchRun(id);

    private static IResult Cancel(string id, string runId, BenchStore store, RunDesk desk)
    {
        if (Find(store, id, runId) is not { } found)
        {
            return NoSuchRun(id);
        }
        desk.Cancel(found.Stored.Job, found.Run);
        return Results.LocalRedirect(RunView.AddressOf(id, found.Run));
    }

    private static IResult State(string id, string runId, HttpContext http, BenchStore store, RunDesk desk)
    {
        http.Response.Headers.CacheControl = "no-store";
        return Find(store, id, runId) is { } found
            ? DeskAnswers.State(desk.Status(found.Stored.Job, found.Run))
            : Results.NotFound();
    }

    private static async Task<IResult> WriteLedger(
        string id,
        string runId,
        HttpContext http,
        BenchStore store,
        RunDesk desk
    )
    {
        IFormCollection form = await http.Request.ReadFormAsync(http.RequestAborted);
        if (Find(store, id, runId) is not { } found)
        {
            return NoSuchRun(id);
        }
        (StoredJob stored, HeatRun run) = found;
        RunSetup setup = RunSetup.Read(run.SetupJson);
        RunReview review = Known(desk, stored.Job, run);
        IReadOnlyList<ProposedHeat> lines = HeatEntries.Propose(
            review,
            stored.Job,
            run.Id,
            setup.HeatedAt ?? run.StartedAt
        );
        HashSet<string> confirmed = [.. form["line"].OfType<string>()];
        string decision = form["decision"].ToString().Trim();
        List<ProposedHeat> taken = [.. lines.Where(line => line.Heat is not null && confirmed.Contains(line.Of))];
        if (taken.Count == 0)
        {
            return Refused("Tick at least one line that is to be written.");
        }
        if (taken.Exists(line => line.NeedsDecision) && decision.Length is 0 or > 400)
        {
            return Refused("An extra heat needs a decision in words, at most 400 characters: who decided, and why.");
        }
        LedgerWriting done = StoredRuns.WriteLedger(
            store,
            id,
            run,
            review,
            taken,
            decision.Length == 0 ? null : decision
        );
        return done.Written ? Results.LocalRedirect($"{RunView.AddressOf(id, run)}?done=ledger#ledger")
            : HeatEntries.Written(store.FindJob(id)!.Job, run.Id).Count > 0
                ? Results.LocalRedirect($"{RunView.AddressOf(id, run)}?done=twice#ledger")
            : Refused(done.Says);

        static RazorComponentResult<Shell.ProblemPage> Refused(string why) =>
            Pages.Problem(StatusCodes.Status422UnprocessableEntity, "Nothing was written", why);
    }

    private static IResult Json(string id, string runId, BenchStore store, RunDesk desk) =>
        Find(store, id, runId) is { } found
            ? Results.Text(
                JsonSerializer.Serialize(
                    Known(desk, found.Stored.Job, found.Run) with
                    {
                        Curves = [],
                    },
                    PlanJson.Options
                ),
                "application/json"
            )
            : NoSuchRun(id);
}
