using Graftbench.Store.Backups;
using Graftbench.Store.Tests.Support;

namespace Graftbench.Store.Tests;

public sealed class BackupFolderTests : IDisposable
{
    private static readonly DateTimeOffset Noon = new(2026, 11, 27, 12, 0, 0, TimeSpan.Zero);
    private readonly TestFolder _folder = new();
    private readonly BenchStore _store;
    private readonly BackupFolder _backups;

    public BackupFolderTests()
    {
        _store = _folder.Open();
        _store.SaveJob(Samples.Job(), 0, "Ada");
        _backups = new BackupFolder(_folder.File("backups"), most: 3);
    }

    private List<string> Names =>
        [.. Directory.GetFiles(_backups.Folder).Select(file => Path.GetFileName(file)!).Order(StringComparer.Ordinal)];

    [Fact]
    public void The_last_ones_are_kept_and_named_by_their_time()
    {
        Assert.Null(_backups.Newest());
        for (int day = 0; day < 5; day++)
        {
            _backups.Make(_store, Noon.AddDays(day));
        }
        Assert.Equal(
            [
                "graftbench-20261129-120000Z.graftbackup",
                "graftbench-20261130-120000Z.graftbackup",
                "graftbench-20261201-120000Z.graftbackup",
            ],
            Names
        );
        Assert.Equal(Noon.AddDays(4), _backups.Newest()!.At);
        _backups.Make(_store, Noon.AddDays(4));
        Assert.Contains("graftbench-20261201-120000Z-2.graftbackup", Names);
        Assert.Equal(3, Names.Count);
    }

    [Fact]
    public void A_clock_set_back_deletes_nothing_that_bears_a_later_time()
    {
        for (int day = 0; day < 3; day++)
        {
            _backups.Make(_store, Noon.AddDays(day));
        }
        List<string> before = Names;
        _backups.Make(_store, Noon.AddYears(-3));
        Assert.Equal(before, Names.Skip(1));
        // Of the time that the clock shows now the last three are kept, the later ones beside them.
        for (int day = 1; day < 5; day++)
        {
            _backups.Make(_store, Noon.AddYears(-3).AddDays(day));
        }
        Assert.Equal(before, Names.Skip(3));
        Assert.Equal(6, Names.Count);
    }

    [Fact]
    public void What_is_not_whole_or_not_a_backup_is_neither_counted_nor_deleted()
    {
        Directory.CreateDirectory(_backups.Folder);
        string[] others =
        [
            "graftbench-20261101-120000Z.graftbackup",
            "letter.txt",
            "graftbench-20269999-120000Z.graftbackup",
        ];
        foreach (string other in others)
        {
            File.WriteAllText(Path.Combine(_backups.Folder, other), "no backup");
        }
        string old = Path.Combine(_backups.Folder, "graftbench-20261102-120000Z.graftbackup.part-0");
        string young = old + "1";
        File.WriteAllText(old, "left by a program that died");
        File.WriteAllText(young, "another bench's");
        File.SetLastWriteTimeUtc(old, Noon.UtcDateTime.AddDays(-3));
        File.SetLastWriteTimeUtc(young, Noon.UtcDateTime);
        for (int day = 0; day < 5; day++)
        {
            _backups.Make(_store, Noon.AddDays(day));
        }
        Assert.All(others, other => Assert.Contains(other, Names));
        Assert.Equal(3 + others.Length, Names.Count);
        Assert.False(File.Exists(old));
    }

    [Fact]
    public void A_folder_that_cannot_be_used_is_said()
    {
        string file = _folder.File("file");
        File.WriteAllText(file, "");
        StoreException refusal = Assert.Throws<StoreException>(() =>
            new BackupFolder(Path.Combine(file, "deep"), 3).Make(_store, Noon)
        );
        Assert.Contains("plugged in", refusal.Message, StringComparison.Ordinal);
    }

    public void Dispose()
    {
        _store.Dispose();
        _folder.Dispose();
    }
}
