using Graftbench.Store.Tests.Support;
using Microsoft.Data.Sqlite;

namespace Graftbench.Store.Tests;

public sealed class MigrationTests : IDisposable
{
    private static readonly int Present = StoreSchema.Migrations.Count;

    private static readonly Migration Next = new(Present + 1, "next", "ALTER TABLE record ADD COLUMN colour TEXT;");
    private readonly TestFolder _folder = new();

    [Fact]
    public void Migrations_are_numbered_from_1_without_gaps() =>
        Assert.Equal(
            Enumerable.Range(1, StoreSchema.Migrations.Count),
            StoreSchema.Migrations.Select(migration => migration.Version)
        );

    [Fact]
    public void A_later_step_runs_once_on_a_store_with_content()
    {
        using (BenchStore store = _folder.Open())
        {
            Samples.Fill(store);
        }
        List<Migration> steps = [.. StoreSchema.Migrations, Next];
        using SqliteConnection connection = Raw();
        Assert.Equal(Next.Version, StoreSchema.Migrate(connection, steps));
        Assert.Equal(Next.Version, StoreSchema.Migrate(connection, steps));
        Assert.Equal(3L, connection.Scalar("SELECT count(*) FROM record WHERE colour IS NULL"));
    }

    [Fact]
    public void A_store_of_the_first_format_goes_on_with_all_it_holds()
    {
        using (SqliteConnection connection = Raw())
        {
            StoreSchema.Migrate(connection, [StoreSchema.Migrations[0]]);
        }
        using BenchStore store = _folder.Open();
        Samples.Fill(store);
        Assert.Empty(store.Runs("arcade-7"));
        Assert.True(store.Check().IsWhole);
    }

    [Fact]
    public void A_store_from_before_facts_of_benches_goes_on()
    {
        using (SqliteConnection connection = Raw())
        {
            StoreSchema.Migrate(connection, [.. StoreSchema.Migrations.Take(2)]);
        }
        using BenchStore store = _folder.Open();
        Samples.Fill(store);
        Assert.Empty(store.BenchFacts());
        store.AddBenchFact("Left", BenchFactRules.Heaters, "{}", "Ada");
        Assert.True(store.Check().IsWhole);
    }

    [Fact]
    public void A_step_that_fails_leaves_the_store_as_it_was()
    {
        _folder.Open().Dispose();
        var before = _folder.Bytes();
        using (SqliteConnection connection = Raw())
        {
            Migration broken = new(
                Present + 1,
                "broken",
                "CREATE TABLE half (a TEXT); INSERT INTO nowhere VALUES (1);"
            );
            Assert.Throws<SqliteException>(() => StoreSchema.Migrate(connection, [.. StoreSchema.Migrations, broken]));
            Assert.Equal(Present, StoreSchema.Version(connection));
            Assert.Null(connection.Scalar("SELECT 1 FROM sqlite_schema WHERE name = 'half'"));
        }
        Assert.Equal(before, _folder.Bytes());
    }

    [Fact]
    public void A_program_that_knows_fewer_steps_refuses_the_store()
    {
        _folder.Open().Dispose();
        using SqliteConnection connection = Raw();
        StoreSchema.Migrate(connection, [.. StoreSchema.Migrations, Next]);
        Assert.Throws<StoreException>(() => StoreSchema.Migrate(connection, StoreSchema.Migrations));
        Assert.Throws<StoreException>(() => _folder.Open());
    }

    [Fact]
    public async Task Many_openings_of_a_new_folder_make_one_store()
    {
        await Task.WhenAll(
            Enumerable
                .Range(0, 12)
                .Select(number =>
                    Task.Run(() =>
                    {
                        using BenchStore store = _folder.Open();
                        store.Append(BenchStore.ShopRecord, Samples.Note($"opened {number}"));
                    })
                )
        );
        using BenchStore store = _folder.Open();
        Assert.Equal(12, store.Evidence(BenchStore.ShopRecord).Count);
        Assert.True(store.Check().IsWhole);
        Assert.DoesNotContain(
            Directory.GetFiles(_folder.Path),
            file => file.Contains(".new-", StringComparison.Ordinal)
        );
    }

    public void Dispose() => _folder.Dispose();

    private SqliteConnection Raw()
    {
        SqliteConnection connection = new($"Data Source={_folder.StoreFile};Pooling=False");
        connection.Open();
        return connection;
    }
}
