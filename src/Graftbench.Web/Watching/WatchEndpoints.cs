using System.Globalization;
using System.Runtime.InteropServices;
using Graftbench.Core.Heating;
using Graftbench.Core.Watching;
using Graftbench.Core.Watching.Lines;
using Graftbench.Probes;
using Graftbench.Store;
using Graftbench.Watch;
using Graftbench.Web.Heating;
using Graftbench.Web.Hosting;
using Graftbench.Web.Network;
using Graftbench.Web.Shell;
using Microsoft.AspNetCore.Builder;
using Microsoft.AspNetCore.Http;
using Microsoft.AspNetCore.Http.HttpResults;
using Microsoft.AspNetCore.Routing;

namespace Graftbench.Web.Watching;

/// <summary>The watch of a heat: what it is prepared with, its screen, its live feed, what the person says in it.</summary>
internal static class WatchEndpoints
{
    private static readonly string[] Sorts = ["moved", "dropped", "smelled", "popped"];
    private const int LongestNote = 200;

    public static void MapWatch(this IEndpointRouteBuilder routes)
    {
        routes.MapGet("/jobs/{id}/heat/{task}/watch", Choose);
        routes.MapPost("/jobs/{id}/heat/{task}/watch", (Delegate)Begin);
        routes.MapGet("/jobs/{id}/watch/prepare/{key}", Prepare);
        routes.MapGet("/jobs/{id}/watch/prepare/{key}/state", PrepareState);
        routes.MapPost("/jobs/{id}/watch/prepare/{key}/confirm", (Delegate)Confirm);
        routes.MapPost("/jobs/{id}/watch/prepare/{key}/reopen", Reopen);
        routes.MapPost("/jobs/{id}/watch/prepare/{key}/start", (Delegate)Start);
        routes.MapGet("/jobs/{id}/watch/{run}", Show);
        routes.MapGet("/jobs/{id}/watch/{run}/state", State);
        routes.MapGet("/jobs/{id}/watch/{run}/history.bin", History);
        routes.MapGet("/jobs/{id}/watch/{run}/live", (Delegate)LiveSocket.Serve);
        routes.MapPost("/jobs/{id}/watch/{run}/mark", (Delegate)Mark);
        routes.MapPost("/jobs/{id}/watch/{run}/set", (Delegate)Set);
        routes.MapPost("/jobs/{id}/watch/{run}/end", (Delegate)End);
    }

    private static IResult Choose(string id, string task, string? chip, BenchStore store, HeatDesk desk)
    {
        if (store.FindJob(id) is not { } stored)
        {
            return Pages.NoSuchJob(id);
        }
        if (HeatSubject.Find(stored.Job, task, chip) is not { } subject)
        {
            return NoSuchHeat(id);
        }
        return ChoosePage(stored, subject, desk, new SourceForm(), []);
    }

    private static RazorComponentResult<WatchSourcePage> ChoosePage(
        StoredJob stored,
        HeatSubject subject,
        HeatDesk desk,
        SourceForm form,
        IReadOnlyList<string> problems
    ) =>
        Pages.Of<WatchSourcePage>(
            problems.Count > 0 ? StatusCodes.Status400BadRequest : StatusCodes.Status200OK,
            (nameof(WatchSourcePage.Stored), stored),
            (nameof(WatchSourcePage.Subject), subject),
            (nameof(WatchSourcePage.Status), desk.Status(stored.Job, subject.Task, subject.Chip.Id)),
            (nameof(WatchSourcePage.Form), form),
            (nameof(WatchSourcePage.Problems), problems)
        );

    private static async Task<IResult> Begin(
        string id,
        string task,
        HttpContext http,
        BenchStore store,
        HeatDesk desk,
        WatchDesk watches
    )
    {
        IFormCollection fields = await http.Request.ReadFormAsync(http.RequestAborted);
        if (store.FindJob(id) is not { } stored)
        {
            return Pages.NoSuchJob(id);
        }
        if (HeatSubject.Find(stored.Job, task, fields["chip"].ToString()) is not { } subject)
        {
            return NoSuchHeat(id);
        }
        SourceForm form = SourceForm.Of(name => fields[name].ToString());
        if (
            desk.Status(stored.Job, subject.Task, subject.Chip.Id).Plan is not { } plan
            || plan.Model is not { Usable: true }
        )
        {
            return ChoosePage(
                stored,
                subject,
                desk,
                form,
                ["The heat plan of this heat is not there yet: compute it first."]
            );
        }
        RunSource? source = form.Source(out IReadOnlyList<string> problems);
        if (SourceForm.ProblemFromElsewhere(source, Visitor.Of(http)) is { } elsewhere)
        {
            return ChoosePage(stored, subject, desk, form, [elsewhere]);
        }
        if (source is null)
        {
            return ChoosePage(stored, subject, desk, form, problems);
        }
        WatchPreparation begun = await watches.Begin(id, subject, plan, source);
        return Results.LocalRedirect($"/jobs/{id}/watch/prepare/{begun.Id}");
    }

    private static IResult Prepare(string id, string key, BenchStore store, WatchDesk watches) =>
        Found(id, key, store, watches) is { } found
            ? PreparePage(found.Stored, found.Preparation, [], _ => "")
            : NoSuchPreparation(id);

    private static RazorComponentResult<WatchPreparePage> PreparePage(
        StoredJob stored,
        WatchPreparation preparation,
        List<string> problems,
        Func<string, string> typed
    ) =>
        Pages.Of<WatchPreparePage>(
            problems.Count > 0 ? StatusCodes.Status400BadRequest : StatusCodes.Status200OK,
            (nameof(WatchPreparePage.Stored), stored),
            (nameof(WatchPreparePage.Preparation), preparation),
            (nameof(WatchPreparePage.Problems), problems),
            (nameof(WatchPreparePage.Typed), typed)
        );

    private static IResult PrepareState(string id, string key, HttpContext http, BenchStore store, WatchDesk watches)
    {
        http.Response.Headers.CacheControl = "no-store";
        if (Found(id, key, store, watches) is not { } found)
        {
            return Results.NotFound();
        }
        WatchPreparation preparation = found.Preparation;
        return Results.Json(
            new
            {
                state = preparation.State.ToString().ToLowerInvariant(),
                formats = preparation.Formats.Count,
                done = preparation.DoneFraction,
                said = preparation.Listener?.Said ?? "",
                heard = preparation.Listener?.HeardNumber ?? 0,
                lines = preparation.Listener?.Newest.Select(Shortened) ?? [],
            }
        );
    }

    /// <summary>A line for a page: a logger may send anything.</summary>
    internal static string Shortened(string line)
    {
        string plain = string.Concat(line.Select(sign => char.IsControl(sign) && sign != '\t' ? '\uFFFD' : sign));
        return plain.Length > 160 ? plain[..160] + " ..." : plain;
    }

    private static async Task<IResult> Confirm(
        string id,
        string key,
        HttpContext http,
        BenchStore store,
        WatchDesk watches
    )
    {
        IFormCollection fields = await http.Request.ReadFormAsync(http.RequestAborted);
        if (Found(id, key, store, watches) is not { } found)
        {
            return NoSuchPreparation(id);
        }
        string Field(string name) => fields[name].ToString();
        WatchPreparation preparation = found.Preparation;
        List<string> problems = [];
        ProbeFormat? format = null;
        IReadOnlyList<string> channels = WatchPreparation.SimulatedChannels;
        if (preparation.Source.Kind != RunSourceKind.Simulation)
        {
            IReadOnlyList<ProbeFormat> formats = PreparedFormats.Of(preparation, found.Stored, store);
            format = formats.FirstOrDefault(one => PreparedFormats.KeyOf(one) == Field("format"));
            if (format is null)
            {
                return PreparePage(
                    found.Stored,
                    preparation,
                    ["Confirm how the lines are read: choose the format whose readings are right."],
                    Field
                );
            }
            channels = format.Channels;
        }
        IReadOnlyList<WatchProbe> probes = WatchPlaces.Read(preparation.Plan, channels, Field, problems);
        if (problems.Count == 0)
        {
            problems.AddRange(
                preparation.Confirm(Saving.Who(found.Stored.Job), format, probes, Field("aligned") == "yes")
            );
        }
        if (problems.Count > 0)
        {
            return PreparePage(found.Stored, preparation, problems, Field);
        }
        if (format is not null)
        {
            PreparedFormats.Keep(preparation, format, found.Stored, store);
        }
        return Results.LocalRedirect($"/jobs/{id}/watch/prepare/{key}");
    }

    private static IResult Reopen(string id, string key, BenchStore store, WatchDesk watches)
    {
        if (Found(id, key, store, watches) is not { } found)
        {
            return NoSuchPreparation(id);
        }
        found.Preparation.Reopen();
        return Results.LocalRedirect($"/jobs/{id}/watch/prepare/{key}");
    }

    private static async Task<IResult> Start(string id, string key, BenchStore store, WatchDesk watches, RunHost host)
    {
        if (Found(id, key, store, watches) is not { } found)
        {
            return NoSuchPreparation(id);
        }
        try
        {
            WatchRun run = await found.Preparation.Start(host);
            await watches.Drop(found.Preparation);
            return Results.LocalRedirect($"/jobs/{id}/watch/{run.Id}");
        }
        catch (Exception error) when (error is InvalidOperationException or ProbeSourceException or StoreException)
        {
            return PreparePage(found.Stored, found.Preparation, [error.Message], _ => "");
        }
    }

    private static IResult Show(
        string id,
        string run,
        string? done,
        BenchStore store,
        RunHost host,
        Preferences preferences
    )
    {
        if (store.FindJob(id) is not { } stored)
        {
            return Pages.NoSuchJob(id);
        }
        if (store.FindRun(run) is not { } heat || heat.RecordId != id)
        {
            return NoSuchRun(id);
        }
        if (heat.State == HeatRunState.Running && host.Find(run) is { } going)
        {
            return Pages.Of<WatchPage>(
                (nameof(WatchPage.Stored), stored),
                (nameof(WatchPage.Run), going),
                (nameof(WatchPage.Face), WatchFace.Of(going, going.Snapshot, preferences.Fahrenheit)),
                (nameof(WatchPage.Said), done)
            );
        }
        return Pages.Of<WatchOverPage>(
            (nameof(WatchOverPage.Stored), stored),
            (nameof(WatchOverPage.Run), heat),
            (nameof(WatchOverPage.Marks), store.Marks(run)),
            (nameof(WatchOverPage.SampleNumber), store.SampleNumber(run))
        );
    }

    private static IResult State(
        string id,
        string run,
        HttpContext http,
        BenchStore store,
        RunHost host,
        Preferences preferences
    )
    {
        http.Response.Headers.CacheControl = "no-store";
        if (store.FindRun(run) is not { } heat || heat.RecordId != id)
        {
            return Results.NotFound();
        }
        return host.Find(run) is { } going
            ? Results.Json(WatchFace.Of(going, going.Snapshot, preferences.Fahrenheit))
            : Results.Json(new { state = heat.State.ToString().ToLowerInvariant() });
    }

    private static IResult History(string id, string run, HttpContext http, RunHost host)
    {
        http.Response.Headers.CacheControl = "no-store";
        if (host.Find(run) is not { } going || going.Order.RecordId != id)
        {
            return Results.NotFound();
        }
        (float[] cells, _) = going.History();
        return Results.Bytes(MemoryMarshal.AsBytes(cells.AsSpan()).ToArray(), "application/octet-stream");
    }

    private static async Task<IResult> Mark(string id, string run, HttpContext http, RunHost host)
    {
        IFormCollection fields = await http.Request.ReadFormAsync(http.RequestAborted);
        if (Going(id, run, host) is not { } going)
        {
            return Over(id, run, http);
        }
        string sort = fields["mark"].ToString();
        string note = fields["note"].ToString().Trim();
        if (sort == "note" ? note.Length is 0 or > LongestNote : !Sorts.Contains(sort))
        {
            return Refused(
                http,
                id,
                run,
                $"A mark is {string.Join(", ", Sorts)}, or a note of 1 to {LongestNote} signs."
            );
        }
        string? problem = await going.MarkAsync(sort, sort == "note" ? note : "Marked by the person.");
        return Done(http, id, run, problem, sort);
    }

    private static async Task<IResult> Set(
        string id,
        string run,
        HttpContext http,
        RunHost host,
        Preferences preferences
    )
    {
        IFormCollection fields = await http.Request.ReadFormAsync(http.RequestAborted);
        if (Going(id, run, host) is not { } going)
        {
            return Over(id, run, http);
        }
        List<string> problems = [];
        bool off = fields["off"].Count > 0;
        double? gas = off ? 0 : Setting(fields["gas"].ToString(), "Gas", 600, problems);
        double? preheater = off ? 0 : Setting(fields["preheater"].ToString(), "Bottom heater", 450, problems);
        if (problems.Count == 0 && gas is null && preheater is null)
        {
            problems.Add("Enter what you have set on the gas, the bottom heater, or both.");
        }
        if (problems.Count > 0)
        {
            return Refused(http, id, run, string.Join(" ", problems));
        }
        return Done(http, id, run, await going.SetAsync(gas, preheater), "set");
    }

    private static double? Setting(string text, string what, double mostC, List<string> problems)
    {
        if (text.Trim().Length == 0)
        {
            return null;
        }
        if (
            double.TryParse(
                text.Trim().Replace(',', '.'),
                NumberStyles.Float,
                CultureInfo.InvariantCulture,
                out double read
            )
            && read >= 0
            && read <= mostC
        )
        {
            return read;
        }
        problems.Add($"{what}: a set point is a number from 0 to {mostC} °C; 0 for off.");
        return null;
    }

    private static async Task<IResult> End(string id, string run, HttpContext http, RunHost host)
    {
        if (Going(id, run, host) is not { } going)
        {
            return Over(id, run, http);
        }
        return Done(http, id, run, await going.EndAsync(HeatRunState.Ended), "ended");
    }

    private static WatchRun? Going(string id, string run, RunHost host) =>
        host.Find(run) is { } going && going.Order.RecordId == id && going.Snapshot.GoesOn ? going : null;

    private static bool FromScript(HttpContext http) => http.Request.Headers["X-Bench"] == "watch";

    private static IResult Done(HttpContext http, string id, string run, string? problem, string what) =>
        problem is not null ? Refused(http, id, run, "It is not saved: " + problem)
        : FromScript(http) ? Results.NoContent()
        : Results.LocalRedirect($"/jobs/{id}/watch/{run}?done={what}");

    private static IResult Refused(HttpContext http, string id, string run, string why) =>
        FromScript(http)
            ? Results.Text(why, statusCode: StatusCodes.Status400BadRequest)
            : Pages.Problem(
                StatusCodes.Status400BadRequest,
                "Not taken",
                $"{why} Go back to the watch: /jobs/{id}/watch/{run}"
            );

    private static IResult Over(string id, string run, HttpContext http) =>
        FromScript(http)
            ? Results.Text("The run is over.", statusCode: StatusCodes.Status409Conflict)
            : Results.LocalRedirect($"/jobs/{id}/watch/{run}");

    private static (StoredJob Stored, WatchPreparation Preparation)? Found(
        string id,
        string key,
        BenchStore store,
        WatchDesk watches
    ) =>
        store.FindJob(id) is { } stored && watches.Find(key) is { } preparation && preparation.JobId == id
            ? (stored, preparation)
            : null;

    private static RazorComponentResult<ProblemPage> NoSuchHeat(string id) =>
        Pages.Problem(StatusCodes.Status404NotFound, "No such heat", $"The job '{id}' has no such heat.");

    private static RazorComponentResult<ProblemPage> NoSuchRun(string id) =>
        Pages.Problem(StatusCodes.Status404NotFound, "No such run", $"The job '{id}' has no such watched heat.");

    private static RazorComponentResult<ProblemPage> NoSuchPreparation(string id) =>
        Pages.Problem(
            StatusCodes.Status404NotFound,
            "This watch is not being prepared any more",
            $"It was started, given up, or the bench was started anew since. Open the heat plan of '{id}' and begin again."
        );
}
