using System.Data.Common;
using System.Text.Json;
using Graftbench.Core.Search;
using Graftbench.Store.Removal;
using Graftbench.Store.Transfer;

namespace Graftbench.Store;

public sealed partial class BenchStore
{
    /// <summary>A removal that an import brings along may take words out of what is here, and nothing else.</summary>
    private static void RefuseOtherThanRemoved(DbConnection connection, EvidenceLine line, TransferFindings findings)
    {
        (string payload, string? name) = TextOf(connection, line);
        bool isFit =
            IsLessRemoved(payload, name, line)
            // Here more was taken out than there: nothing of it comes back.
            || IsLessRemoved(line.PayloadJson, line.FileName, line with { PayloadJson = payload, FileName = name });
        if (!isFit)
        {
            findings.Add(
                "import.removal-changes",
                $"record {line.RecordId}, line {line.Sequence}",
                "The zip says that personal data was taken out of this line, but more than words differs from the line here.",
                todo: "Do not trust the zip: ask where it comes from. The store keeps its line."
            );
        }
    }

    private static bool IsLessRemoved(string payload, string? name, EvidenceLine left) =>
        PayloadWords.IsLeftOf(payload, left.PayloadJson)
        && (name is null) == (left.FileName is null)
        && (name is null || PayloadWords.IsTextLeftOf(name, left.FileName!));

    /// <summary>Does here what removals did where the zip was written: to lines, files and watched heats that were here before.</summary>
    private static void FollowRemovals(DbConnection connection, ExportReading reading, ManifestRecord record, long had)
    {
        foreach (EvidenceLine line in reading.Lines(record))
        {
            if (
                line.Sequence <= had
                && TextOf(connection, line) is var (payload, name)
                && (payload != line.PayloadJson || name != line.FileName)
                && IsLessRemoved(payload, name, line)
            )
            {
                LeaveLine(connection, line);
            }
            if (line.Kind == HeatRunKind)
            {
                FollowRun(connection, record.Id, line);
            }
            foreach (RemovedFile file in RemovedBy(line))
            {
                bool isShared =
                    connection.Scalar(
                        "SELECT 1 FROM evidence WHERE file_sha256 = @sha AND record_id <> @id LIMIT 1",
                        ("@sha", file.Sha256),
                        ("@id", record.Id)
                    )
                    is not null;
                if (!isShared && reading.Removed(file.Sha256) is not null)
                {
                    EmptyFile(connection, file.Sha256);
                }
            }
        }
    }

    private static IReadOnlyList<RemovedFile> RemovedBy(EvidenceLine line) =>
        line.Kind == EvidenceRules.PersonalDataRemoved ? RemovalNote.Read(line.PayloadJson)?.Files ?? [] : [];

    // An export holds the log of a heat, not its rows: the setup is that of the line, and what the words were is not known here.
    private static void FollowRun(DbConnection connection, string recordId, EvidenceLine line)
    {
        using JsonDocument json = JsonDocument.Parse(line.PayloadJson);
        bool isNamed =
            json.RootElement.TryGetProperty("run", out JsonElement run)
            && json.RootElement.TryGetProperty("setup", out JsonElement setup)
            && connection
                .All(
                    "SELECT payload FROM evidence WHERE record_id = @id AND kind = @kind",
                    row => RemovalNote.Read(row.GetString(0)),
                    ("@id", recordId),
                    ("@kind", EvidenceRules.PersonalDataRemoved)
                )
                .Exists(note => note?.Runs.Contains(run.ToString(), StringComparer.Ordinal) ?? false);
        if (!isNamed)
        {
            return;
        }
        string id = run.ToString();
        connection.Run(
            "UPDATE heat_run SET setup = @setup WHERE id = @id AND record_id = @record AND state <> 'running'",
            ("@setup", json.RootElement.GetProperty("setup").GetRawText()),
            ("@id", id),
            ("@record", recordId)
        );
        connection.Run(
            "UPDATE heat_mark SET text = @mark WHERE run_id = @id",
            ("@mark", UnwantedWords.Mark),
            ("@id", id)
        );
    }

    private static (string Payload, string? Name) TextOf(DbConnection connection, EvidenceLine line) =>
        connection
            .All(
                "SELECT payload, file_name FROM evidence WHERE record_id = @id AND sequence = @sequence",
                row => (row.GetString(0), row.TextOrNull(1)),
                ("@id", line.RecordId),
                ("@sequence", line.Sequence)
            )
            .First();
}
