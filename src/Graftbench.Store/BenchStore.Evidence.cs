using System.Data.Common;
using Graftbench.Store.Engines;

namespace Graftbench.Store;

public sealed partial class BenchStore
{
    private const string LineColumns =
        "record_id, sequence, at, who, kind, payload, file_sha256, previous_sha256, sha256, file_name, file_media_type";

    /// <summary>Appends evidence; on return it is on disk.</summary>
    /// <param name="recordId">Id of a job in the store, or <see cref="ShopRecord"/>.</param>
    /// <param name="draft">The evidence. Its kind may be none that only the store writes: <c>job-saved</c>, <c>shelf-saved</c>, <c>bench-fact</c>, <c>personal-data-removed</c>.</param>
    /// <exception cref="UnknownRecordException">There is no such job.</exception>
    /// <exception cref="ArgumentException">A text breaks <see cref="EvidenceRules"/>.</exception>
    public EvidenceLine Append(string recordId, EvidenceDraft draft)
    {
        ArgumentNullException.ThrowIfNull(draft);
        RefuseSavingKind(draft);
        return _connections.Write(
            recordId,
            connection =>
            {
                EvidenceLine line = AddLine(
                    connection,
                    recordId,
                    draft,
                    mayBeNew: string.Equals(recordId, ShopRecord, StringComparison.Ordinal)
                );
                ListWords(connection, line);
                return line;
            }
        );
    }

    /// <summary>The evidence of a record, oldest first; empty where there is no such record.</summary>
    public IReadOnlyList<EvidenceLine> Evidence(string recordId) => Evidence(recordId, 0);

    /// <summary>The evidence of a record behind a line, oldest first.</summary>
    /// <param name="recordId">Job id, or <see cref="ShopRecord"/>.</param>
    /// <param name="afterSequence">Lines up to this one are left out; 0 gives all.</param>
    public IReadOnlyList<EvidenceLine> Evidence(string recordId, long afterSequence) =>
        _connections.Read(connection => LinesOf(connection, recordId, afterSequence).ToList());

    /// <summary>A file by its SHA-256; null where there is none, or where its content was removed on request.</summary>
    /// <exception cref="StoreException">The bytes in the store no longer have that hash.</exception>
    public StoredFile? FindFile(string sha256) =>
        _connections.Read(connection =>
        {
            using Stream? content = StoreDialect.Of(connection).OpenFile(connection, sha256);
            if (content is null || (content.Length == 0 && IsEmptied(connection, sha256)))
            {
                return null;
            }
            byte[] bytes = new byte[content.Length];
            content.ReadExactly(bytes);
            StoredFile? found = connection
                .All(
                    """
                    SELECT file_name, file_media_type FROM evidence WHERE file_sha256 = @sha ORDER BY id LIMIT 1
                    """,
                    row => new StoredFile(
                        row.TextOrNull(0) ?? sha256,
                        row.TextOrNull(1) ?? "application/octet-stream",
                        bytes
                    ),
                    ("@sha", sha256)
                )
                .FirstOrDefault();
            if (
                found is not null
                && !string.Equals(EvidenceChain.FileHash(found.Bytes), sha256, StringComparison.Ordinal)
            )
            {
                throw new StoreException(
                    "A file in the store is not what was stored: its SHA-256 differs",
                    $"file {sha256}",
                    "Run `graftbench record verify` and fetch the file from the last export."
                );
            }
            return found;
        });

    /// <summary>Whether the content of a file was removed on request, while its hash and size stay.</summary>
    public bool IsEmptied(string sha256) => _connections.Read(connection => IsEmptied(connection, sha256));

    /// <summary>Files of a record whose content was removed on request, by SHA-256.</summary>
    public IReadOnlySet<string> EmptiedFiles(string recordId) =>
        _connections.Read(connection =>
            connection
                .All(
                    """
                    SELECT DISTINCT file.sha256 FROM evidence JOIN file ON file.sha256 = evidence.file_sha256
                    WHERE evidence.record_id = @id AND file.length > 0 AND length(file.content) = 0
                    """,
                    row => row.GetString(0),
                    ("@id", recordId)
                )
                .ToHashSet(StringComparer.Ordinal)
        );

    /// <summary>Why <see cref="FindFile"/> has no file that a line of evidence refers to.</summary>
    /// <param name="what">What the file is, as a message begins: <c>A picture</c>.</param>
    /// <param name="sha256">The file.</param>
    public StoreException WhyNoFile(string what, string sha256) =>
        IsEmptied(sha256)
            ? new FileRemovedException(sha256)
            : new StoreException(
                $"{what} is no longer in the store",
                $"file {sha256}",
                "Run `graftbench record verify`."
            );

    /// <summary>
    /// Opens a file's bytes for reading without loading them all; null where there is none or where they were removed on
    /// request. Their hash is not checked.
    /// </summary>
    public Stream? OpenFile(string sha256)
    {
        DbConnection connection = _connections.RentBegun();
        try
        {
            if (
                !IsEmptied(connection, sha256)
                && StoreDialect.Of(connection).OpenFile(connection, sha256) is { } content
            )
            {
                return new StoredFileStream(content, () => _connections.EndLoan(connection));
            }
            _connections.EndLoan(connection);
            return null;
        }
        catch (Exception problem) when (_connections.IsMine(problem, connection))
        {
            connection.Dispose();
            throw _connections.Explain(problem);
        }
    }

    /// <summary>Reads the lines of a record one by one, inside the caller's transaction.</summary>
    private static IEnumerable<EvidenceLine> LinesOf(DbConnection connection, string recordId, long afterSequence)
    {
        using DbCommand command = connection.Command(
            $"SELECT {LineColumns} FROM evidence WHERE record_id = @id AND sequence > @after ORDER BY sequence",
            ("@id", recordId),
            ("@after", afterSequence)
        );
        using DbDataReader row = command.ExecuteReader();
        while (row.Read())
        {
            yield return ReadLine(row);
        }
    }

    private static EvidenceLine ReadLine(DbDataReader row) =>
        new(
            row.GetString(0),
            row.GetInt64(1),
            ReadTime(row.GetString(2), row.GetString(0)),
            row.GetString(3),
            row.GetString(4),
            row.GetString(5),
            row.TextOrNull(6),
            row.GetString(7),
            row.GetString(8),
            row.TextOrNull(9),
            row.TextOrNull(10)
        );

    private static (long Lines, string Head)? HeadOf(DbConnection connection, string recordId) =>
        connection
            .All(
                "SELECT lines, head_sha256 FROM record WHERE id = @id",
                row => ((long, string)?)(row.GetInt64(0), row.GetString(1)),
                ("@id", recordId)
            )
            .FirstOrDefault();

    private EvidenceLine AddLine(DbConnection connection, string recordId, EvidenceDraft draft, bool mayBeNew) =>
        AddLine(connection, recordId, draft, mayBeNew, draft.File is null ? null : LongFile.Of(draft.File));

    private EvidenceLine AddLine(
        DbConnection connection,
        string recordId,
        EvidenceDraft draft,
        bool mayBeNew,
        LongFile? file
    )
    {
        (long lines, string head) = HeadOf(connection, recordId) ?? (-1, EvidenceChain.Start);
        if (lines < 0)
        {
            if (!mayBeNew)
            {
                throw new UnknownRecordException(recordId, FilePath);
            }
            lines = 0;
        }
        EvidenceLine line = new(
            recordId,
            lines + 1,
            _time.GetUtcNow().ToUniversalTime(),
            draft.Who,
            draft.Kind,
            draft.PayloadJson,
            file?.Sha256,
            head,
            "",
            file?.Name,
            file?.MediaType
        );
        RefuseProblems(line, file);
        line = line with { Sha256 = EvidenceChain.Hash(line) };
        if (file is not null)
        {
            AddFile(connection, file);
        }
        InsertLine(connection, line);
        return line;
    }

    private static void RefuseSavingKind(EvidenceDraft draft)
    {
        if (draft.Kind is EvidenceRules.JobSaved or EvidenceRules.ShelfSaved or EvidenceRules.BenchFactAdded)
        {
            throw new ArgumentException($"Lines of the kind {draft.Kind} are written by saving.", nameof(draft));
        }
        if (draft.Kind is EvidenceRules.PersonalDataRemoved)
        {
            throw new ArgumentException(
                $"Lines of the kind {draft.Kind} are written by removing personal data.",
                nameof(draft)
            );
        }
    }

    private static void RefuseProblems(EvidenceLine line, LongFile? file)
    {
        IReadOnlyList<string> problems = EvidenceRules.Problems(line);
        if (problems.Count > 0)
        {
            throw new ArgumentException(
                "This evidence cannot be stored: " + string.Join("; ", problems) + ".",
                nameof(line)
            );
        }
        if (file is { Length: > EvidenceRules.MaxFileBytes })
        {
            throw new ArgumentException(
                $"The file has {file.Length} bytes, more than {EvidenceRules.MaxFileBytes}.",
                nameof(line)
            );
        }
    }

    private static void AddFile(DbConnection connection, string sha256, byte[] bytes) =>
        AddFile(connection, new LongFile("", "", sha256, bytes.LongLength, to => to.Write(bytes)));

    private static void AddFile(DbConnection connection, LongFile file)
    {
        if (!HasFile(connection, file.Sha256))
        {
            StoreDialect.Of(connection).AddFile(connection, file.Sha256, file.Length, file.WriteTo);
        }
        else if (IsEmptied(connection, file.Sha256))
        {
            // Somebody stores the very bytes again that were taken out: for them they are evidence.
            StoreDialect.Of(connection).RefillFile(connection, file.Sha256, file.Length, file.WriteTo);
        }
    }

    /// <summary>Notes a file whose content was removed elsewhere, where there is none of that hash.</summary>
    private static void AddEmptiedFile(DbConnection connection, string sha256, long length)
    {
        if (!HasFile(connection, sha256))
        {
            connection.Run(
                $"INSERT INTO file (sha256, length, content) VALUES (@sha, @length, {StoreDialect.Of(connection).NoBytes})",
                ("@sha", sha256),
                ("@length", length)
            );
        }
    }

    private static bool IsEmptied(DbConnection connection, string sha256) =>
        connection.Scalar(
            "SELECT 1 FROM file WHERE sha256 = @sha AND length > 0 AND length(content) = 0",
            ("@sha", sha256)
        )
            is not null;

    private static bool HasFile(DbConnection connection, string sha256) =>
        connection.Scalar("SELECT 1 FROM file WHERE sha256 = @sha", ("@sha", sha256)) is not null;

    private static void InsertLine(DbConnection connection, EvidenceLine line)
    {
        if (line.Sequence == 1 && HeadOf(connection, line.RecordId) is null)
        {
            connection.Run(
                "INSERT INTO record (id, lines, head_sha256) VALUES (@id, 0, @start)",
                ("@id", line.RecordId),
                ("@start", EvidenceChain.Start)
            );
        }
        connection.Run(
            $"""
            INSERT INTO evidence ({LineColumns})
            VALUES (@record, @sequence, @at, @who, @kind, @payload, @file, @previous, @sha, @name, @type)
            """,
            ("@record", line.RecordId),
            ("@sequence", line.Sequence),
            ("@at", StoreTime.Write(line.At)),
            ("@who", line.Who),
            ("@kind", line.Kind),
            ("@payload", line.PayloadJson),
            ("@file", line.FileSha256),
            ("@previous", line.PreviousSha256),
            ("@sha", line.Sha256),
            ("@name", line.FileName),
            ("@type", line.FileMediaType)
        );
    }

    /// <summary>A file whose bytes can be written again and again, always the same.</summary>
    private sealed record LongFile(string Name, string MediaType, string Sha256, long Length, Action<Stream> WriteTo)
    {
        public static LongFile Of(StoredFile file) =>
            new(
                file.Name,
                file.MediaType,
                EvidenceChain.FileHash(file.Bytes),
                file.Bytes.LongLength,
                to => to.Write(file.Bytes)
            );

        public static LongFile Of(string name, string mediaType, Action<Stream> writeTo)
        {
            using HashingStream measured = new(Stream.Null);
            writeTo(measured);
            return new(name, mediaType, measured.Sha256(), measured.Length, writeTo);
        }
    }
}
