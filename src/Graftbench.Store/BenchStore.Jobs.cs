using System.Data.Common;
using System.Text.Json;
using Graftbench.Core.Jobs;

namespace Graftbench.Store;

public sealed partial class BenchStore
{
    /// <summary>All jobs, last changed first.</summary>
    /// <exception cref="StoreException">A document in the store cannot be read.</exception>
    public IReadOnlyList<StoredJob> Jobs() =>
        _connections.Read(connection =>
            connection.All("SELECT id, revision, changed_at, document FROM job ORDER BY changed_at DESC, id", ReadJob)
        );

    /// <summary>Finds a job; null where there is none.</summary>
    /// <exception cref="StoreException">The document in the store cannot be read.</exception>
    public StoredJob? FindJob(string id) => _connections.Read(connection => FindJob(connection, id));

    /// <summary>Saves a job and writes the evidence line <c>job-saved</c> with the whole document, in one transaction.</summary>
    /// <remarks>A job that is in the store unchanged is given back as it is there; nothing is written.</remarks>
    /// <param name="job">The job.</param>
    /// <param name="expectedRevision">Revision that was edited; 0 for a new job.</param>
    /// <param name="who">Who saves it.</param>
    /// <exception cref="StaleRevisionException">A newer revision is in the store.</exception>
    /// <exception cref="JobRefusedException">The document would not be read back without problems.</exception>
    public StoredJob SaveJob(Job job, int expectedRevision, string who) =>
        Save(job, expectedRevision, who, evidence: null);

    /// <summary>Stores evidence with its file and the job document that mentions it, in one transaction: both or neither.</summary>
    /// <param name="job">The job, with the evidence in it.</param>
    /// <param name="expectedRevision">Revision that was edited.</param>
    /// <param name="who">Who saves the job.</param>
    /// <param name="draft">The evidence; its line stands before that of the job.</param>
    /// <exception cref="StaleRevisionException">A newer revision is in the store.</exception>
    /// <exception cref="JobRefusedException">The document would not be read back without problems.</exception>
    /// <exception cref="ArgumentException">A text breaks <see cref="EvidenceRules"/>.</exception>
    public StoredJob SaveJobWithEvidence(Job job, int expectedRevision, string who, EvidenceDraft draft)
    {
        ArgumentNullException.ThrowIfNull(draft);
        RefuseSavingKind(draft);
        return Save(job, expectedRevision, who, draft);
    }

    private StoredJob Save(Job job, int expectedRevision, string who, EvidenceDraft? evidence)
    {
        ArgumentNullException.ThrowIfNull(job);
        byte[] utf8 = JobFormat.Write(job);
        JobReading reading = JobReader.Read(utf8, _time.GetUtcNow());
        if (reading.Job is null)
        {
            throw new JobRefusedException(job.Id, reading);
        }
        EvidenceDraft draft = new(who, EvidenceRules.JobSaved, EvidenceChain.Utf8.GetString(utf8));
        return _connections.Write(
            job.Id,
            connection =>
            {
                var found = connection
                    .All(
                        "SELECT revision, changed_at, document FROM job WHERE id = @id",
                        row => (Revision: row.GetInt32(0), ChangedAt: row.GetString(1), Document: row.GetString(2)),
                        ("@id", job.Id)
                    )
                    .FirstOrDefault();
                if (evidence is null && string.Equals(found.Document, draft.PayloadJson, StringComparison.Ordinal))
                {
                    return new StoredJob(job, found.Revision, ReadTime(found.ChangedAt, job.Id));
                }
                if (found.Revision != expectedRevision)
                {
                    throw new StaleRevisionException($"Job {job.Id}", expectedRevision, found.Revision);
                }
                EvidenceLine? beside = evidence is null ? null : AddLine(connection, job.Id, evidence, mayBeNew: true);
                EvidenceLine line = AddLine(connection, job.Id, draft, mayBeNew: true);
                WriteJob(connection, job.Id, found.Revision + 1, line);
                List(connection, job.Id, line);
                if (beside is not null)
                {
                    ListWords(connection, beside);
                }
                return new StoredJob(job, found.Revision + 1, line.At);
            }
        );
    }

    /// <summary>All saves of a job, oldest first; empty where there is no such job.</summary>
    public IReadOnlyList<JobRevision> JobHistory(string id) =>
        _connections.Read(connection =>
            connection.All(
                """
                SELECT row_number() OVER (ORDER BY sequence), sequence, at, who FROM evidence
                WHERE record_id = @id AND kind = @kind ORDER BY sequence
                """,
                row => new JobRevision(
                    row.GetInt32(0),
                    row.GetInt64(1),
                    ReadTime(row.GetString(2), id),
                    row.GetString(3)
                ),
                ("@id", id),
                ("@kind", EvidenceRules.JobSaved)
            )
        );

    /// <summary>A job as it was at a revision, from its evidence; null where there is no such revision.</summary>
    public StoredJob? FindJob(string id, int revision) =>
        _connections.Read(connection =>
            connection
                .All(
                    """
                    SELECT record_id, @revision, at, payload FROM evidence
                    WHERE record_id = @id AND kind = @kind ORDER BY sequence LIMIT 1 OFFSET @revision - 1
                    """,
                    ReadJob,
                    ("@id", id),
                    ("@kind", EvidenceRules.JobSaved),
                    ("@revision", Math.Max(revision, 1))
                )
                .FirstOrDefault(_ => revision >= 1)
        );

    private static StoredJob? FindJob(DbConnection connection, string id) =>
        connection
            .All("SELECT id, revision, changed_at, document FROM job WHERE id = @id", ReadJob, ("@id", id))
            .FirstOrDefault();

    private static void WriteJob(DbConnection connection, string id, int revision, EvidenceLine line) =>
        connection.Run(
            """
            INSERT INTO job (id, revision, changed_at, document) VALUES (@id, @revision, @at, @document)
            ON CONFLICT (id) DO UPDATE
            SET revision = excluded.revision, changed_at = excluded.changed_at, document = excluded.document
            """,
            ("@id", id),
            ("@revision", revision),
            ("@at", StoreTime.Write(line.At)),
            ("@document", line.PayloadJson)
        );

    private static StoredJob ReadJob(DbDataReader row)
    {
        string id = row.GetString(0);
        try
        {
            Job? job = JsonSerializer.Deserialize<Job>(row.GetString(3), JobFormat.Json);
            return new StoredJob(
                job ?? throw new JsonException("the document is null"),
                row.GetInt32(1),
                ReadTime(row.GetString(2), id)
            );
        }
        catch (Exception problem) when (problem is JsonException or InvalidOperationException or ArgumentException)
        {
            throw new StoreException(
                $"The document of a job in the store cannot be read ({problem.Message.TrimEnd('.')})",
                $"job {id}",
                $"Run `graftbench record verify {id}`; `graftbench record show {id}` lists what was saved before.",
                problem
            );
        }
    }

    private static DateTimeOffset ReadTime(string text, string recordId) =>
        StoreTime.TryRead(text, out DateTimeOffset at)
            ? at
            : throw new StoreException(
                $"A time in the store cannot be read (\"{text}\")",
                $"record {recordId}",
                $"Run `graftbench record verify {recordId}`."
            );
}
