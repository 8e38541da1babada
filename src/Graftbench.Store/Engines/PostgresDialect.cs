using System.Collections.Concurrent;
using System.Data;
using System.Data.Common;
using System.Globalization;
using Graftbench.Core.Findings;
using Npgsql;
using NpgsqlTypes;

namespace Graftbench.Store.Engines;

/// <summary>How the store speaks to PostgreSQL.</summary>
internal sealed class PostgresDialect : StoreDialect
{
    /// <summary>Table that marks a schema as a Graftbench store and holds its format.</summary>
    public const string MarkTable = "graftbench_store";

    // Locks are shared by a whole database; the second number keeps stores in different schemas apart.
    private const string StoreLock = "1196574274, hashtext(current_schema())";

    // Files up to here are held in memory while they are stored; longer ones go through a temporary file.
    private const int MostBytesInMemory = 4 * 1024 * 1024;

    private static readonly ConcurrentDictionary<string, IReadOnlyDictionary<string, string>> Expected = new(
        StringComparer.Ordinal
    );

    private PostgresDialect() { }

    public static PostgresDialect Only { get; } = new();

    public override string Name => "postgres";

    public override void BeginRead(DbConnection connection) =>
        connection.Run("BEGIN ISOLATION LEVEL REPEATABLE READ READ ONLY");

    /// <summary>Begins a transaction that no other writer to the record can step into.</summary>
    /// <remarks>
    /// A writer to one record holds the row of its head, so that the next one reads the head that this one leaves. Each
    /// statement sees what was committed before it (READ COMMITTED): what is read after the lock is the newest there is.
    /// A writer to any record keeps all others out, as in SQLite.
    /// </remarks>
    public override void BeginWrite(DbConnection connection, string? recordId)
    {
        if (recordId is null)
        {
            connection.Run($"BEGIN ISOLATION LEVEL READ COMMITTED; SELECT pg_advisory_xact_lock({StoreLock})");
            return;
        }
        connection.Run($"BEGIN ISOLATION LEVEL READ COMMITTED; SELECT pg_advisory_xact_lock_shared({StoreLock})");
        const string head = "SELECT 1 FROM record WHERE id = @id FOR UPDATE";
        if (connection.Scalar(head, ("@id", recordId)) is null)
        {
            // There is no row to hold yet: those who want to make it queue up for its name.
            connection.Run(
                "SELECT pg_advisory_xact_lock(hashtextextended(current_schema() || ' ' || @id, 1196574274))",
                ("@id", recordId)
            );
            connection.Scalar(head, ("@id", recordId));
        }
    }

    public override void BeginMigration(DbConnection connection) => BeginWrite(connection, null);

    // After an error PostgreSQL answers COMMIT with a quiet ROLLBACK; the question before it makes that loud.
    public override void Commit(DbConnection connection) => connection.Run("SELECT 1; COMMIT");

    // ROLLBACK without a transaction does nothing, so it is enough that somebody listens.
    public override bool IsInTransaction(DbConnection connection) => connection.State == ConnectionState.Open;

    public override int Version(DbConnection connection) =>
        HasMark(connection)
            ? Convert.ToInt32(connection.Scalar($"SELECT max(format) FROM {MarkTable}"), CultureInfo.InvariantCulture)
            : 0;

    /// <summary>Whether the schema is marked as a store.</summary>
    public static bool HasMark(DbConnection connection) =>
        connection.Scalar(
            "SELECT 1 FROM pg_tables WHERE schemaname = current_schema() AND tablename = @mark",
            ("@mark", MarkTable)
        )
            is not null;

    public override void SetVersion(DbConnection connection, int version) =>
        connection.Run(
            $"""
            CREATE TABLE IF NOT EXISTS {MarkTable} (is_store boolean NOT NULL PRIMARY KEY CHECK (is_store), format bigint NOT NULL);
            INSERT INTO {MarkTable} (is_store, format) VALUES (true, {version})
            ON CONFLICT (is_store) DO UPDATE SET format = excluded.format;
            """
        );

    public override IReadOnlyDictionary<string, string> Parts(DbConnection connection) =>
        connection
            .All(
                """
                WITH mine AS (SELECT oid FROM pg_namespace WHERE nspname = current_schema()),
                things AS (
                    SELECT c.oid, c.relname, c.relkind FROM pg_class c
                    WHERE c.relnamespace = (SELECT oid FROM mine) AND c.relkind IN ('r', 'p', 'v', 'm', 'f')
                )
                SELECT 'column ' || t.relname || '.' || a.attname,
                    concat_ws(' ', t.relkind, format_type(a.atttypid, a.atttypmod), a.attnotnull, a.attidentity, a.attstorage,
                        (SELECT collname FROM pg_collation WHERE oid = a.attcollation))
                FROM things t JOIN pg_attribute a ON a.attrelid = t.oid AND a.attnum > 0 AND NOT a.attisdropped
                UNION ALL
                SELECT 'table ' || relname, relkind::text FROM things
                UNION ALL
                SELECT 'constraint ' || t.relname || '.' || k.conname, pg_get_constraintdef(k.oid, true)
                FROM things t JOIN pg_constraint k ON k.conrelid = t.oid AND k.contype IN ('p', 'u', 'f', 'c')
                UNION ALL
                SELECT 'index ' || i.relname, pg_get_indexdef(x.indexrelid, 0, true)
                FROM things t JOIN pg_index x ON x.indrelid = t.oid JOIN pg_class i ON i.oid = x.indexrelid
                UNION ALL
                SELECT 'trigger ' || g.tgname, g.tgenabled::text || ' ' || pg_get_triggerdef(g.oid, true)
                FROM things t JOIN pg_trigger g ON g.tgrelid = t.oid AND NOT g.tgisinternal
                UNION ALL
                SELECT 'function ' || p.proname, p.prosrc FROM pg_proc p WHERE p.pronamespace = (SELECT oid FROM mine)
                UNION ALL
                SELECT 'rule ' || t.relname || '.' || r.rulename, pg_get_ruledef(r.oid, true)
                FROM things t JOIN pg_rewrite r ON r.ev_class = t.oid
                """,
                row => (Name: row.GetString(0), Text: row.GetString(1))
            )
            .DistinctBy(part => part.Name)
            .ToDictionary(part => part.Name, part => part.Text, StringComparer.Ordinal);

    /// <summary>The same server says it, of a schema that is made for it and taken back at once.</summary>
    public override IReadOnlyDictionary<string, string> ExpectedParts(DbConnection connection) =>
        Expected.GetOrAdd(
            connection.ServerVersion,
            _ =>
            {
                using NpgsqlConnection model = (NpgsqlConnection)((ICloneable)connection).Clone();
                model.Open();
                string schema = $"graftbench_model_{Guid.NewGuid():N}";
                model.Run($"BEGIN; CREATE SCHEMA {schema}; SET LOCAL search_path = {schema}");
                foreach (Migration migration in StoreSchema.MigrationsOf(this))
                {
                    model.Run(migration.Text);
                    SetVersion(model, migration.Version);
                }
                IReadOnlyDictionary<string, string> parts = Parts(model);
                model.Run("ROLLBACK");
                return parts;
            }
        );

    public override IEnumerable<Finding> Soundness(DbConnection connection, string where)
    {
        long danglingRows = (long)
            connection.Scalar(
                """
                SELECT (SELECT count(*) FROM evidence e LEFT JOIN record r ON r.id = e.record_id WHERE r.id IS NULL)
                    + (SELECT count(*) FROM evidence e LEFT JOIN file f ON f.sha256 = e.file_sha256
                        WHERE e.file_sha256 IS NOT NULL AND f.sha256 IS NULL)
                    + (SELECT count(*) FROM job j LEFT JOIN record r ON r.id = j.id WHERE r.id IS NULL)
                    + (SELECT count(*) FROM heat_run h LEFT JOIN record r ON r.id = h.record_id WHERE r.id IS NULL)
                """
            )!;
        if (danglingRows > 0)
        {
            yield return new Finding(
                Verdict.FixFirst,
                "store.dangling-rows",
                where,
                "Rows refer to a record or a file that is not there.",
                $"{danglingRows} rows",
                "0 rows",
                Todo: "The findings of the records say which; fetch what is missing from the last export."
            );
        }
        List<string> unsafeSettings = connection.All(
            "SELECT name FROM pg_settings WHERE name IN ('fsync', 'full_page_writes') AND setting = 'off' ORDER BY name",
            row => row.GetString(0)
        );
        foreach (string setting in unsafeSettings)
        {
            yield return new Finding(
                Verdict.Warning,
                "store.server-unsafe",
                where,
                $"The database server runs with {setting} = off: a power cut may cost what was acknowledged.",
                $"{setting} = off",
                $"{setting} = on",
                Todo: $"Set {setting} = on in postgresql.conf and restart the server."
            );
        }
    }

    public override string BytesOf(string column) => $"convert_to({column}, 'UTF8')";

    // Written down first: making the bytes may need the connection, which can only do one thing at a time.
    public override void AddFile(
        DbConnection connection,
        string sha256,
        long length,
        Action<Stream> writeTo,
        bool isChecked = true
    )
    {
        using Stream bytes = length <= MostBytesInMemory ? new MemoryStream((int)length) : OpenTemporary(sha256);
        Write(bytes, sha256, length, writeTo, isChecked);
        bytes.Position = 0;
        // Another bench may be storing the same file at this moment; the same hash is the same file.
        connection.Run(
            """
            INSERT INTO file (sha256, length, content) VALUES (@sha, @length, @content) ON CONFLICT (sha256) DO NOTHING
            """,
            ("@sha", sha256),
            ("@length", length),
            ("@content", bytes is MemoryStream memory ? memory.ToArray() : bytes)
        );
    }

    public override string NoBytes => "''::bytea";

    public override void RefillFile(DbConnection connection, string sha256, long length, Action<Stream> writeTo)
    {
        using Stream bytes = length <= MostBytesInMemory ? new MemoryStream((int)length) : OpenTemporary(sha256);
        Write(bytes, sha256, length, writeTo, isChecked: true);
        bytes.Position = 0;
        connection.Run(
            "UPDATE file SET content = @content WHERE sha256 = @sha AND length(content) = 0",
            ("@sha", sha256),
            ("@content", bytes is MemoryStream memory ? memory.ToArray() : bytes)
        );
    }

    public override void OverwriteWhatIsDeleted(DbConnection connection) { }

    // Rewriting whole tables would shut all benches out meanwhile: whoever looks after the server chooses the hour.
    public override string? Overwrite(DbConnection connection) =>
        "The server keeps old rows in its files until it is told to write them anew. In psql, when no bench works: "
        + "VACUUM FULL evidence, file, job, job_text, heat_run, heat_mark; then CHECKPOINT; "
        + "The server's log (pg_wal), archives of it and copies of the server hold them until they are replaced.";

    public override Stream? OpenFile(DbConnection connection, string sha256) =>
        connection
            .All(
                "SELECT id, length(content) FROM file WHERE sha256 = @sha",
                row => new PostgresFileStream(connection, row.GetInt64(0), row.GetInt64(1)),
                ("@sha", sha256)
            )
            .FirstOrDefault();

    public override long AddRows(
        DbConnection connection,
        string table,
        IReadOnlyList<string> columns,
        IEnumerable<object?[]> rows
    )
    {
        using NpgsqlBinaryImporter writer = ((NpgsqlConnection)connection).BeginBinaryImport(
            $"COPY {table} ({string.Join(", ", columns)}) FROM STDIN (FORMAT BINARY)"
        );
        long count = 0;
        foreach (object?[] row in rows)
        {
            writer.StartRow();
            foreach (object? value in row)
            {
                switch (value)
                {
                    case null or DBNull:
                        writer.WriteNull();
                        break;
                    case string text:
                        writer.Write(text, NpgsqlDbType.Text);
                        break;
                    case long number:
                        writer.Write(number, NpgsqlDbType.Bigint);
                        break;
                    case double number:
                        writer.Write(number, NpgsqlDbType.Double);
                        break;
                    case byte[] bytes:
                        writer.Write(bytes, NpgsqlDbType.Bytea);
                        break;
                    default:
                        throw new NotSupportedException($"A store keeps no {value.GetType().Name}.");
                }
            }
            count++;
        }
        writer.Complete();
        return count;
    }

    public override IReadOnlyList<string> Tables(DbConnection connection) =>
        connection.All(
            "SELECT tablename FROM pg_tables WHERE schemaname = current_schema() AND tablename <> @mark ORDER BY 1",
            row => row.GetString(0),
            ("@mark", MarkTable)
        );

    public override IReadOnlyList<string> Columns(DbConnection connection, string table) =>
        connection.All(
            """
            SELECT attname FROM pg_attribute WHERE attrelid = to_regclass(@table) AND attnum > 0 AND NOT attisdropped
            ORDER BY attnum
            """,
            row => row.GetString(0),
            ("@table", table)
        );

    public override Action TakeGuardsOff(DbConnection connection)
    {
        IReadOnlyList<string> tables = Tables(connection);
        foreach (string table in tables)
        {
            connection.Run($"ALTER TABLE {table} DISABLE TRIGGER USER");
        }
        return () =>
        {
            foreach (string table in tables)
            {
                connection.Run($"ALTER TABLE {table} ENABLE TRIGGER USER");
            }
        };
    }

    private static FileStream OpenTemporary(string sha256)
    {
        string path = Path.Combine(Path.GetTempPath(), $"graftbench-file-{Guid.NewGuid():N}");
        try
        {
            return new FileStream(
                path,
                FileMode.CreateNew,
                FileAccess.ReadWrite,
                FileShare.None,
                128 * 1024,
                FileOptions.DeleteOnClose
            );
        }
        catch (Exception problem) when (problem is IOException or UnauthorizedAccessException)
        {
            throw new StoreException(
                $"A file of evidence cannot be laid aside before it is stored ({problem.Message.TrimEnd('.')})",
                $"file {sha256}",
                "Make room in the folder for temporary files (TMPDIR) and repeat.",
                problem
            );
        }
    }

    public override (string Condition, string Value) HaveWords(IReadOnlyList<string> words) =>
        (
            "job_list.number IN (SELECT number FROM job_text WHERE words @@ @words::tsquery)",
            string.Join(" & ", words.Select(word => $"'{word}':*"))
        );

    // A generated column holds them.
    public override void WriteWords(DbConnection connection, long number, string words) { }
}
