using Graftbench.Core.Jobs;

namespace Graftbench.Store.Transfer;

/// <summary>Reads an export from untrusted bytes and says everything that is wrong with it. Writes nothing.</summary>
internal sealed partial class ExportReading(
    Stream file,
    TransferFindings findings,
    DateTimeOffset now,
    CancellationToken stop
)
{
    private readonly PlainZipReader _zip = new(file, findings);
    private readonly Dictionary<string, int> _shelf = new(StringComparer.Ordinal);
    private readonly HashSet<string> _needed = new(StringComparer.Ordinal);
    private readonly Dictionary<string, RemovedFile> _removed = new(StringComparer.Ordinal);
    private Dictionary<string, ZipEntry> _entries = new(StringComparer.Ordinal);
    private bool _mayHaveRemovals;

    /// <summary>The records of the zip; to be relied on only when there are no findings.</summary>
    public IReadOnlyList<ManifestRecord> Records { get; private set; } = [];

    /// <summary>Whether a record of the zip has lost personal data on request.</summary>
    public bool HasRemovals { get; private set; }

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
        if (_mayHaveRemovals != HasRemovals)
        {
            findings.Add(
                "import.manifest",
                ExportFormat.Manifest,
                HasRemovals
                    ? "A record has lost personal data on request, and the manifest does not say so."
                    : "No record has lost personal data on request, and the manifest says so."
            );
        }
        CheckFiles(referenced);
        // A file that was emptied on request is not there, unless another line needs it.
        CheckNames(
            entries,
            records,
            [.. referenced.Where(sha => _needed.Contains(sha) || _entries.ContainsKey(ExportFormat.FileOf(sha)))]
        );
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

    /// <summary>What the zip says of a file that it lacks, since it was emptied on request; null for one that it holds.</summary>
    public RemovedFile? Removed(string sha256) =>
        _entries.ContainsKey(ExportFormat.FileOf(sha256)) ? null : _removed.GetValueOrDefault(sha256);

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
        _mayHaveRemovals = string.Equals(format, ExportFormat.NameWithRemovals, StringComparison.Ordinal);
        if (
            format is not null
            && !_mayHaveRemovals
            && !string.Equals(format, ExportFormat.Name, StringComparison.Ordinal)
        )
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
        List<RawLine> removals = [];
        List<(long Sequence, string Now, string Where)> changed = [];
        Dictionary<string, long> uses = new(StringComparer.Ordinal);
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
            if (EvidenceChain.TryHash(RawLine.Of(line)) is not { } now)
            {
                AddAltered(where);
            }
            else if (!string.Equals(now, line.Sha256, StringComparison.Ordinal))
            {
                // Whether a removal left it so is said further down.
                changed.Add((line.Sequence, now, where));
            }
            if (string.Equals(line.Kind, EvidenceRules.PersonalDataRemoved, StringComparison.Ordinal))
            {
                removals.Add(RawLine.Of(line));
            }
            head = line.Sha256;
            if (line.FileSha256 is { } file)
            {
                referenced.Add(file);
                uses[file] = line.Sequence;
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
        CheckRemovals(RecordRemovals.Of(removals), changed, uses);
        CheckAgainstManifest(record, sequence, head, saves, referenced.Count);
        CheckJob(record, lastSave);
        return referenced;
    }

    /// <summary>Lines that do not fit their hash, and files that are not there, are sound only where a removal says so.</summary>
    private void CheckRemovals(
        RecordRemovals removals,
        List<(long Sequence, string Now, string Where)> changed,
        Dictionary<string, long> uses
    )
    {
        HasRemovals |= removals.All.Count > 0;
        foreach ((long sequence, string now, string where) in changed)
        {
            if (removals.Allows(sequence, now) is null)
            {
                AddAltered(where);
            }
        }
        foreach ((string file, long last) in uses)
        {
            if (removals.Emptied(file, last) is { } removed)
            {
                _removed[file] = removed.File;
            }
            else
            {
                _needed.Add(file);
            }
        }
    }

    private void AddAltered(string where) =>
        findings.Add("import.line-altered", where, "The line was altered: its hash does not fit its content.");

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
}
