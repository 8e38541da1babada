using System.Data.Common;
using System.Globalization;
using Graftbench.Core.Findings;
using Microsoft.Data.Sqlite;

namespace Graftbench.Store.Engines;

/// <summary>How the store speaks to SQLite.</summary>
internal sealed class SqliteDialect : StoreDialect
{
    /// <summary>Marks the file as a Graftbench store: the letters GRFB.</summary>
    public const int ApplicationId = 0x47524642;

    private SqliteDialect() { }

    public static SqliteDialect Only { get; } = new();

    public override string Name => "sqlite";

    public override void BeginRead(DbConnection connection) => connection.Run("BEGIN");

    // One file, one writer: which record it writes to makes no difference.
    public override void BeginWrite(DbConnection connection, string? recordId) => connection.Run("BEGIN IMMEDIATE");

    public override void BeginMigration(DbConnection connection) => connection.Run("BEGIN EXCLUSIVE");

    public override void Commit(DbConnection connection) => connection.Run("COMMIT");

    public override bool IsInTransaction(DbConnection connection) =>
        ((SqliteConnection)connection).Handle is { } handle && SQLitePCL.raw.sqlite3_get_autocommit(handle) == 0;

    public override int Version(DbConnection connection) =>
        Convert.ToInt32(connection.Scalar("PRAGMA user_version"), CultureInfo.InvariantCulture);

    public override void SetVersion(DbConnection connection, int version) =>
        connection.Run($"PRAGMA application_id = {ApplicationId}; PRAGMA user_version = {version}");

    public override IReadOnlyDictionary<string, string> Parts(DbConnection connection) =>
        connection
            .All(
                "SELECT type || ' ' || name, sql FROM sqlite_schema WHERE sql IS NOT NULL ORDER BY 1",
                row => (Name: row.GetString(0), Text: row.GetString(1))
            )
            .ToDictionary(part => part.Name, part => part.Text, StringComparer.Ordinal);

    public override IReadOnlyDictionary<string, string> ExpectedParts(DbConnection connection)
    {
        using SqliteConnection model = new("Data Source=:memory:");
        model.Open();
        StoreSchema.Migrate(model, StoreSchema.MigrationsOf(this));
        return Parts(model);
    }

    public override IEnumerable<Finding> Soundness(DbConnection connection, string where)
    {
        List<string> answers;
        int danglingRows;
        try
        {
            answers = connection.All("PRAGMA integrity_check(20)", row => row.GetString(0));
            danglingRows = connection.All("PRAGMA foreign_key_check", row => row.GetString(0)).Count;
        }
        catch (SqliteException problem)
        {
            answers = [problem.Message];
            danglingRows = 0;
        }
        foreach (string answer in answers.Where(answer => !string.Equals(answer, "ok", StringComparison.Ordinal)))
        {
            yield return new Finding(
                Verdict.Blocker,
                "store.damaged",
                where,
                $"The file is damaged: {answer.Replace('\n', ' ').TrimEnd('.')}.",
                Todo: "Copy the whole folder, then import the last export into a new folder."
            );
        }
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
    }

    public override string BytesOf(string column) => $"CAST({column} AS BLOB)";

    // Room is made first and then filled piece by piece.
    public override void AddFile(
        DbConnection connection,
        string sha256,
        long length,
        Action<Stream> writeTo,
        bool isChecked = true
    )
    {
        connection.Run(
            "INSERT INTO file (sha256, length, content) VALUES (@sha, @length, zeroblob(@length))",
            ("@sha", sha256),
            ("@length", length)
        );
        Fill(connection, sha256, length, writeTo, isChecked);
    }

    public override string NoBytes => "x''";

    public override void RefillFile(DbConnection connection, string sha256, long length, Action<Stream> writeTo)
    {
        connection.Run(
            "UPDATE file SET content = zeroblob(@length) WHERE sha256 = @sha",
            ("@sha", sha256),
            ("@length", length)
        );
        Fill(connection, sha256, length, writeTo, isChecked: true);
    }

    private static void Fill(
        DbConnection connection,
        string sha256,
        long length,
        Action<Stream> writeTo,
        bool isChecked
    )
    {
        using SqliteBlob content = new(
            (SqliteConnection)connection,
            "file",
            "content",
            IdOf(connection, sha256)!.Value
        );
        Write(content, sha256, length, writeTo, isChecked);
    }

    public override void OverwriteWhatIsDeleted(DbConnection connection) =>
        connection.Scalar("PRAGMA secure_delete = ON");

    // The index of words forgets only when its parts are merged. Writing the file anew leaves out what lay in its free space;
    // then the log, which may hold pages of old, is folded into it and cut to nothing.
    public override string? Overwrite(DbConnection connection)
    {
        try
        {
            connection.Run("INSERT INTO job_words (job_words) VALUES ('optimize')");
            connection.Run("VACUUM");
            bool isFolded = connection
                .All("PRAGMA wal_checkpoint(TRUNCATE)", row => row.GetInt64(0) == 0)
                .TrueForAll(done => done);
            return isFolded
                ? null
                : "Another program is reading the store, so its log beside the file could not be cut: close all others and give the command again.";
        }
        catch (SqliteException problem)
        {
            return $"The store's file could not be written anew ({problem.Message.TrimEnd('.')}): make room, close all other programs and give the command again.";
        }
    }

    public override Stream? OpenFile(DbConnection connection, string sha256) =>
        IdOf(connection, sha256) is { } id
            ? new SqliteBlob((SqliteConnection)connection, "file", "content", id, readOnly: true)
            : null;

    public override long AddRows(
        DbConnection connection,
        string table,
        IReadOnlyList<string> columns,
        IEnumerable<object?[]> rows
    )
    {
        string places = string.Join(", ", columns.Select(column => "@" + column));
        using DbCommand command = connection.CreateCommand();
        command.CommandText = $"INSERT INTO {table} ({string.Join(", ", columns)}) VALUES ({places})";
        DbParameter[] values = [.. columns.Select(column => command.Add("@" + column, null))];
        long count = 0;
        foreach (object?[] row in rows)
        {
            for (int i = 0; i < values.Length; i++)
            {
                values[i].Value = row[i] ?? DBNull.Value;
            }
            command.ExecuteNonQuery();
            count++;
        }
        return count;
    }

    public override IReadOnlyList<string> Tables(DbConnection connection) =>
        connection.All(
            "SELECT name FROM sqlite_schema WHERE type = 'table' AND name NOT LIKE 'sqlite\\_%' ESCAPE '\\' ORDER BY name",
            row => row.GetString(0)
        );

    public override IReadOnlyList<string> Columns(DbConnection connection, string table) =>
        connection.All($"SELECT name FROM pragma_table_info('{table}') ORDER BY cid", row => row.GetString(0));

    public override Action TakeGuardsOff(DbConnection connection)
    {
        List<(string Name, string Text)> guards = connection.All(
            "SELECT name, sql FROM sqlite_schema WHERE type = 'trigger'",
            row => (row.GetString(0), row.GetString(1))
        );
        foreach ((string name, _) in guards)
        {
            connection.Run($"DROP TRIGGER \"{name}\"");
        }
        return () => guards.ForEach(guard => connection.Run(guard.Text));
    }

    private static long? IdOf(DbConnection connection, string sha256) =>
        connection.Scalar("SELECT id FROM file WHERE sha256 = @sha", ("@sha", sha256)) as long?;

    public override (string Condition, string Value) HaveWords(IReadOnlyList<string> words) =>
        (
            "job_list.number IN (SELECT rowid FROM job_words WHERE job_words MATCH @words)",
            string.Join(" AND ", words.Select(word => $"\"{word}\"*"))
        );

    public override void WriteWords(DbConnection connection, long number, string words)
    {
        connection.Run("DELETE FROM job_words WHERE rowid = @number", ("@number", number));
        connection.Run(
            "INSERT INTO job_words (rowid, words) VALUES (@number, @words)",
            ("@number", number),
            ("@words", words)
        );
    }
}
