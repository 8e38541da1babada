using System.CommandLine;
using System.Globalization;
using Graftbench.Core.Findings;
using Graftbench.Store;

namespace Graftbench.Cli.Verbs;

internal static partial class RecordVerb
{
    private static Command MoveCommand()
    {
        Option<string?> to = new("--to")
        {
            Description = "PostgreSQL database to fill; it must hold no store yet, or an empty one.",
            HelpName = "CONNECTION",
        };
        Option<string?> toData = new("--to-data")
        {
            Description = "Folder to make a store in, out of a database.",
            HelpName = "DIR",
        };
        Option<string> data = DataFolder.Option();
        Option<bool> json = JsonOption();
        Command command = new(
            "move",
            """
            Copies the whole store, as it is at this moment, into an empty one of another kind and checks every hash there.
            The old store stays as it is; stop the benches first, so that nothing is added to it afterwards.
            """
        )
        {
            to,
            toData,
            data,
            DataFolder.Store,
            json,
        };
        command.Validators.Add(result =>
        {
            if (string.IsNullOrWhiteSpace(result.GetValue(to)) == string.IsNullOrWhiteSpace(result.GetValue(toData)))
            {
                result.AddError("Give --to CONNECTION for a database, or --to-data DIR for a folder.");
            }
        });
        command.SetAction(
            (parse, stop) =>
                GuardedAsync(
                    parse,
                    token =>
                    {
                        // Out of the folder unless --store says otherwise: the variable may name the new store already.
                        bool isFromFolder =
                            parse.GetValue(to) is { Length: > 0 }
                            && string.IsNullOrWhiteSpace(parse.GetValue(DataFolder.Store));
                        StorePlace source = isFromFolder
                            ? DataFolder.PlaceOf(parse.GetRequiredValue(data), null)
                            : DataFolder.PlaceOf(parse, data);
                        StorePlace target = parse.GetValue(to) is { Length: > 0 } connection
                            ? DataFolder.PlaceOf(source.Folder, connection)
                            : DataFolder.PlaceOf(parse.GetValue(toData)!, null);
                        using BenchStore store = Open(source, mayCreate: false);
                        CopyReport report = WithProgress(parse, progress => store.CopyTo(target, progress, token));
                        if (parse.GetValue(json))
                        {
                            WriteJson(parse, report);
                            return ExitCode.Ok;
                        }
                        Page page = new();
                        AddHeads(page, report.Heads);
                        page.Add(Rows(report.Rows), 4);
                        page.Add($"Moved from {store.FilePath} to {report.Where}; every hash there is as it was.", 4);
                        page.Add(
                            target.IsShared
                                ? $"From now on start the benches with --store or ${StorePlace.Variable}; keep the old folder until you have a backup."
                                : "From now on start the bench with --data and without --store; keep the database until you have a backup.",
                            4
                        );
                        parse.InvocationConfiguration.Output.Write(page);
                        return ExitCode.Ok;
                    },
                    stop
                )
        );
        return command.WithExample(
            "graftbench record move --data ~/bench --to postgresql://bench@shop-server/graftbench",
            "fills the database from the folder, and prints the head of every record"
        );
    }

    private static Command BackupCommand()
    {
        Argument<string> file = new("FILE") { Description = "The backup to write." };
        Option<bool> overwrite = new("--overwrite") { Description = "Replace a file of that name." };
        Option<string> data = DataFolder.Option();
        Option<bool> json = JsonOption();
        Command command = new(
            "backup",
            "Writes the whole store, as it is at this moment, to one file. The benches may go on working."
        )
        {
            file,
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
                        BackupReport report = WithProgress(
                            parse,
                            progress =>
                                store.Backup(parse.GetRequiredValue(file), parse.GetValue(overwrite), progress, token)
                        );
                        return WriteBackup(
                            parse,
                            report,
                            parse.GetValue(json),
                            $"{report.Bytes} bytes written to {report.Path}"
                        );
                    },
                    stop
                )
        );
        return command.WithExample(
            "graftbench record backup /mnt/stick/bench.graftbackup",
            "writes and checks a backup, and prints the head of every record in it"
        );
    }

    private static Command RestoreCommand()
    {
        Argument<string> file = new("FILE") { Description = "A backup written by record backup." };
        Option<string> data = DataFolder.Option();
        Option<bool> json = JsonOption();
        Command command = new(
            "restore",
            "Makes a new store from a backup: in a folder that has none, or in an empty database. Nothing is ever replaced."
        )
        {
            file,
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
                        // A folder that is named is meant, whatever the variable says.
                        bool isFolder =
                            parse.GetResult(data) is { Implicit: false }
                            && string.IsNullOrWhiteSpace(parse.GetValue(DataFolder.Store));
                        StorePlace target = isFolder
                            ? DataFolder.PlaceOf(parse.GetRequiredValue(data), null)
                            : DataFolder.PlaceOf(parse, data);
                        BackupReport report = WithProgress(
                            parse,
                            progress => BenchStore.Restore(parse.GetRequiredValue(file), target, progress, token)
                        );
                        return WriteBackup(
                            parse,
                            report,
                            parse.GetValue(json),
                            $"Restored from {report.Path}, made {report.Manifest.MadeAt}, to {target}"
                        );
                    },
                    stop
                )
        );
        return command.WithExample(
            "graftbench record restore bench.graftbackup --data ~/bench-restored",
            "makes a store from the backup in a new folder and checks every hash"
        );
    }

    private static T WithProgress<T>(ParseResult parse, Func<IProgress<CopyProgress>, T> work)
    {
        CopyLine line = new(parse.InvocationConfiguration.Error, !Console.IsErrorRedirected);
        try
        {
            return work(line);
        }
        finally
        {
            line.Clear();
        }
    }

    private static int WriteBackup(ParseResult parse, BackupReport report, bool json, string done)
    {
        if (json)
        {
            WriteJson(parse, report);
        }
        else
        {
            Page page = new();
            AddHeads(page, report.Manifest.Records);
            page.Add(Rows(report.Manifest.Rows), 4);
            AddFindings(page, [.. report.Check.Findings.Where(finding => finding.Verdict != Verdict.Ok)]);
            page.Add(done, 4);
            page.Add(
                report.Check.IsWhole
                    ? "The copy was checked: every line and every file is as it was stored."
                    : "The store was not whole when it was backed up; what is listed was wrong in it already.",
                4
            );
            parse.InvocationConfiguration.Output.Write(page);
        }
        return report.Check.IsWhole ? ExitCode.Ok : ExitCode.FixFirst;
    }

    private static void AddHeads(Page page, IReadOnlyList<RecordHead> heads)
    {
        foreach (RecordHead head in heads)
        {
            page.Add($"{head.Id}  {Count(head.Lines, "line")}", 4);
            page.Add($"    head {head.HeadSha256}");
        }
    }

    private static string Rows(IReadOnlyDictionary<string, long> rows) =>
        "Rows: "
        + string.Join(
            ", ",
            rows.Select(table => string.Create(CultureInfo.InvariantCulture, $"{table.Key} {table.Value}"))
        );
}
