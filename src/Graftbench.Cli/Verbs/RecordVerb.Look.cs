using System.CommandLine;
using Graftbench.Core.Findings;
using Graftbench.Store;

namespace Graftbench.Cli.Verbs;

internal static partial class RecordVerb
{
    private static Command ListCommand()
    {
        Option<string> data = DataFolder.Option();
        Option<bool> json = JsonOption();
        Command command = new("list", "Lists all records in the store.") { data, DataFolder.Store, json };
        command.SetAction(parse =>
            Guarded(
                parse,
                () =>
                {
                    using BenchStore store = Open(DataFolder.PlaceOf(parse, data), mayCreate: false);
                    IReadOnlyList<RecordSummary> records = store.Records();
                    if (parse.GetValue(json))
                    {
                        WriteJson(parse, records);
                        return ExitCode.Ok;
                    }
                    Page page = new();
                    foreach (RecordSummary record in records)
                    {
                        AddRecord(page, record);
                    }
                    page.Add(records.Count == 0 ? "The store holds no record yet." : Count(records.Count, "record"));
                    parse.InvocationConfiguration.Output.Write(page);
                    return ExitCode.Ok;
                }
            )
        );
        return command.WithExample(
            "graftbench record list",
            "names every record with its lines, files and last change"
        );
    }

    private static Command ShowCommand()
    {
        Argument<string> id = IdArgument("Job id, or shop");
        Option<string> data = DataFolder.Option();
        Option<bool> json = JsonOption();
        Command command = new("show", "Shows the evidence of one record, oldest first.")
        {
            id,
            data,
            DataFolder.Store,
            json,
        };
        command.SetAction(parse =>
            Guarded(
                parse,
                () =>
                {
                    using BenchStore store = Open(DataFolder.PlaceOf(parse, data), mayCreate: false);
                    string wanted = parse.GetRequiredValue(id);
                    RecordSummary record =
                        store
                            .Records()
                            .FirstOrDefault(summary => string.Equals(summary.Id, wanted, StringComparison.Ordinal))
                        ?? throw new UnknownRecordException(wanted, store.FilePath);
                    IReadOnlyList<EvidenceLine> lines = store.Evidence(wanted);
                    if (parse.GetValue(json))
                    {
                        WriteJson(parse, new { Record = record, Lines = lines });
                        return ExitCode.Ok;
                    }
                    Page page = new();
                    AddRecord(page, record);
                    page.Add($"    head {record.HeadSha256}");
                    foreach (EvidenceLine line in lines)
                    {
                        AddLine(page, line);
                    }
                    parse.InvocationConfiguration.Output.Write(page);
                    return ExitCode.Ok;
                }
            )
        );
        return command.WithExample("graftbench record show arcade-7", "lists what was stored, oldest first");
    }

    private static Command VerifyCommand()
    {
        Argument<string?> id = new("ID")
        {
            Description = "Job id, or shop; all records if left out.",
            Arity = ArgumentArity.ZeroOrOne,
        };
        Option<string?> head = new("--head")
        {
            Description = "Head of the record as noted earlier, 64 hexadecimal digits.",
            HelpName = "HASH",
        };
        Option<string> data = DataFolder.Option();
        Option<bool> json = JsonOption();
        Command command = new(
            "verify",
            """
            Checks that nothing was changed, cut out or added beside the program.
            The head it prints can be noted on paper and compared later with --head: that is what shows
            a record that somebody has rewritten as a whole.
            """
        )
        {
            id,
            head,
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
                        string? noted = parse.GetValue(head)?.Trim().ToLowerInvariant();
                        string? wanted = parse.GetValue(id);
                        if (noted is not null && (wanted is null || !EvidenceChain.IsHash(noted)))
                        {
                            throw new StoreException(
                                "The noted head is not 64 hexadecimal digits, or the ID of the record is not given",
                                "--head",
                                "Write: record verify ID --head HASH."
                            );
                        }
                        using BenchStore store = Open(DataFolder.PlaceOf(parse, data), mayCreate: false);
                        StoreCheck check = store.Verify(wanted, noted, token);
                        WriteCheck(parse, check, parse.GetValue(json));
                        return check.IsWhole ? ExitCode.Ok : ExitCode.FixFirst;
                    },
                    stop
                )
        );
        return command.WithExample(
            "graftbench record verify arcade-7 --head e62dee83ce4c...",
            "says whether the record still holds the head that was noted, and what came since"
        );
    }

    private static void WriteCheck(ParseResult parse, StoreCheck check, bool json)
    {
        if (json)
        {
            WriteJson(parse, check);
            return;
        }
        Page page = new();
        AddFindings(page, check.Findings);
        int wrong = check.Findings.Count(finding => finding.Verdict is Verdict.Blocker or Verdict.FixFirst);
        string what =
            $"{Count(check.Records.Count, "record")} with {Count(check.Records.Sum(record => record.Lines), "line")} checked";
        page.Add(
            wrong > 0 ? $"{what}: {Count(wrong, "thing")} wrong."
            : check.EmptiedNumber > 0
                ? $"{what}: all is as it was stored but what was emptied on request, {Count(check.EmptiedNumber, "removal")}."
            : $"{what}: all is as it was stored."
        );
        parse.InvocationConfiguration.Output.Write(page);
    }
}
