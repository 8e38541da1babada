using System.CommandLine;
using System.Globalization;
using System.Text.Json;
using Graftbench.Core.Findings;
using Graftbench.Store;

namespace Graftbench.Cli.Verbs;

public static partial class RecordVerb
{
    private static Command ListCommand()
    {
        Option<string> data = DataFolder.Option();
        Option<bool> json = JsonOption();
        Command command = new("list", "All records in the store.") { data, json };
        command.SetAction(parse =>
            Guarded(
                parse,
                () =>
                {
                    using BenchStore store = Open(parse.GetRequiredValue(data), mayCreate: false);
                    IReadOnlyList<RecordSummary> records = store.Records();
                    TextWriter output = parse.InvocationConfiguration.Output;
                    if (parse.GetValue(json))
                    {
                        WriteJson(output, records);
                        return Done;
                    }
                    foreach (RecordSummary record in records)
                    {
                        output.WriteLine($"{record.Id}  {Text.Cut(TitleOf(record), record.Id.Length + 2)}");
                        output.WriteLine(Indent + Counts(record));
                    }
                    output.WriteLine(
                        records.Count == 0 ? "The store holds no record yet." : Count(records.Count, "record")
                    );
                    return Done;
                }
            )
        );
        return command;
    }

    private static Command ShowCommand()
    {
        Argument<string> id = IdArgument("Job id, or shop");
        Option<string> data = DataFolder.Option();
        Option<bool> json = JsonOption();
        Command command = new("show", "The evidence of one record, oldest first.") { id, data, json };
        command.SetAction(parse =>
            Guarded(
                parse,
                () =>
                {
                    using BenchStore store = Open(parse.GetRequiredValue(data), mayCreate: false);
                    string wanted = parse.GetRequiredValue(id);
                    RecordSummary record =
                        store
                            .Records()
                            .FirstOrDefault(summary => string.Equals(summary.Id, wanted, StringComparison.Ordinal))
                        ?? throw new UnknownRecordException(wanted, store.FilePath);
                    IReadOnlyList<EvidenceLine> lines = store.Evidence(wanted);
                    TextWriter output = parse.InvocationConfiguration.Output;
                    if (parse.GetValue(json))
                    {
                        WriteJson(output, new { Record = record, Lines = lines });
                        return Done;
                    }
                    output.WriteLine($"{record.Id}  {Text.Cut(TitleOf(record), record.Id.Length + 2)}");
                    output.WriteLine(Indent + Counts(record));
                    output.WriteLine($"{Indent}head {record.HeadSha256}");
                    foreach (EvidenceLine line in lines)
                    {
                        WriteLine(output, line);
                    }
                    return Done;
                }
            )
        );
        return command;
    }

    private static Command VerifyCommand()
    {
        Argument<string?> id = new("ID")
        {
            Description = "Job id, or shop; all records if left out",
            Arity = ArgumentArity.ZeroOrOne,
        };
        Option<string?> head = new("--head")
        {
            Description = "Head of the record as noted earlier, 64 hexadecimal digits",
            HelpName = "HASH",
        };
        Option<string> data = DataFolder.Option();
        Option<bool> json = JsonOption();
        Command command = new(
            "verify",
            """
            Check that nothing was changed, cut out or added beside the program.
            The head it prints can be noted on paper and compared later with --head: that is what shows
            a record that somebody has rewritten as a whole.
            """
        )
        {
            id,
            head,
            data,
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
                        using BenchStore store = Open(parse.GetRequiredValue(data), mayCreate: false);
                        StoreCheck check = store.Verify(wanted, noted, token);
                        WriteCheck(parse.InvocationConfiguration.Output, check, parse.GetValue(json));
                        return check.IsWhole ? Done : Found;
                    },
                    stop
                )
        );
        return command;
    }

    private static void WriteCheck(TextWriter output, StoreCheck check, bool json)
    {
        if (json)
        {
            WriteJson(
                output,
                new
                {
                    check.IsWhole,
                    check.Records,
                    check.Findings,
                }
            );
            return;
        }
        WriteFindings(output, check.Findings);
        long lines = check.Records.Sum(record => record.Lines);
        int wrong = check.Findings.Count(finding => finding.Verdict is Verdict.Blocker or Verdict.FixFirst);
        output.WriteLine(
            wrong == 0
                ? $"{Count(check.Records.Count, "record")} with {Count(lines, "line")} checked: all is as it was stored."
                : $"{Count(check.Records.Count, "record")} with {Count(lines, "line")} checked: {Count(wrong, "thing")} wrong."
        );
    }

    private static string TitleOf(RecordSummary record) =>
        record.Title
        ?? (
            string.Equals(record.Id, BenchStore.ShopRecord, StringComparison.Ordinal)
                ? "the shop's own record"
                : "(no title)"
        );

    private static string Count(long number, string what) => number == 1 ? $"1 {what}" : $"{number} {what}s";

    private static string Counts(RecordSummary record)
    {
        string revision = record.Revision > 0 ? $"revision {record.Revision}, " : "";
        string last = record.LastAt is { } at ? $", last {at:yyyy-MM-dd HH:mm} UTC" : "";
        return $"{revision}{Count(record.Lines, "line")}, {Count(record.Files, "file")}{last}";
    }

    private static void WriteLine(TextWriter output, EvidenceLine line)
    {
        string start = string.Create(
            CultureInfo.InvariantCulture,
            $"{line.Sequence, 5}  {line.At:yyyy-MM-dd HH:mm:ss}Z  {Text.Cut(line.Who, 84), -16}  {line.Kind, -10}  "
        );
        output.WriteLine(start + Text.Cut(Gist(line), start.Length));
        if (line.FileSha256 is not null)
        {
            output.WriteLine($"       {Text.Cut($"file {line.FileName} ({line.FileMediaType})", 7)}");
            output.WriteLine($"       SHA-256 {line.FileSha256}");
        }
    }

    /// <summary>What a line says, short: its note where it has one.</summary>
    private static string Gist(EvidenceLine line)
    {
        if (line.Kind is EvidenceRules.JobSaved)
        {
            return $"whole document, {line.PayloadJson.Length} characters";
        }
        using JsonDocument payload = JsonDocument.Parse(line.PayloadJson);
        return
            payload.RootElement.ValueKind == JsonValueKind.Object
            && payload.RootElement.TryGetProperty("note", out JsonElement note)
            && note.ValueKind == JsonValueKind.String
            ? note.GetString()!
            : line.PayloadJson;
    }
}
