using System.Data.Common;
using Microsoft.Data.Sqlite;

namespace Graftbench.Store.Engines;

/// <summary>A store in one SQLite file.</summary>
internal sealed class SqliteEngine(string path) : StoreEngine
{
    public override string Where => path;

    public override void Prepare(TimeSpan patience) => SqliteOpening.Prepare(path, patience);

    public override bool IsThere(TimeSpan patience) => File.Exists(path);

    public override void Fill(TimeSpan patience, Action<DbConnection> fill)
    {
        RefuseTaken();
        SqliteOpening.Fill(path, patience, fill);
    }

    public override void RefuseTaken()
    {
        if (File.Exists(path))
        {
            throw NotEmpty("Name a folder without a store with --data, or move the old store away first.");
        }
    }

    public override DbConnection Open(TimeSpan patience, bool isReader)
    {
        SqliteConnection connection = Open(path, patience);
        try
        {
            if (isReader)
            {
                connection.Run("PRAGMA query_only = ON");
            }
            return connection;
        }
        catch
        {
            connection.Dispose();
            throw;
        }
    }

    public override StoreException Explain(Exception problem, TimeSpan patience) =>
        SqliteErrors.From((SqliteException)problem, path, patience);

    public override bool IsMine(Exception problem, DbConnection? connection) => problem is SqliteException;

    /// <summary>Opens a file with all the settings that the store relies on.</summary>
    public static SqliteConnection Open(string path, TimeSpan patience, SqliteOpenMode mode = SqliteOpenMode.ReadWrite)
    {
        SqliteConnectionStringBuilder settings = new()
        {
            DataSource = path,
            Mode = mode,
            Pooling = false,
            ForeignKeys = true,
            // SQLite itself waits (busy_timeout); the library's own, coarser retries stop after this many seconds.
            DefaultTimeout = 1,
        };
        SqliteConnection connection = new(settings.ConnectionString);
        try
        {
            connection.Open();
            connection.Run(
                $"""
                PRAGMA busy_timeout = {(long)patience.TotalMilliseconds};
                PRAGMA synchronous = FULL;
                PRAGMA trusted_schema = OFF;
                PRAGMA cell_size_check = ON;
                PRAGMA journal_size_limit = 67108864;
                """
            );
            return connection;
        }
        catch
        {
            connection.Dispose();
            throw;
        }
    }
}
