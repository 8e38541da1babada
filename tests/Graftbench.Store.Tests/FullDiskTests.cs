using Graftbench.Store.Tests.Support;

namespace Graftbench.Store.Tests;

/// <summary>A disk without room: said, nothing broken, and it goes on once there is room.</summary>
public sealed class FullDiskTests : IDisposable
{
    private readonly SmallDisk? _disk = SmallDisk.TryMake(6);
    private readonly TestFolder _folder = new();

    [Fact]
    public void A_store_on_a_full_disk_says_so_keeps_what_it_has_and_goes_on()
    {
        using BenchStore store = BenchStore.Open(_disk?.Folder ?? _folder.Path, TimeProvider.System);
        store.SaveJob(Samples.Job(), 0, "Ada");
        if (_disk is null)
        {
            // Where no small disk may be made SQLite is told that there is room for so many pages.
            store.Connections.Write(connection => connection.Run("PRAGMA max_page_count = 800"));
        }
        int kept = 0;
        StoreException? full = null;
        while (full is null && kept < 100)
        {
            try
            {
                store.Append("arcade-7", Dump(kept));
                kept++;
            }
            catch (StoreException problem)
            {
                full = problem;
            }
        }
        Assert.InRange(kept, 1, 99);
        Assert.Contains("The disk is full. Nothing was saved by this step", full!.Message, StringComparison.Ordinal);
        Assert.Equal(kept + 1, store.Evidence("arcade-7").Count);
        Assert.True(store.Check().IsWhole);
        _disk?.Grow(40);
        if (_disk is null)
        {
            store.Connections.Write(connection => connection.Run("PRAGMA max_page_count = 100000"));
        }
        Assert.Equal(kept + 2, store.Append("arcade-7", Dump(kept)).Sequence);
        Assert.True(store.Check().IsWhole);
    }

    [Fact]
    public void A_backup_that_finds_no_room_leaves_nothing_behind()
    {
        using BenchStore store = _folder.Open();
        store.SaveJob(Samples.Job(), 0, "Ada");
        for (int number = 0; number < 12; number++)
        {
            store.Append("arcade-7", Dump(number));
        }
        // Without a small disk: a folder in the memory file system that takes no file at all.
        string target = _disk?.Folder ?? "/proc/self";
        StoreException full = Assert.Throws<StoreException>(() =>
            store.Backup(Path.Combine(target, "b.graftbackup"), stop: TestContext.Current.CancellationToken)
        );
        Assert.NotEmpty(full.Todo);
        if (_disk is not null)
        {
            Assert.Contains("full", full.Message, StringComparison.Ordinal);
            Assert.Empty(Directory.GetFileSystemEntries(_disk.Folder));
            _disk.Grow(40);
            Assert.True(
                store
                    .Backup(Path.Combine(target, "b.graftbackup"), stop: TestContext.Current.CancellationToken)
                    .Check.IsWhole
            );
            Assert.Single(Directory.GetFileSystemEntries(_disk.Folder));
        }
    }

    public void Dispose()
    {
        _folder.Dispose();
        _disk?.Dispose();
    }

    private static EvidenceDraft Dump(int number)
    {
        byte[] bytes = new byte[400_000];
        new Random(number).NextBytes(bytes);
        return new("Ada", "dump", "{}", new StoredFile($"{number}.bin", "application/octet-stream", bytes));
    }
}
