using System.CommandLine;
using System.Globalization;
using System.Text;
using System.Text.Json;
using Graftbench.Core.Diagnosis;
using Graftbench.Core.Planning;

namespace Graftbench.Cli.Verbs;

/// <summary><c>graftbench next-test</c>: what stands behind a board that does not work, and what to test or to do next.</summary>
internal static class NextTestVerb
{
    private const double MostHeats = 50;

    public static Command Create()
    {
        Option<string[]> seen = new("--seen")
        {
            Description =
                "What a test has shown: TEST=OUTCOME, and TEST=OUTCOME*TRIALS@CHANCE for a fault that comes and goes (tried so often, each trial showing it with that chance). May be repeated; --tests lists them.",
            HelpName = "TEST=OUTCOME",
            AllowMultipleArgumentsPerToken = false,
        };
        Option<bool> tests = new("--tests") { Description = "Lists tests with their outcomes, and causes." };
        Option<double?> heats = Verb.Number(
            "--heats",
            "Heats that the chip's place has had, for the price of another."
        );
        Option<string?> noPower = new("--no-power")
        {
            Description = "Why the board may not be powered now: tests under power are then barred.",
            HelpName = "WHY",
        };
        Option<string?> own = new("--table")
        {
            Description =
                "Rows of your own, a line each: cause,test,outcome=CHANCE|outcome=CHANCE,cases; or cause,share,CHANCE.",
            HelpName = "FILE.csv",
        };
        Option<bool> json = new("--json") { Description = "Prints the answer as JSON." };
        Command verb = new("next-test", "Weighs causes by what tests have shown, and says what to test or to do next.")
        {
            seen,
            tests,
            heats,
            noPower,
            own,
            json,
        };
        verb.SetAction(
            (parsed, _) =>
                Verb.RunAsync(() =>
                {
                    List<string> wrong = [];
                    CauseTable table = Table(parsed.GetValue(own), wrong);
                    if (parsed.GetValue(tests) && wrong.Count == 0)
                    {
                        Console.Out.Write(DiagnosisText.Tests(table));
                        return Task.FromResult(ExitCode.Ok);
                    }
                    List<TestSeen> read =
                    [
                        .. (parsed.GetValue(seen) ?? []).Select(text => Seen(text, wrong)).OfType<TestSeen>(),
                    ];
                    double spent = parsed.GetValue(heats) ?? 0;
                    if (spent is < 0 or > MostHeats)
                    {
                        wrong.Add(
                            string.Create(
                                CultureInfo.InvariantCulture,
                                $"--heats {spent}: from 0 to {MostHeats:0}, our own limit."
                            )
                        );
                    }
                    if (wrong.Count > 0)
                    {
                        throw new BadInputException(string.Join('\n', wrong));
                    }
                    DiagnosisAnswer answer = Diagnoser.Answer(
                        new DiagnosisRequest(read)
                        {
                            Table = table,
                            Heat = new HeatPrice(spent),
                            NoPower = parsed.GetValue(noPower),
                        }
                    );
                    Console.Out.Write(
                        parsed.GetValue(json)
                            ? JsonSerializer.Serialize(answer, PlanJson.Options) + "\n"
                            : DiagnosisText.Of(answer)
                    );
                    return Task.FromResult(answer.Named is null ? ExitCode.FixFirst : ExitCode.Ok);
                })
        );
        return verb.WithExample(
            "graftbench next-test --seen current=restarts --seen press=same --heats 4",
            "exit 0: a cause is named, 1: not decided, with the test that tells most per minute, 2: bad input"
        );
    }

    private static CauseTable Table(string? file, List<string> wrong)
    {
        if (file is null)
        {
            return CauseTable.Standard;
        }
        string text = JobInput.Bytes(file, out long size) is { } bytes
            ? Encoding.UTF8.GetString(bytes)
            : throw new BadInputException(
                string.Create(
                    CultureInfo.InvariantCulture,
                    $"{file}: it has {size} bytes or more, too many for a table."
                )
            );
        CauseTable table = TableFile.Read(CauseTable.Standard, text, out IReadOnlyList<string> problems);
        wrong.AddRange(problems.Select(problem => $"{file}: {problem}"));
        return table;
    }

    // TEST=OUTCOME, or TEST=OUTCOME*4@0.3
    private static TestSeen? Seen(string text, List<string> wrong)
    {
        string[] sides = text.Split('=', 2);
        BoardTest? test = CauseTable.Standard.Tests.FirstOrDefault(one =>
            string.Equals(one.Id, sides[0].Trim(), StringComparison.OrdinalIgnoreCase)
        );
        if (test is null)
        {
            wrong.Add(
                $"--seen {text}: there is no test '{sides[0]}'. Tests are {string.Join(", ", CauseTable.Standard.Tests.Select(one => one.Id))}."
            );
            return null;
        }
        string[] parts = (sides.Length > 1 ? sides[1] : "").Split('*', 2);
        TestOutcome? outcome = test.Outcomes.FirstOrDefault(one =>
            string.Equals(one.Id, parts[0].Trim(), StringComparison.OrdinalIgnoreCase)
        );
        if (outcome is null)
        {
            wrong.Add(
                $"--seen {text}: '{test.Id}' shows {string.Join(" or ", test.Outcomes.Select(one => one.Id))}, not '{parts[0]}'."
            );
            return null;
        }
        if (parts.Length == 1)
        {
            return new TestSeen(test.Id, outcome.Id);
        }
        string[] numbers = parts[1].Split('@', 2);
        bool sound =
            int.TryParse(numbers[0], NumberStyles.None, CultureInfo.InvariantCulture, out int trials)
            && trials is >= 1 and <= 1000
            && numbers.Length == 2
            && double.TryParse(numbers[1], NumberStyles.Float, CultureInfo.InvariantCulture, out double chance)
            && chance is > 0 and <= 1;
        if (sound)
        {
            return new TestSeen(
                test.Id,
                outcome.Id,
                int.Parse(numbers[0], CultureInfo.InvariantCulture),
                double.Parse(numbers[1], CultureInfo.InvariantCulture)
            );
        }
        wrong.Add(
            $"--seen {text}: write trials from 1 to 1000 and the chance of one trial above 0 and up to 1, like {test.Id}={outcome.Id}*4@0.3."
        );
        return null;
    }
}
