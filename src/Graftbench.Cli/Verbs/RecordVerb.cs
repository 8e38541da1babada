using System.CommandLine;
using Graftbench.Store;

namespace Graftbench.Cli.Verbs;

/// <summary><c>graftbench record</c>: the evidence of jobs, as it was stored, checked, carried out and in.</summary>
internal static partial class RecordVerb
{
    /// <summary>Builds the verb with its sub-commands.</summary>
    public static Command Create() =>
        new Command(
            "record",
            "Lists, adds to, checks, exports, imports, moves and backs up the records of jobs; takes personal data out."
        )
        {
            ListCommand(),
            ShowCommand(),
            SaveCommand(),
            AddCommand(),
            VerifyCommand(),
            InsightCommand(),
            ExportCommand(),
            TablesCommand(),
            ImportCommand(),
            MoveCommand(),
            BackupCommand(),
            RestoreCommand(),
            RemovePersonalCommand(),
        }.WithExample(
            "graftbench record add arcade-7 --note \"bag opened, card 10 % pink\"",
            "appends a line to the record of the job arcade-7, and prints its number and hash"
        );

    private static Option<bool> JsonOption() => new("--json") { Description = "Answer as JSON." };

    private static Option<string> WhoOption() =>
        new("--who")
        {
            Description = "Who does it; goes into the evidence.",
            HelpName = "NAME",
            DefaultValueFactory = _ => Environment.UserName,
        };

    private static Argument<string> IdArgument(string description) => new("ID") { Description = description };

    /// <summary>Opens the store; a folder without one is created only where something is about to be put in.</summary>
    private static BenchStore Open(StorePlace place, bool mayCreate)
    {
        if (!mayCreate && !BenchStore.IsAt(place))
        {
            throw place.IsShared
                ? new StoreException(
                    "There is no store in this database yet",
                    place.ToString(),
                    $"Name the database with --store or ${StorePlace.Variable}; saving or importing a job creates a store."
                )
                : new StoreException(
                    "There is no store in this folder",
                    place.Folder,
                    $"Name the folder with --data DIR or ${DataFolder.Variable}; saving or importing a job creates a store."
                );
        }
        return BenchStore.Open(place, TimeProvider.System);
    }

    /// <summary>Runs a sub-command and turns what the technician can put right into a message and exit code 2.</summary>
    private static int Guarded(ParseResult parse, Func<int> work)
    {
        TextWriter error = parse.InvocationConfiguration.Error;
        try
        {
            return work();
        }
        catch (JobRefusedException refusal)
        {
            error.WriteLine(ProblemText.Of("job document", refusal.Reading));
            return ExitCode.BadInput;
        }
        catch (BadInputException problem)
        {
            Page.WriteTo(error, problem.Message);
            return ExitCode.BadInput;
        }
        catch (ArgumentException problem)
        {
            Page.WriteTo(error, EvidenceRules.Plain(problem));
            return ExitCode.BadInput;
        }
        catch (Exception problem) when (problem is StoreException or StaleRevisionException)
        {
            error.Write(new Page().Add(problem.Message));
            return ExitCode.BadInput;
        }
        catch (OperationCanceledException)
        {
            error.WriteLine("Stopped; nothing was written.");
            return ExitCode.Stopped;
        }
    }

    /// <summary>The same for work that Ctrl-C may stop: it runs beside the thread that listens for it.</summary>
    private static Task<int> GuardedAsync(
        ParseResult parse,
        Func<CancellationToken, int> work,
        CancellationToken stop
    ) => Task.Run(() => Guarded(parse, () => work(stop)), CancellationToken.None);
}
