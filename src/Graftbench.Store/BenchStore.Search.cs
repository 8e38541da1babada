using System.Data.Common;
using System.Globalization;
using System.Text.Json;
using Graftbench.Core.Jobs;
using Graftbench.Core.Search;
using Graftbench.Store.Engines;

namespace Graftbench.Store;

public sealed partial class BenchStore
{
    // Fields of a payload that hold what a person wrote; the others are figures, hashes and places.
    private static readonly HashSet<string> Spoken = new(StringComparer.Ordinal)
    {
        "note",
        "words",
        "text",
        "title",
        "name",
        "what",
        "why",
        "from",
        "net",
        "rail",
        "answer",
        "comment",
    };

    /// <summary>Finds jobs by words, in their documents and in their evidence, and by stage.</summary>
    /// <param name="query">What is asked for.</param>
    /// <exception cref="StoreException">A document in the store cannot be read.</exception>
    public JobHits FindJobs(JobQuery query)
    {
        ArgumentNullException.ThrowIfNull(query);
        IReadOnlyList<string> words = SearchWords.Asked(query.Text);
        if (words.Count == 0 && !string.IsNullOrWhiteSpace(query.Text))
        {
            // Asked for something that no word has: nothing has it.
            return new JobHits([], 0);
        }
        return _connections.Read(connection => FindJobs(connection, query, words));
    }

    private static JobHits FindJobs(DbConnection connection, JobQuery query, IReadOnlyList<string> words)
    {
        List<string> conditions = [];
        List<(string, object?)> values = [];
        if (words.Count > 0)
        {
            (string condition, string value) = StoreDialect.Of(connection).HaveWords(words);
            conditions.Add(condition);
            values.Add(("@words", value));
        }
        if (query.Stages.Count > 0)
        {
            string[] names = [.. query.Stages.Select((_, i) => $"@stage{i}")];
            conditions.Add($"job_list.stage IN ({string.Join(", ", names)})");
            values.AddRange(names.Zip(query.Stages, (name, stage) => (name, (object?)Word(stage))));
        }
        string where = conditions.Count == 0 ? "" : "WHERE " + string.Join(" AND ", conditions);
        (string, object?)[] all = [.. values];
        int total = Convert.ToInt32(
            connection.Scalar($"SELECT count(*) FROM job_list {where}", all),
            CultureInfo.InvariantCulture
        );
        // The page is cut out of the short list first, in the order of its index; documents are read for that page only.
        List<StoredJob> jobs = connection.All(
            $"""
            SELECT job.id, job.revision, job.changed_at, job.document
            FROM (
                SELECT id, changed_at FROM job_list {where}
                ORDER BY changed_at DESC, id DESC LIMIT @take OFFSET @skip
            ) AS page JOIN job ON job.id = page.id
            ORDER BY page.changed_at DESC, page.id DESC
            """,
            ReadJob,
            [.. all, ("@take", Math.Clamp(query.Take, 0, JobQuery.MostJobs)), ("@skip", Math.Max(query.Offset, 0))]
        );
        return new JobHits(jobs, total);
    }

    /// <summary>Whether the store holds no record at all.</summary>
    public bool IsEmpty => _connections.Read(connection => connection.Scalar("SELECT 1 FROM record LIMIT 1") is null);

    /// <summary>How many lines a record has; 0 where there is no such record.</summary>
    public long Lines(string recordId) =>
        _connections.Read(connection => HeadOf(connection, recordId) is { } head ? head.Lines : 0);

    /// <summary>How many lines of a kind each record has; records without one are left out.</summary>
    public IReadOnlyDictionary<string, long> LinesOfKind(string kind) =>
        _connections.Read(connection =>
            connection
                .All(
                    "SELECT record_id, count(*) FROM evidence WHERE kind = @kind GROUP BY record_id",
                    row => (Id: row.GetString(0), Lines: row.GetInt64(1)),
                    ("@kind", kind)
                )
                .ToDictionary(row => row.Id, row => row.Lines, StringComparer.Ordinal)
        );

    /// <summary>The lines of one kind of a record, oldest first.</summary>
    public IReadOnlyList<EvidenceLine> Evidence(string recordId, string kind) =>
        _connections.Read(connection =>
            connection.All(
                $"SELECT {LineColumns} FROM evidence WHERE kind = @kind AND record_id = @id ORDER BY sequence",
                ReadLine,
                ("@kind", kind),
                ("@id", recordId)
            )
        );

    /// <summary>The evidence of a record, oldest first, with the documents of its newest saves only.</summary>
    /// <param name="recordId">Job id, or <see cref="ShopRecord"/>.</param>
    /// <param name="savesKept">Saves whose document is given; the payload of older ones is an empty object.</param>
    public IReadOnlyList<EvidenceLine> EvidenceBrief(string recordId, int savesKept) =>
        _connections.Read(connection =>
        {
            object? first = connection.Scalar(
                """
                SELECT sequence FROM evidence WHERE kind = @saved AND record_id = @id
                ORDER BY sequence DESC LIMIT 1 OFFSET @kept
                """,
                ("@saved", EvidenceRules.JobSaved),
                ("@id", recordId),
                ("@kept", savesKept)
            );
            string payload = "CASE WHEN kind = @saved AND sequence <= @last THEN '{}' ELSE payload END";
            return connection.All(
                $"""
                SELECT {LineColumns.Replace("payload", payload, StringComparison.Ordinal)}
                FROM evidence WHERE record_id = @id ORDER BY sequence
                """,
                ReadLine,
                ("@saved", EvidenceRules.JobSaved),
                ("@last", first ?? 0L),
                ("@id", recordId)
            );
        });

    /// <summary>The lines that were added last to any record, the newest first, without their payloads.</summary>
    /// <param name="most">At most so many.</param>
    /// <param name="read">What is made of a line; its payload is empty.</param>
    /// <returns>Numbers of the lines in the whole store, with what was made of them.</returns>
    public IReadOnlyList<(long Number, TLine Line)> LatestLines<TLine>(int most, Func<EvidenceLine, TLine> read) =>
        _connections.Read(connection =>
            connection.All(
                $"""
                SELECT {LineColumns.Replace("payload", "''", StringComparison.Ordinal)}, id
                FROM evidence ORDER BY id DESC LIMIT @most
                """,
                row => (row.GetInt64(11), read(ReadLine(row))),
                ("@most", most)
            )
        );

    /// <summary>Makes lists and search anew where they do not hold every job: after a migration, a move, a restore.</summary>
    internal void CompleteLists()
    {
        if (_connections.Read(IsComplete))
        {
            return;
        }
        _connections.Write(connection =>
        {
            foreach (string id in connection.All("SELECT id FROM job", row => row.GetString(0)))
            {
                Relist(connection, id);
            }
            return true;
        });
    }

    private static bool IsComplete(DbConnection connection) =>
        connection.Scalar(
            "SELECT 1 FROM job LEFT JOIN job_list ON job_list.id = job.id WHERE job_list.id IS NULL LIMIT 1"
        )
            is null;

    /// <summary>Puts a job into the lists as it is now, with the words of all its evidence.</summary>
    private static void Relist(DbConnection connection, string id)
    {
        var found = connection
            .All(
                "SELECT changed_at, document FROM job WHERE id = @id",
                row => (At: row.GetString(0), Document: row.GetString(1)),
                ("@id", id)
            )
            .FirstOrDefault();
        if (found.Document is null)
        {
            return;
        }
        IEnumerable<string> texts = connection
            .All(
                "SELECT payload, file_name FROM evidence WHERE record_id = @id AND kind <> @saved ORDER BY sequence",
                row => TextsOf(row.GetString(0), row.TextOrNull(1)),
                ("@id", id),
                ("@saved", EvidenceRules.JobSaved)
            )
            .SelectMany(one => one);
        WriteList(connection, id, found.At, found.Document, string.Join(' ', SearchWords.Of(texts)));
    }

    /// <summary>Puts a job that was just saved into the lists; the words of its evidence stay.</summary>
    private static void List(DbConnection connection, string id, EvidenceLine saved) =>
        WriteList(connection, id, StoreTime.Write(saved.At), saved.PayloadJson, evidenceWords: null);

    /// <summary>Adds the words of a new line to the search for its job.</summary>
    private static void ListWords(DbConnection connection, EvidenceLine line)
    {
        var known = connection
            .All(
                """
                SELECT document_words, evidence_words, job_list.number
                FROM job_list JOIN job_text ON job_text.number = job_list.number WHERE id = @id
                """,
                row => (Document: row.GetString(0), Evidence: row.GetString(1), Number: row.GetInt64(2)),
                ("@id", line.RecordId)
            )
            .FirstOrDefault();
        if (known.Document is null)
        {
            return;
        }
        SortedSet<string> words = new(
            known.Evidence.Split(' ', StringSplitOptions.RemoveEmptyEntries),
            StringComparer.Ordinal
        );
        int before = words.Count;
        foreach (string word in SearchWords.Of(TextsOf(line.PayloadJson, line.FileName)))
        {
            if (words.Count < SearchWords.MaxWords)
            {
                words.Add(word);
            }
        }
        if (words.Count == before)
        {
            return;
        }
        string joined = string.Join(' ', words);
        connection.Run(
            "UPDATE job_text SET evidence_words = @words WHERE number = @number",
            ("@words", joined),
            ("@number", known.Number)
        );
        StoreDialect.Of(connection).WriteWords(connection, known.Number, $"{known.Document} {joined}");
    }

    private static void WriteList(
        DbConnection connection,
        string id,
        string changedAt,
        string document,
        string? evidenceWords
    )
    {
        (string stage, string words) = Listed(document);
        connection.Run(
            """
            INSERT INTO job_list (id, stage, changed_at) VALUES (@id, @stage, @at)
            ON CONFLICT (id) DO UPDATE SET stage = excluded.stage, changed_at = excluded.changed_at
            """,
            ("@id", id),
            ("@stage", stage),
            ("@at", changedAt)
        );
        object number = connection.Scalar("SELECT number FROM job_list WHERE id = @id", ("@id", id))!;
        string evidence =
            evidenceWords
            ?? connection.Scalar("SELECT evidence_words FROM job_text WHERE number = @number", ("@number", number))
                as string
            ?? "";
        connection.Run(
            """
            INSERT INTO job_text (number, document_words, evidence_words) VALUES (@number, @words, @evidence)
            ON CONFLICT (number) DO UPDATE
            SET document_words = excluded.document_words, evidence_words = excluded.evidence_words
            """,
            ("@number", number),
            ("@words", words),
            ("@evidence", evidence)
        );
        StoreDialect.Of(connection).WriteWords(connection, (long)number, $"{words} {evidence}");
    }

    /// <summary>Stage and words of a document; one that cannot be read is in the lists without them.</summary>
    private static (string Stage, string Words) Listed(string document)
    {
        try
        {
            Job? job = JsonSerializer.Deserialize<Job>(document, JobFormat.Json);
            return job is null
                ? ("", "")
                : (Word(job.Stage), string.Join(' ', SearchWords.Of(JobTexts.Of(job).Select(text => text.Text))));
        }
        catch (Exception problem) when (EvidenceChain.IsNotSuchPayload(problem))
        {
            return ("", "");
        }
    }

    /// <summary>What a person wrote in a payload, and the name of its file.</summary>
    private static List<string> TextsOf(string payload, string? fileName)
    {
        List<string> texts = fileName is null ? [] : [fileName];
        try
        {
            using JsonDocument json = JsonDocument.Parse(
                payload,
                new JsonDocumentOptions { MaxDepth = JobFormat.MaxDepth }
            );
            Take(json.RootElement, isSpoken: false, texts);
        }
        catch (Exception problem) when (EvidenceChain.IsNotSuchPayload(problem))
        {
            // Kept as it came; only the name of its file is searched for.
        }
        return texts;
    }

    private static void Take(JsonElement value, bool isSpoken, List<string> texts)
    {
        switch (value.ValueKind)
        {
            case JsonValueKind.String when isSpoken && value.GetString() is { } text:
                texts.Add(text);
                break;
            case JsonValueKind.Array:
                foreach (JsonElement entry in value.EnumerateArray())
                {
                    Take(entry, isSpoken, texts);
                }
                break;
            case JsonValueKind.Object:
                foreach (JsonProperty property in value.EnumerateObject())
                {
                    Take(property.Value, Spoken.Contains(property.Name), texts);
                }
                break;
        }
    }

    private static string Word(JobStage stage) => JsonNamingPolicy.KebabCaseLower.ConvertName(stage.ToString());
}
