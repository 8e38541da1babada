using System.Data.Common;
using Microsoft.Data.Sqlite;

namespace Graftbench.Store.Engines;

/// <summary>Creates, checks and migrates the store's file. A file that is no store is never written.</summary>
internal static class SqliteOpening
{
    /// <summary>Makes sure that a sound store of this program's format lies at the path.</summary>
    public static void Prepare(string path, TimeSpan patience)
    {
        MakeFolder(Path.GetDirectoryName(path)!);
        try
        {
            if (!File.Exists(path))
            {
                Create(path, patience);
            }
            RefuseForeign(path);
            using SqliteConnection connection = SqliteEngine.Open(path, patience);
            RefuseOtherMark(connection, path);
            RefuseBrokenPage(connection, path);
            if (SQLitePCL.raw.sqlite3_db_readonly(connection.Handle, "main") != 0)
            {
                throw SqliteErrors.NotWritable(path);
            }
            StoreSchema.Migrate(connection, StoreSchema.MigrationsOf(SqliteDialect.Only));
            UseWriteAheadLog(connection, path);
        }
        catch (SqliteException problem)
        {
            throw SqliteErrors.From(problem, path, patience);
        }
        catch (UnauthorizedAccessException problem)
        {
            throw SqliteErrors.NotWritable(path, problem);
        }
        catch (IOException problem)
        {
            throw FolderProblem(path, problem);
        }
    }

    /// <summary>Builds a store with a content under another name and moves it into place when it is whole and on disk.</summary>
    public static void Fill(string path, TimeSpan patience, Action<DbConnection> fill)
    {
        MakeFolder(Path.GetDirectoryName(path)!);
        string draft = $"{path}.new-{Guid.NewGuid():N}";
        try
        {
            using (SqliteConnection connection = SqliteEngine.Open(draft, patience, SqliteOpenMode.ReadWriteCreate))
            {
                // Nobody reads the draft before it is done, and what is not done is thrown away: it need not survive a crash.
                connection.Run("PRAGMA journal_mode = MEMORY; PRAGMA synchronous = OFF");
                StoreSchema.Migrate(connection, StoreSchema.MigrationsOf(SqliteDialect.Only));
                SqliteDialect.Only.BeginWrite(connection, null);
                fill(connection);
                SqliteDialect.Only.Commit(connection);
            }
            using (FileStream whole = new(draft, FileMode.Open, FileAccess.ReadWrite, FileShare.None))
            {
                whole.Flush(flushToDisk: true);
            }
            File.Move(draft, path, overwrite: false);
        }
        catch (SqliteException problem)
        {
            throw SqliteErrors.From(problem, path, patience);
        }
        catch (UnauthorizedAccessException problem)
        {
            throw SqliteErrors.NotWritable(path, problem);
        }
        catch (IOException problem)
        {
            throw FolderProblem(path, problem);
        }
        finally
        {
            File.Delete(draft);
            File.Delete(draft + "-journal");
        }
    }

    private static void MakeFolder(string folder)
    {
        try
        {
            Directory.CreateDirectory(folder);
        }
        catch (UnauthorizedAccessException problem)
        {
            throw SqliteErrors.NotWritable(folder, problem);
        }
        catch (IOException problem)
        {
            throw FolderProblem(folder, problem);
        }
    }

    private static StoreException FolderProblem(string where, IOException problem) =>
        new(
            $"The store cannot be created or opened ({problem.Message.TrimEnd('.')})",
            where,
            "Check the path and the free space of the disk, or choose another folder with --data.",
            problem
        );

    /// <summary>
    /// Builds the store under another name and moves it into place when it is whole. So an empty or half-made file
    /// under the store's own name is never ours, and two programs that start at once end up with one store.
    /// </summary>
    private static void Create(string path, TimeSpan patience)
    {
        string draft = $"{path}.new-{Guid.NewGuid():N}";
        try
        {
            using (SqliteConnection connection = SqliteEngine.Open(draft, patience, SqliteOpenMode.ReadWriteCreate))
            {
                StoreSchema.Migrate(connection, StoreSchema.MigrationsOf(SqliteDialect.Only));
            }
            File.Move(draft, path, overwrite: false);
        }
        catch (IOException) when (File.Exists(path))
        {
            // Another program was faster; its store is as good.
        }
        finally
        {
            File.Delete(draft);
            File.Delete(draft + "-journal");
        }
    }

    /// <summary>Looks at the file without locking it and without making a log beside it.</summary>
    /// <remarks>
    /// SQLite does the reading: on Unix, opening and closing the file by other means would drop the locks that this
    /// process holds on it for a store that is open already.
    /// </remarks>
    private static void RefuseForeign(string path)
    {
        if (new FileInfo(path).Length == 0)
        {
            throw SqliteErrors.NotAStore(path, "it is empty");
        }
        SqliteConnectionStringBuilder settings = new()
        {
            DataSource = new Uri(path).AbsoluteUri + "?immutable=1",
            Mode = SqliteOpenMode.ReadOnly,
            Pooling = false,
        };
        try
        {
            using SqliteConnection connection = new(settings.ConnectionString);
            connection.Open();
            RefuseOtherMark(connection, path);
        }
        catch (SqliteException problem) when (problem.SqliteErrorCode == SQLitePCL.raw.SQLITE_NOTADB)
        {
            throw SqliteErrors.NotAStore(path, "it does not begin like one");
        }
        catch (SqliteException problem) when (problem.SqliteErrorCode == SQLitePCL.raw.SQLITE_CORRUPT)
        {
            // Without its log a store can look cut off after a crash; opening it with the log decides.
        }
    }

    private static void RefuseOtherMark(SqliteConnection connection, string path)
    {
        if (connection.Scalar("PRAGMA application_id") is not (long)SqliteDialect.ApplicationId)
        {
            throw SqliteErrors.NotAStore(path, "it is another program's database");
        }
    }

    /// <summary>SQLite notices missing pages by itself, but takes a page that is cut in the middle for a whole one.</summary>
    private static void RefuseBrokenPage(SqliteConnection connection, string path)
    {
        long pageBytes = (long)connection.Scalar("PRAGMA page_size")!;
        if (new FileInfo(path).Length % pageBytes == 0)
        {
            return;
        }
        // After a crash the log may hold the page that the file lacks: the check reads both.
        string answer = connection.Scalar("PRAGMA integrity_check(1)") as string ?? "no answer";
        if (!string.Equals(answer, "ok", StringComparison.Ordinal))
        {
            throw SqliteErrors.Damaged(path, $"the file is cut off; {answer.Replace('\n', ' ')}");
        }
    }

    private static void UseWriteAheadLog(SqliteConnection connection, string path)
    {
        if (connection.Scalar("PRAGMA journal_mode = WAL") is not "wal")
        {
            throw new StoreException(
                "The store cannot keep a write-ahead log here",
                path,
                "Choose a folder on a disk of this computer with --data; network folders do not do."
            );
        }
    }
}
