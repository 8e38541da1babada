using System.CommandLine;
using System.Globalization;
using Graftbench.Core.Heating;
using Graftbench.Core.Jobs;

namespace Graftbench.Cli.Verbs;

/// <summary><c>graftbench heat plan</c>: settings for one heat of a job, with figures, chances and what would help.</summary>
internal static class HeatPlanVerb
{
    private const int FewestSamples = 10;
    private const int MostSamples = 100_000;
    private const int MostProbes = 32;
    private static readonly string[] Tasks = ["place", "lift", "attach-balls"];

    public static Command Create(IHeatModels models)
    {
        Argument<string?> file = Verb.Job(required: true);
        Option<string> task = new("--task")
        {
            Description = "What the heat is for: place, lift or attach-balls (place if left out).",
            HelpName = "TASK",
            DefaultValueFactory = _ => Tasks[0],
        };
        Option<string?> chip = new("--chip")
        {
            Description = "The chip; the first one that goes to the host if left out.",
            HelpName = "ID",
        };
        Option<bool> json = new("--json") { Description = "Prints the whole heat plan as JSON." };
        Option<double?> samples = Verb.Number("--samples", "Samples for the chances; 1000 if left out.");
        Option<string[]> probe = new("--probe")
        {
            Description =
                "A place to follow: name,x,y or name,x,y,z in mm from the board's lower left corner. May be repeated.",
            HelpName = "NAME,X,Y",
        };
        Option<string?> times = new("--at-time")
        {
            Description = "Moments to print temperatures at, in seconds: 60,120,240.",
            HelpName = "S,...",
        };
        Option<string?> at = Verb.At();
        Command verb = new("plan", "Finds settings that melt every joint and spare the rest.")
        {
            file,
            task,
            chip,
            json,
            samples,
            probe,
            times,
            at,
        };
        verb.SetAction(
            (parsed, cancel) =>
                Verb.RunAsync(() =>
                {
                    HeatTask wanted = TaskOf(parsed.GetValue(task)!);
                    int count = Samples(parsed.GetValue(samples));
                    IReadOnlyList<HeatPlace> places = Probes(parsed.GetValue(probe) ?? []);
                    IReadOnlyList<double> timesS = Times(parsed.GetValue(times));
                    DateTimeOffset now = Verb.Moment(parsed.GetValue(at));
                    Job job = CalibrationUse.AsOf(JobInput.Load(parsed.GetValue(file)!, now), now);
                    string id = ChipOf(job, wanted, parsed.GetValue(chip));
                    IReadOnlyList<string> off = ProbeChecks.Problems(
                        places,
                        models.Build(job, wanted, id, nozzle: null, flowPercent: null)
                    );
                    if (off.Count > 0)
                    {
                        throw new BadInputException(string.Join("\n", off.Select(one => $"--probe {one}")));
                    }
                    HeatPlan plan;
                    try
                    {
                        plan = HeatPlanner.Plan(
                            new HeatRequest(job, wanted, id)
                            {
                                Samples = count,
                                Probes = places,
                                PictureTimesS = timesS,
                                Workers = Environment.ProcessorCount,
                            },
                            models,
                            ProgressLine.Create(),
                            cancel
                        );
                    }
                    finally
                    {
                        ProgressLine.Clear();
                    }
                    Console.Out.Write(
                        parsed.GetValue(json) ? HeatPlanJson.Write(plan) + "\n" : HeatText.Of(job, plan, timesS)
                    );
                    return Task.FromResult(
                        plan.State == HeatPlanState.Planned ? PlanVerb.CodeOf(plan.Findings) : ExitCode.FixFirst
                    );
                })
        );
        return verb.WithExample(
            "graftbench heat plan job.json --task place --probe left,40,75 --at-time 120,240,360",
            "stages, figures and chances; exit 1: no settings keep every limit or something to fix first, 2: a bad job"
        );
    }

    internal static HeatTask TaskOf(string given) =>
        Array.IndexOf(Tasks, given) switch
        {
            0 => HeatTask.Place,
            1 => HeatTask.Lift,
            2 => HeatTask.AttachBalls,
            _ => throw new BadInputException($"--task {given}: the task is one of {string.Join(", ", Tasks)}."),
        };

    private static int Samples(double? given) =>
        given switch
        {
            null => 1000,
            >= FewestSamples and <= MostSamples when given == Math.Floor(given.Value) => (int)given.Value,
            _ => throw new BadInputException(
                $"--samples {given}: must be a whole number from {FewestSamples} to {MostSamples}."
            ),
        };

    internal static string ChipOf(Job job, HeatTask task, string? given)
    {
        if (given is not null)
        {
            return job.Chips.Any(chip => string.Equals(chip.Id, given, StringComparison.Ordinal))
                ? given
                : throw new BadInputException(
                    job.Chips.Count == 0
                        ? $"--chip {given}: the job has no chips."
                        : $"--chip {given}: the job's chips are {string.Join(", ", job.Chips.Select(chip => chip.Id))}."
                );
        }
        Chip? chip = job.Chips.OrderBy(one => one.To == ChipPlace.Host ? 0 : 1).FirstOrDefault();
        return chip?.Id
            ?? throw new BadInputException($"The job has no chip, so there is nothing to {Tasks[(int)task]}.");
    }

    private static List<HeatPlace> Probes(string[] given)
    {
        if (given.Length > MostProbes)
        {
            throw new BadInputException($"--probe: at most {MostProbes} places.");
        }
        List<HeatPlace> places = [];
        foreach (string one in given)
        {
            string[] parts = one.Split(',');
            double[] numbers = [.. parts.Skip(1).Select(part => Number(part) ?? double.NaN)];
            if (parts.Length is not (3 or 4) || parts[0].Trim().Length is 0 or > 40 || numbers.Any(double.IsNaN))
            {
                throw new BadInputException(
                    $"--probe {one}: write a name, x and y in mm, like left,40,75; the height over the board may follow."
                );
            }
            string name = parts[0].Trim();
            if (places.Any(place => string.Equals(place.Name, name, StringComparison.Ordinal)))
            {
                throw new BadInputException($"--probe {one}: there are two probes of the name {name}.");
            }
            places.Add(
                new HeatPlace(
                    name,
                    HeatPlaceKind.Probe,
                    null,
                    numbers[0],
                    numbers[1],
                    numbers.Length > 2 ? numbers[2] : 0
                )
            );
        }
        return places;
    }

    private static double[] Times(string? given)
    {
        if (given is null)
        {
            return [];
        }
        double[] timesS = [.. given.Split(',').Select(part => Number(part) ?? double.NaN)];
        return timesS.Length <= 50 && timesS.All(time => time is >= 0 and <= 7200)
            ? [.. timesS.Order()]
            : throw new BadInputException(
                $"--at-time {given}: write up to 50 moments from 0 to 7200 s with commas between them, like 60,120,240."
            );
    }

    private static double? Number(string text) =>
        double.TryParse(text.Trim(), NumberStyles.Float, CultureInfo.InvariantCulture, out double value)
        && double.IsFinite(value)
            ? value
            : null;
}
