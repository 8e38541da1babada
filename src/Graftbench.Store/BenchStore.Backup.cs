using System.Data.Common;
using System.Reflection;
using Graftbench.Core.Findings;
using Graftbench.Store.Backups;
using Graftbench.Store.Engines;

namespace Graftbench.Store;

/// <summary>What a backup or a restore did.</summary>
/// <param name="Path">File of the backup.</param>
/// <param name="Bytes">Its length [bytes].</param>
/// <param name="Manifest">What it says about itself.</param>
/// <param name="Check">What checking the copy gave.</param>
public sealed record BackupReport(string Path, long Bytes, BackupManifest Manifest, StoreCheck Check);

public sealed partial class BenchStore
{
    private const int NoSpaceOnUnix = 28;
    private const int NoSpaceOnWindows = unchecked((int)0x80070070);

    /// <summary>Writes all that the store holds, as it is at this moment, to one file, and checks the copy.</summary>
    /// <remarks>
    /// The store may be written to meanwhile. The file is written under another name in the same folder, flushed to the disk
    /// and moved into place when it is whole. A store that is not whole is backed up too, and the report says so.
    /// </remarks>
    /// <param name="path">The file to write.</param>
    /// <param name="overwrite">Whether a file of that name may be replaced.</param>
    /// <param name="progress">Hears how far it is; null where nobody listens.</param>
    /// <param name="stop">Stops the backup; nothing is left behind.</param>
    /// <exception cref="StoreException">The file exists or cannot be written, or the store cannot be read.</exception>
    public BackupReport Backup(
        string path,
        bool overwrite = false,
        IProgress<CopyProgress>? progress = null,
        CancellationToken stop = default
    )
    {
        if (string.IsNullOrWhiteSpace(path))
        {
            throw new StoreException("The name of the backup is empty", "backup", "Name the file to write.");
        }
        string target = Path.GetFullPath(path);
        if (OutputTarget.Of(target).IsStore)
        {
            throw new StoreException("This is a store, which no backup may replace", target, "Choose another name.");
        }
        if (!overwrite && File.Exists(target))
        {
            throw new StoreException(
                "There is a file of this name already",
                target,
                "Choose another name, or say --overwrite."
            );
        }
        string draft = $"{target}.part-{Guid.NewGuid():N}";
        string copy = draft + ".db";
        return Writing(
            target,
            () =>
            {
                DateTimeOffset at = _time.GetUtcNow();
                CopyReport filled = _connections.Read(connection =>
                    Fill(connection, new SqliteEngine(copy), isWholeOnly: false, progress, stop)
                );
                BackupManifest manifest;
                using (
                    FileStream zip = new(draft, FileMode.CreateNew, FileAccess.ReadWrite, FileShare.None, 128 * 1024)
                )
                {
                    manifest = BackupFile.Write(
                        zip,
                        copy,
                        (length, sha256) => ManifestOf(filled, at, length, sha256),
                        stop
                    );
                    zip.Flush(flushToDisk: true);
                }
                stop.ThrowIfCancellationRequested();
                File.Move(draft, target, overwrite);
                return new BackupReport(target, new FileInfo(target).Length, manifest, filled.Check);
            },
            draft,
            copy
        );
    }

    /// <summary>Reads what a backup says about itself.</summary>
    /// <exception cref="StoreException">The file is no whole backup of a format that this program knows.</exception>
    public static BackupManifest ReadBackup(string path) => BackupFile.ReadManifest(Path.GetFullPath(path));

    /// <summary>Makes a new store from a backup and checks it. All of the backup is checked first.</summary>
    /// <param name="path">The backup.</param>
    /// <param name="target">Where to: a folder without a store, or a database with an empty one or none.</param>
    /// <param name="progress">Hears how far it is; null where nobody listens.</param>
    /// <param name="stop">Stops the restore; the target is empty then.</param>
    /// <exception cref="StoreException">The file is no whole backup, or the target is not empty or cannot be written.</exception>
    public static BackupReport Restore(
        string path,
        StorePlace target,
        IProgress<CopyProgress>? progress = null,
        CancellationToken stop = default
    )
    {
        ArgumentNullException.ThrowIfNull(target);
        string file = Path.GetFullPath(path);
        StoreEngine engine = target.Engine();
        if (!target.IsShared)
        {
            // Before minutes of reading, say what is plain from the start.
            engine.RefuseTaken();
        }
        BackupFile.ReadManifest(file);
        Directory.CreateDirectory(target.Folder);
        string copy = Path.Combine(target.Folder, $"{FileName}.restore-{Guid.NewGuid():N}");
        return Writing(
            copy,
            () =>
            {
                BackupManifest manifest = BackupFile.Extract(file, copy, stop);
                SqliteEngine held = new(copy);
                held.Prepare(DefaultPatience);
                using StoreConnections connections = new(held, DefaultPatience);
                CopyReport filled = connections.Read(connection =>
                {
                    if (!HeadsOf(connection).SequenceEqual(manifest.Records))
                    {
                        throw BackupFile.Bad(file, "The records in the backup are not those that it names");
                    }
                    return Fill(connection, engine, manifest.FindingsThatCount == 0, progress, stop);
                });
                return new BackupReport(file, new FileInfo(file).Length, manifest, filled.Check);
            },
            copy,
            copy + "-wal",
            copy + "-shm",
            copy + "-journal"
        );
    }

    private static BackupManifest ManifestOf(CopyReport filled, DateTimeOffset at, long length, string sha256) =>
        new(
            BackupManifest.FormatName,
            typeof(BenchStore)
                .Assembly.GetCustomAttribute<AssemblyInformationalVersionAttribute>()
                ?.InformationalVersion
                ?? "unknown",
            StoreTime.Write(at),
            "a Graftbench store",
            StoreSchema.Migrations[^1].Version,
            length,
            sha256,
            filled.Rows,
            filled.Heads,
            filled.Check.Findings.Count(finding => finding.Verdict is Verdict.Blocker or Verdict.FixFirst)
        );

    /// <summary>Runs work that writes files; what goes wrong is said, and the drafts are gone whatever happens.</summary>
    private static T Writing<T>(string where, Func<T> work, params ReadOnlySpan<string> drafts)
    {
        try
        {
            return work();
        }
        catch (UnauthorizedAccessException problem)
        {
            throw new StoreException(
                "Nothing may be written here",
                where,
                "Choose a folder that this user may write.",
                problem
            );
        }
        catch (IOException problem) when (problem.HResult is NoSpaceOnUnix or NoSpaceOnWindows)
        {
            throw new StoreException(
                "The disk is full; what was begun was taken away again",
                where,
                "Make room: it needs as much as the store twice over while it works.",
                problem
            );
        }
        catch (IOException problem)
        {
            throw new StoreException(
                $"The file cannot be written ({problem.Message.TrimEnd('.')})",
                where,
                "Check the path and the rights to the folder.",
                problem
            );
        }
        finally
        {
            foreach (string draft in drafts)
            {
                File.Delete(draft);
            }
        }
    }
}
