using System.CommandLine;
using System.Text;
using Graftbench.Core.Jobs;

namespace Graftbench.Cli.Verbs;

/// <summary><c>graftbench schema</c>: the JSON Schema of the job document.</summary>
internal static class SchemaVerb
{
    public static Command Create()
    {
        Option<string?> output = new("--output", "-o")
        {
            Description = "File to write; standard output if left out.",
            HelpName = "FILE",
        };
        Command verb = new(
            "schema",
            "Writes the JSON Schema of the job document (draft 2020-12), for editors and other programs."
        )
        {
            output,
        };
        verb.SetAction(
            (parsed, cancel) =>
                Verb.RunAsync(async () =>
                {
                    string schema = JobSchema.Write();
                    if (parsed.GetValue(output) is not { } file)
                    {
                        Console.Out.Write(schema);
                        return ExitCode.Ok;
                    }
                    await WholeFile.WriteAsync(file, Encoding.UTF8.GetBytes(schema), cancel);
                    Console.Out.WriteLine($"Schema written to {file}");
                    return ExitCode.Ok;
                })
        );
        return verb.WithExample(
            "graftbench schema -o job.schema.json",
            "and name it in your editor's settings for job files"
        );
    }
}
