using System.Security.Cryptography;
using Graftbench.Core.Jobs;

namespace Graftbench.Store.Transfer;

/// <summary>Reads an export from untrusted bytes and says everything that is wrong with it. Writes nothing.</summary>
internal sealed class ExportReading(Stream file, TransferFindings findings, DateTimeOffset now, CancellationToken stop)
{
    private readonly PlainZipReader _zip = new(file, findings);
    private readonly Dictionary<string, int> _shelf = new(StringComparer.Ordinal);
    private Dictionary<string, ZipEntry> _entries = new(StringComparer.Ordinal);

    /// <summary>The records of the zip; to be relied on only when there are no findings.</summary>
    public IReadOnlyList<ManifestRecord> Records { get; private set; } = [];

    /// <summary>Checks all of it.</summary>
    public void Check()
    {
        IReadOnlyList<ZipEntry> entries = _zip.Read(stop);
        if (entries.Count == 0)
        {
            return;
        }
        _entries = entries.ToDictionary(entry => entry.Name, StringComparer.Ordinal);
        if (ReadManifest(out int files) is not { } records)
        {
            return;
        }
        Records = records;
        HashSet<string> referenced = new(StringComparer.Ordinal);
        foreach (ManifestRecord record in records)
        {
            referenced.UnionWith(CheckRecord(record));
        }
        CheckFiles(referenced);
        CheckNames(entries, records, referenced);
        if (files != referenced.Count)
        {
            findings.Add(
                "import.file-count",
                ExportFormat.Manifest,
                "The number of files differs.",
                $"{referenced.Count} files in the evidence",
                $"{files} files in the manifest"
            );
        }
    }

    /// <summary>The lines of a record, once more; only after <see cref="Check"/> had no findings.</summary>
    public IEnumerable<EvidenceLine> Lines(ManifestRecord record) =>
        TextLines(EvidenceEntry(record)!)
            .Select(text => ExportFormat.ReadLine(text) ?? throw new IOException("the zip changed while it was read"));

    /// <summary>The bytes of a file; only after <see cref="Check"/> had no findings.</summary>
    public byte[] FileBytes(string sha256)
    {
        byte[] bytes = ReadAll(_entries[ExportFormat.FileOf(sha256)]);
        return string.Equals(EvidenceChain.FileHash(bytes), sha256, StringComparison.Ordinal)
            ? bytes
            : throw new IOException("the zip changed while it was read");
    }

    private IReadOnlyList<ManifestRecord>? ReadManifest(out int files)
    {
        files = 0;
        if (
            !_entries.TryGetValue(ExportFormat.Manifest, out ZipEntry? entry)
            || entry.Length > ExportFormat.MaxManifestBytes
        )
        {
            findings.Add("import.no-manifest", "zip", "The zip has no manifest of an export, so it is not one.");
            return null;
        }
        var records = ExportFormat.ReadManifest(ReadAll(entry), out string? format, out files);
        if (format is not null && !string.Equals(format, ExportFormat.Name, StringComparison.Ordinal))
        {
            findings.Add(
                "import.wrong-version",
                ExportFormat.Manifest,
                "The export has a layout that this program does not know.",
                TransferFindings.Shorten(format),
                ExportFormat.Name,
                "Import it with the version of Graftbench that wrote it, or a newer one."
            );
            return null;
        }
        bool isSound =
            records is { Count: > 0 }
            && records.All(record => EvidenceRules.IsRecordId(record.Id))
            && records
                .Select(record => record.Id)
                .SequenceEqual(
                    records.Select(record => record.Id).Distinct(StringComparer.Ordinal).Order(StringComparer.Ordinal)
                );
        if (!isSound)
        {
            findings.Add("import.manifest", ExportFormat.Manifest, "The manifest is not as an export writes it.");
            return null;
        }
        return records;
    }

    private ZipEntry? EvidenceEntry(ManifestRecord record) =>
        _entries.GetValueOrDefault(ExportFormat.EvidenceOf(ExportFormat.FolderOf(record.Id, Records.Count)));

    /// <summary>Checks one record.</summary>
    /// <returns>Hashes of the files that its lines refer to.</returns>
    private HashSet<string> CheckRecord(ManifestRecord record)
    {
        HashSet<string> referenced = new(StringComparer.Ordinal);
        if (EvidenceEntry(record) is not { } entry)
        {
            return referenced;
        }
        long sequence = 0;
        string head = EvidenceChain.Start;
        int saves = 0;
        EvidenceLine? lastSave = null;
        string lastWhere = "";
        foreach (ReadOnlyMemory<byte> text in TextLines(entry))
        {
            stop.ThrowIfCancellationRequested();
            sequence++;
            string where = $"{entry.Name}, line {sequence}";
            if (ExportFormat.ReadLine(text) is not { } line)
            {
                findings.Add("import.line-unreadable", where, "The line is not as an export writes it.");
                head = "";
                continue;
            }
            CheckLine(record, line, sequence, head, where);
            head = line.Sha256;
            if (line.FileSha256 is { } file)
            {
                referenced.Add(file);
            }
            if (string.Equals(line.Kind, EvidenceRules.JobSaved, StringComparison.Ordinal))
            {
                saves++;
                if (lastSave is not null)
                {
                    // The last save is judged with job.json, which must be the same.
                    CheckSave(record, lastSave, lastWhere);
                }
                (lastSave, lastWhere) = (line, where);
            }
        }
        CheckAgainstManifest(record, sequence, head, saves, referenced.Count);
        CheckJob(record, lastSave);
        return referenced;
    }

    private void CheckLine(ManifestRecord record, EvidenceLine line, long sequence, string head, string where)
    {
        foreach (string problem in EvidenceRules.Problems(line))
        {
            findings.Add("import.line-refused", where, $"The line breaks a rule of the store: {problem}.");
        }
        if (!string.Equals(line.RecordId, record.Id, StringComparison.Ordinal))
        {
            findings.Add(
                "import.other-record",
                where,
                "The line belongs to another record.",
                TransferFindings.Shorten(line.RecordId),
                record.Id
            );
        }
        // After a line that could not be read, the next one has nothing to follow: that is said already.
        bool follows = head.Length == 0 || string.Equals(line.PreviousSha256, head, StringComparison.Ordinal);
        if (line.Sequence != sequence || !follows)
        {
            findings.Add(
                "import.chain-broken",
                where,
                "The line does not follow from the one before it.",
                $"line {line.Sequence}, previous {TransferFindings.Shorten(line.PreviousSha256)}",
                $"line {sequence}, previous {head}"
            );
        }
        bool canHash =
            EvidenceChain.IsHash(line.PreviousSha256)
            && (line.FileSha256 is null || EvidenceChain.IsHash(line.FileSha256));
        if (!canHash || !string.Equals(EvidenceChain.Hash(line), line.Sha256, StringComparison.Ordinal))
        {
            findings.Add("import.line-altered", where, "The line was altered: its hash does not fit its content.");
        }
        bool isShop = string.Equals(record.Id, BenchStore.ShopRecord, StringComparison.Ordinal);
        if (isShop && string.Equals(line.Kind, EvidenceRules.JobSaved, StringComparison.Ordinal))
        {
            findings.Add("import.line-refused", where, "The shop's own record holds a job.");
        }
        if (isShop && string.Equals(line.Kind, EvidenceRules.ShelfSaved, StringComparison.Ordinal))
        {
            CheckShelfItem(line, where);
        }
        if (isShop && string.Equals(line.Kind, EvidenceRules.BenchFactAdded, StringComparison.Ordinal))
        {
            CheckBenchFact(line, where);
        }
    }

    private void CheckBenchFact(EvidenceLine line, string where)
    {
        if (BenchStore.ReadFactPayload(line.PayloadJson, line.Sequence, line.At, line.Who) is not { } fact)
        {
            findings.Add("import.line-refused", where, "The line does not hold a fact of a bench.");
            return;
        }
        foreach ((string field, string words) in BenchFactRules.Problems(fact.Bench, fact.Kind))
        {
            findings.Add("import.line-refused", where, $"The fact of a bench breaks a rule: {field} {words}.");
        }
    }

    private void CheckShelfItem(EvidenceLine line, string where)
    {
        if (BenchStore.ReadShelfPayload(line.PayloadJson, line.At) is not { } item)
        {
            findings.Add("import.line-refused", where, "The line does not hold a thing on the shelf.");
            return;
        }
        foreach (string problem in ShelfRules.Problems(item, now))
        {
            findings.Add("import.line-refused", where, $"The thing on the shelf breaks a rule: {problem}.");
        }
        int expected = _shelf.GetValueOrDefault(item.Id) + 1;
        if (item.Revision != expected)
        {
            findings.Add(
                "import.line-refused",
                where,
                "The thing on the shelf has another revision than its saves count.",
                $"revision {item.Revision}",
                $"revision {expected}"
            );
        }
        _shelf[item.Id] = item.Revision;
    }

    private void CheckSave(ManifestRecord record, EvidenceLine line, string where)
    {
        JobReading reading = JobReader.Read(EvidenceChain.Utf8.GetBytes(line.PayloadJson), now);
        foreach (JobProblem problem in reading.Problems)
        {
            findings.Add(
                "import.job-document",
                where,
                problem.Path.Length == 0 ? problem.What : $"{problem.Path}: {problem.What}",
                problem.Value,
                problem.Allowed,
                problem.Todo
            );
        }
        if (reading.Job is { } job && !string.Equals(job.Id, record.Id, StringComparison.Ordinal))
        {
            findings.Add("import.other-record", where, "The job document has another id.", job.Id, record.Id);
        }
    }

    private void CheckAgainstManifest(ManifestRecord record, long lines, string head, int saves, int files)
    {
        if ((record.Lines, record.Revision, record.Files) != (lines, saves, files))
        {
            findings.Add(
                "import.record-count",
                ExportFormat.Manifest,
                $"The counts of record {record.Id} differ from its evidence.",
                $"{lines} lines, {saves} saves, {files} files",
                $"{record.Lines} lines, {record.Revision} saves, {record.Files} files"
            );
        }
        if (!string.Equals(record.HeadSha256, head, StringComparison.Ordinal))
        {
            findings.Add(
                "import.head-differs",
                ExportFormat.Manifest,
                $"Record {record.Id} does not end in the head that the manifest names.",
                head.Length == 0 ? "no head" : TransferFindings.Shorten(head),
                TransferFindings.Shorten(record.HeadSha256)
            );
        }
    }

    private void CheckJob(ManifestRecord record, EvidenceLine? lastSave)
    {
        string name = ExportFormat.JobOf(ExportFormat.FolderOf(record.Id, Records.Count));
        if (!_entries.TryGetValue(name, out ZipEntry? entry))
        {
            if (!string.Equals(record.Id, BenchStore.ShopRecord, StringComparison.Ordinal))
            {
                findings.Add("import.job-missing", name, $"Record {record.Id} has no job document.");
            }
            return;
        }
        if (entry.Length > JobFormat.MaxBytes)
        {
            findings.Add(
                "import.too-large",
                name,
                "The job document is too large.",
                $"{entry.Length} bytes",
                $"{JobFormat.MaxBytes} bytes"
            );
            return;
        }
        byte[] document = ReadAll(entry);
        if (lastSave is null || !EvidenceChain.Utf8.GetBytes(lastSave.PayloadJson).AsSpan().SequenceEqual(document))
        {
            findings.Add("import.job-differs", name, "The job document is not what the evidence says was saved last.");
        }
        JobReading reading = JobReader.Read(document, now);
        foreach (JobProblem problem in reading.Problems)
        {
            findings.Add(
                "import.job-document",
                $"{name}, line {problem.Line}, column {problem.Column}",
                problem.Path.Length == 0 ? problem.What : $"{problem.Path}: {problem.What}",
                problem.Value,
                problem.Allowed,
                problem.Todo
            );
        }
        if (reading.Job is { } job && !string.Equals(job.Id, record.Id, StringComparison.Ordinal))
        {
            findings.Add("import.other-record", name, "The job document has another id.", job.Id, record.Id);
        }
    }

    private void CheckFiles(HashSet<string> referenced)
    {
        foreach (ZipEntry entry in _entries.Values)
        {
            if (ExportFormat.HashOf(entry.Name) is not { } hash)
            {
                continue;
            }
            stop.ThrowIfCancellationRequested();
            if (entry.Length > EvidenceRules.MaxFileBytes)
            {
                findings.Add(
                    "import.too-large",
                    entry.Name,
                    "The file is too large.",
                    $"{entry.Length} bytes",
                    $"{EvidenceRules.MaxFileBytes} bytes"
                );
                continue;
            }
            using Stream content = _zip.Open(entry);
            string found = Convert.ToHexStringLower(SHA256.HashData(content));
            if (!string.Equals(found, hash, StringComparison.Ordinal))
            {
                findings.Add(
                    "import.file-altered",
                    entry.Name,
                    "The file was altered: its SHA-256 is not its name.",
                    found,
                    hash
                );
            }
            if (!referenced.Contains(hash))
            {
                findings.Add("import.file-without-evidence", entry.Name, "No line of evidence refers to this file.");
            }
        }
    }

    private void CheckNames(
        IReadOnlyList<ZipEntry> entries,
        IReadOnlyList<ManifestRecord> records,
        HashSet<string> referenced
    )
    {
        List<string> expected = ExportFormat.Names(records, referenced).ToList();
        List<string> found = entries.Select(entry => entry.Name).ToList();
        foreach (string name in expected.Except(found, StringComparer.Ordinal))
        {
            findings.Add("import.entry-missing", TransferFindings.Shorten(name), "The zip lacks this file.");
        }
        foreach (string name in found.Except(expected, StringComparer.Ordinal))
        {
            // A file without evidence has been named already.
            if (ExportFormat.HashOf(name) is null)
            {
                findings.Add(
                    "import.entry-unexpected",
                    TransferFindings.Shorten(name),
                    "An export has no file of this name."
                );
            }
        }
        if (
            found.Count == expected.Count
            && !found.Except(expected, StringComparer.Ordinal).Any()
            && !found.SequenceEqual(expected)
        )
        {
            findings.Add("import.entry-order", "zip", "The files are not in the order in which an export writes them.");
        }
    }

    /// <summary>Cuts an entry into lines, each with its line end; a line longer than any real one ends the reading.</summary>
    private IEnumerable<ReadOnlyMemory<byte>> TextLines(ZipEntry entry)
    {
        using Stream content = _zip.Open(entry);
        byte[] buffer = new byte[64 * 1024];
        int start = 0;
        int end = 0;
        while (true)
        {
            int lineEnd = buffer.AsSpan(start, end - start).IndexOf((byte)'\n');
            if (lineEnd >= 0)
            {
                yield return buffer.AsMemory(start, lineEnd + 1).ToArray();
                start += lineEnd + 1;
                continue;
            }
            buffer.AsSpan(start, end - start).CopyTo(buffer);
            (start, end) = (0, end - start);
            if (end == buffer.Length)
            {
                if (buffer.Length >= ExportFormat.MaxLineBytes)
                {
                    findings.Add("import.too-large", entry.Name, "A line is longer than any line of an export.");
                    yield break;
                }
                Array.Resize(ref buffer, Math.Min(buffer.Length * 2, ExportFormat.MaxLineBytes));
            }
            int count = content.Read(buffer.AsSpan(end));
            if (count == 0)
            {
                if (end > 0)
                {
                    yield return buffer.AsMemory(0, end).ToArray();
                }
                yield break;
            }
            end += count;
        }
    }

    private byte[] ReadAll(ZipEntry entry)
    {
        byte[] bytes = new byte[entry.Length];
        using Stream content = _zip.Open(entry);
        int count = content.ReadAtLeast(bytes, bytes.Length, throwOnEndOfStream: false);
        return count == bytes.Length ? bytes : bytes[..count];
    }
}
