using System.Data.Common;
using System.Text;
using Graftbench.Core.Findings;
using Graftbench.Store.Engines;

namespace Graftbench.Store.Checking;

/// <summary>Checks one record: its chain, its files, and the read models made from it.</summary>
internal sealed class RecordCheck(DbConnection connection, string id, FileCheck files)
{
    private const int BatchLines = 64;

    private readonly List<Finding> _findings = [];
    private readonly HashSet<string> _files = new(StringComparer.Ordinal);
    private readonly Dictionary<string, ShelfItem> _shelf = new(StringComparer.Ordinal);
    private readonly Dictionary<long, BenchFact> _facts = [];
    private readonly RemovalTally _removed = new();
    private RecordRemovals _removals = RecordRemovals.Of([]);
    private long _lastSequence;
    private string _lastHash = EvidenceChain.Start;
    private string _lastAt = "";
    private long _lineCount;
    private long? _notedHeadAt;
    private int _saves;
    private string? _savedDocument;
    private string _savedAt = "";

    /// <summary>Every id that any table knows, so that no record is passed over.</summary>
    public static List<string> AllIds(DbConnection connection) =>
        connection.All(
            "SELECT id FROM record UNION SELECT record_id FROM evidence UNION SELECT id FROM job ORDER BY 1",
            row => row.GetString(0)
        );

    public List<Finding> Run(string? notedHead)
    {
        _removals = RecordRemovals.Of(Lines(EvidenceRules.PersonalDataRemoved));
        foreach (RawLine line in Lines(kind: null))
        {
            CheckLine(line);
            if (string.Equals(line.Sha256, notedHead, StringComparison.Ordinal))
            {
                _notedHeadAt = line.Sequence;
            }
        }
        CheckHead();
        CheckJob();
        if (string.Equals(id, BenchStore.ShopRecord, StringComparison.Ordinal))
        {
            CheckShelf();
            CheckBenchFacts();
        }
        if (!_findings.Exists(finding => finding.Verdict is Verdict.Blocker or Verdict.FixFirst))
        {
            _findings.Add(
                new Finding(
                    Verdict.Ok,
                    "record.whole",
                    $"record {id}",
                    _removed.IsEmpty
                        ? $"Every line ({_lineCount}) and every file ({_files.Count}) is as it was stored."
                        : $"Every line ({_lineCount}) and every file ({_files.Count}) is as it was stored, but {_removed.All}.",
                    $"head {_lastHash}"
                )
            );
        }
        _findings.AddRange(_removed.Findings(_removals, id));
        if (notedHead is not null)
        {
            CompareNotedHead(notedHead);
        }
        return _findings;
    }

    /// <summary>Reads the lines as bytes: a text that decodes to the same characters is not the same evidence.</summary>
    /// <remarks>In batches, since not every database can look at a line's file while it is still handing out lines.</remarks>
    private IEnumerable<RawLine> Lines(string? kind)
    {
        StoreDialect dialect = StoreDialect.Of(connection);
        string columns = string.Join(
            ", ",
            new[] { "record_id", "at", "who", "kind", "payload", "file_name", "file_media_type" }.Select(
                dialect.BytesOf
            )
        );
        long after = long.MinValue;
        List<RawLine> batch;
        do
        {
            batch = connection.All(
                $"""
                SELECT sequence, file_sha256, previous_sha256, sha256, {columns}
                FROM evidence WHERE record_id = @id AND sequence > @after{(kind is null ? "" : " AND kind = @kind")}
                ORDER BY sequence LIMIT {BatchLines}
                """,
                row => new RawLine(
                    row.GetFieldValue<byte[]>(4),
                    row.GetInt64(0),
                    row.GetFieldValue<byte[]>(5),
                    row.GetFieldValue<byte[]>(6),
                    row.GetFieldValue<byte[]>(7),
                    row.GetFieldValue<byte[]>(8),
                    row.TextOrNull(1),
                    row.IsDBNull(9) ? null : row.GetFieldValue<byte[]>(9),
                    row.IsDBNull(10) ? null : row.GetFieldValue<byte[]>(10),
                    row.GetString(2),
                    row.GetString(3)
                ),
                kind is null ? [("@id", id), ("@after", after)] : [("@id", id), ("@after", after), ("@kind", kind)]
            );
            foreach (RawLine line in batch)
            {
                yield return line;
                after = line.Sequence;
            }
        } while (batch.Count == BatchLines);
    }

    private void CheckLine(RawLine line)
    {
        string where = $"record {id}, line {line.Sequence}";
        CheckPlace(line, where);
        CheckHash(line, where);
        CheckTime(line, where);
        if (line.FileSha256 is not null)
        {
            _files.Add(line.FileSha256);
            (RemovedFile File, StandingRemoval By)? removal = _removals.Emptied(line.FileSha256, line.Sequence);
            if (files.Check(line.FileSha256, where, removal?.File, out bool isRemoved) is { } problem)
            {
                _findings.Add(problem);
            }
            if (isRemoved)
            {
                _removed.File(removal!.Value.By, line.FileSha256);
            }
        }
        RememberSaves(line);
        _lastSequence = line.Sequence;
        _lastHash = line.Sha256;
        _lineCount++;
    }

    private void CheckPlace(RawLine line, string where)
    {
        if (line.Sequence != _lastSequence + 1)
        {
            Add(
                "record.gap",
                where,
                line.Sequence - _lastSequence == 2
                    ? $"Line {_lastSequence + 1} is missing before this one."
                    : $"Lines {_lastSequence + 1} to {line.Sequence - 1} are missing before this one."
            );
        }
        else if (!string.Equals(line.PreviousSha256, _lastHash, StringComparison.Ordinal))
        {
            Add(
                "record.chain-broken",
                where,
                "The line does not follow from the one before it.",
                $"previous {line.PreviousSha256}",
                $"previous {_lastHash}"
            );
        }
    }

    private void CheckHash(RawLine line, string where)
    {
        string? hash = EvidenceChain.TryHash(line);
        if (string.Equals(hash, line.Sha256, StringComparison.Ordinal))
        {
            if (_removals.Changed(line.Sequence) is { } undone)
            {
                _findings.Add(RemovalTally.Undone(undone, where));
            }
        }
        else if (hash is not null && _removals.Allows(line.Sequence, hash) is { } removal)
        {
            _removed.Line(removal);
        }
        else
        {
            hash ??= "none: a hash in the line is not 64 hexadecimal digits";
            Add(
                "record.line-altered",
                where,
                "The line was altered after it was stored: its hash does not fit its content.",
                $"hash {hash}",
                $"hash {line.Sha256}"
            );
        }
    }

    private void CheckTime(RawLine line, string where)
    {
        string at = Encoding.UTF8.GetString(line.At);
        if (!StoreTime.TryRead(at, out _))
        {
            Add("record.time-unreadable", where, "The time of the line cannot be read.", at);
        }
        else if (string.CompareOrdinal(at, _lastAt) < 0)
        {
            _findings.Add(
                new Finding(
                    Verdict.Warning,
                    "record.time-backwards",
                    where,
                    "The line is older than the one before it: the computer's clock was set back in between.",
                    at,
                    $"not before {_lastAt}",
                    Todo: "Check the computer's clock; the order of the lines holds all the same."
                )
            );
        }
        _lastAt = at;
    }

    private void RememberSaves(RawLine line)
    {
        string kind = Encoding.UTF8.GetString(line.Kind);
        if (string.Equals(kind, EvidenceRules.JobSaved, StringComparison.Ordinal))
        {
            _saves++;
            _savedDocument = Encoding.UTF8.GetString(line.Payload);
            _savedAt = _lastAt;
        }
        else if (string.Equals(kind, EvidenceRules.ShelfSaved, StringComparison.Ordinal))
        {
            StoreTime.TryRead(_lastAt, out DateTimeOffset at);
            if (BenchStore.ReadShelfPayload(Encoding.UTF8.GetString(line.Payload), at) is { } item)
            {
                _shelf[item.Id] = item;
            }
        }
        else if (string.Equals(kind, EvidenceRules.BenchFactAdded, StringComparison.Ordinal))
        {
            StoreTime.TryRead(_lastAt, out DateTimeOffset at);
            string payload = Encoding.UTF8.GetString(line.Payload);
            if (BenchStore.ReadFactPayload(payload, line.Sequence, at, Encoding.UTF8.GetString(line.Who)) is { } fact)
            {
                _facts[line.Sequence] = fact;
            }
        }
    }

    private void CheckHead()
    {
        var noted = connection
            .All(
                "SELECT lines, head_sha256 FROM record WHERE id = @id",
                row => ((long Lines, string Head)?)(row.GetInt64(0), row.GetString(1)),
                ("@id", id)
            )
            .FirstOrDefault();
        if (noted is not { } head)
        {
            Add("record.unlisted", $"record {id}", "The store's list of records does not name this one.");
        }
        else if (head.Lines != _lastSequence || !string.Equals(head.Head, _lastHash, StringComparison.Ordinal))
        {
            Add(
                head.Lines > _lastSequence ? "record.lines-missing-at-end" : "record.head-differs",
                $"record {id}",
                head.Lines > _lastSequence
                    ? $"Lines are missing at the end: {head.Lines} were stored, the last one there is {_lastSequence}."
                    : "The record does not end where the store's list of records says.",
                $"line {_lastSequence}, head {_lastHash}",
                $"line {head.Lines}, head {head.Head}"
            );
        }
    }

    private void CheckJob()
    {
        var job = connection
            .All(
                $"SELECT revision, changed_at, {StoreDialect.Of(connection).BytesOf("document")} FROM job WHERE id = @id",
                row =>
                    ((int Revision, string At, string Document)?)
                        (row.GetInt32(0), row.GetString(1), Encoding.UTF8.GetString(row.GetFieldValue<byte[]>(2))),
                ("@id", id)
            )
            .FirstOrDefault();
        string where = $"record {id}, job document";
        if (job is not { } found)
        {
            if (_savedDocument is not null || !string.Equals(id, BenchStore.ShopRecord, StringComparison.Ordinal))
            {
                Add("record.job-missing", where, "The record has no job document in the store.");
            }
        }
        else if (_savedDocument is null)
        {
            Add("record.job-without-evidence", where, "No line of evidence says how this job document came in.");
        }
        else if (!string.Equals(found.Document, _savedDocument, StringComparison.Ordinal))
        {
            Add("record.job-differs", where, "The job document is not what was saved last.");
        }
        else if (found.Revision != _saves || !string.Equals(found.At, _savedAt, StringComparison.Ordinal))
        {
            Add(
                "record.job-differs",
                where,
                "Revision or time of the job document is not that of its last save.",
                $"revision {found.Revision}, {found.At}",
                $"revision {_saves}, {_savedAt}"
            );
        }
    }

    private void CheckShelf()
    {
        Dictionary<string, ShelfItem> stored = connection
            .All("SELECT id, kind, title, item, revision, changed_at FROM shelf", BenchStore.ReadShelfItem)
            .ToDictionary(item => item.Id, StringComparer.Ordinal);
        foreach (string item in _shelf.Keys.Union(stored.Keys).Order(StringComparer.Ordinal))
        {
            if (stored.GetValueOrDefault(item) != _shelf.GetValueOrDefault(item))
            {
                Add("record.shelf-differs", $"shelf, {item}", "The thing on the shelf is not what was saved last.");
            }
        }
    }

    private void CheckBenchFacts()
    {
        Dictionary<long, (string Key, BenchFact Fact)> stored = connection
            .All(
                "SELECT sequence, bench, kind, at, who, fact, bench_key FROM bench_fact",
                row => (Key: row.GetString(6), Fact: BenchStore.ReadBenchFact(row))
            )
            .ToDictionary(row => row.Fact.Sequence);
        foreach (long line in _facts.Keys.Union(stored.Keys).Order())
        {
            (string? key, BenchFact? fact) = stored.GetValueOrDefault(line);
            if (
                fact is null
                || fact != _facts.GetValueOrDefault(line)
                || !string.Equals(key, BenchFactRules.KeyOf(fact.Bench), StringComparison.Ordinal)
            )
            {
                Add("record.bench-differs", $"fact of a bench, line {line}", "It is not what was added.");
            }
        }
    }

    private void CompareNotedHead(string notedHead)
    {
        _findings.Add(
            _notedHeadAt is { } at
                ? new Finding(
                    Verdict.Ok,
                    "record.noted-head",
                    $"record {id}",
                    at == _lastSequence
                        ? "The noted head is the record's head."
                        : $"The noted head is line {at}; {_lastSequence - at} lines were added since.",
                    $"line {at}",
                    $"head {notedHead}"
                )
                : new Finding(
                    Verdict.Blocker,
                    "record.noted-head-missing",
                    $"record {id}",
                    "The record does not hold the noted head: it was rewritten or cut since, or the note is of another record.",
                    $"head {_lastHash}",
                    $"head {notedHead}",
                    Todo: "Compare the note digit by digit, then compare with the last export."
                )
        );
    }

    private void Add(string code, string where, string what, string? value = null, string? limit = null) =>
        _findings.Add(
            new Finding(
                Verdict.Blocker,
                code,
                where,
                what,
                value,
                limit,
                Todo: "Do not rely on this record. Copy the folder, then compare with the last export."
            )
        );
}
