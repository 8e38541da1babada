using System.CommandLine;
using System.Text;
using Graftbench.Cli;
using Graftbench.Cli.Verbs;
using Graftbench.Core.Heating;

Console.OutputEncoding = new UTF8Encoding(encoderShouldEmitUTF8Identifier: false);
RootCommand root = new(
    "Plans the transplant of a ball-grid-array chip from one circuit board to another: is it dry, what it has been through, what to do next."
)
{
    PlanVerb.Create(),
    FitVerb.Create(),
    DryVerb.Create(),
    HeatVerb.Create(new HeatModels()),
    JointsVerb.Create(),
    AlloyVerb.Create(),
    BallsVerb.Create(),
    VoidsVerb.Create(),
    ProofVerb.Create(),
    NextTestVerb.Create(),
    ImageVerb.Create(),
    RecordVerb.Create(),
    SchemaVerb.Create(),
    ServeVerb.Create(),
};
Verb.ShowExamples(root);
ParseResult parsed = root.Parse(args);
if (parsed.Errors.Count > 0 && !Verb.AsksForHelp(parsed))
{
    foreach (string message in parsed.Errors.Select(error => error.Message).Distinct(StringComparer.Ordinal))
    {
        // The parser's own messages may list names on lines of their own.
        Page.WriteTo(
            Console.Error,
            string.Join(' ', message.Split((char[])[' ', '\t', '\r', '\n'], StringSplitOptions.RemoveEmptyEntries))
        );
    }
    string verb =
        parsed.CommandResult.Command is RootCommand ? "graftbench" : $"graftbench {parsed.CommandResult.Command.Name}";
    Console.Error.WriteLine($"See {verb} --help.");
    return ExitCode.BadInput;
}
try
{
    return await parsed.InvokeAsync(new InvocationConfiguration { EnableDefaultExceptionHandler = false });
}
catch (IOException error)
{
    // Files are answered for by the verbs: what is left is the answer itself.
    Page.WriteTo(Console.Error, $"The answer could not be written in full: {error.Message}");
    return ExitCode.Unexpected;
}
#pragma warning disable CA1031 // The last line of defence: one line for the person, never a stack trace.
catch (Exception error)
#pragma warning restore CA1031
{
    Page.WriteTo(Console.Error, $"Unexpected: {error.GetType().Name}: {error.Message.ReplaceLineEndings(" ")}");
    if (Environment.GetEnvironmentVariable("GRAFTBENCH_TRACE") is { Length: > 0 })
    {
        Console.Error.WriteLine(error);
    }
    else
    {
        Console.Error.WriteLine("Set GRAFTBENCH_TRACE=1 to see where.");
    }
    return ExitCode.Unexpected;
}
