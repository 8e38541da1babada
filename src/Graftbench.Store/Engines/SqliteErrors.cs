using Microsoft.Data.Sqlite;
using SQLitePCL;

namespace Graftbench.Store.Engines;

/// <summary>Puts what SQLite and the system report into the technician's words.</summary>
internal static class SqliteErrors
{
    public static StoreException From(SqliteException problem, string path, TimeSpan patience) =>
        problem.SqliteErrorCode switch
        {
            raw.SQLITE_BUSY or raw.SQLITE_LOCKED => new StoreBusyException(path, patience, problem),
            raw.SQLITE_FULL => new StoreException(
                "The disk is full. Nothing was saved by this step; what was saved before is whole",
                path,
                "Make room on the disk and repeat.",
                problem
            ),
            raw.SQLITE_READONLY or raw.SQLITE_PERM or raw.SQLITE_AUTH => NotWritable(path, problem),
            raw.SQLITE_CORRUPT or raw.SQLITE_NOTADB => Damaged(path, problem.Message, problem),
            raw.SQLITE_CANTOPEN => new StoreException(
                "The store cannot be opened",
                path,
                "Check that the folder exists and that this user may read and write it.",
                problem
            ),
            raw.SQLITE_IOERR => new StoreException(
                $"The disk reported an error (SQLite code {problem.SqliteExtendedErrorCode}). Nothing was saved by this step",
                path,
                "Check the disk and its free space, then run `graftbench record verify`.",
                problem
            ),
            _ => new StoreException(
                $"The store refused the step (SQLite code {problem.SqliteExtendedErrorCode}: {problem.Message})",
                path,
                "Run `graftbench record verify` and keep a copy of the folder.",
                problem
            ),
        };

    public static StoreException NotWritable(string path, Exception? cause = null) =>
        new(
            "The store may not be written",
            path,
            "Give this user the right to write the folder and the file, or choose another folder with --data.",
            cause
        );

    public static StoreException Damaged(string path, string how, Exception? cause = null) =>
        new(
            $"The store is damaged ({how})",
            path,
            "It was left as it is. Copy the whole folder first, then import the last export into a new folder.",
            cause
        );

    public static StoreException NotAStore(string path, string why) =>
        new(
            $"This file is not a Graftbench store ({why})",
            path,
            "It was left as it is. Move it away or choose another folder with --data."
        );
}
