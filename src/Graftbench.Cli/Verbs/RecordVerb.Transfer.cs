using System.CommandLine;
using Graftbench.Store;

namespace Graftbench.Cli.Verbs;

internal static partial class RecordVerb
{
    private static Command ExportCommand()
    {
        Argument<string[]> ids = new("ID") { Description = "Job ids, or shop.", Arity = ArgumentArity.ZeroOrMore };
        Option<bool> all = new("--all") { Description = "Every record in the store." };
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
            "export",
            "Writes records with their files to one zip. The same record gives the same bytes."
        )
        {
            ids,
            all,
            target,
            overwrite,
            data,
            DataFolder.Store,
            json,
        };
        command.Validators.Add(result =>
        {
            if (result.GetValue(all) == (result.GetValue(ids) is { Length: > 0 }))
            {
                result.AddError("Give the ID of a record, several, or --all.");
            }
        });
        command.SetAction(
            (parse, stop) =>
                GuardedAsync(
                    parse,
                    token =>
                    {
                        using BenchStore store = Open(DataFolder.PlaceOf(parse, data), mayCreate: false);
                        string[]? wanted = parse.GetValue(all) ? null : parse.GetValue(ids);
                        ExportReport report = store.Export(
                            wanted,
                            parse.GetRequiredValue(target),
                            parse.GetValue(overwrite),
                            token
                        );
                        WriteExport(parse, report, parse.GetValue(json));
                        return ExitCode.Ok;
                    },
                    stop
                )
        );
        return command.WithExample(
            "graftbench record export arcade-7 -o arcade-7.zip",
            "writes the record with its files to one zip and prints the head"
        );
    }

    private static void WriteExport(ParseResult parse, ExportReport report, bool json)
    {
        if (json)
        {
            WriteJson(parse, report);
            return;
        }
        Page page = new();
        foreach (RecordSummary record in report.Records)
        {
            AddRecord(page, record);
            page.Add($"    head {record.HeadSha256}");
        }
        page.Add($"{report.Bytes} bytes written to {report.Path}");
        parse.InvocationConfiguration.Output.Write(page);
    }

    private static Command ImportCommand()
    {
        Argument<string> file = new("FILE") { Description = "A zip written by record export." };
        Option<string[]> only = new("--record")
        {
            Description = "Take this record only; may be repeated.",
            HelpName = "ID",
        };
        Option<string> data = DataFolder.Option();
        Option<bool> json = JsonOption();
        Command command = new(
            "import",
            """
            Takes records from a zip. All of it is checked first; nothing is written unless all is whole.
            A record that is in the store already gets the lines it lacks; importing again changes nothing.
            """
        )
        {
            file,
            only,
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
                        StorePlace place = DataFolder.PlaceOf(parse, data);
                        string zip = parse.GetRequiredValue(file);
                        string[] wanted = parse.GetValue(only) ?? [];
                        ImportReport report = Import(place, zip, wanted.Length > 0 ? wanted : null, token);
                        WriteImport(parse, report, parse.GetValue(json));
                        return report.IsDone ? ExitCode.Ok
                            : report.IsWhole ? ExitCode.FixFirst
                            : ExitCode.BadInput;
                    },
                    stop
                )
        );
        return command.WithExample(
            "graftbench record import arcade-7.zip",
            "takes the record in, or lists everything that is wrong with the zip"
        );
    }

    /// <summary>A zip that is not whole does not even create an empty store.</summary>
    private static ImportReport Import(StorePlace place, string zip, string[]? wanted, CancellationToken stop)
    {
        if (!BenchStore.IsAt(place))
        {
            ImportReport check = BenchStore.CheckExport(zip, TimeProvider.System, stop);
            if (!check.IsDone)
            {
                return check;
            }
        }
        using BenchStore store = Open(place, mayCreate: true);
        return store.Import(zip, wanted, stop);
    }

    private static void WriteImport(ParseResult parse, ImportReport report, bool json)
    {
        if (json)
        {
            WriteJson(parse, report);
            return;
        }
        Page page = new();
        if (!report.IsDone)
        {
            AddFindings(page, report.Findings);
            page.Add("Nothing was imported; the store is as it was.");
            parse.InvocationConfiguration.Error.Write(page);
            return;
        }
        foreach (ImportedRecord record in report.Records)
        {
            string what =
                record.WasNew ? $"new, {Count(record.LinesAdded, "line")}"
                : record.LinesAdded > 0 ? $"{Count(record.LinesAdded, "line")} added, {record.LinesInStore} in all"
                : $"nothing to add, {Count(record.LinesInStore, "line")} in the store";
            page.Add($"{record.Id}  {what}");
        }
        parse.InvocationConfiguration.Output.Write(page);
    }
}
