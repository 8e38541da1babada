using System.Data.Common;
using Graftbench.Core.Findings;
using Graftbench.Store.Transfer;

namespace Graftbench.Store;

/// <summary>What an import did with one record.</summary>
/// <param name="Id">Job id, or <see cref="BenchStore.ShopRecord"/>.</param>
/// <param name="LinesAdded">Lines that the store did not have.</param>
/// <param name="LinesInStore">Lines that the store has now.</param>
/// <param name="WasNew">Whether the store did not have the record at all.</param>
public sealed record ImportedRecord(string Id, long LinesAdded, long LinesInStore, bool WasNew);

/// <summary>What an import did.</summary>
/// <param name="IsWhole">Whether the zip itself was whole; if not, nothing was imported.</param>
/// <param name="Records">What became of each record; empty where nothing was imported.</param>
/// <param name="Findings">All that stood against the import; empty where it was done.</param>
public sealed record ImportReport(bool IsWhole, IReadOnlyList<ImportedRecord> Records, IReadOnlyList<Finding> Findings)
{
    /// <summary>Whether the records are in the store now.</summary>
    public bool IsDone => Findings.Count == 0;
}

public sealed partial class BenchStore
{
    /// <summary>Imports an export. Everything is checked first; the store changes in one transaction, or not at all.</summary>
    /// <remarks>
    /// A record that is in the store already gets the lines it lacks. If its lines differ from those of the zip anywhere,
    /// nothing is imported. Importing the same zip again changes nothing.
    /// </remarks>
    /// <param name="path">The zip.</param>
    /// <param name="onlyRecords">Records to take; null for all that are in it.</param>
    /// <param name="stop">Stops the import; nothing is imported then.</param>
    /// <exception cref="StoreException">The zip cannot be opened.</exception>
    public ImportReport Import(
        string path,
        IReadOnlyCollection<string>? onlyRecords = null,
        CancellationToken stop = default
    )
    {
        using FileStream zip = OpenExport(path);
        return Import(zip, onlyRecords, stop);
    }

    /// <summary>Checks an export without a store: what is wrong with it, or nothing. Nothing is written.</summary>
    /// <param name="path">The zip.</param>
    /// <param name="time">The clock.</param>
    /// <param name="stop">Stops the check.</param>
    /// <exception cref="StoreException">The zip cannot be opened.</exception>
    public static ImportReport CheckExport(string path, TimeProvider time, CancellationToken stop = default)
    {
        ArgumentNullException.ThrowIfNull(time);
        using FileStream zip = OpenExport(path);
        TransferFindings findings = new();
        new ExportReading(zip, findings, time.GetUtcNow(), stop).Check();
        return new ImportReport(findings.IsEmpty, [], findings.All());
    }

    /// <summary>Imports an export from a stream that can seek.</summary>
    /// <param name="zip">The zip.</param>
    /// <param name="onlyRecords">Records to take; null for all that are in it.</param>
    /// <param name="stop">Stops the import; nothing is imported then.</param>
    public ImportReport Import(
        Stream zip,
        IReadOnlyCollection<string>? onlyRecords = null,
        CancellationToken stop = default
    )
    {
        ArgumentNullException.ThrowIfNull(zip);
        TransferFindings findings = new();
        ExportReading reading = new(zip, findings, _time.GetUtcNow(), stop);
        reading.Check();
        if (!findings.IsEmpty)
        {
            return new ImportReport(IsWhole: false, [], findings.All());
        }
        List<ManifestRecord> wanted = reading
            .Records.Where(record => onlyRecords?.Contains(record.Id, StringComparer.Ordinal) ?? true)
            .ToList();
        foreach (string id in (onlyRecords ?? []).Where(id => !wanted.Exists(record => record.Id == id)))
        {
            findings.Add("import.no-such-record", "zip", $"The zip does not hold the record {id}.");
        }
        if (!findings.IsEmpty)
        {
            return new ImportReport(IsWhole: true, [], findings.All());
        }
        return _connections.Write(connection => Merge(connection, reading, wanted, findings, stop));
    }

    private static FileStream OpenExport(string path)
    {
        if (string.IsNullOrWhiteSpace(path))
        {
            throw new StoreException("The name of the export is empty", "import", "Name the zip to import.");
        }
        try
        {
            return new FileStream(path, FileMode.Open, FileAccess.Read, FileShare.Read);
        }
        catch (Exception problem) when (problem is IOException or UnauthorizedAccessException)
        {
            throw new StoreException(
                $"The export cannot be read ({problem.Message.TrimEnd('.')})",
                path,
                "Check the path and the rights to the file. Nothing was imported.",
                problem
            );
        }
    }

    private static ImportReport Merge(
        DbConnection connection,
        ExportReading reading,
        List<ManifestRecord> records,
        TransferFindings findings,
        CancellationToken stop
    )
    {
        foreach (ManifestRecord record in records)
        {
            FindParting(connection, reading, record, findings);
        }
        if (!findings.IsEmpty)
        {
            return new ImportReport(IsWhole: true, [], findings.All());
        }
        List<ImportedRecord> imported = records
            .Select(record => AddMissing(connection, reading, record, stop))
            .ToList();
        return new ImportReport(IsWhole: true, imported, []);
    }

    private static void FindParting(
        DbConnection connection,
        ExportReading reading,
        ManifestRecord record,
        TransferFindings findings
    )
    {
        List<string> stored = connection.All(
            "SELECT sha256 FROM evidence WHERE record_id = @id ORDER BY sequence",
            row => row.GetString(0),
            ("@id", record.Id)
        );
        if (stored.Count == 0)
        {
            return;
        }
        foreach (EvidenceLine line in reading.Lines(record).Take(stored.Count))
        {
            string own = stored[(int)line.Sequence - 1];
            if (reading.HasRemovals && stored.Count < record.Lines)
            {
                RefuseOtherThanRemoved(connection, line, findings);
            }
            if (!string.Equals(own, line.Sha256, StringComparison.Ordinal))
            {
                findings.Add(
                    "import.records-part",
                    $"record {record.Id}, line {line.Sequence}",
                    "The store and the zip part at this line: both went on from the line before it, each in its own way.",
                    $"zip: {line.Kind} by {line.Who} at {StoreTime.Write(line.At)}",
                    $"store: hash {own}",
                    "Keep the zip; go on with one of the two and note in it that the other exists."
                );
                return;
            }
        }
    }

    private static ImportedRecord AddMissing(
        DbConnection connection,
        ExportReading reading,
        ManifestRecord record,
        CancellationToken stop
    )
    {
        (long Lines, string Head)? before = HeadOf(connection, record.Id);
        long had = before?.Lines ?? 0;
        EvidenceLine? lastSave = null;
        bool hasRemoval = false;
        foreach (EvidenceLine line in reading.Lines(record).Skip((int)had))
        {
            stop.ThrowIfCancellationRequested();
            if (line.FileSha256 is { } file && (!HasFile(connection, file) || IsEmptied(connection, file)))
            {
                if (reading.Removed(file) is { } removed)
                {
                    AddEmptiedFile(connection, file, removed.Bytes);
                }
                else
                {
                    AddFile(connection, file, reading.FileBytes(file));
                }
            }
            InsertLine(connection, line);
            hasRemoval |= string.Equals(line.Kind, EvidenceRules.PersonalDataRemoved, StringComparison.Ordinal);
            lastSave = string.Equals(line.Kind, EvidenceRules.JobSaved, StringComparison.Ordinal) ? line : lastSave;
            if (
                string.Equals(record.Id, ShopRecord, StringComparison.Ordinal)
                && string.Equals(line.Kind, EvidenceRules.ShelfSaved, StringComparison.Ordinal)
                && ReadShelfPayload(line.PayloadJson, line.At) is { } item
            )
            {
                WriteShelfItem(connection, item);
            }
            else if (
                string.Equals(record.Id, ShopRecord, StringComparison.Ordinal)
                && string.Equals(line.Kind, EvidenceRules.BenchFactAdded, StringComparison.Ordinal)
                && ReadFactPayload(line.PayloadJson, line.Sequence, line.At, line.Who) is { } fact
            )
            {
                WriteBenchFact(connection, fact);
            }
        }
        if (hasRemoval)
        {
            FollowRemovals(connection, reading, record, had);
        }
        if (lastSave is not null)
        {
            WriteJob(connection, record.Id, record.Revision, lastSave);
        }
        if (record.Lines > had)
        {
            Relist(connection, record.Id);
        }
        return new ImportedRecord(
            record.Id,
            Math.Max(record.Lines - had, 0),
            Math.Max(record.Lines, had),
            before is null
        );
    }
}
