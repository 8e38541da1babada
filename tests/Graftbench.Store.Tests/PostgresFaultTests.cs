using System.Data.Common;
using Graftbench.Store.Tests.Support;
using Graftbench.Tests.Shared;

namespace Graftbench.Store.Tests;

/// <summary>What befalls a shared store: its server is killed, restarted, out of room; benches get in each other's way.</summary>
public sealed class PostgresFaultTests : IDisposable
{
    private readonly List<IDisposable> _open = [];

    private static CancellationToken Stop => TestContext.Current.CancellationToken;

    /// <summary>The short form of scripts/kill-test --server.</summary>
    [Fact]
    public async Task No_acknowledged_line_is_lost_when_the_server_is_killed()
    {
        // Syncs like any server.
        DatabaseServer server = Server();
        using TestFolder folder = new();
        StorePlace place = StorePlace.Of(folder.Path, server.Address);
        using BenchStore store = BenchStore.Open(place, TimeProvider.System);
        store.SaveJob(Samples.Job(), 0, "Ada");
        Random random = new(20261127);
        List<string> acknowledged = [];
        int uncertain = 0;
        for (int round = 0; round < 3; round++)
        {
            int killAfter = acknowledged.Count + random.Next(10, 150);
            using ManualResetEventSlim isTime = new();
            Task kill = Task.Run(
                () =>
                {
                    isTime.Wait(Stop);
                    Thread.Sleep(random.Next(0, 4));
                    server.Kill();
                },
                Stop
            );
            StoreException? failure = null;
            while (failure is null)
            {
                try
                {
                    acknowledged.Add(store.Append("arcade-7", Samples.Note($"round {round}")).Sha256);
                }
                catch (StoreException problem)
                {
                    failure = problem;
                }
                if (acknowledged.Count >= killAfter)
                {
                    isTime.Set();
                }
            }
            await kill;
            uncertain += failure is StoreUncertainException ? 1 : 0;
            Assert.NotEmpty(failure.Todo);
            // Each call says so until it is there again; then the same store goes on.
            StoreException gone = Assert.Throws<StoreException>(() => store.Evidence("arcade-7"));
            Assert.Contains("cannot be reached", gone.Message, StringComparison.Ordinal);
            server.Start();
            List<string> kept = [.. store.Evidence("arcade-7").Skip(1).Select(line => line.Sha256)];
            Assert.Equal(acknowledged, kept.Where(acknowledged.Contains));
            Assert.InRange(kept.Count, acknowledged.Count, acknowledged.Count + uncertain);
            Assert.True(store.Check().IsWhole);
        }
    }

    [Fact]
    public void Connections_that_went_dead_are_opened_anew_without_a_word()
    {
        DatabaseServer server = Server();
        using TestFolder folder = new();
        using BenchStore store = BenchStore.Open(StorePlace.Of(folder.Path, server.Address), TimeProvider.System);
        store.SaveJob(Samples.Job(), 0, "Ada");
        server.Stop();
        server.Start();
        // Reading and writing, each over a connection that the restart cut.
        Assert.Single(store.Evidence("arcade-7"));
        Assert.Equal(2, store.Append("arcade-7", Samples.Note("goes on")).Sequence);
        server.Sql("SELECT pg_terminate_backend(pid) FROM pg_stat_activity WHERE application_name = 'graftbench'");
        Assert.Equal(3, store.Append("arcade-7", Samples.Note("and on")).Sequence);
        Assert.Equal(3, store.Evidence("arcade-7").Count);
        // Another bench that opens meanwhile sees the same.
        using BenchStore other = BenchStore.Open(StorePlace.Of(folder.Path, server.Address), TimeProvider.System);
        Assert.True(other.Check().IsWhole);
    }

    [Fact]
    public void A_connection_that_breaks_in_the_middle_of_a_step_saves_nothing_of_it()
    {
        using TestFolder folder = new(StoreKind.Postgres);
        using BenchStore store = folder.Open();
        store.SaveJob(Samples.Job(), 0, "Ada");
        StoreException problem = Assert.Throws<StoreException>(() =>
            store.Connections.Write(
                "arcade-7",
                connection =>
                {
                    connection.Run("UPDATE job SET revision = 9");
                    using DbConnection other = folder.Raw();
                    other.Run(
                        "SELECT pg_terminate_backend(@pid)",
                        ("@pid", connection.Scalar("SELECT pg_backend_pid()"))
                    );
                    return connection.Run("UPDATE job SET revision = 10");
                }
            )
        );
        Assert.Contains("Nothing was saved by this step", problem.Message, StringComparison.Ordinal);
        Assert.Equal(1, store.FindJob("arcade-7")!.Revision);
        Assert.Equal(2, store.Append("arcade-7", Samples.Note("goes on")).Sequence);
    }

    [Fact]
    public async Task Benches_that_write_to_one_record_and_to_many_neither_fork_nor_lose()
    {
        using TestFolder folder = new(StoreKind.Postgres);
        const int benches = 4;
        List<BenchStore> stores = [.. Enumerable.Range(0, benches).Select(_ => folder.Open(TimeProvider.System))];
        _open.AddRange(stores);
        stores[0].SaveJob(Samples.Job(), 0, "Ada");
        int stale = 0;
        await Task.WhenAll(
            stores.Select(
                (store, bench) =>
                    Task.Run(
                        () =>
                        {
                            // A record of its own, made while others make theirs; the same picture in all of them at once.
                            store.SaveJob(Samples.Job($"own-{bench}"), 0, "Ada");
                            for (int number = 0; number < 25; number++)
                            {
                                store.Append("arcade-7", Samples.Note($"{bench} {number}"));
                                store.Append($"own-{bench}", Samples.Picture("same.jpg", $"picture {number}"));
                                int revision = store.FindJob("arcade-7")!.Revision;
                                try
                                {
                                    store.SaveJob(Samples.Job(title: $"{bench} {number}"), revision, "Ada");
                                }
                                catch (StaleRevisionException)
                                {
                                    Interlocked.Increment(ref stale);
                                }
                            }
                        },
                        Stop
                    )
            )
        );
        StoredJob last = stores[1].FindJob("arcade-7")!;
        Assert.Equal(benches * 25 + 1, last.Revision + stale);
        IReadOnlyList<EvidenceLine> lines = stores[2].Evidence("arcade-7");
        Assert.Equal(
            benches * 25,
            lines.Where(line => line.Kind == "note").Select(line => line.PayloadJson).Distinct().Count()
        );
        Assert.Equal(last.Revision, lines.Count(line => line.Kind == "job-saved"));
        Assert.True(stores[3].Check().IsWhole);
        Assert.Equal(25, stores[0].Records().Single(record => record.Id == "own-1").Files);
    }

    [Fact]
    public async Task Of_benches_that_save_the_same_revision_one_wins()
    {
        using TestFolder folder = new(StoreKind.Postgres);
        List<BenchStore> stores = [.. Enumerable.Range(0, 6).Select(_ => folder.Open(TimeProvider.System))];
        _open.AddRange(stores);
        foreach (int expected in new[] { 0, 1 })
        {
            bool[] won = await Task.WhenAll(
                stores.Select(
                    (store, number) =>
                        Task.Run(
                            () =>
                            {
                                try
                                {
                                    store.SaveJob(Samples.Job(title: $"{expected} {number}"), expected, "Ada");
                                    return true;
                                }
                                catch (StaleRevisionException)
                                {
                                    return false;
                                }
                            },
                            Stop
                        )
                )
            );
            Assert.Single(won, wins => wins);
        }
        Assert.Equal(2, stores[0].Evidence("arcade-7").Count);
        Assert.True(stores[0].Check().IsWhole);
    }

    [Fact]
    public void A_full_disk_of_the_server_is_said_and_passes()
    {
        DatabaseServer server = Server();
        using SmallDisk? disk = SmallDisk.TryMake(24);
        using TestFolder folder = new();
        if (disk is not null)
        {
            disk.GiveTo("postgres");
            server.Sql($"CREATE TABLESPACE small LOCATION '{disk.Folder}'");
            server.Sql("ALTER DATABASE tests SET default_tablespace = small");
        }
        try
        {
            using BenchStore store = BenchStore.Open(StorePlace.Of(folder.Path, server.Address), TimeProvider.System);
            store.SaveJob(Samples.Job(), 0, "Ada");
            if (disk is null)
            {
                // Where no small disk may be made the server says by a trigger what it says when one is full.
                server.Sql(
                    """
                    CREATE FUNCTION no_room() RETURNS trigger LANGUAGE plpgsql AS
                        'BEGIN IF NEW.file_name = ''3.bin'' THEN RAISE EXCEPTION ''no room'' USING ERRCODE = ''53100''; END IF; RETURN NEW; END;';
                    CREATE TRIGGER no_room BEFORE INSERT ON evidence FOR EACH ROW EXECUTE FUNCTION no_room()
                    """
                );
            }
            int kept = 0;
            StoreException? full = null;
            while (full is null && kept < 10)
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
            Assert.InRange(kept, 1, 9);
            Assert.Contains("disk of the database server is full", full!.Message, StringComparison.Ordinal);
            Assert.Contains("Nothing was saved by this step", full.Message, StringComparison.Ordinal);
            Assert.Equal(kept + 1, store.Evidence("arcade-7").Count);
            Assert.Equal(kept, store.Records().Single().Files);
            disk?.Grow(64);
            if (disk is null)
            {
                server.Sql("DROP TRIGGER no_room ON evidence; DROP FUNCTION no_room");
            }
            Assert.Equal(kept + 2, store.Append("arcade-7", Dump(kept)).Sequence);
            Assert.True(store.Check().IsWhole);
        }
        finally
        {
            // The server goes before its disk does.
            Dispose();
        }
    }

    public void Dispose()
    {
        _open.Reverse();
        _open.ForEach(one => one.Dispose());
        _open.Clear();
    }

    private DatabaseServer Server()
    {
        DatabaseServer server = new();
        _open.Add(server);
        return server;
    }

    private static EvidenceDraft Dump(int number)
    {
        byte[] bytes = new byte[6_000_000];
        new Random(number).NextBytes(bytes);
        return new("Ada", "dump", "{}", new StoredFile($"{number}.bin", "application/octet-stream", bytes));
    }
}
