using System.Globalization;
using System.Text;
using Graftbench.Core.Planning;
using Graftbench.Core.Proof;
using Graftbench.Store;
using Graftbench.Web.Diagnosing;
using Graftbench.Web.Forms;
using Graftbench.Web.Hosting;
using Graftbench.Web.Shell;
using Microsoft.AspNetCore.Builder;
using Microsoft.AspNetCore.Http;
using Microsoft.AspNetCore.Http.HttpResults;
using Microsoft.AspNetCore.Routing;

namespace Graftbench.Web.Proving;

/// <summary>The screens of question 7 and of a return, and what a person says about limits, rails, first power and traces.</summary>
internal static class ProofEndpoints
{
    private const long MostTraceBytes = 64L * 1024 * 1024;
    private const double MostSupplyV = 60;
    private const double MostCurrentA = 100;

    private static readonly Dictionary<string, string> Done = new(StringComparer.Ordinal)
    {
        ["limit"] = "Limit saved; the change is a line in the record.",
        ["rail"] = "Rail saved.",
        ["power"] = "Figures of the first power saved.",
        ["trace"] = "Trace attached as evidence and read.",
        ["back"] = "Taken back by a line in the record.",
    };

    public static void MapProof(this IEndpointRouteBuilder routes)
    {
        routes.MapGet("/jobs/{id}/proof", Show);
        routes.MapGet("/jobs/{id}/proof.json", Json);
        routes.MapGet("/jobs/{id}/returns", Returns);
        routes.MapPost("/jobs/{id}/proof/limit", On(Limit));
        routes.MapPost("/jobs/{id}/proof/rail", On(Rail));
        routes.MapPost("/jobs/{id}/proof/power", On(Power));
        routes.MapPost("/jobs/{id}/proof/trace", (Delegate)Trace);
        routes.MapPost("/jobs/{id}/proof/{line:long}/back", (Delegate)Back);
    }

    private static IResult Show(string id, string? ball, string? done, BenchStore store, ReadingDesk desk) =>
        store.FindJob(id) is { } stored
            ? Page(ProofView.Of(stored, desk) with { Ball = ball, Done = Done.GetValueOrDefault(done ?? "") })
            : Pages.NoSuchJob(id);

    private static IResult Json(string id, BenchStore store, ReadingDesk desk)
    {
        if (store.FindJob(id) is not { } stored)
        {
            return Pages.NoSuchJob(id);
        }
        ProofView view = ProofView.Of(stored, desk);
        return Results.Json(
            new
            {
                answer = view.Answer,
                nets = view.Proof.Nets,
                shifts = view.Proof.Shifts,
                coverage = view.Coverage,
                plan = view.Plan,
                firstPower = view.FirstPower,
            },
            PlanJson.Options
        );
    }

    private static IResult Returns(
        string id,
        BenchStore store,
        ReadingDesk desk,
        DiagnosisDesk diagnosis,
        BenchPlans plans
    )
    {
        if (store.FindJob(id) is not { } stored)
        {
            return Pages.NoSuchJob(id);
        }
        JobReadings record = desk.Record(id);
        return Pages.Of<ReturnsPage>(
            (
                nameof(ReturnsPage.View),
                new ReturnView(
                    stored,
                    record,
                    desk.Returned(stored.Job, record),
                    desk.Map(stored.Job),
                    diagnosis.Record(id),
                    plans.Handover(stored)
                )
            )
        );
    }

    /// <summary>What a form says: a line to add, or what is wrong.</summary>
    private sealed record Said(string Words, ReadingNote? Note, IReadOnlyList<string> Problems, string Done, string At);

    private static Delegate On(Func<IFormCollection, Said> say) =>
        async (string id, HttpContext http, BenchStore store, ReadingDesk desk) =>
        {
            IFormCollection form = await http.Request.ReadFormAsync(http.RequestAborted);
            if (store.FindJob(id) is not { } stored)
            {
                return Pages.NoSuchJob(id);
            }
            Said said = say(form);
            if (said.Note is not { } note)
            {
                return Refused(stored, desk, said.Problems);
            }
            desk.Append(stored.Job, "decision", said.Words, note);
            return Results.LocalRedirect($"/jobs/{id}/proof?done={said.Done}#{said.At}");
        };

    private static Said Limit(IFormCollection form)
    {
        string id = form["limit"].ToString();
        Threshold? old = ProofThresholds.Standard.All.FirstOrDefault(one => one.Id == id);
        if (old is null)
        {
            return Wrong("There is no such limit.");
        }
        if (form["do"].ToString() == "usual")
        {
            return new Said($"Limit put back: {old.Title}.", new ReadingNote { Limit = id }, [], "limit", "limits");
        }
        if (FormText.Number(form["value"].ToString()) is not { } value)
        {
            return Wrong($"{old.Title}: '{ReadingPlace.Cut(form["value"].ToString())}' is no number.");
        }
        try
        {
            _ = ProofThresholds.Standard.With(id, value);
        }
        catch (ArgumentException refusal)
        {
            return Wrong($"{old.Title}: {EvidenceRules.Plain(refusal)}");
        }
        return new Said(
            string.Create(
                CultureInfo.InvariantCulture,
                $"Limit changed: {old.Title}: {value} {old.Unit}, was {old.Value}."
            ),
            new ReadingNote { Limit = id, Value = value },
            [],
            "limit",
            "limits"
        );
    }

    private static Said Rail(IFormCollection form)
    {
        List<string> problems = [];
        string name = ReadingPlace.Cut(form["name"].ToString());
        if (name.Length == 0)
        {
            problems.Add("Say which rail it is.");
        }
        RailClass? kind = ReadingPlace.Named<RailClass>(form["class"].ToString());
        if (kind is null)
        {
            problems.Add("Say what the rail feeds.");
        }
        ReadingState? baseline = ReadingPlace.Named<ReadingState>(form["baseline"].ToString());
        if (baseline is not (ReadingState.Baseline or ReadingState.DonorBaseline))
        {
            problems.Add("Say what its readings are held against: the host's or the donor's baseline.");
        }
        double? volts = Within(form, "volts", "Voltage", MostSupplyV, "V", problems);
        return problems.Count > 0
            ? new Said("", null, problems, "", "")
            : new Said(
                $"Rail {name}: {ProofWords.Of(kind!.Value)}, held against the {ProofWords.Of(baseline!.Value)}.",
                new ReadingNote { Rail = new RailNote(name, kind.Value, baseline.Value, volts) },
                [],
                "rail",
                "nets"
            );
    }

    private static Said Power(IFormCollection form)
    {
        List<string> problems = [];
        PowerNote power = new(
            Within(form, "supply", "Supply", MostSupplyV, "V", problems),
            Within(form, "standby", "Standby current", MostCurrentA, "A", problems),
            Within(form, "run", "Running current", MostCurrentA, "A", problems),
            form["cooler"].ToString() switch
            {
                "yes" => true,
                "no" => false,
                _ => null,
            },
            Text(form["from"].ToString()),
            Text(form["revision"].ToString())
        );
        return problems.Count > 0
            ? new Said("", null, problems, "", "")
            : new Said(
                "First power: expected figures entered.",
                new ReadingNote { Power = power },
                [],
                "power",
                "power"
            );
    }

    private static async Task<IResult> Trace(string id, HttpContext http, BenchStore store, ReadingDesk desk)
    {
        IFormCollection form = await http.Request.ReadFormAsync(http.RequestAborted);
        if (store.FindJob(id) is not { } stored)
        {
            return Pages.NoSuchJob(id);
        }
        List<string> problems = [];
        TraceRole? role = ReadingPlace.Named<TraceRole>(form["role"].ToString());
        if (role is null)
        {
            problems.Add("Say whose current it is.");
        }
        IFormFile? sent = form.Files.FirstOrDefault(one => one.Name == "file" && one.Length > 0);
        if (sent is null or { Length: > MostTraceBytes })
        {
            problems.Add(
                sent is null
                    ? "Choose the trace first."
                    : string.Create(
                        CultureInfo.InvariantCulture,
                        $"{sent.FileName}: more than {MostTraceBytes / 1048576} MiB (our limit). Thin it out."
                    )
            );
        }
        if (problems.Count > 0)
        {
            return Refused(stored, desk, problems);
        }
        byte[] bytes = new byte[sent!.Length];
        await using Stream stream = sent.OpenReadStream();
        await stream.ReadExactlyAsync(bytes, http.RequestAborted);
        TraceReading read = CurrentTrace.Read(Encoding.UTF8.GetString(bytes));
        if (read.Trace is null)
        {
            return Refused(
                stored,
                desk,
                [
                    .. read.Problems.Select(one =>
                        $"{(one.Line > 0 ? string.Create(CultureInfo.InvariantCulture, $"Line {one.Line}: ") : "")}{one.What} {one.Todo}"
                    ),
                ]
            );
        }
        string name = FileNames.Plain(sent.FileName, "trace.csv");
        desk.Append(
            stored.Job,
            "log",
            $"Supply current, {Words(role!.Value)}: {name}.",
            new ReadingNote { Trace = role },
            new StoredFile(name, "text/csv", bytes)
        );
        return Results.LocalRedirect($"/jobs/{id}/proof?done=trace#trace");
    }

    private static async Task<IResult> Back(string id, long line, HttpContext http, BenchStore store, ReadingDesk desk)
    {
        await http.Request.ReadFormAsync(http.RequestAborted);
        if (store.FindJob(id) is not { } stored)
        {
            return Pages.NoSuchJob(id);
        }
        if (desk.Record(id).Traces.Any(one => one.Line == line))
        {
            desk.Append(
                stored.Job,
                "decision",
                string.Create(CultureInfo.InvariantCulture, $"Taken back: the trace of line {line}."),
                new ReadingNote { TakesBack = line }
            );
        }
        return Results.LocalRedirect($"/jobs/{id}/proof?done=back#trace");
    }

    /// <summary>Whose a trace is, in words.</summary>
    public static string Words(TraceRole role) =>
        role switch
        {
            TraceRole.FirstPower => "first power of this board",
            TraceRole.OwnHealthy => "this board while it was healthy",
            _ => "a healthy board of the same sort",
        };

    private static double? Within(
        IFormCollection form,
        string field,
        string words,
        double most,
        string unit,
        List<string> problems
    )
    {
        string text = form[field].ToString().Trim();
        if (text.Length == 0)
        {
            return null;
        }
        if (FormText.Number(text) is { } value && value > 0 && value <= most)
        {
            return value;
        }
        problems.Add(
            string.Create(
                CultureInfo.InvariantCulture,
                $"{words}: '{ReadingPlace.Cut(text)}' is no number above 0 and up to {most} {unit} (our limit)."
            )
        );
        return null;
    }

    private static string? Text(string text) => ReadingPlace.Cut(text) is { Length: > 0 } said ? said : null;

    private static Said Wrong(string problem) => new("", null, [problem], "", "");

    private static RazorComponentResult<ProofPage> Refused(
        StoredJob stored,
        ReadingDesk desk,
        IReadOnlyList<string> problems
    ) =>
        Page(
            ProofView.Of(stored, desk) with
            {
                Problems = [.. problems, "Nothing was saved."],
            },
            StatusCodes.Status422UnprocessableEntity
        );

    private static RazorComponentResult<ProofPage> Page(ProofView view, int status = StatusCodes.Status200OK) =>
        Pages.Of<ProofPage>(status, (nameof(ProofPage.View), view));
}
