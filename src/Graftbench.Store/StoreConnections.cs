using System.Collections.Concurrent;
using System.Data;
using System.Data.Common;
using Graftbench.Store.Engines;

namespace Graftbench.Store;

/// <summary>One connection that writes, several that read. Writers queue up; readers never wait for them.</summary>
internal sealed class StoreConnections(StoreEngine engine, TimeSpan patience) : IDisposable
{
    private const int MostIdleReaders = 8;
    private const int MostAttempts = 20;

    private readonly Lock _writing = new();
    private readonly ConcurrentBag<DbConnection> _idle = [];
    private DbConnection? _writer;
    private volatile bool _isDisposed;

    /// <summary>What messages call the store.</summary>
    public string Where => engine.Where;

    /// <summary>Runs one transaction that writes; on return it is on disk. Any exception undoes all of it.</summary>
    public T Write<T>(Func<DbConnection, T> work) => Write(null, work);

    /// <summary>Runs one transaction that writes to one record only, so that writers to other records need not wait.</summary>
    /// <remarks>
    /// Where the database undid the step for another writer's sake the work is done again from its beginning: it must keep
    /// nothing but in the database.
    /// </remarks>
    public T Write<T>(string? recordId, Func<DbConnection, T> work)
    {
        if (!_writing.TryEnter(patience))
        {
            throw new StoreBusyException(Where, patience);
        }
        try
        {
            ObjectDisposedException.ThrowIf(_isDisposed, typeof(BenchStore));
            for (int attempt = 1; ; attempt++)
            {
                try
                {
                    return WriteOnce(recordId, work);
                }
                catch (Exception problem) when (attempt < MostAttempts && engine.MayRepeat(problem))
                {
                    Thread.Sleep(Random.Shared.Next(1, 5 * attempt));
                }
            }
        }
        finally
        {
            _writing.Exit();
        }
    }

    /// <summary>Reads from one unchanging picture of the store.</summary>
    public T Read<T>(Func<DbConnection, T> work)
    {
        DbConnection connection = RentBegun();
        bool isWhole = false;
        try
        {
            T result = work(connection);
            isWhole = TryEnd(connection);
            return result;
        }
        catch (Exception problem) when (engine.IsMine(problem, connection))
        {
            throw engine.Explain(problem, patience);
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

    /// <summary>Overwrites what was deleted earlier; other writers of this process wait.</summary>
    /// <returns>Where deleted bytes may still lie, and what to do; null where nowhere in the database.</returns>
    public string? Overwrite()
    {
        if (!_writing.TryEnter(patience))
        {
            throw new StoreBusyException(Where, patience);
        }
        try
        {
            ObjectDisposedException.ThrowIf(_isDisposed, typeof(BenchStore));
            using DbConnection connection = engine.Open(patience, isReader: false);
            return StoreDialect.Of(connection).Overwrite(connection);
        }
        catch (Exception problem) when (engine.IsMine(problem, null))
        {
            throw engine.Explain(problem, patience);
        }
        finally
        {
            _writing.Exit();
        }
    }

    /// <summary>Lends a connection that reads, in a transaction of its own; <see cref="EndLoan"/> ends the loan.</summary>
    public DbConnection RentBegun()
    {
        ObjectDisposedException.ThrowIf(_isDisposed, typeof(BenchStore));
        try
        {
            while (_idle.TryTake(out DbConnection? idle))
            {
                try
                {
                    StoreDialect.Of(idle).BeginRead(idle);
                    return idle;
                }
                catch (Exception problem) when (engine.IsLost(problem, idle))
                {
                    // It went dead while it lay idle; another one does.
                    idle.Dispose();
                }
            }
            DbConnection connection = engine.Open(patience, isReader: true);
            try
            {
                StoreDialect.Of(connection).BeginRead(connection);
                return connection;
            }
            catch
            {
                connection.Dispose();
                throw;
            }
        }
        catch (Exception problem) when (engine.IsMine(problem, null))
        {
            throw engine.Explain(problem, patience);
        }
    }

    /// <summary>Takes a lent connection back.</summary>
    public void EndLoan(DbConnection connection)
    {
        if (TryEnd(connection))
        {
            GiveBack(connection);
        }
        else
        {
            connection.Dispose();
        }
    }

    /// <summary>Puts what a lent connection reported into words.</summary>
    public StoreException Explain(Exception problem) => engine.Explain(problem, patience);

    /// <summary>Whether <see cref="Explain"/> has words for it.</summary>
    public bool IsMine(Exception problem, DbConnection connection) => engine.IsMine(problem, connection);

    public void Dispose()
    {
        lock (_writing)
        {
            _isDisposed = true;
            CloseIdle();
            // The writer is closed last, so that SQLite's write-ahead log is folded into the main file.
            _writer?.Dispose();
            _writer = null;
        }
    }

    private T WriteOnce<T>(string? recordId, Func<DbConnection, T> work)
    {
        bool isCommitting = false;
        try
        {
            DbConnection writer = BegunWriter(recordId);
            T result = work(writer);
            isCommitting = true;
            StoreDialect.Of(writer).Commit(writer);
            return result;
        }
        catch (Exception problem)
        {
            bool isLost = engine.IsLost(problem, _writer);
            bool isMine = engine.IsMine(problem, _writer);
            UndoOrReopen();
            if (isCommitting && isLost)
            {
                throw new StoreUncertainException(Where, problem);
            }
            if (isMine && !engine.MayRepeat(problem))
            {
                throw engine.Explain(problem, patience);
            }
            throw;
        }
    }

    private DbConnection BegunWriter(string? recordId)
    {
        if (_writer is { State: ConnectionState.Open } kept)
        {
            try
            {
                StoreDialect.Of(kept).BeginWrite(kept, recordId);
                return kept;
            }
            catch (Exception problem) when (engine.IsLost(problem, kept))
            {
                // It went dead while nobody wrote: nothing was begun, so nothing is lost by a new one.
            }
        }
        _writer?.Dispose();
        _writer = null;
        _writer = engine.Open(patience, isReader: false);
        StoreDialect.Of(_writer).BeginWrite(_writer, recordId);
        return _writer;
    }

    private void GiveBack(DbConnection connection)
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

    private void CloseIdle()
    {
        while (_idle.TryTake(out DbConnection? idle))
        {
            idle.Dispose();
        }
    }

    /// <summary>Ends a transaction that only read; after damage was met even that can fail, and the answer is had already.</summary>
    private bool TryEnd(DbConnection connection)
    {
        try
        {
            connection.Run("ROLLBACK");
            return true;
        }
        catch (Exception problem) when (engine.IsMine(problem, connection))
        {
            return false;
        }
    }

    /// <summary>Leaves no open transaction behind; a connection that cannot even roll back is thrown away.</summary>
    private void UndoOrReopen()
    {
        try
        {
            if (_writer is not null)
            {
                StoreDialect.Of(_writer).Undo(_writer);
            }
        }
        catch (Exception problem) when (engine.IsMine(problem, _writer))
        {
            _writer?.Dispose();
            _writer = null;
        }
    }
}
