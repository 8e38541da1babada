using System.CommandLine;
using System.CommandLine.Help;
using System.CommandLine.Invocation;
using System.Globalization;

namespace Graftbench.Cli.Verbs;

/// <summary>What all verbs share: how they end, how they tell the time, and an example in their help.</summary>
internal static class Verb
{
    private static readonly Dictionary<Command, string> Examples = [];

    /// <summary>Runs a verb and turns bad input into its message and exit code.</summary>
    public static async Task<int> RunAsync(Func<Task<int>> work)
    {
        try
        {
            // On a thread of its own, so that Ctrl-C ends the program even while it waits for input.
            return await Task.Run(work);
        }
        catch (BadInputException error)
        {
            Page.WriteTo(Console.Error, error.Message);
            return ExitCode.BadInput;
        }
        catch (OperationCanceledException)
        {
            Console.Error.WriteLine("Stopped; nothing was written.");
            return ExitCode.Stopped;
        }
    }

    /// <summary>The argument JOB, which no mistyped option may pass for.</summary>
    public static Argument<string?> Job(bool required)
    {
        Argument<string?> job = new("JOB")
        {
            Description = required
                ? "The job document; - for standard input."
                : "The job document; - for standard input. Left out for a single body.",
            Arity = required ? ArgumentArity.ExactlyOne : ArgumentArity.ZeroOrOne,
        };
        job.Validators.Add(result =>
        {
            string given = result.Tokens.Count > 0 ? result.Tokens[0].Value : "";
            if (given.Length > 1 && given[0] == '-')
            {
                result.AddError($"There is no option {given}.");
            }
        });
        return job;
    }

    /// <summary>An option that takes a number with a decimal point.</summary>
    public static Option<double?> Number(string name, string description) =>
        new(name)
        {
            Description = description,
            HelpName = "NUMBER",
            CustomParser = result =>
            {
                string given = result.Tokens.Count > 0 ? result.Tokens[0].Value : "";
                if (
                    double.TryParse(given, NumberStyles.Float, CultureInfo.InvariantCulture, out double value)
                    && double.IsFinite(value)
                )
                {
                    return value;
                }
                result.AddError(
                    $"{name} {given}: this is no number. Write digits with a decimal point, without a unit."
                );
                return null;
            },
        };

    /// <summary>The option <c>--at</c>.</summary>
    public static Option<string?> At() =>
        new("--at")
        {
            Description = "The moment to plan for, with its offset from UTC; now if left out.",
            HelpName = "TIME",
        };

    /// <summary>The moment that <c>--at</c> names, or the present one.</summary>
    /// <exception cref="BadInputException">The text is no moment.</exception>
    public static DateTimeOffset Moment(string? at)
    {
        if (at is null)
        {
            DateTimeOffset now = DateTimeOffset.Now;
            // Seconds say nothing about drying.
            return now.AddTicks(-(now.Ticks % TimeSpan.TicksPerSecond));
        }
        string[] forms = ["yyyy-MM-dd'T'HH:mmK", "yyyy-MM-dd'T'HH:mm:ssK", "yyyy-MM-dd'T'HH:mm:ss.FFFFFFFK"];
        bool hasOffset = at.EndsWith('Z') || (at.Length > 6 && at[^6] is '+' or '-' && at[^3] == ':');
        if (
            hasOffset
            && DateTimeOffset.TryParseExact(
                at,
                forms,
                CultureInfo.InvariantCulture,
                DateTimeStyles.None,
                out DateTimeOffset moment
            )
        )
        {
            return moment.Year is >= 1980 and <= 2199
                ? moment
                : throw new BadInputException($"--at {at}: the year must lie between 1980 and 2199.");
        }
        throw new BadInputException(
            $"--at {at}: this is no moment. Write a date, a time and the offset from UTC, like 2026-03-02T14:30+01:00 or 2026-03-02T13:30Z."
        );
    }

    /// <summary>Puts a worked example under the verb's help.</summary>
    public static Command WithExample(this Command verb, string example, string says)
    {
        Examples[verb] = new Page().Add("Example:").Add("  " + example, 6).Add("      " + says, 6).ToString();
        return verb;
    }

    /// <summary>Lets the help of every verb end with its example.</summary>
    public static void ShowExamples(RootCommand root)
    {
        HelpOption help = root.Options.OfType<HelpOption>().Single();
        help.Action = new HelpWithExample((HelpAction)help.Action!);
    }

    /// <summary>True where help was asked for, so that nothing else on the command line matters.</summary>
    public static bool AsksForHelp(ParseResult parsed) => parsed.Action is HelpWithExample;

    private sealed class HelpWithExample(HelpAction help) : SynchronousCommandLineAction
    {
        public override int Invoke(ParseResult parseResult)
        {
            help.MaxWidth = Page.Width;
            int code = help.Invoke(parseResult);
            if (Examples.TryGetValue(parseResult.CommandResult.Command, out string? example))
            {
                parseResult.InvocationConfiguration.Output.Write(example);
            }
            return code;
        }
    }
}
