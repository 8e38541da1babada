using System.CommandLine;
using System.Globalization;
using System.Text.Encodings.Web;
using System.Text.Json;
using System.Text.Json.Serialization;
using Graftbench.Core.Findings;
using Graftbench.Store;

namespace Graftbench.Cli.Verbs;

internal static partial class RecordVerb
{
    private static readonly JsonSerializerOptions Json = new()
    {
        PropertyNamingPolicy = JsonNamingPolicy.CamelCase,
        DefaultIgnoreCondition = JsonIgnoreCondition.WhenWritingNull,
        WriteIndented = true,
        NewLine = "\n",
        Encoder = JavaScriptEncoder.UnsafeRelaxedJsonEscaping,
        Converters = { new JsonStringEnumConverter(JsonNamingPolicy.KebabCaseLower) },
    };

    private static readonly JsonSerializerOptions NoteJson = new()
    {
        Encoder = JavaScriptEncoder.UnsafeRelaxedJsonEscaping,
    };

    private static void WriteJson<T>(ParseResult parse, T answer) =>
        parse.InvocationConfiguration.Output.WriteLine(JsonSerializer.Serialize(answer, Json));

    private static void AddFindings(Page page, IReadOnlyList<Finding> findings)
    {
        for (int number = 0; number < findings.Count; number++)
        {
            Finding finding = findings[number];
            page.Add($"{Say.Verdict(finding.Verdict)}  {finding.Where}  [{finding.Code}]", 4);
            page.Add($"    {finding.What}", 4);
            if (finding.Value is not null)
            {
                page.Add("    found", finding.Value, 14);
            }
            if (finding.Limit is not null)
            {
                page.Add("    expected", finding.Limit, 14);
            }
            // Findings that are put right in the same way say so once.
            bool isSaidNext = number + 1 < findings.Count && findings[number + 1].Todo == finding.Todo;
            if (finding.Todo is not null && !isSaidNext)
            {
                page.Add("    → " + finding.Todo, 6);
            }
        }
    }

    private static void AddRecord(Page page, RecordSummary record)
    {
        page.Add($"{record.Id}  {TitleOf(record)}", 4);
        string revision = record.Revision > 0 ? $"revision {record.Revision}, " : "";
        string last = record.LastAt is { } at ? $", last {at:yyyy-MM-dd HH:mm} UTC" : "";
        page.Add($"    {revision}{Count(record.Lines, "line")}, {Count(record.Files, "file")}{last}");
    }

    private static void AddLine(Page page, EvidenceLine line)
    {
        string start = string.Create(
            CultureInfo.InvariantCulture,
            $"{line.Sequence, 5}  {line.At:yyyy-MM-dd HH:mm:ss}Z  {Cut(line.Who, 16), -16}  {line.Kind, -10}  "
        );
        page.Add(start + Cut(Gist(line), Page.Width - start.Length));
        if (line.FileSha256 is not null)
        {
            page.Add($"       file {line.FileName} ({line.FileMediaType})", 12);
            page.Add($"       SHA-256 {line.FileSha256}");
        }
    }

    /// <summary>What a line says, short: its note where it has one.</summary>
    private static string Gist(EvidenceLine line)
    {
        if (line.Kind is EvidenceRules.JobSaved)
        {
            return $"whole document, {line.PayloadJson.Length} characters";
        }
        if (line.Kind is EvidenceRules.PersonalDataRemoved && RemovalNote.Read(line.PayloadJson) is { } removal)
        {
            return removal.Words();
        }
        try
        {
            using JsonDocument payload = JsonDocument.Parse(line.PayloadJson);
            return
                payload.RootElement.ValueKind == JsonValueKind.Object
                && payload.RootElement.TryGetProperty("note", out JsonElement note)
                && note.ValueKind == JsonValueKind.String
                ? note.GetString()!
                : line.PayloadJson;
        }
        catch (Exception problem) when (problem is JsonException or InvalidOperationException or ArgumentException)
        {
            return line.PayloadJson;
        }
    }

    private static string TitleOf(RecordSummary record) =>
        record.Title
        ?? (
            string.Equals(record.Id, BenchStore.ShopRecord, StringComparison.Ordinal)
                ? "the shop's own record"
                : "(no title)"
        );

    private static string Count(long number, string what) => number == 1 ? $"1 {what}" : $"{number} {what}s";

    private static string Cut(string text, int room)
    {
        room = Math.Max(room, 4);
        if (text.Length <= room)
        {
            return text;
        }
        int end = room - 3;
        return text[..(char.IsHighSurrogate(text[end - 1]) ? end - 1 : end)] + "...";
    }
}
