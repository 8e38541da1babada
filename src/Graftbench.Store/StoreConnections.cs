using System.Collections.Concurrent;
using Microsoft.Data.Sqlite;

namespace Graftbench.Store;

/// <summary>One connection that writes, several that read. Writers queue up; readers never wait for them.</summary>
internal sealed class StoreConnections(string path, TimeSpan patience) : IDisposable
{
    private const int MostIdleReaders = 8;

    private readonly Lock _writing = new();
    private readonly ConcurrentBag<SqliteConnection> _idle = [];
    private SqliteConnection? _writer;
    private volatile bool _isDisposed;

    public string Path { get; } = path;

    /// <summary>Runs one transaction that writes; on return it is on disk. Any exception undoes all of it.</summary>
    public T Write<T>(Func<SqliteConnection, T> work)
    {
        if (!_writing.TryEnter(patience))
        {
            throw new StoreBusyException(Path, patience);
        }
        try
        {
            ObjectDisposedException.ThrowIf(_isDisposed, typeof(BenchStore));
            _writer ??= Open(Path, patience);
            _writer.Run("BEGIN IMMEDIATE");
            T result = work(_writer);
            _writer.Run("COMMIT");
            return result;
        }
        catch (SqliteException problem)
        {
            UndoOrReopen();
            throw StoreErrors.From(problem, Path, patience);
        }
        catch
        {
            UndoOrReopen();
            throw;
        }
        finally
        {
            _writing.Exit();
        }
    }

    /// <summary>Reads from one unchanging picture of the store.</summary>
    public T Read<T>(Func<SqliteConnection, T> work)
    {
        SqliteConnection connection = Rent();
        bool isWhole = false;
        try
        {
            connection.Run("BEGIN");
            T result = work(connection);
            isWhole = TryEnd(connection);
            return result;
        }
        catch (SqliteException problem)
        {
            throw StoreErrors.From(problem, Path, patience);
        }
        finally
        {
            if (isWhole)
            {
                GiveBack(connection);
            }
            else
            {
                connection.Dispose();
            }
        }
    }

    /// <summary>Lends a connection that reads; <see cref="GiveBack"/> ends the loan.</summary>
    public SqliteConnection Rent()
    {
        ObjectDisposedException.ThrowIf(_isDisposed, typeof(BenchStore));
        if (_idle.TryTake(out SqliteConnection? idle))
        {
            return idle;
        }
        try
        {
            SqliteConnection connection = Open(Path, patience);
            connection.Run("PRAGMA query_only = ON");
            return connection;
        }
        catch (SqliteException problem)
        {
            throw StoreErrors.From(problem, Path, patience);
        }
    }

    public void GiveBack(SqliteConnection connection)
    {
        if (_isDisposed || _idle.Count >= MostIdleReaders)
        {
            connection.Dispose();
            return;
        }
        _idle.Add(connection);
        if (_isDisposed)
        {
            CloseIdle();
        }
    }

    /// <summary>Opens a connection with all the settings that the store relies on.</summary>
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

    public void Dispose()
    {
        lock (_writing)
        {
            _isDisposed = true;
            CloseIdle();
            // The writer is closed last, so that the write-ahead log is folded into the main file.
            _writer?.Dispose();
            _writer = null;
        }
    }

    private void CloseIdle()
    {
        while (_idle.TryTake(out SqliteConnection? idle))
        {
            idle.Dispose();
        }
    }

    /// <summary>Ends a transaction that only read; after damage was met even that can fail, and the answer is had already.</summary>
    private static bool TryEnd(SqliteConnection connection)
    {
        try
        {
            connection.Run("ROLLBACK");
            return true;
        }
        catch (SqliteException)
        {
            return false;
        }
    }

    /// <summary>Leaves no open transaction behind; a connection that cannot even roll back is thrown away.</summary>
    private void UndoOrReopen()
    {
        try
        {
            if (_writer?.Handle is { } handle && SQLitePCL.raw.sqlite3_get_autocommit(handle) == 0)
            {
                _writer.Run("ROLLBACK");
            }
        }
        catch (SqliteException)
        {
            _writer?.Dispose();
            _writer = null;
        }
    }
}
