using System.CommandLine;
using System.Text;
using Graftbench.Core;
using Graftbench.Core.Calibrating;
using Graftbench.Core.Heating;
using Graftbench.Core.Jobs;
using Graftbench.Core.Watching;

namespace Graftbench.Cli.Verbs;

/// <summary><c>graftbench heat calibrate</c>: learns a bench from the log of a trial run on a scrap board.</summary>
internal static class HeatCalibrateVerb
{
    private const double UsualRoomC = 22;

    public static Command Create()
    {
        Argument<string> log = new("LOG") { Description = "Log of the trial: lines with time and temperatures." };
        Option<string?> job = new("--job")
        {
            Description = "Job document that describes the scrap board, the chip on it and the bench.",
            HelpName = "JOB",
        };
        Option<string?> set = new("--set")
        {
            Description =
                "File with what was set: a line for each change, seconds, gas and bottom heater in °C. Ramps run straight from line to line, all else holds.",
            HelpName = "FILE",
        };
        Option<string[]> probe = new("--probe")
        {
            Description =
                "Where a channel's probe sat: board=40,75 in mm from the board's lower left corner (x,y,z above it), or top=\"body top\". One to four.",
            HelpName = "CHANNEL=PLACE",
        };
        Option<string> task = new("--task")
        {
            Description =
                "Where the chip under the nozzle is in the job: place for one that goes to the host, lift for one that comes off (place if left out).",
            HelpName = "TASK",
            DefaultValueFactory = _ => "place",
        };
        Option<string?> chip = new("--chip")
        {
            Description = "The chip under the nozzle; the first one of the job if left out.",
            HelpName = "ID",
        };
        Option<string?> nozzle = new("--nozzle")
        {
            Description = "The nozzle that was on, by its name at the bench; not needed where there is one.",
            HelpName = "NAME",
        };
        Option<double?> flow = Verb.Number("--flow", "Airflow as share of the strongest step, in %.");
        Option<double?> start = Verb.Number("--start", "Time in the log when the heaters were switched on, in s; 0.");
        Option<double?> every = Verb.Number("--every", "Seconds between lines, for a log without times.");
        Option<bool> aligned = new("--nozzle-checked")
        {
            Description = "Somebody checked by sight that the nozzle stood centred over the chip.",
        };
        Option<string?> output = new("--output", "-o")
        {
            Description = "Writes bench.calibration for a job document to FILE, where the trial is trusted.",
            HelpName = "FILE",
        };
        Option<bool> json = new("--json") { Description = "Prints the whole result as JSON." };
        Option<string?> at = new("--at")
        {
            Description = "When the trial ran, with its offset from UTC; now if left out.",
            HelpName = "TIME",
        };
        Command verb = new("calibrate", "Learns the bench's films and heaters from a trial run on a scrap board.")
        {
            log,
            job,
            set,
            probe,
            task,
            chip,
            nozzle,
            flow,
            start,
            every,
            aligned,
            output,
            json,
            at,
        };
        verb.SetAction(
            (parsed, cancel) =>
                Verb.RunAsync(async () =>
                {
                    DateTimeOffset moment = Verb.Moment(parsed.GetValue(at));
                    string? target = parsed.GetValue(output);
                    string source = parsed.GetValue(log)!;
                    List<string> bad = [];
                    if (parsed.GetValue(job) is not { } path)
                    {
                        throw new BadInputException(
                            "--job is missing: name the job document that describes the scrap board and the bench."
                        );
                    }
                    Job described = JobInput.Load(path, moment);
                    if (target is not null)
                    {
                        WholeFile.RefuseInput(target, path);
                        WholeFile.RefuseInput(target, source);
                    }
                    TrialLog read = ReadLog(
                        source,
                        described,
                        parsed.GetValue(start) ?? 0,
                        parsed.GetValue(every),
                        bad
                    );
                    CalibrationRequest request = new(
                        described,
                        TaskOf(parsed.GetValue(task)!, bad),
                        ChipOf(described, parsed.GetValue(chip), bad),
                        [],
                        read.Readings,
                        SetPoints(parsed.GetValue(set), described, bad),
                        moment
                    )
                    {
                        Nozzle = NozzleOf(described, parsed.GetValue(nozzle), bad),
                        FlowPercent = FlowOf(parsed.GetValue(flow), bad),
                        AlignmentChecked = parsed.GetValue(aligned),
                    };
                    request = request with { Probes = Probes(request, parsed.GetValue(probe) ?? [], read, bad) };
                    if (bad.Count > 0)
                    {
                        throw new BadInputException(string.Join("\n", bad));
                    }
                    CalibrationResult result;
                    try
                    {
                        ProgressLine.Create()?.Report(new PlanProgress("Building the model", 0));
                        result = Calibrator.Calibrate(request, null, cancel);
                    }
                    finally
                    {
                        ProgressLine.Clear();
                    }
                    if (result.State == CalibrationState.Refused)
                    {
                        throw new BadInputException(
                            result.Answer + "\n" + string.Join("\n", result.Problems.Select(one => "- " + one))
                        );
                    }
                    Console.Out.Write(
                        parsed.GetValue(json)
                            ? CalibrationText.Write(result, read.Notes) + "\n"
                            : CalibrationText.Of(described.Bench.Name ?? "the bench", result, read.Notes)
                    );
                    if (target is not null && result.Calibration is { } kept)
                    {
                        await WholeFile.WriteAsync(
                            target,
                            Encoding.UTF8.GetBytes(CalibrationText.Fragment(kept) + "\n"),
                            cancel
                        );
                        if (!parsed.GetValue(json))
                        {
                            Console.Out.WriteLine();
                            Page.WriteTo(Console.Out, $"Calibration written to {target}; put it into a job document.");
                        }
                    }
                    return result.State == CalibrationState.Trusted ? ExitCode.Ok : ExitCode.FixFirst;
                })
        );
        return verb.WithExample(
            "graftbench heat calibrate trial.csv --job scrap.json --set set.csv --probe board=125,115 --probe top=\"body top\" --nozzle-checked -o calibration.json",
            "what was learned and what not, and how much better the next forecast is; exit 1: the model cannot explain the trial, 2: the trial cannot be used"
        );
    }

    private static TrialLog ReadLog(string path, Job job, double startS, double? everyS, List<string> bad)
    {
        byte[] bytes =
            JobInput.Bytes(path, out long size)
            ?? throw new BadInputException(
                $"{path}: {size} bytes; at most {TrialLog.MostBytes} are read. Cut the log to the trial."
            );
        TrialLog read = TrialLog.Read(bytes, job.Bench.RoomC ?? UsualRoomC, startS, everyS);
        bad.AddRange(read.Problems.Select(problem => $"{path}: {problem}"));
        return read;
    }

    private static HeatTask TaskOf(string given, List<string> bad)
    {
        if (given is not ("lift" or "place"))
        {
            bad.Add($"--task {given}: the task is lift or place.");
        }
        return given == "lift" ? HeatTask.Lift : HeatTask.Place;
    }

    private static string ChipOf(Job job, string? given, List<string> bad)
    {
        string? id = given ?? (job.Chips.Count > 0 ? job.Chips[0].Id : null);
        if (id is null || !job.Chips.Any(one => string.Equals(one.Id, id, StringComparison.Ordinal)))
        {
            bad.Add(
                job.Chips.Count == 0
                    ? "The job has no chip: describe the one under the nozzle."
                    : $"--chip {id}: the job's chips are {string.Join(", ", job.Chips.Select(one => one.Id))}."
            );
        }
        return id ?? "";
    }

    private static Graftbench.Core.Heating.HeatSchedule? SetPoints(string? path, Job job, List<string> bad)
    {
        if (path is null)
        {
            bad.Add("--set is missing: without what was set on the heaters nothing can be learned of them.");
            return null;
        }
        byte[]? bytes = JobInput.Bytes(path, out _);
        if (bytes is null)
        {
            bad.Add($"{path}: too large for a list of set points.");
            return null;
        }
        TrialSetPoints read = TrialSetPoints.Read(
            Encoding.UTF8.GetString(bytes),
            job.Bench.Heat.Control,
            job.Bench.RoomC ?? UsualRoomC
        );
        bad.AddRange(read.Problems.Select(problem => $"{path}: {problem}"));
        return read.Schedule;
    }

    private static Nozzle? NozzleOf(Job job, string? given, List<string> bad)
    {
        IReadOnlyList<Nozzle> known = job.Bench.Heat.Gas.Nozzles;
        if (given is null)
        {
            if (known.Count > 1)
            {
                bad.Add($"--nozzle is missing: the bench has {string.Join(", ", known.Select(one => one.Name))}.");
            }
            return null;
        }
        Nozzle? found = known.FirstOrDefault(one => string.Equals(one.Name, given, StringComparison.OrdinalIgnoreCase));
        if (found is null)
        {
            bad.Add(
                known.Count == 0
                    ? $"--nozzle {given}: the job's bench lists no nozzles."
                    : $"--nozzle {given}: the bench has {string.Join(", ", known.Select(one => one.Name))}."
            );
        }
        return found;
    }

    private static double? FlowOf(double? given, List<string> bad)
    {
        if (given is not (null or >= 1 and <= 100))
        {
            bad.Add($"--flow {given}: must be from 1 to 100 %.");
        }
        return given;
    }

    private static List<WatchProbe> Probes(CalibrationRequest request, string[] given, TrialLog log, List<string> bad)
    {
        List<WatchProbe> probes = [];
        if (given.Length == 0)
        {
            bad.Add(
                log.Channels.Count == 0
                    ? "--probe is missing: say where each probe sat."
                    : $"--probe is missing: say where each probe sat. The log's channels are {string.Join(", ", log.Channels)}."
            );
        }
        BoardHeatModel model = BoardModelBuilder.Build(
            request.Job,
            request.Task,
            request.ChipId,
            request.Nozzle,
            request.FlowPercent
        );
        foreach (string one in given)
        {
            int cut = one.IndexOf('=', StringComparison.Ordinal);
            if (cut <= 0)
            {
                bad.Add($"--probe {one}: write a channel and its place, like board=40,75.");
                continue;
            }
            string channel = one[..cut].Trim();
            if (log.Channels.Count > 0 && !log.Channels.Contains(channel, StringComparer.Ordinal))
            {
                bad.Add($"--probe {one}: the log's channels are {string.Join(", ", log.Channels)}.");
                continue;
            }
            if (TrialProbes.Of(model, channel, one[(cut + 1)..], out string? problem) is { } probe)
            {
                probes.Add(probe);
            }
            else
            {
                bad.Add($"--probe {one}: {problem}");
            }
        }
        return probes;
    }
}
