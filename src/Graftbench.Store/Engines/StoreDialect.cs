using System.Data.Common;
using Graftbench.Core.Findings;
using Microsoft.Data.Sqlite;
using Npgsql;

namespace Graftbench.Store.Engines;

/// <summary>What has to be said differently to each database. Holds nothing: it goes by the connection alone.</summary>
internal abstract class StoreDialect
{
    /// <summary>The dialect of a connection.</summary>
    public static StoreDialect Of(DbConnection connection) =>
        connection switch
        {
            SqliteConnection => SqliteDialect.Only,
            NpgsqlConnection => PostgresDialect.Only,
            _ => throw new NotSupportedException($"There is no dialect for {connection.GetType().Name}."),
        };

    /// <summary>Folder of the migrations, and the name of the database in messages.</summary>
    public abstract string Name { get; }

    /// <summary>Begins a transaction that sees one unchanging picture of the store.</summary>
    public abstract void BeginRead(DbConnection connection);

    /// <summary>Begins a transaction that no other writer can step into.</summary>
    /// <param name="connection">The connection.</param>
    /// <param name="recordId">The one record that is written to; null where it may be any.</param>
    public abstract void BeginWrite(DbConnection connection, string? recordId);

    /// <summary>Begins a transaction that changes the format and keeps everybody else out.</summary>
    public abstract void BeginMigration(DbConnection connection);

    /// <summary>Ends a transaction for good; throws where it could not be kept.</summary>
    public abstract void Commit(DbConnection connection);

    /// <summary>Whether a transaction is open.</summary>
    public abstract bool IsInTransaction(DbConnection connection);

    /// <summary>Format of a store; 0 where there is none yet.</summary>
    public abstract int Version(DbConnection connection);

    /// <summary>Notes the format, and that this is a store.</summary>
    public abstract void SetVersion(DbConnection connection, int version);

    /// <summary>Names and text of all tables, indexes and triggers, for comparing a store with what it should be.</summary>
    public abstract IReadOnlyDictionary<string, string> Parts(DbConnection connection);

    /// <summary>What <see cref="Parts"/> gives for a sound store of this program's format.</summary>
    /// <param name="connection">A connection to the store that is compared; it is left alone.</param>
    public abstract IReadOnlyDictionary<string, string> ExpectedParts(DbConnection connection);

    /// <summary>Whether the database itself finds its data sound.</summary>
    public abstract IEnumerable<Finding> Soundness(DbConnection connection, string where);

    /// <summary>SQL for the bytes of a text column, exactly as they lie in the store.</summary>
    public abstract string BytesOf(string column);

    /// <summary>Stores a file that is not in the store yet.</summary>
    /// <param name="connection">The connection, in a transaction that writes.</param>
    /// <param name="sha256">SHA-256 of the bytes.</param>
    /// <param name="length">Number of bytes.</param>
    /// <param name="writeTo">Writes the bytes; a long file is never whole in memory.</param>
    /// <param name="isChecked">Whether bytes of another hash are refused; a copy keeps what it finds and is checked afterwards.</param>
    public abstract void AddFile(
        DbConnection connection,
        string sha256,
        long length,
        Action<Stream> writeTo,
        bool isChecked = true
    );

    /// <summary>SQL for no bytes.</summary>
    public abstract string NoBytes { get; }

    /// <summary>Gives a file that was emptied its bytes back.</summary>
    /// <param name="connection">The connection, in a transaction that writes.</param>
    /// <param name="sha256">SHA-256 of the bytes; others are refused.</param>
    /// <param name="length">Number of bytes.</param>
    /// <param name="writeTo">Writes the bytes.</param>
    public abstract void RefillFile(DbConnection connection, string sha256, long length, Action<Stream> writeTo);

    /// <summary>Asks that what the transaction deletes is overwritten, where the database can be asked for that.</summary>
    public abstract void OverwriteWhatIsDeleted(DbConnection connection);

    /// <summary>Overwrites what was deleted earlier, outside any transaction.</summary>
    /// <returns>Where deleted bytes may still lie, and what to do; null where nowhere in the database.</returns>
    public abstract string? Overwrite(DbConnection connection);

    /// <summary>Adds many rows in the fastest way there is.</summary>
    /// <param name="connection">The connection, in a transaction that writes.</param>
    /// <param name="table">The table.</param>
    /// <param name="columns">Its columns, in the order of the values.</param>
    /// <param name="rows">Values: text, whole numbers as long, numbers as double, bytes, or null. May not ask the same connection.</param>
    /// <returns>Number of rows.</returns>
    public abstract long AddRows(
        DbConnection connection,
        string table,
        IReadOnlyList<string> columns,
        IEnumerable<object?[]> rows
    );

    /// <summary>All tables of the store but the one that may mark it as such.</summary>
    public abstract IReadOnlyList<string> Tables(DbConnection connection);

    /// <summary>Columns of a table, in their order.</summary>
    public abstract IReadOnlyList<string> Columns(DbConnection connection, string table);

    /// <summary>Takes the guards off for filling an empty store, inside the caller's transaction.</summary>
    /// <returns>What puts them back.</returns>
    public abstract Action TakeGuardsOff(DbConnection connection);

    /// <summary>Opens the bytes of a file without loading them all; null where there is no such file.</summary>
    public abstract Stream? OpenFile(DbConnection connection, string sha256);

    /// <summary>SQL for jobs of the list that have all words, each as the beginning of one, and the value of its <c>@words</c>.</summary>
    /// <param name="words">Letters and digits only, as <see cref="Graftbench.Core.Search.SearchWords"/> makes them.</param>
    public abstract (string Condition, string Value) HaveWords(IReadOnlyList<string> words);

    /// <summary>Notes the words of a job in the list, where the database does not do that by itself.</summary>
    public abstract void WriteWords(DbConnection connection, long number, string words);

    /// <summary>Undoes a transaction where one is open.</summary>
    public void Undo(DbConnection connection)
    {
        if (IsInTransaction(connection))
        {
            connection.Run("ROLLBACK");
        }
    }

    /// <summary>Writes the bytes of a file and makes sure that they are the ones that were promised.</summary>
    protected static void Write(Stream to, string sha256, long length, Action<Stream> writeTo, bool isChecked)
    {
        using HashingStream written = new(to);
        writeTo(written);
        if (
            written.Length != length
            || (isChecked && !string.Equals(written.Sha256(), sha256, StringComparison.Ordinal))
        )
        {
            throw new InvalidOperationException("A file changed while it was stored.");
        }
    }
}
