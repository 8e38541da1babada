using System.Data.Common;
using Graftbench.Core.Findings;
using Graftbench.Store.Checking;
using Graftbench.Store.Engines;
using Graftbench.Store.Transfer;

namespace Graftbench.Store;

/// <summary>What an export wrote.</summary>
/// <param name="Path">The zip.</param>
/// <param name="Bytes">Its length [bytes].</param>
/// <param name="Records">The records in it, with their heads.</param>
/// <param name="Files">Number of files of evidence in it.</param>
public sealed record ExportReport(string Path, long Bytes, IReadOnlyList<RecordSummary> Records, int Files);

public sealed partial class BenchStore
{
    /// <summary>Writes records and their files to one zip; the same records give the same bytes on every computer.</summary>
    /// <remarks>
    /// The zip is written under another name in the same folder and moved into place when it is whole. A link stays: the
    /// file it leads to is replaced. Into a pipe or device it is written straight. A store is never replaced.
    /// </remarks>
    /// <param name="recordIds">Records to write; null for all.</param>
    /// <param name="targetPath">The zip to write.</param>
    /// <param name="overwrite">Whether a file of that name may be replaced.</param>
    /// <param name="stop">Stops the export; nothing is left behind.</param>
    /// <exception cref="UnknownRecordException">There is no such record.</exception>
    /// <exception cref="StoreException">A record is not whole, the file exists or cannot be written.</exception>
    public ExportReport Export(
        IReadOnlyCollection<string>? recordIds,
        string targetPath,
        bool overwrite = false,
        CancellationToken stop = default
    ) => WriteWhole(targetPath, overwrite, (zip, target) => Export(recordIds, zip, target, stop));

    /// <summary>Writes a file whole or not at all, never over a store, over another file only where that is wanted.</summary>
    private static TReport WriteWhole<TReport>(
        string targetPath,
        bool overwrite,
        Func<FileStream, string, TReport> write
    )
    {
        if (string.IsNullOrWhiteSpace(targetPath))
        {
            throw new StoreException("The name of the zip is empty", "export", "Name the file to write.");
        }
        string target = Path.GetFullPath(targetPath);
        string? draft = null;
        try
        {
            OutputTarget output = OutputTarget.Of(target);
            if (output.IsStore)
            {
                throw new StoreException(
                    "This is a store of records, which no export may replace",
                    target,
                    "Choose another name."
                );
            }
            using FileStream? straight = output.OpenStraight();
            if (straight is null && !overwrite && File.Exists(output.Path))
            {
                throw new StoreException(
                    "There is a file of this name already",
                    target,
                    "Choose another name, or say --overwrite."
                );
            }
            string beside = straight is null ? output.Path : Path.Combine(Path.GetTempPath(), "graftbench-export");
            draft = $"{beside}.part-{Guid.NewGuid():N}";
            TReport report;
            using (FileStream zip = new(draft, FileMode.CreateNew, FileAccess.ReadWrite, FileShare.None, 128 * 1024))
            {
                report = write(zip, target);
                zip.Flush(flushToDisk: true);
                if (straight is not null)
                {
                    zip.Position = 0;
                    zip.CopyTo(straight);
                }
            }
            if (straight is null)
            {
                File.Move(draft, output.Path, overwrite);
            }
            return report;
        }
        catch (UnauthorizedAccessException problem)
        {
            throw new StoreException(
                "The export may not be written here",
                target,
                "Choose a folder that this user may write.",
                problem
            );
        }
        catch (IOException problem)
        {
            throw new StoreException(
                $"The export cannot be written ({problem.Message.TrimEnd('.')})",
                target,
                "Check the path and the free space of the disk.",
                problem
            );
        }
        finally
        {
            if (draft is not null && File.Exists(draft))
            {
                File.Delete(draft);
            }
        }
    }

    /// <summary>Writes records and their files to a stream that can seek.</summary>
    /// <param name="recordIds">Records to write; null for all.</param>
    /// <param name="target">Where to write.</param>
    /// <param name="where">What to call the target in a message.</param>
    /// <param name="stop">Stops the export.</param>
    /// <exception cref="UnknownRecordException">There is no such record.</exception>
    /// <exception cref="StoreException">A record is not whole, or there is none.</exception>
    public ExportReport Export(
        IReadOnlyCollection<string>? recordIds,
        Stream target,
        string where,
        CancellationToken stop = default
    ) =>
        _connections.Read(connection =>
        {
            List<RecordSummary> summaries = SummariesOf(connection);
            foreach (string id in recordIds ?? [])
            {
                if (!summaries.Exists(summary => string.Equals(summary.Id, id, StringComparison.Ordinal)))
                {
                    throw new UnknownRecordException(id, FilePath);
                }
            }
            if (recordIds is not null)
            {
                summaries = summaries.Where(summary => recordIds.Contains(summary.Id, StringComparer.Ordinal)).ToList();
            }
            if (summaries.Count == 0)
            {
                throw new StoreException("There is no record to export", FilePath, "Save a job first.");
            }
            RefuseBroken(connection, summaries);
            int files = WriteZip(connection, summaries, target, where, stop);
            return new ExportReport(where, target.Position, summaries, files);
        });

    private static int WriteZip(
        DbConnection connection,
        List<RecordSummary> summaries,
        Stream target,
        string where,
        CancellationToken stop
    )
    {
        List<ManifestRecord> records = summaries
            .Select(summary => new ManifestRecord(
                summary.Id,
                summary.Lines,
                summary.HeadSha256,
                summary.Revision,
                summary.Files
            ))
            .ToList();
        SortedSet<string> referenced = new(
            summaries.SelectMany(summary => FilesOf(connection, summary.Id)),
            StringComparer.Ordinal
        );
        // What was emptied on request has nothing to write; its line and the removal say so.
        List<string> files = [.. referenced.Where(file => !IsEmptied(connection, file))];
        bool hasRemovals = records.Exists(record => HasRemovals(connection, record.Id));
        PlainZipWriter zip = new(target, where);
        zip.Add(
            ExportFormat.Manifest,
            content => content.Write(ExportFormat.WriteManifest(records, referenced.Count, hasRemovals))
        );
        foreach (ManifestRecord record in records)
        {
            string folder = ExportFormat.FolderOf(record.Id, records.Count);
            if (record.Revision > 0)
            {
                byte[] document = EvidenceChain.Utf8.GetBytes(
                    (string)connection.Scalar("SELECT document FROM job WHERE id = @id", ("@id", record.Id))!
                );
                zip.Add(ExportFormat.JobOf(folder), content => content.Write(document));
            }
            zip.Add(
                ExportFormat.EvidenceOf(folder),
                content =>
                {
                    foreach (EvidenceLine line in LinesOf(connection, record.Id, 0))
                    {
                        stop.ThrowIfCancellationRequested();
                        content.Write(ExportFormat.WriteLine(line).Span);
                    }
                }
            );
        }
        foreach (string file in files)
        {
            stop.ThrowIfCancellationRequested();
            zip.Add(ExportFormat.FileOf(file), content => CopyFile(connection, file, content));
        }
        zip.Finish();
        return files.Count;
    }

    private static void RefuseBroken(DbConnection connection, List<RecordSummary> summaries)
    {
        FileCheck files = new(connection);
        foreach (RecordSummary summary in summaries)
        {
            List<Finding> findings = CheckRecord(connection, summary.Id, files, notedHead: null);
            if (findings.Find(finding => finding.Verdict is Verdict.Blocker or Verdict.FixFirst) is { } worst)
            {
                throw new StoreException(
                    $"The record is not whole and was not exported ({worst.Where}: {worst.What.TrimEnd('.')})",
                    $"record {summary.Id}",
                    $"Run `graftbench record verify {summary.Id}`."
                );
            }
        }
    }

    private static bool HasRemovals(DbConnection connection, string recordId) =>
        connection.Scalar(
            "SELECT 1 FROM evidence WHERE kind = @kind AND record_id = @id LIMIT 1",
            ("@kind", EvidenceRules.PersonalDataRemoved),
            ("@id", recordId)
        )
            is not null;

    private static List<string> FilesOf(DbConnection connection, string recordId) =>
        connection.All(
            "SELECT DISTINCT file_sha256 FROM evidence WHERE record_id = @id AND file_sha256 IS NOT NULL",
            row => row.GetString(0),
            ("@id", recordId)
        );

    private static void CopyFile(DbConnection connection, string sha256, Stream target)
    {
        using Stream content =
            StoreDialect.Of(connection).OpenFile(connection, sha256)
            ?? throw new StoreException(
                "A file of evidence is not in the store",
                $"file {sha256}",
                "Run `graftbench record verify`."
            );
        content.CopyTo(target, 128 * 1024);
    }
}
