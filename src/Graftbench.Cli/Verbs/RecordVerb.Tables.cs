using System.CommandLine;
using System.Globalization;
using Graftbench.Store;

namespace Graftbench.Cli.Verbs;

internal static partial class RecordVerb
{
    private static Command TablesCommand()
    {
        Option<string> target = new("--output", "-o")
        {
            Description = "The zip to write.",
            HelpName = "FILE",
            Required = true,
        };
        Option<bool> overwrite = new("--overwrite") { Description = "Replace a file of that name." };
        Option<string> data = DataFolder.Option();
        Option<bool> json = JsonOption();
        Command command = new(
            "tables",
            "Writes jobs, chips, heats, readings, work and evidence as lists in columns (CSV) to one zip."
        )
        {
            target,
            overwrite,
            data,
            DataFolder.Store,
            json,
        };
        command.SetAction(
            (parse, stop) =>
                GuardedAsync(
                    parse,
                    token =>
                    {
                        using BenchStore store = Open(DataFolder.PlaceOf(parse, data), mayCreate: false);
                        TablesReport report = store.WriteTables(
                            parse.GetRequiredValue(target),
                            parse.GetValue(overwrite),
                            token
                        );
                        WriteTables(parse, report, parse.GetValue(json));
                        return ExitCode.Ok;
                    },
                    stop
                )
        );
        return command.WithExample(
            "graftbench record tables -o shop.zip",
            "writes jobs.csv, readings.csv, evidence.csv and more into shop.zip and prints how many lines each has"
        );
    }

    private static void WriteTables(ParseResult parse, TablesReport report, bool json)
    {
        if (json)
        {
            WriteJson(parse, report.Tables.Select(table => new { table = table.Name, lines = table.Lines }));
            return;
        }
        Page page = new();
        foreach ((string name, long lines) in report.Tables)
        {
            page.Add(string.Create(CultureInfo.InvariantCulture, $"{name + ".csv", -18} {lines, 9} lines"));
        }
        parse.InvocationConfiguration.Output.Write(page);
    }
}
