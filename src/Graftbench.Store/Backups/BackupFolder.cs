using System.Globalization;
using System.Text.RegularExpressions;

namespace Graftbench.Store.Backups;

/// <summary>A backup in a folder, by its name.</summary>
/// <param name="Path">The file.</param>
/// <param name="At">When it was made, by the name.</param>
public sealed record KeptBackup(string Path, DateTimeOffset At);

/// <summary>A folder of backups, each named by its time, of which the last whole ones are kept.</summary>
/// <param name="folder">The folder; made when the first backup is.</param>
/// <param name="most">How many whole ones are kept.</param>
public sealed partial class BackupFolder(string folder, int most)
{
    private const string Form = "yyyyMMdd'-'HHmmss'Z'";
    private static readonly TimeSpan DraftAge = TimeSpan.FromDays(1);

    /// <summary>The folder, as a full path.</summary>
    public string Folder { get; } = Path.GetFullPath(folder);

    /// <summary>The newest backup that is whole as far as its own words go; null where there is none.</summary>
    public KeptBackup? Newest() => Named().FirstOrDefault(backup => IsWhole(backup.Path));

    /// <summary>Makes a backup and lets go of those that are too many.</summary>
    /// <remarks>
    /// What bears a later time than the new one is never deleted: the clock may have been set back. What is not whole is
    /// neither counted nor deleted: a person shall look at it.
    /// </remarks>
    /// <param name="store">The store.</param>
    /// <param name="at">The time for the name.</param>
    /// <param name="stop">Stops it; nothing is left behind.</param>
    /// <exception cref="StoreException">The backup cannot be made.</exception>
    public BackupReport Make(BenchStore store, DateTimeOffset at, CancellationToken stop = default)
    {
        ArgumentNullException.ThrowIfNull(store);
        try
        {
            Directory.CreateDirectory(Folder);
            SweepDrafts(at);
        }
        catch (Exception problem) when (problem is IOException or UnauthorizedAccessException)
        {
            throw new StoreException(
                $"The folder for backups cannot be used ({problem.Message.TrimEnd('.')})",
                Folder,
                "Check that it is there, that this user may write it, and that the disk is plugged in.",
                problem
            );
        }
        BackupReport report = store.Backup(NameFor(at), stop: stop);
        DateTimeOffset second = TimeOf(report.Path)!.Value;
        foreach (KeptBackup old in Named().Where(one => one.At <= second && IsWhole(one.Path)).Skip(most))
        {
            if (old.Path != report.Path)
            {
                File.Delete(old.Path);
            }
        }
        return report;
    }

    private static bool IsWhole(string path)
    {
        try
        {
            BackupFile.ReadManifest(path);
            return true;
        }
        catch (StoreException)
        {
            return false;
        }
    }

    // Newest first; of two of the same second the later one first.
    private List<KeptBackup> Named()
    {
        if (!Directory.Exists(Folder))
        {
            return [];
        }
        return
        [
            .. Directory
                .GetFiles(Folder)
                .Select(path => (Path: path, At: TimeOf(path)))
                .Where(file => file.At is not null)
                .Select(file => new KeptBackup(file.Path, file.At!.Value))
                .OrderByDescending(file => file.At)
                .ThenByDescending(file => file.Path.Length)
                .ThenByDescending(file => file.Path, StringComparer.Ordinal),
        ];
    }

    private string NameFor(DateTimeOffset at)
    {
        string stem = Path.Combine(Folder, "graftbench-" + at.UtcDateTime.ToString(Form, CultureInfo.InvariantCulture));
        string name = stem + ".graftbackup";
        for (int number = 2; File.Exists(name); number++)
        {
            name = string.Create(CultureInfo.InvariantCulture, $"{stem}-{number}.graftbackup");
        }
        return name;
    }

    private static DateTimeOffset? TimeOf(string path)
    {
        Match name = Name().Match(Path.GetFileName(path));
        return
            name.Success
            && DateTimeOffset.TryParseExact(
                name.Groups["at"].Value,
                Form,
                CultureInfo.InvariantCulture,
                DateTimeStyles.AssumeUniversal,
                out DateTimeOffset at
            )
            ? at
            : null;
    }

    /// <summary>Takes away what a program left that died in the middle; younger drafts may be another bench's work.</summary>
    private void SweepDrafts(DateTimeOffset now)
    {
        foreach (string draft in Directory.GetFiles(Folder, "graftbench-*.graftbackup.part-*"))
        {
            if (File.GetLastWriteTimeUtc(draft) < now.UtcDateTime - DraftAge)
            {
                File.Delete(draft);
            }
        }
    }

    [GeneratedRegex(
        @"^graftbench-(?<at>[0-9]{8}-[0-9]{6}Z)(-[0-9]{1,6})?\.graftbackup$",
        RegexOptions.ExplicitCapture,
        matchTimeoutMilliseconds: 1000
    )]
    private static partial Regex Name();
}
