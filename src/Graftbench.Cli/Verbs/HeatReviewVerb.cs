using System.CommandLine;
using System.Security.Cryptography;
using System.Text;
using System.Text.Json;
using Graftbench.Core;
using Graftbench.Core.Findings;
using Graftbench.Core.Heating;
using Graftbench.Core.Jobs;
using Graftbench.Core.Planning;
using Graftbench.Core.Reviewing;
using Graftbench.Core.Watching.Lines;
using Graftbench.Sheets.Pictures;
using Graftbench.Store;

namespace Graftbench.Cli.Verbs;

/// <summary><c>graftbench heat review</c>: what a heat was, from a log or a run of the store.</summary>
internal static partial class HeatReviewVerb
{
    private static readonly string[] Tasks = ["place", "lift", "attach-balls"];

    public static Command Create()
    {
        Argument<string?> file = new("LOG")
        {
            Description = "Log of any logger, as text; - for standard input. Left out with --run.",
            Arity = ArgumentArity.ZeroOrOne,
        };
        Option<string?> run = new("--run")
        {
            Description = "A run of the store by its id, or the first letters of it.",
            HelpName = "ID",
        };
        Option<string?> job = new("--job")
        {
            Description = "The job document, for limits and model.",
            HelpName = "JOB",
        };
        Option<string?> plan = new("--plan")
        {
            Description = "Heat plan with the set points, as heat plan --json writes it.",
            HelpName = "PLAN",
        };
        Option<string?> task = new("--task")
        {
            Description = "What the heat was for: place, lift or attach-balls.",
            HelpName = "TASK",
        };
        Option<string?> chip = new("--chip") { Description = "The chip.", HelpName = "ID" };
        Option<string[]> probe = new("--probe")
        {
            Description =
                "Where a channel's bead sat: CHANNEL=body, underside, x,y in mm (a height may follow) or a part. May be repeated.",
            HelpName = "CHANNEL=PLACE",
        };
        Option<string?> unit = new("--unit")
        {
            Description = "Unit of the log, where it is taken wrongly: C, F or K.",
            HelpName = "UNIT",
        };
        Option<double?> step = Verb.Number("--step", "Seconds between two lines, where lines carry no time.");
        Option<double?> start = Verb.Number("--start", "Time in the log at which the heat started, in seconds.");
        Option<bool> aligned = new("--aligned")
        {
            Description = "Somebody checked by sight that the nozzle stood centred.",
        };
        Option<string?> with = new("--with") { Description = "Another log to lay over it.", HelpName = "LOG" };
        Option<double?> align = Verb.Number(
            "--align",
            "Lay the other log so that both first come to this temperature together, in °C; from the start if left out."
        );
        Option<string?> svg = new("--svg") { Description = "Writes the picture to a file.", HelpName = "FILE" };
        Option<bool> write = new("--write-ledger")
        {
            Description = "With --run: writes the proposed lines into the job's heat ledger.",
        };
        Option<string?> decision = new("--decision")
        {
            Description = "Who decided on an extra heat and why; goes into the ledger with it.",
            HelpName = "TEXT",
        };
        Option<bool> json = new("--json") { Description = "Prints the review as JSON." };
        Option<string> data = DataFolder.Option();
        Command verb = new("review", "Reviews a heat: what happened, against plan and limits.")
        {
            file,
            run,
            job,
            plan,
            task,
            chip,
            probe,
            unit,
            step,
            start,
            aligned,
            with,
            align,
            svg,
            write,
            decision,
            json,
            data,
            DataFolder.Store,
        };
        verb.SetAction(
            (parsed, cancel) =>
                Verb.RunAsync(async () =>
                {
                    Asked asked = new(
                        parsed.GetValue(file),
                        parsed.GetValue(run),
                        parsed.GetValue(job),
                        parsed.GetValue(plan),
                        parsed.GetValue(task),
                        parsed.GetValue(chip),
                        parsed.GetValue(probe) ?? [],
                        parsed.GetValue(unit),
                        parsed.GetValue(step),
                        parsed.GetValue(start),
                        parsed.GetValue(aligned),
                        parsed.GetValue(with),
                        parsed.GetValue(align),
                        parsed.GetValue(svg),
                        parsed.GetValue(write),
                        parsed.GetValue(decision),
                        DataFolder.PlaceOf(parsed, data)
                    );
                    return await Run(asked, parsed.GetValue(json), cancel);
                })
        );
        return verb.WithExample(
            "graftbench heat review run.csv --job job.json --plan plan.json --probe T1=body --probe T2=182,70",
            "figures with ranges against every limit; exit 1: a limit was not kept, 2: a bad log or job"
        );
    }

    /// <summary>What the command line asks for.</summary>
    private sealed record Asked(
        string? File,
        string? RunId,
        string? Job,
        string? Plan,
        string? Task,
        string? Chip,
        string[] Probes,
        string? Unit,
        double? StepS,
        double? StartS,
        bool Aligned,
        string? With,
        double? AlignC,
        string? Svg,
        bool Write,
        string? Decision,
        StorePlace Data
    );

    /// <summary>A log with what is known of it.</summary>
    private sealed record Found(
        string Title,
        RunLog Log,
        RunSetup Setup,
        string? ReadAs,
        string Key,
        DateTimeOffset At
    );

    private static async Task<int> Run(Asked asked, bool json, CancellationToken cancel)
    {
        List<string> problems = [];
        if ((asked.File is null) == (asked.RunId is null))
        {
            problems.Add("Name either a LOG or a run of the store with --run ID.");
        }
        if (asked.Write && asked.RunId is null)
        {
            problems.Add("--write-ledger works with --run: a log without a stored run has no ledger to be written to.");
        }
        if (asked.File == "-" && asked.Job == "-")
        {
            problems.Add("Standard input can hold the log or the job, not both.");
        }
        HeatTask? task = TaskOf(asked.Task, problems);
        ProbeUnit? unit = UnitOf(asked.Unit, problems);
        List<RunProbe> seats = Seats(asked.Probes, problems);
        RunSetup? planned = Plan(asked.Plan, problems);
        if (problems.Count > 0)
        {
            throw new BadInputException(string.Join('\n', problems));
        }
        StoredRun? stored = asked.RunId is null ? null : StoredRun.Open(asked.Data, asked.RunId);
        Job? job = asked.Job is { } path ? JobInput.Load(path, Verb.Moment(null)) : stored?.Job?.Job;
        Found found = stored?.Found ?? OfFile(asked.File!, unit, asked.StepS);
        RunSetup Completed(RunSetup own) =>
            own with
            {
                Task = task ?? own.Task ?? planned?.Task,
                ChipId = asked.Chip ?? own.ChipId ?? planned?.ChipId,
                Plan = planned?.Plan ?? own.Plan,
                Nozzle = planned?.Nozzle ?? own.Nozzle,
                Probes = seats.Count > 0 ? seats : own.Probes,
                StartS = asked.StartS ?? own.StartS,
                AlignmentChecked = asked.Aligned || own.AlignmentChecked,
            };
        found = found with { Setup = Completed(found.Setup) };
        Unknown(found, seats, asked.Chip, job);
        RunReview review = Reviewed(found, job, cancel);
        RunReview? other = null;
        RunOverlay? overlay = null;
        if (asked.With is { } second)
        {
            Found beside = OfFile(second, unit, asked.StepS);
            other = Reviewed(beside with { Setup = Completed(beside.Setup) }, job, cancel);
            overlay = RunOverlay.Of(review, other, asked.AlignC);
        }
        IReadOnlyList<ProposedHeat> ledger = job is null ? [] : HeatEntries.Propose(review, job, found.Key, found.At);
        if (asked.Svg is { } picture)
        {
            string drawn = RunPicture.Svg(review, other, overlay);
            await WholeFile.WriteAsync(picture, Encoding.UTF8.GetBytes(drawn), cancel);
        }
        Console.Out.Write(
            json
                ? JsonSerializer.Serialize(
                    new
                    {
                        Review = review with
                        {
                            Curves = [],
                        },
                        Other = other is null ? null : other with { Curves = [] },
                        Overlay = overlay,
                        Ledger = ledger,
                    },
                    PlanJson.Options
                ) + "\n"
                : ReviewText.Of(review, found.ReadAs, other, overlay, ledger)
        );
        if (asked.Write)
        {
            stored!.Write(review, ledger, asked.Decision);
        }
        return review.Findings.Any(one => one.Verdict is Verdict.Blocker or Verdict.FixFirst)
            ? ExitCode.FixFirst
            : ExitCode.Ok;
    }

    private static RunReview Reviewed(Found found, Job? job, CancellationToken cancel)
    {
        try
        {
            return RunReviewing.Review(
                found.Title,
                job,
                found.Log,
                found.Setup,
                estimate: true,
                ProgressLine.Create(),
                cancel
            );
        }
        finally
        {
            ProgressLine.Clear();
        }
    }

    private static Found OfFile(string path, ProbeUnit? unit, double? stepS)
    {
        byte[] bytes = Bytes(path);
        string name = path == "-" ? "standard input" : Path.GetFileName(path);
        RunLogHead head = RunLogReader.Learn(bytes);
        if (head.Problems.Count > 0)
        {
            throw new BadInputException(string.Join('\n', head.Problems.Select(one => $"{path}: {one}")));
        }
        ProbeFormat format = head.Formats[0].Format;
        if (unit is { } given)
        {
            format = format with
            {
                Columns =
                [
                    .. format.Columns.Select(column =>
                        column.Role == ProbeColumnRole.Temperature ? column with { Unit = given } : column
                    ),
                ],
            };
        }
        RunLogReading reading = RunLogReader.Read(bytes, format, stepS);
        if (reading.Log is not { } log)
        {
            throw new BadInputException(
                string.Join('\n', reading.Problems.Select(one => $"{path}: {one}"))
                    + (format.Timed ? "" : "\nGive it with --step.")
            );
        }
        string units = string.Join(
            ", ",
            format
                .Columns.Where(column => column.Role == ProbeColumnRole.Temperature)
                .Select(column => $"{column.Name} in {column.Unit}")
        );
        string notes = unit is null ? string.Concat(head.Formats[0].Notes.Select(note => " " + note)) : "";
        return new Found(
            name,
            log,
            RunSetup.Read(head.SetupJson),
            $"{reading.ReadLines} lines, fields parted by {format.Separator.ToString().ToLowerInvariant()}, {units}.{notes}",
            Convert.ToHexStringLower(SHA256.HashData(bytes))[..32],
            File.Exists(path) ? new DateTimeOffset(File.GetLastWriteTime(path)) : DateTimeOffset.Now
        );
    }

    private static byte[] Bytes(string path)
    {
        if (string.IsNullOrWhiteSpace(path))
        {
            throw new BadInputException("The name of the log is empty.");
        }
        if (Directory.Exists(path))
        {
            throw new BadInputException($"{path}: this is a folder; name the log in it.");
        }
        try
        {
            using Stream stream =
                path == "-"
                    ? Console.OpenStandardInput()
                    : new FileStream(path, FileMode.Open, FileAccess.Read, FileShare.ReadWrite);
            using MemoryStream held = new();
            byte[] part = new byte[81920];
            int count;
            while ((count = stream.Read(part)) > 0)
            {
                held.Write(part.AsSpan(0, count));
                if (held.Length > RunLogReader.MaxBytes)
                {
                    throw new BadInputException(
                        $"{path}: more than {RunLogReader.MaxBytes / 1048576} MB, which is our limit for a log: cut it to the heat."
                    );
                }
            }
            return held.ToArray();
        }
        catch (Exception error) when (error is IOException or UnauthorizedAccessException or ArgumentException)
        {
            throw new BadInputException(JobInput.Unreachable(path, error));
        }
    }

    // Everything that names something the log or the job does not have, at once.
    private static void Unknown(Found found, List<RunProbe> seats, string? chip, Job? job)
    {
        List<string> problems = [];
        string[] channels = [.. found.Log.Channels.Select(channel => channel.Name)];
        foreach (RunProbe seat in seats.Where(seat => !channels.Contains(seat.Channel, StringComparer.Ordinal)))
        {
            problems.Add($"--probe {seat.Channel}: the log's channels are {string.Join(", ", channels)}.");
        }
        if (chip is not null && job is not null && job.Chips.All(one => one.Id != chip))
        {
            problems.Add(
                job.Chips.Count == 0
                    ? $"--chip {chip}: the job has no chips."
                    : $"--chip {chip}: the job's chips are {string.Join(", ", job.Chips.Select(one => one.Id))}."
            );
        }
        if (problems.Count > 0)
        {
            throw new BadInputException(string.Join('\n', problems));
        }
    }
}
