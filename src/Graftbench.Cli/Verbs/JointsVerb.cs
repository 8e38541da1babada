using System.CommandLine;
using Graftbench.Core.Findings;
using Graftbench.Core.Jobs;
using Graftbench.Core.Joints;

namespace Graftbench.Cli.Verbs;

/// <summary><c>graftbench joints</c>: will every joint form, and how much solder must be left on the lands.</summary>
internal static class JointsVerb
{
    public static Command Create()
    {
        Argument<string?> file = new("CASE")
        {
            Description = "Joint case (graftbench-joints-1); - for standard input. Left out for a single joint.",
            Arity = ArgumentArity.ZeroOrOne,
        };
        Option<bool> json = new("--json") { Description = "Prints the answer as JSON." };
        Option<double?> board = Verb.Number("--board-radius", "Wetted radius on the board, in mm.");
        Option<double?> package = Verb.Number("--package-radius", "Wetted radius on the package, in mm.");
        Option<double?> volume = Verb.Number("--volume", "Volume molten, in mm³.");
        Option<double?> ball = Verb.Number("--ball", "Diameter of the ball instead of the volume, in mm.");
        Option<double?> tension = Verb.Number("--tension", "Surface tension, in N/m; 0.50 if left out.");
        Option<double?> density = Verb.Number("--density", "Density molten, in kg/m³; 7400 if left out.");
        Option<double?> load = Verb.Number("--load", "Load on the joint, in mN.");
        Option<double?> height = Verb.Number("--height", "Gap instead of the load, in mm.");
        Command verb = new(
            "joints",
            "Computes how a package seats: which joints form, what parts carry, how much solder the lands need."
        )
        {
            file,
            board,
            package,
            volume,
            ball,
            tension,
            density,
            load,
            height,
            json,
        };
        verb.SetAction(
            (parsed, cancel) =>
                Verb.RunAsync(() =>
                {
                    bool asJson = parsed.GetValue(json);
                    if (parsed.GetValue(file) is { } path)
                    {
                        if (
                            new[] { board, package, volume, ball, tension, density, load, height }.Any(option =>
                                parsed.GetValue(option) is not null
                            )
                        )
                        {
                            throw new BadInputException(
                                "A case has its own figures: leave out the options of a single joint, or the case."
                            );
                        }
                        return Task.FromResult(Array(path, asJson, cancel));
                    }
                    return Task.FromResult(
                        One(
                            Read("--board-radius", parsed.GetValue(board), null, 0.02, 5, "mm"),
                            Read("--package-radius", parsed.GetValue(package), null, 0.02, 5, "mm"),
                            (parsed.GetValue(volume), parsed.GetValue(ball)),
                            Read("--tension", parsed.GetValue(tension), 0.50, 0.1, 1.2, "N/m"),
                            Read("--density", parsed.GetValue(density), 7400, 0, 20000, "kg/m³"),
                            (parsed.GetValue(load), parsed.GetValue(height)),
                            asJson
                        )
                    );
                })
        );
        return verb.WithExample(
            "graftbench joints --board-radius 0.3 --package-radius 0.3 --ball 0.76 --load 0.1",
            "one joint; graftbench joints case.json answers a whole package; exit 1: not every joint is sure to form, 2: bad input"
        );
    }

    private static int Array(string path, bool asJson, CancellationToken cancel)
    {
        byte[]? bytes = JobInput.Bytes(path, out long size);
        string name = path == "-" ? "standard input" : path;
        if (bytes is null)
        {
            throw new BadInputException(ProblemText.Of(name, JobReader.TooLarge(size)));
        }
        JointCaseReading reading = JointCaseReader.Read(bytes);
        if (reading.Request is null)
        {
            throw new BadInputException(
                ProblemText.Of(name, new JobReading(null, reading.Problems, reading.NotListed))
            );
        }
        JointPlan plan = JointMixes.With(
            JointPlanner.Plan(reading.Request, reading.Assumptions, ProgressLine.Create(), cancel),
            reading.Mix!,
            cancel
        );
        ProgressLine.Clear();
        Console.Out.Write(asJson ? JointPlanJson.Write(plan) + "\n" : JointText.Of(plan));
        return
            Finding.Worst(plan.Findings) <= Verdict.FixFirst
            || plan.State is JointPlanState.NoAnswer or JointPlanState.Held
            ? ExitCode.FixFirst
            : ExitCode.Ok;
    }

    private static int One(
        (double? Value, string? Wrong) board,
        (double? Value, string? Wrong) package,
        (double? VolumeMm3, double? BallMm) solder,
        (double? Value, string? Wrong) tension,
        (double? Value, string? Wrong) density,
        (double? LoadMilliN, double? GapMm) at,
        bool asJson
    )
    {
        List<string> wrong = [.. new[] { board, package, tension, density }.Select(one => one.Wrong).OfType<string>()];
        if (solder.VolumeMm3 is null == solder.BallMm is null)
        {
            wrong.Add("Give either --volume or --ball.");
        }
        if (solder.VolumeMm3 is { } v && v is not (> 0 and <= 500))
        {
            wrong.Add($"--volume {v}: must be above 0 and at most 500 mm³.");
        }
        if (solder.BallMm is { } d && d is not (>= 0.03 and <= 5))
        {
            wrong.Add($"--ball {d}: must be from 0.03 to 5 mm.");
        }
        if (at.LoadMilliN is null == at.GapMm is null)
        {
            wrong.Add("Give either --load or --height.");
        }
        if (at.GapMm is { } gap && gap is not (> 0 and <= 20))
        {
            wrong.Add($"--height {gap}: must be above 0 and at most 20 mm.");
        }
        if (at.LoadMilliN is { } load && load is not (>= -1e4 and <= 1e4))
        {
            wrong.Add($"--load {load}: must be from -10000 to 10000 mN.");
        }
        if (wrong.Count > 0)
        {
            throw new BadInputException(string.Join('\n', wrong));
        }
        OneJoint joint = OneJoint.Solve(
            board.Value!.Value,
            package.Value!.Value,
            solder.VolumeMm3 ?? OneJoint.BallVolumeMm3(solder.BallMm!.Value),
            tension.Value!.Value,
            density.Value!.Value,
            at.GapMm,
            at.LoadMilliN
        );
        Console.Out.Write(asJson ? JointPlanJson.Write(joint) + "\n" : JointText.Of(joint));
        return joint is { Solved: true, Spills: false } ? ExitCode.Ok : ExitCode.FixFirst;
    }

    private static (double? Value, string? Wrong) Read(
        string name,
        double? given,
        double? usual,
        double min,
        double max,
        string unit
    ) =>
        (given ?? usual) is not { } value ? (null, $"{name} is missing.")
        : value >= min && value <= max ? (value, null)
        : (null, $"{name} {value}: must be from {min} to {max} {unit}.");
}
