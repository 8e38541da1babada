using System.Buffers.Binary;
using Microsoft.Data.Sqlite;

namespace Graftbench.Store;

/// <summary>Creates, checks and migrates the store's file. A file that is no store is never written.</summary>
internal static class StoreOpening
{
    private const int HeaderBytes = 100;

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
            bool isDoubtful = CheckHeader(path);
            using SqliteConnection connection = StoreConnections.Open(path, patience);
            if (isDoubtful)
            {
                RefuseDamage(connection, path);
            }
            if (SQLitePCL.raw.sqlite3_db_readonly(connection.Handle, "main") != 0)
            {
                throw StoreErrors.NotWritable(path);
            }
            StoreSchema.Migrate(connection, StoreSchema.Migrations);
            UseWriteAheadLog(connection, path);
        }
        catch (SqliteException problem)
        {
            throw StoreErrors.From(problem, path, patience);
        }
        catch (UnauthorizedAccessException problem)
        {
            throw StoreErrors.NotWritable(path, problem);
        }
        catch (IOException problem)
        {
            throw FolderProblem(path, problem);
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
            throw StoreErrors.NotWritable(folder, problem);
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
            using (SqliteConnection connection = StoreConnections.Open(draft, patience, SqliteOpenMode.ReadWriteCreate))
            {
                StoreSchema.Migrate(connection, StoreSchema.Migrations);
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

    /// <summary>Looks at the first bytes without opening the file as a database.</summary>
    /// <returns>Whether the file looks cut off and needs a closer look.</returns>
    private static bool CheckHeader(string path)
    {
        Span<byte> header = stackalloc byte[HeaderBytes];
        using FileStream file = new(path, FileMode.Open, FileAccess.Read, FileShare.ReadWrite | FileShare.Delete);
        int count = file.ReadAtLeast(header, HeaderBytes, throwOnEndOfStream: false);
        if (count == 0)
        {
            throw StoreErrors.NotAStore(path, "it is empty");
        }
        if (count < HeaderBytes || !header.StartsWith("SQLite format 3\0"u8))
        {
            throw StoreErrors.NotAStore(path, "it does not begin like one");
        }
        if (BinaryPrimitives.ReadInt32BigEndian(header[68..]) != StoreSchema.ApplicationId)
        {
            throw StoreErrors.NotAStore(path, "it is another program's database");
        }
        long pageBytes = BinaryPrimitives.ReadUInt16BigEndian(header[16..]);
        pageBytes = pageBytes == 1 ? 65_536 : pageBytes;
        long expectedBytes = pageBytes * BinaryPrimitives.ReadUInt32BigEndian(header[28..]);
        return file.Length < expectedBytes;
    }

    private static void RefuseDamage(SqliteConnection connection, string path)
    {
        // A file that another program is just growing can look short for a moment; SQLite itself decides.
        string answer = connection.Scalar("PRAGMA integrity_check(1)") as string ?? "no answer";
        if (!string.Equals(answer, "ok", StringComparison.Ordinal))
        {
            throw StoreErrors.Damaged(path, $"the file is cut off; {answer.Replace('\n', ' ')}");
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
