using System.CommandLine;
using System.Text;
using Graftbench.Core.Findings;
using Graftbench.Core.Fit.Maps;
using Graftbench.Core.Proof;
using Graftbench.Core.Returns;

namespace Graftbench.Cli.Verbs;

/// <summary><c>graftbench proof</c>: is it safe to power, what is proven of each ball, first power, and returns.</summary>
internal static class ProofVerb
{
    private const double MostV = 60;
    private const double MostCurrentA = 100;

    private static readonly Argument<string> File = new("READINGS")
    {
        Description = "List of readings: CSV with columns net, kind, value, unit, state and others; docs/readings.md.",
    };
    private static readonly Option<string?> Balls = new("--balls")
    {
        Description = "Ball list of the chip: names its rails, and lets each ball be judged.",
        HelpName = "FILE",
    };
    private static readonly Option<string> View = new("--view")
    {
        Description = "From where the ball list looks at the balls: top or bottom.",
        HelpName = "VIEW",
        DefaultValueFactory = _ => "top",
    };
    private static readonly Option<string?> Package = new("--package")
    {
        Description = "Which package of the ball list, where it has several.",
        HelpName = "NAME",
    };
    private static readonly Option<string[]> Rail = new("--rail")
    {
        Description =
            "A rail by name and class: core, memory, low-io, main, input or other; with its voltage after an @. May be repeated.",
        HelpName = "NAME=CLASS@V",
    };
    private static readonly Option<string[]> Waive = new("--waive")
    {
        Description = "Sets a rail or signal aside by name, with the reason. May be repeated.",
        HelpName = "NAME=WHY",
    };
    private static readonly Option<string[]> Limits = new("--limits")
    {
        Description = "Replaces a limit, like ratio-stop=0.4; the reference screen lists them. May be repeated.",
        HelpName = "ID=VALUE",
    };
    private static readonly Option<string?> Revision = new("--revision")
    {
        Description = "Revision of the host board, to be held against the healthy board's.",
        HelpName = "REVISION",
    };
    private static readonly Option<string?> Good = new("--good")
    {
        Description = "Balls whose joints were judged good from the side or by X-ray: names with commas.",
        HelpName = "BALLS",
    };
    private static readonly Option<string?> Works = new("--works")
    {
        Description = "Balls that something on the running board needs: names with commas.",
        HelpName = "BALLS",
    };
    private static readonly Option<string?> Trace = new("--trace")
    {
        Description = "Trace of the supply current: CSV with columns time and current.",
        HelpName = "FILE",
    };
    private static readonly Option<string[]> Healthy = new("--healthy-trace")
    {
        Description = "The host's own trace while it was healthy. May be repeated.",
        HelpName = "FILE",
    };
    private static readonly Option<double?> Limit = Verb.Number("--limit-a", "Current limit that was set, in A.");
    private static readonly Option<double?> Standby = Verb.Number("--standby-a", "Expected standby current, in A.");
    private static readonly Option<double?> Run = Verb.Number("--run-a", "Expected current while it runs, in A.");
    private static readonly Option<double?> Supply = Verb.Number("--supply-v", "Voltage of the bench supply, in V.");
    private static readonly Option<bool> Cooler = new("--cooler")
    {
        Description = "The cooler or a dummy load is on the die.",
    };
    private static readonly Option<bool> Return = new("--return")
    {
        Description = "Compares the readings of hand-over and return instead.",
    };
    private static readonly Option<bool> Json = new("--json") { Description = "Prints the answer as JSON." };

    public static Command Create()
    {
        Command verb = new(
            "proof",
            "Says from readings whether a board may be powered, and what is proven of each ball."
        )
        {
            File,
            Balls,
            View,
            Package,
            Rail,
            Waive,
            Limits,
            Revision,
            Good,
            Works,
            Supply,
            Standby,
            Run,
            Cooler,
            Limit,
            Trace,
            Healthy,
            Return,
            Json,
        };
        verb.SetAction((parsed, _) => Verb.RunAsync(() => Task.FromResult(Answer(parsed))));
        return verb.WithExample(
            "graftbench proof docs/examples/readings.csv --balls docs/examples/balls.csv --standby-a 0.05 --supply-v 19",
            "rails and signals worst first, what is proven of each ball, the plan of the first power; exit 0: it may be powered, 1: not, or not known, 2: bad input"
        );
    }

    private static int Answer(ParseResult parsed)
    {
        List<string> wrong = [];
        string path = parsed.GetValue(File)!;
        IReadOnlyList<Reading> readings = Readings(path, wrong);
        BallMap? map = parsed.GetValue(Balls) is { } list
            ? Map(list, parsed.GetValue(View)!, parsed.GetValue(Package), wrong)
            : null;
        ProofThresholds limits = ProofInput.Limits(parsed.GetValue(Limits) ?? [], wrong);
        IReadOnlyList<ProofRail> rails = ProofInput.Rails(parsed.GetValue(Rail) ?? [], map, wrong);
        IReadOnlyList<ProofWaiver> waivers = ProofInput.Waivers(parsed.GetValue(Waive) ?? [], wrong);
        HashSet<string> good = ProofInput.BallNames("--good", parsed.GetValue(Good), map, wrong);
        HashSet<string> works = ProofInput.BallNames("--works", parsed.GetValue(Works), map, wrong);
        double? limitA = ProofInput.Within("--limit-a", parsed.GetValue(Limit), MostCurrentA, "A", wrong);
        double? standbyA = ProofInput.Within("--standby-a", parsed.GetValue(Standby), MostCurrentA, "A", wrong);
        double? runA = ProofInput.Within("--run-a", parsed.GetValue(Run), MostCurrentA, "A", wrong);
        double? supplyV = ProofInput.Within("--supply-v", parsed.GetValue(Supply), MostV, "V", wrong);
        CurrentTrace? trace = parsed.GetValue(Trace) is { } file ? TraceOf(file, wrong) : null;
        CurrentTrace[] healthy =
        [
            .. (parsed.GetValue(Healthy) ?? []).Select(one => TraceOf(one, wrong)).OfType<CurrentTrace>(),
        ];
        if (wrong.Count > 0)
        {
            throw new BadInputException(string.Join('\n', wrong));
        }
        if (parsed.GetValue(Return))
        {
            ReturnAnswer returned = ReturnComparer.Compare(
                new ReturnRequest(readings) { Map = map, Thresholds = limits }
            );
            Console.Out.Write(parsed.GetValue(Json) ? ProofJson.Write(returned) + "\n" : ReturnText.Of(returned));
            bool known =
                returned.Nets.Any(net => net.Why is null)
                && !returned.Findings.Any(finding => finding.Code == "return.shift-unexplained");
            return known && returned.Verdict is not (Verdict.Blocker or Verdict.FixFirst)
                ? ExitCode.Ok
                : ExitCode.FixFirst;
        }
        ProofAnswer proof = Prover.Answer(
            new ProofRequest(readings)
            {
                Map = map,
                Rails = rails,
                Thresholds = limits,
                HostRevision = parsed.GetValue(Revision),
                Waivers = waivers,
            }
        );
        FirstPowerPlan plan = FirstPowerPlanner.Plan(
            new FirstPowerRequest(proof, supplyV, standbyA)
            {
                RunCurrentA = runA,
                CoolerOn = parsed.GetValue(Cooler) ? true : null,
                Measured =
                [
                    .. readings.Where(one => one is { Kind: ReadingKind.Voltage, State: ReadingState.AfterPlacing }),
                ],
            }
        );
        ProofCoverage? coverage = map is null ? null : ProofCoverage.Of(proof, good, works);
        TraceAnswer? seen = trace is null
            ? null
            : TraceJudge.Answer(
                new TraceRequest(trace)
                {
                    LimitCurrentA = limitA,
                    StandbyCurrentA = standbyA,
                    Healthy = healthy,
                    Thresholds = limits,
                }
            );
        Console.Out.Write(
            parsed.GetValue(Json)
                ? ProofJson.Write(proof, plan, coverage, seen) + "\n"
                : ProofText.Of(proof, plan, coverage, seen)
        );
        bool started = seen is null || seen.Signature == TraceSignature.Busy;
        return proof.MayPower && started ? ExitCode.Ok : ExitCode.FixFirst;
    }

    private static IReadOnlyList<Reading> Readings(string path, List<string> wrong)
    {
        ReadingListResult read = ReadingList.Read(Text(path, wrong));
        wrong.AddRange(read.Problems.Where(problem => problem.Stops).Select(problem => ProofInput.Line(path, problem)));
        if (read.NotListed > 0)
        {
            wrong.Add($"{path}: and {read.NotListed} more that are not listed.");
        }
        if (read.Sound)
        {
            foreach (ReadingProblem problem in read.Problems)
            {
                Page.WriteTo(Console.Error, ProofInput.Line(path, problem));
            }
        }
        return read.Readings;
    }

    private static BallMap? Map(string path, string view, string? package, List<string> wrong)
    {
        if (ProofInput.ViewOf(view, wrong) is not { } from)
        {
            return null;
        }
        MapReading read = BallMapReader.Read(Text(path, wrong), from).Of(package);
        wrong.AddRange(
            read.Problems.Where(problem => problem.Stops)
                .Select(problem =>
                    $"{path}{(problem.Line > 0 ? $" line {problem.Line}" : "")}: {problem.What} {problem.Todo}"
                )
        );
        return read.Sound ? ProofInput.PackageOf(path, read.Packages, package, wrong) : null;
    }

    private static CurrentTrace? TraceOf(string path, List<string> wrong)
    {
        TraceReading read = CurrentTrace.Read(Text(path, wrong));
        wrong.AddRange(read.Problems.Select(problem => ProofInput.Line(path, problem)));
        if (read.NotListed > 0)
        {
            wrong.Add($"{path}: and {read.NotListed} more that are not listed.");
        }
        return read.Trace;
    }

    private static string Text(string path, List<string> wrong)
    {
        byte[]? bytes = JobInput.Bytes(path, out long size);
        if (bytes is null)
        {
            wrong.Add($"{path}: {size} bytes are more than is taken.");
        }
        return Encoding.UTF8.GetString(bytes ?? []);
    }
}
