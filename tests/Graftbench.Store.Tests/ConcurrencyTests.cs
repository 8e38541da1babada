using System.Data.Common;
using System.Diagnostics;
using Graftbench.Store.Engines;
using Graftbench.Store.Tests.Support;

namespace Graftbench.Store.Tests;

public abstract class ConcurrencyTests : IDisposable
{
    private readonly TestFolder _folder;

    protected ConcurrencyTests(StoreKind kind)
    {
        _folder = new(kind);
    }

    private static CancellationToken Stop => TestContext.Current.CancellationToken;

    [Fact]
    public async Task Threads_write_and_read_one_store_and_every_line_is_there_once()
    {
        using BenchStore store = _folder.Open(TimeProvider.System);
        store.SaveJob(Samples.Job(), 0, "Ada");
        store.SaveJob(Samples.Job("mill-3"), 0, "Ada");
        IEnumerable<Task> writers = Enumerable
            .Range(0, 8)
            .Select(writer =>
                Task.Run(
                    () =>
                    {
                        for (int number = 0; number < 40; number++)
                        {
                            store.Append(number % 2 == 0 ? "arcade-7" : "mill-3", Samples.Note($"{writer} {number}"));
                        }
                    },
                    Stop
                )
            );
        IEnumerable<Task> readers = Enumerable
            .Range(0, 4)
            .Select(_ =>
                Task.Run(
                    () =>
                    {
                        for (int round = 0; round < 40; round++)
                        {
                            IReadOnlyList<EvidenceLine> lines = store.Evidence("arcade-7");
                            // A reader sees a whole chain at any moment.
                            Assert.Equal(
                                Enumerable.Range(1, lines.Count).Select(n => (long)n),
                                lines.Select(line => line.Sequence)
                            );
                            Assert.True(store.Check("arcade-7").IsWhole);
                            Assert.Equal(2, store.Jobs().Count);
                        }
                    },
                    Stop
                )
            );
        await Task.WhenAll(writers.Concat(readers));
        Assert.Equal([161L, 161L], store.Records().Select(record => record.Lines));
        Assert.Equal(160, store.Evidence("arcade-7").Skip(1).Select(line => line.PayloadJson).Distinct().Count());
        Assert.True(store.Check().IsWhole);
    }

    [Fact]
    public async Task Of_many_who_save_the_same_revision_one_wins_and_the_rest_are_told()
    {
        using BenchStore store = _folder.Open();
        store.SaveJob(Samples.Job(), 0, "Ada");
        int[] outcomes = await Task.WhenAll(
            Enumerable
                .Range(0, 10)
                .Select(number =>
                    Task.Run(
                        () =>
                        {
                            try
                            {
                                store.SaveJob(Samples.Job(title: $"try {number}"), 1, "Ada");
                                return 1;
                            }
                            catch (StaleRevisionException)
                            {
                                return 0;
                            }
                        },
                        Stop
                    )
                )
        );
        Assert.Equal(1, outcomes.Sum());
        Assert.Equal(2, store.FindJob("arcade-7")!.Revision);
        Assert.Equal(2, store.Evidence("arcade-7").Count);
    }

    [Fact]
    public async Task Processes_write_one_store_side_by_side()
    {
        using (BenchStore store = _folder.Open())
        {
            store.SaveJob(Samples.Job(), 0, "Ada");
        }
        Process[] processes =
        [
            .. Enumerable.Range(1, 3).Select(n => WriterProcess.Start(_folder, "arcade-7", $"w{n}", 60)),
        ];
        string[] outputs = await Task.WhenAll(processes.Select(process => process.StandardOutput.ReadToEndAsync(Stop)));
        foreach (Process process in processes)
        {
            await process.WaitForExitAsync(Stop);
            Assert.Equal((0, ""), (process.ExitCode, await process.StandardError.ReadToEndAsync(Stop)));
            process.Dispose();
        }
        using BenchStore again = _folder.Open();
        Assert.Equal(181, again.Evidence("arcade-7").Count);
        Assert.Equal(180, outputs.Sum(output => output.Split('\n', StringSplitOptions.RemoveEmptyEntries).Length));
        Assert.True(again.Check().IsWhole);
    }

    [Fact]
    public async Task Processes_that_start_at_once_on_no_store_make_one()
    {
        Process[] processes =
        [
            .. Enumerable.Range(1, 3).Select(n => WriterProcess.Start(_folder, BenchStore.ShopRecord, $"w{n}", 5)),
        ];
        foreach (Process process in processes)
        {
            await process.WaitForExitAsync(Stop);
            Assert.Equal((0, ""), (process.ExitCode, await process.StandardError.ReadToEndAsync(Stop)));
            process.Dispose();
        }
        using BenchStore store = _folder.Open();
        Assert.Equal(15, store.Evidence(BenchStore.ShopRecord).Count);
        Assert.True(store.Check().IsWhole);
    }

    [Fact]
    public void A_writer_that_cannot_get_in_says_so_and_can_try_again()
    {
        using BenchStore store = _folder.Open(TimeProvider.System, TimeSpan.FromMilliseconds(300));
        store.SaveJob(Samples.Job(), 0, "Ada");
        using (DbConnection other = _folder.Raw())
        {
            StoreDialect.Of(other).BeginWrite(other, "arcade-7");
            Stopwatch watch = Stopwatch.StartNew();
            StoreBusyException busy = Assert.Throws<StoreBusyException>(() =>
                store.Append("arcade-7", Samples.Note("x"))
            );
            Assert.InRange(watch.Elapsed.TotalSeconds, 0.25, 5);
            Assert.Contains("busy", busy.Message, StringComparison.Ordinal);
            // Reading goes on meanwhile.
            Assert.Single(store.Evidence("arcade-7"));
            other.Run("ROLLBACK");
        }
        Assert.Equal(2, store.Append("arcade-7", Samples.Note("x")).Sequence);
    }

    [Fact]
    public async Task A_writer_waits_for_one_who_is_done_in_time()
    {
        using BenchStore store = _folder.Open(TimeProvider.System, TimeSpan.FromSeconds(30));
        store.SaveJob(Samples.Job(), 0, "Ada");
        await using DbConnection other = _folder.Raw();
        StoreDialect.Of(other).BeginWrite(other, "arcade-7");
        Task<EvidenceLine> waiting = Task.Run(() => store.Append("arcade-7", Samples.Note("x")), Stop);
        await Task.Delay(1500, Stop);
        Assert.False(waiting.IsCompleted);
        other.Run("ROLLBACK");
        Assert.Equal(2, (await waiting).Sequence);
    }

    [Fact]
    public async Task Threads_of_one_process_wait_for_each_other_no_longer_than_they_should()
    {
        using BenchStore store = _folder.Open(TimeProvider.System, TimeSpan.FromMilliseconds(200));
        store.SaveJob(Samples.Job(), 0, "Ada");
        using ManualResetEventSlim isIn = new();
        using ManualResetEventSlim mayGo = new();
        Task slow = Task.Run(
            () =>
                store.Connections.Write(_ =>
                {
                    isIn.Set();
                    mayGo.Wait(Stop);
                    return 0;
                }),
            Stop
        );
        isIn.Wait(Stop);
        Assert.Throws<StoreBusyException>(() => store.Append("arcade-7", Samples.Note("x")));
        mayGo.Set();
        await slow;
        Assert.Equal(2, store.Append("arcade-7", Samples.Note("x")).Sequence);
    }

    public void Dispose() => _folder.Dispose();
}
