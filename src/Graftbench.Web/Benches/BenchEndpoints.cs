using Graftbench.Core.Calibrating;
using Graftbench.Store;
using Graftbench.Web.Desk;
using Graftbench.Web.Hosting;
using Graftbench.Web.Shell;
using Microsoft.AspNetCore.Builder;
using Microsoft.AspNetCore.Http;
using Microsoft.AspNetCore.Http.HttpResults;
using Microsoft.AspNetCore.Routing;

namespace Graftbench.Web.Benches;

/// <summary>The Bench screen: what is known of each bench, and calibrating one.</summary>
internal static class BenchEndpoints
{
    public static void MapBenches(this IEndpointRouteBuilder routes)
    {
        routes.MapGet(
            "/bench",
            (HttpContext http, BenchStore store) =>
                Pages.Of<BenchPage>(
                    (nameof(BenchPage.Benches), BenchKnowledge.All(store)),
                    (nameof(BenchPage.Kept), http.Request.Query["done"] == "kept")
                )
        );
        routes.MapGet("/bench/calibrate", New);
        routes.MapPost("/bench/calibrate", Take);
        routes.MapGet("/bench/trials/{id}", Look);
        routes.MapPost("/bench/trials/{id}/keep", Keep);
    }

    private static IResult New(HttpContext http, BenchStore store, BenchClock clock)
    {
        string id = http.Request.Query["job"].ToString();
        return store.FindJob(id) is { } stored
            ? Form(
                new TrialFormView(
                    stored.Job,
                    stored.Job.Bench.Name?.Trim() ?? "",
                    TrialForm.Runs(store, stored.Job.Bench.Name ?? "", clock),
                    TrialForm.Start(stored.Job, clock),
                    []
                ),
                StatusCodes.Status200OK
            )
            : Pages.NoSuchJob(id);
    }

    private static async Task<IResult> Take(HttpContext http, BenchStore store, BenchClock clock, TrialDesk desk)
    {
        IFormCollection form = await http.Request.ReadFormAsync(http.RequestAborted);
        string id = form["job"].ToString();
        if (store.FindJob(id) is not { } stored)
        {
            return Pages.NoSuchJob(id);
        }
        string bench = stored.Job.Bench.Name?.Trim() ?? "";
        (Trial? trial, IReadOnlyList<string> problems) = await TrialForm.Read(
            form,
            stored.Job,
            store,
            clock,
            http.RequestAborted
        );
        return trial is not null
            ? Results.LocalRedirect($"/bench/trials/{desk.Begin(bench, id, trial).Id}")
            : Form(
                new TrialFormView(
                    stored.Job,
                    bench,
                    TrialForm.Runs(store, bench, clock),
                    form.ToDictionary(one => one.Key, one => one.Value.ToString(), StringComparer.Ordinal),
                    problems
                ),
                StatusCodes.Status422UnprocessableEntity
            );
    }

    private static IResult Look(string id, TrialDesk desk) =>
        desk.Find(id) is { } trial ? Result(trial, desk.Status(trial), null, StatusCodes.Status200OK) : Gone();

    private static IResult Keep(string id, BenchStore store, TrialDesk desk)
    {
        if (desk.Find(id) is not { } trial)
        {
            return Gone();
        }
        DeskStatus<CalibrationResult> status = desk.Status(trial);
        if (
            status.Plan is not { State: CalibrationState.Trusted, Calibration: { } calibration } result
            || !trial.Trial.MayKeep
        )
        {
            return Result(
                trial,
                status,
                "This trial is not one that may be kept.",
                StatusCodes.Status422UnprocessableEntity
            );
        }
        // A second press of the button finds it gone instead of keeping it twice.
        if (!desk.Drop(trial))
        {
            return Gone();
        }
        try
        {
            store.AddBenchFact(
                trial.Bench,
                BenchFactRules.Calibration,
                new CalibrationFact(calibration, result with { Calibration = null }, trial.Trial.Source).Write(),
                Saving.Who(trial.Trial.Request.Job),
                trial.Trial.Log
            );
        }
        catch (Exception failure) when (failure is StoreException or IOException)
        {
            return Pages.Problem(
                StatusCodes.Status503ServiceUnavailable,
                "Not kept",
                $"The store could not write: {failure.Message} Run the calibration again."
            );
        }
        return Results.LocalRedirect("/bench?done=kept");
    }

    private static RazorComponentResult<ProblemPage> Gone() =>
        Pages.Problem(
            StatusCodes.Status404NotFound,
            "No such trial",
            "Trials are held until they are kept, the program ends, or eight newer ones have come. Start it again from the Bench screen."
        );

    private static RazorComponentResult<TrialFormPage> Form(TrialFormView view, int status) =>
        Pages.Of<TrialFormPage>(status, (nameof(TrialFormPage.View), view));

    private static RazorComponentResult<TrialPage> Result(
        DeskTrial trial,
        DeskStatus<CalibrationResult> status,
        string? notice,
        int code
    ) =>
        Pages.Of<TrialPage>(
            code,
            (nameof(TrialPage.Trial), trial),
            (nameof(TrialPage.Status), status),
            (nameof(TrialPage.Notice), notice)
        );
}
