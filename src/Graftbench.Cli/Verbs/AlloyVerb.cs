using System.CommandLine;
using System.Globalization;
using System.Text.Json.Nodes;
using Graftbench.Core.Findings;
using Graftbench.Core.Jobs;
using Graftbench.Core.Mixing;

namespace Graftbench.Cli.Verbs;

/// <summary><c>graftbench alloy</c>: what a joint becomes when its solders melt together.</summary>
internal static class AlloyVerb
{
    private const string Spelling =
        "Write ALLOY:ball:0.60, ALLOY:layer:0.50x0.020, ALLOY:dome:0.50x0.08, ALLOY:paste:0.50x0.125 or ALLOY:mass:0.35 (mm and mg).";

    public static Command Create()
    {
        Argument<string?> file = new("CASE")
        {
            Description = "Alloy case (graftbench-alloy-1); - for standard input. Left out with --part.",
            Arity = ArgumentArity.ZeroOrOne,
        };
        Option<string[]> part = new("--part")
        {
            Description =
                "Solder that goes in: ALLOY:ball:MM, ALLOY:layer:LANDxMM, ALLOY:dome:LANDxMM, ALLOY:paste:HOLExSTENCIL, ALLOY:mass:MG. May be given several times.",
            HelpName = "PART",
            Arity = ArgumentArity.OneOrMore,
        };
        Option<double?> peak = Verb.Number("--peak", "Temperature that the coldest joint reaches, in °C.");
        Option<bool> json = new("--json") { Description = "Prints the answer as JSON." };
        Command verb = new(
            "alloy",
            "Says what a joint becomes when its solders meet: where it melts, when it is frozen, what a peak dissolves."
        )
        {
            file,
            part,
            peak,
            json,
        };
        verb.SetAction(
            (parsed, cancel) =>
                Verb.RunAsync(() =>
                {
                    string? path = parsed.GetValue(file);
                    string[] parts = parsed.GetValue(part) ?? [];
                    double? peakC = parsed.GetValue(peak);
                    if (path is null == (parts.Length == 0))
                    {
                        throw new BadInputException("Give either an alloy case or --part, once for each solder.");
                    }
                    if (path is not null && peakC is not null)
                    {
                        throw new BadInputException("A case has its own peak: leave out --peak, or the case.");
                    }
                    MixCaseReading reading = path is null ? FromParts(parts, peakC) : FromFile(path);
                    MixAnswer answer = MixPlanner.Plan(reading.Request!, reading.Assumptions, cancel);
                    Console.Out.Write(
                        parsed.GetValue(json) ? MixAnswerJson.Write(answer) + "\n" : AlloyText.Of(answer)
                    );
                    return Task.FromResult(
                        Finding.Worst(answer.Findings) <= Verdict.FixFirst || answer.State == MixState.NoAnswer
                            ? ExitCode.FixFirst
                            : ExitCode.Ok
                    );
                })
        );
        return verb.WithExample(
            "graftbench alloy --part SAC305:ball:0.60 --part Sn63Pb37:layer:0.50x0.020 --peak 225",
            "a lead-free ball on what is left of tin-lead; exit 1: refused, does not mix or no figure, 2: bad input"
        );
    }

    private static MixCaseReading FromFile(string path)
    {
        byte[]? bytes = JobInput.Bytes(path, out long size);
        string name = path == "-" ? "standard input" : path;
        if (bytes is null)
        {
            throw new BadInputException(ProblemText.Of(name, JobReader.TooLarge(size)));
        }
        MixCaseReading reading = MixCaseReader.Read(bytes);
        return reading.Request is null
            ? throw new BadInputException(
                ProblemText.Of(name, new JobReading(null, reading.Problems, reading.NotListed))
            )
            : reading;
    }

    // Options become a case, so that the same checks hold; problems then name the option that they come from.
    private static MixCaseReading FromParts(string[] parts, double? peakC)
    {
        List<string> wrong = [];
        JsonArray list = [];
        foreach (string text in parts)
        {
            if (Part(text) is { } part)
            {
                list.Add(part);
            }
            else
            {
                wrong.Add($"--part {text}: this is no part. {Spelling}");
            }
        }
        if (wrong.Count > 0)
        {
            throw new BadInputException(string.Join('\n', wrong));
        }
        JsonObject document = new() { ["format"] = "graftbench-alloy-1", ["parts"] = list };
        if (peakC is double peak)
        {
            document["peakC"] = peak;
        }
        MixCaseReading reading = MixCaseReader.Read(System.Text.Encoding.UTF8.GetBytes(document.ToJsonString()));
        return reading.Request is null
            ? throw new BadInputException(
                ProblemText.Of(
                    "options",
                    new JobReading(null, [.. reading.Problems.Select(one => AsOption(one, parts))], reading.NotListed)
                )
            )
            : reading;
    }

    private static JsonObject? Part(string text)
    {
        string[] pieces = text.Split(':');
        if (pieces.Length != 3 || Numbers(pieces[2]) is not { } numbers)
        {
            return null;
        }
        JsonObject part = new() { ["alloy"] = pieces[0] };
        string[]? fields = (pieces[1], numbers.Length) switch
        {
            ("ball", 1) => ["ballDiameterMm"],
            ("layer", 2) => ["landDiameterMm", "layerMm"],
            ("dome", 2) => ["landDiameterMm", "domeMm"],
            ("paste", 2) => ["apertureMm", "stencilMm"],
            ("paste", 3) => ["apertureMm", "stencilMm", "metalPercent"],
            ("mass", 1) => ["massMg"],
            _ => null,
        };
        for (int i = 0; i < fields?.Length; i++)
        {
            part[fields[i]] = numbers[i];
        }
        return fields is null ? null : part;
    }

    private static double[]? Numbers(string text)
    {
        string[] pieces = text.Split('x', 'X', '×');
        double[] numbers = new double[pieces.Length];
        for (int i = 0; i < pieces.Length; i++)
        {
            if (
                !double.TryParse(
                    pieces[i],
                    NumberStyles.AllowDecimalPoint | NumberStyles.AllowLeadingSign,
                    CultureInfo.InvariantCulture,
                    out numbers[i]
                ) || !double.IsFinite(numbers[i])
            )
            {
                return null;
            }
        }
        return numbers;
    }

    private static JobProblem AsOption(JobProblem problem, string[] parts)
    {
        string path = problem.Path == "peakC" ? "--peak" : problem.Path;
        for (int i = 0; i < parts.Length; i++)
        {
            path = path.Replace($"parts[{i}].", $"--part {parts[i]}, ", StringComparison.Ordinal)
                .Replace($"parts[{i}]", $"--part {parts[i]}", StringComparison.Ordinal);
        }
        return problem with { Line = 0, Path = path == "parts" ? "--part" : path };
    }
}
