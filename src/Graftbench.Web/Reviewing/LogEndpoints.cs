using System.Globalization;
using System.Text.Json;
using Graftbench.Core.Heating;
using Graftbench.Core.Jobs;
using Graftbench.Core.Physics.Heat;
using Graftbench.Core.Reviewing;
using Graftbench.Core.Watching.Lines;
using Graftbench.Store;
using Graftbench.Web.Forms;
using Graftbench.Web.Heating;
using Graftbench.Web.Hosting;
using Graftbench.Web.Shell;
using Microsoft.AspNetCore.Builder;
using Microsoft.AspNetCore.Http;
using Microsoft.AspNetCore.Http.HttpResults;
using Microsoft.AspNetCore.Routing;

namespace Graftbench.Web.Reviewing;

/// <summary>
/// A log file becomes a run where nobody watched: it is stored as it is first, then a person says what is in it and where the
/// beads sat.
/// </summary>
internal static class LogEndpoints
{
    private const int MostName = 120;

    public static void MapLogs(this IEndpointRouteBuilder routes)
    {
        routes.MapGet("/jobs/{id}/runs/new", Choose);
        routes.MapPost("/jobs/{id}/runs/log", (Delegate)Take);
        routes.MapGet("/jobs/{id}/runs/log/{sha256}", Ask);
        routes.MapPost("/jobs/{id}/runs/log/{sha256}", (Delegate)Keep);
    }

    private static IResult Choose(string id, BenchStore store) =>
        store.FindJob(id) is { } stored ? Chooser(stored, [], StatusCodes.Status200OK) : Pages.NoSuchJob(id);

    private static RazorComponentResult<LogPage> Chooser(
        StoredJob stored,
        IReadOnlyList<string> problems,
        int status
    ) => Pages.Of<LogPage>(status, (nameof(LogPage.Stored), stored), (nameof(LogPage.Problems), problems));

    private static async Task<IResult> Take(string id, HttpContext http, BenchStore store, BenchClock clock)
    {
        IFormCollection form = await http.Request.ReadFormAsync(http.RequestAborted);
        if (store.FindJob(id) is not { } stored)
        {
            return Pages.NoSuchJob(id);
        }
        IResult Refused(params string[] why) => Chooser(stored, why, StatusCodes.Status422UnprocessableEntity);
        if (form.Files.GetFile("file") is not { Length: > 0 } upload)
        {
            return Refused("Choose a log first; an empty file holds no run.");
        }
        if (upload.Length > RunLogReader.MaxBytes)
        {
            return Refused(
                $"The log has {upload.Length / 1048576} MB, at most {RunLogReader.MaxBytes / 1048576} MB are read (our limit): cut it to the heat."
            );
        }
        byte[] bytes = new byte[upload.Length];
        await using (Stream stream = upload.OpenReadStream())
        {
            await stream.ReadExactlyAsync(bytes, http.RequestAborted);
        }
        RunLogHead head = RunLogReader.Learn(bytes);
        if (head.Problems.Count > 0)
        {
            return Refused([.. head.Problems]);
        }
        StoredFile file = new(FileNames.Plain(upload.FileName, "log"), "text/plain", bytes);
        string sha256 = EvidenceChain.FileHash(bytes);
        if (LogOf(store, id, sha256) is null)
        {
            EvidenceEntry entry = new()
            {
                At = clock.Now,
                Who = Saving.Who(stored.Job),
                Kind = EvidenceKind.Log,
                Note = "Log of a heat, as the logger wrote it.",
                File = file.Name,
                Sha256 = sha256,
            };
            Saving.AddEvidence(
                store,
                id,
                entry,
                new EvidenceDraft(
                    entry.Who,
                    FieldWords.NameOf(entry.Kind),
                    JsonSerializer.Serialize(new { note = entry.Note, file = file.Name }, JobFormat.Json),
                    file
                )
            );
        }
        return Results.LocalRedirect($"/jobs/{id}/runs/log/{sha256}");
    }

    private static IResult Ask(string id, string sha256, string? format, BenchStore store, HeatDesk desk)
    {
        if (store.FindJob(id) is not { } stored || LogOf(store, id, sha256) is not { } file)
        {
            return NoSuchLog(id);
        }
        RunLogHead head = RunLogReader.Learn(file.Bytes);
        return head.Formats.Count == 0
            ? NoSuchLog(id)
            : Asked(stored, sha256, file, head, Number(format, head), desk, new Dictionary<string, string>(), []);
    }

    private static async Task<IResult> Keep(
        string id,
        string sha256,
        HttpContext http,
        BenchStore store,
        HeatDesk desk,
        BenchClock clock
    )
    {
        IFormCollection form = await http.Request.ReadFormAsync(http.RequestAborted);
        if (store.FindJob(id) is not { } stored || LogOf(store, id, sha256) is not { } file)
        {
            return NoSuchLog(id);
        }
        RunLogHead head = RunLogReader.Learn(file.Bytes);
        if (head.Formats.Count == 0)
        {
            return NoSuchLog(id);
        }
        int chosen = Number(form["format"].ToString(), head);
        Dictionary<string, string> entered = form.ToDictionary(
            field => field.Key,
            field => field.Value.ToString(),
            StringComparer.Ordinal
        );
        List<string> problems = [];
        ProbeFormat format = WithUnit(head.Formats[chosen].Format, entered.GetValueOrDefault("unit", ""));
        double? stepS = Seconds("step", "Seconds between two lines", 0.001, 60, null);
        double startS = Seconds("start", "Start of the heat in the log", 0, 86_400, 0) ?? 0;
        DateTimeOffset? at = entered.GetValueOrDefault("at", "") is { Length: > 0 } moment
            ? clock.ReadField(moment)
            : null;
        if (at is null || at > clock.Now.AddMinutes(5))
        {
            problems.Add("When the heat was: enter date and time, not in the future.");
        }
        HeatSubject? subject = HeatSubject
            .Of(stored.Job)
            .FirstOrDefault(each => Value(each) == entered.GetValueOrDefault("heat", ""));
        if (subject is null)
        {
            problems.Add("What the heat was for: choose one of the job's heats.");
        }
        HeatPlan? plan =
            subject is not null && entered.GetValueOrDefault("set") == "plan"
                ? desk.Status(stored.Job, subject.Task, subject.Chip.Id).Plan
                : null;
        RunSetup own = RunSetup.Read(head.SetupJson);
        bool ownPlan = entered.GetValueOrDefault("set") == "log";
        List<RunProbe> probes = [];
        BoardHeatModel? model = subject is null
            ? null
            : new HeatModels().Build(stored.Job, subject.Task, subject.Chip.Id, null, null);
        for (int i = 0; i < format.Channels.Count; i++)
        {
            RunProbe probe = new(format.Channels[i], entered.GetValueOrDefault($"seat-{i}", "").Trim());
            ProbeSeats.Of(probe, model, out string? wrong);
            if (wrong is not null || probe.At.Length > 60)
            {
                problems.Add(wrong ?? $"Channel {probe.Channel}: the place has more than 60 letters.");
            }
            probes.Add(probe);
        }
        RunLogReading reading = RunLogReader.Read(file.Bytes, format, stepS);
        problems.AddRange(reading.Problems);
        if (problems.Count > 0 || reading.Log is not { } log)
        {
            return Asked(stored, sha256, file, head, chosen, desk, entered, problems);
        }
        RunSetup setup = new()
        {
            Task = subject!.Task,
            ChipId = subject.Chip.Id,
            Probes = probes,
            StartS = startS,
            HeatedAt = at,
            Source = file.Name,
            Simulated = log.Simulated || entered.ContainsKey("simulated"),
            AlignmentChecked = entered.ContainsKey("aligned"),
            Plan = ownPlan ? own.Plan : plan?.Schedule,
            Settings = ownPlan ? own.Settings : [],
            Nozzle = ownPlan ? own.Nozzle : plan?.Nozzle?.Name,
            FlowPercent = ownPlan ? own.FlowPercent : null,
            HeatingS = ownPlan
                ? own.HeatingS
                : plan?.Moments.FirstOrDefault(one => one.Name == HeatMoments.SwitchOff)?.TimeS,
        };
        HeatRun run = StoredRuns.Keep(store, id, Saving.Who(stored.Job), log, setup);
        return Results.LocalRedirect($"{RunView.AddressOf(id, run)}?done=kept");

        double? Seconds(string field, string name, double least, double most, double? empty)
        {
            string text = entered.GetValueOrDefault(field, "").Trim().Replace(',', '.');
            if (text.Length == 0)
            {
                return empty;
            }
            if (
                double.TryParse(text, NumberStyles.Float, CultureInfo.InvariantCulture, out double value)
                && value >= least
                && value <= most
            )
            {
                return value;
            }
            problems.Add(FormattableString.Invariant($"{name}: '{text}' is no number from {least} to {most} s."));
            return null;
        }
    }

    private static RazorComponentResult<LogConfirmPage> Asked(
        StoredJob stored,
        string sha256,
        StoredFile file,
        RunLogHead head,
        int chosen,
        HeatDesk desk,
        IReadOnlyDictionary<string, string> entered,
        List<string> problems
    ) =>
        Pages.Of<LogConfirmPage>(
            problems.Count > 0 ? StatusCodes.Status422UnprocessableEntity : StatusCodes.Status200OK,
            (
                nameof(LogConfirmPage.View),
                new LogView(
                    stored,
                    sha256,
                    file.Name,
                    head,
                    chosen,
                    [
                        .. HeatSubject
                            .Of(stored.Job)
                            .Select(each => new LoggedHeat(
                                Value(each),
                                each.Title,
                                desk.Status(stored.Job, each.Task, each.Chip.Id).Plan?.Schedule is not null
                            )),
                    ],
                    entered,
                    problems
                )
            )
        );

    private static string Value(HeatSubject subject) => $"{FieldWords.NameOf(subject.Task)} {subject.Chip.Id}";

    private static int Number(string? given, RunLogHead head) =>
        int.TryParse(given, NumberStyles.None, CultureInfo.InvariantCulture, out int number)
        && number < head.Formats.Count
            ? number
            : 0;

    private static ProbeFormat WithUnit(ProbeFormat format, string unit) =>
        Enum.TryParse(unit, ignoreCase: false, out ProbeUnit given) && Enum.IsDefined(given)
            ? format with
            {
                Columns =
                [
                    .. format.Columns.Select(column =>
                        column.Role == ProbeColumnRole.Temperature ? column with { Unit = given } : column
                    ),
                ],
            }
            : format;

    // Only a log that lies in this job's record: a hash is no key to other people's files.
    private static StoredFile? LogOf(BenchStore store, string id, string sha256) =>
        store.FindJob(id) is { } stored
        && stored.Job.Evidence.Any(entry => entry.Kind == EvidenceKind.Log && entry.Sha256 == sha256)
            ? store.FindFile(sha256)
            : null;

    private static RazorComponentResult<ProblemPage> NoSuchLog(string id) =>
        Pages.Problem(
            StatusCodes.Status404NotFound,
            "No such log",
            $"The job '{id}' has no log of that name in its record, or it is no text log. Choose the file again."
        );
}
