using Graftbench.Store.Engines;
using Graftbench.Store.Tests.Support;
using Microsoft.Data.Sqlite;

namespace Graftbench.Store.Tests;

public sealed class OpeningTests : IDisposable
{
    private readonly TestFolder _folder = new();

    [Fact]
    public void Folder_and_store_are_made_and_found_again()
    {
        string deep = _folder.File("a/b/c");
        Assert.False(BenchStore.IsIn(deep));
        using (BenchStore store = BenchStore.Open(deep, new StepTime()))
        {
            store.SaveJob(Samples.Job(), 0, "Ada");
            Assert.Equal(Path.Combine(deep, BenchStore.FileName), store.FilePath);
        }
        Assert.True(BenchStore.IsIn(deep));
        using BenchStore again = BenchStore.Open(deep, new StepTime());
        Assert.Single(again.Jobs());
        Assert.Equal(
            [BenchStore.FileName],
            Directory.GetFiles(deep).Select(Path.GetFileName).Where(name => !name!.Contains('-'))
        );
    }

    [Fact]
    public void Settings_that_durability_rests_on_are_in_force()
    {
        using BenchStore store = _folder.Open();
        store.Connections.Write(connection =>
        {
            Assert.Equal("wal", connection.Scalar("PRAGMA journal_mode"));
            Assert.Equal(2L, connection.Scalar("PRAGMA synchronous"));
            Assert.Equal(1L, connection.Scalar("PRAGMA foreign_keys"));
            Assert.Equal(10_000L, connection.Scalar("PRAGMA busy_timeout"));
            Assert.Equal((long)SqliteDialect.ApplicationId, connection.Scalar("PRAGMA application_id"));
            return 0;
        });
    }

    public static readonly TheoryData<string, byte[]> NoStores = new()
    {
        { "empty file", [] },
        { "text", "This is my shopping list, please do not overwrite it."u8.ToArray() },
        { "short binary", [0, 255, 1, 2] },
        { "long binary", Enumerable.Range(0, 9000).Select(index => (byte)(index * 7)).ToArray() },
        { "only the header's words", "SQLite format 3\0"u8.ToArray() },
    };

    [Theory, MemberData(nameof(NoStores))]
    public void A_file_that_is_no_store_is_refused_and_kept(string name, byte[] bytes)
    {
        File.WriteAllBytes(_folder.StoreFile, bytes);
        StoreException refusal = Assert.Throws<StoreException>(() => _folder.Open());
        Assert.Contains("not a Graftbench store", refusal.Message, StringComparison.Ordinal);
        Assert.Equal(_folder.StoreFile, refusal.Where);
        Assert.True(bytes.AsSpan().SequenceEqual(File.ReadAllBytes(_folder.StoreFile)), name);
        Assert.Single(Directory.GetFiles(_folder.Path));
    }

    [Fact]
    public void Another_programs_database_is_refused_and_kept()
    {
        using (SqliteConnection other = new($"Data Source={_folder.StoreFile};Pooling=False"))
        {
            other.Open();
            other.Run(
                "CREATE TABLE recipe (name TEXT); INSERT INTO recipe VALUES ('soup'); PRAGMA application_id = 7;"
            );
        }
        var before = _folder.Bytes();
        StoreException refusal = Assert.Throws<StoreException>(() => _folder.Open());
        Assert.Contains("another program's database", refusal.Message, StringComparison.Ordinal);
        Assert.Equal(before, _folder.Bytes());
    }

    [Fact]
    public void A_newer_store_is_refused_and_kept()
    {
        _folder.Open().Dispose();
        using (SqliteConnection newer = new($"Data Source={_folder.StoreFile};Pooling=False"))
        {
            newer.Open();
            newer.Run("PRAGMA user_version = 99");
        }
        var before = _folder.Bytes();
        StoreException refusal = Assert.Throws<StoreException>(() => _folder.Open());
        Assert.Contains("format 99, made by a newer Graftbench", refusal.Message, StringComparison.Ordinal);
        Assert.Equal(before, _folder.Bytes());
    }

    [Theory, InlineData(0.3), InlineData(0.6), InlineData(0.95)]
    public void A_store_cut_off_is_refused_and_kept(double shareFraction)
    {
        using (BenchStore store = _folder.Open())
        {
            Samples.Fill(store);
        }
        byte[] whole = File.ReadAllBytes(_folder.StoreFile);
        File.WriteAllBytes(_folder.StoreFile, whole[..(int)(whole.Length * shareFraction)]);
        var before = _folder.Bytes();
        StoreException refusal = Assert.Throws<StoreException>(() => _folder.Open());
        Assert.Contains("damaged", refusal.Message, StringComparison.Ordinal);
        Assert.Equal(before, _folder.Bytes());
    }

    [Fact]
    public void A_store_with_overwritten_pages_is_found_damaged()
    {
        using (BenchStore store = _folder.Open())
        {
            Samples.Fill(store);
        }
        byte[] bytes = File.ReadAllBytes(_folder.StoreFile);
        bytes.AsSpan(4096).Fill(0xA5);
        File.WriteAllBytes(_folder.StoreFile, bytes);
        StoreException refusal = Assert.Throws<StoreException>(() =>
        {
            using BenchStore store = _folder.Open();
            store.Jobs();
        });
        Assert.Contains("damaged", refusal.Message, StringComparison.Ordinal);
    }

    [Theory, InlineData("a b"), InlineData("50%25 #1 & done"), InlineData("größe 漢"), InlineData("it's;Mode=Memory")]
    public void Any_folder_name_will_do(string name)
    {
        using (BenchStore store = BenchStore.Open(_folder.File(name), new StepTime()))
        {
            Samples.Fill(store);
        }
        using BenchStore again = BenchStore.Open(_folder.File(name), new StepTime());
        Assert.Equal(2, again.Jobs().Count);
        Assert.True(File.Exists(Path.Combine(_folder.Path, name, BenchStore.FileName)));
    }

    [Fact]
    public void A_folder_that_cannot_be_made_is_said_clearly()
    {
        File.WriteAllText(_folder.File("file"), "x");
        StoreException refusal = Assert.Throws<StoreException>(() =>
            BenchStore.Open(_folder.File("file/data"), TimeProvider.System)
        );
        Assert.Contains("--data", refusal.Todo, StringComparison.Ordinal);
        Assert.Contains("file", refusal.Where, StringComparison.Ordinal);
    }

    [Fact]
    public void A_full_disk_is_said_clearly_and_nothing_is_lost()
    {
        using BenchStore store = _folder.Open();
        store.SaveJob(Samples.Job(), 0, "Ada");
        store.Connections.Write(connection => connection.Scalar("PRAGMA max_page_count = 30"));
        StoreException full = Assert.Throws<StoreException>(() =>
        {
            for (int number = 0; number < 1000; number++)
            {
                store.Append("arcade-7", Samples.Note(new string('x', 2000)));
            }
        });
        Assert.Contains("disk is full", full.Message, StringComparison.Ordinal);
        int lines = store.Evidence("arcade-7").Count;
        Assert.True(store.Check().IsWhole);
        store.Connections.Write(connection => connection.Scalar("PRAGMA max_page_count = 1000000"));
        Assert.Equal(lines + 1, store.Append("arcade-7", Samples.Note("room again")).Sequence);
    }

    [Fact]
    public void A_closed_store_says_so()
    {
        BenchStore store = _folder.Open();
        store.Dispose();
        store.Dispose();
        Assert.Throws<ObjectDisposedException>(() => store.Jobs());
        Assert.Throws<ObjectDisposedException>(() => store.SaveJob(Samples.Job(), 0, "Ada"));
    }

    public void Dispose() => _folder.Dispose();
}
