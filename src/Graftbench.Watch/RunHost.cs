using System.Collections.Concurrent;
using Graftbench.Store;

namespace Graftbench.Watch;

/// <summary>Owns the watched heats of a program: starts them, finds them, and at a start ends those that a dead program left.</summary>
/// <param name="store">The store.</param>
public sealed class RunHost(BenchStore store) : IAsyncDisposable
{
    private const string LockFolder = "watching";
    private const int MostOver = 8;
    private static readonly TimeSpan Patience = TimeSpan.FromSeconds(10);

    private readonly ConcurrentDictionary<string, (WatchRun Run, FileStream Held)> runs = new(StringComparer.Ordinal);

    /// <summary>Runs that go on in this program.</summary>
    public IReadOnlyList<WatchRun> GoingOn => [.. runs.Values.Select(one => one.Run).Where(run => run.Snapshot.GoesOn)];

    /// <summary>A run of this program that goes on or is just over; null where there is none of that id.</summary>
    /// <param name="id">Its id.</param>
    public WatchRun? Find(string id) =>
        runs.TryGetValue(id, out (WatchRun Run, FileStream Held) found) ? found.Run : null;

    /// <summary>Begins a run: its time 0 is now.</summary>
    /// <param name="order">What is watched.</param>
    /// <param name="feed">Where readings come from.</param>
    /// <exception cref="StoreException">The store cannot take it.</exception>
    public WatchRun Start(RunOrder order, IRunFeed feed)
    {
        ArgumentNullException.ThrowIfNull(order);
        ArgumentNullException.ThrowIfNull(feed);
        GiveBack();
        WatchRun run = new(order, feed, store);
        FileStream held = Hold(run.Id) ?? throw new InvalidOperationException("A new run is held already.");
        runs[run.Id] = (run, held);
        run.Start();
        _ = run.Over.ContinueWith(_ => LetGo(run.Id), TaskScheduler.Default);
        return run;
    }

    /// <summary>Ends runs that the store holds as going on and no living program holds, as interrupted.</summary>
    /// <returns>Those that were ended.</returns>
    public IReadOnlyList<HeatRun> Recover()
    {
        List<HeatRun> recovered = [];
        foreach (HeatRun left in store.RunsGoingOn())
        {
            if (runs.ContainsKey(left.Id) || Hold(left.Id) is not { } held)
            {
                continue;
            }
            using (held)
            {
                recovered.Add(store.EndRun(left, HeatRunState.Interrupted));
            }
        }
        return recovered;
    }

    /// <summary>Ends what still goes on, as interrupted.</summary>
    public async ValueTask DisposeAsync()
    {
        foreach ((WatchRun run, FileStream held) in runs.Values)
        {
            await run.EndAsync(HeatRunState.Interrupted).ConfigureAwait(false);
            await run.Over.WaitAsync(Patience).ConfigureAwait(false);
            await held.DisposeAsync().ConfigureAwait(false);
        }
        runs.Clear();
    }

    private void LetGo(string id)
    {
        if (runs.TryGetValue(id, out (WatchRun Run, FileStream Held) found))
        {
            found.Held.Dispose();
        }
        // Pages may still look at a run that is just over, but not at every one for good.
        List<string> old =
        [
            .. runs
                .Values.Select(one => one.Run)
                .Where(run => !run.Snapshot.GoesOn)
                .OrderByDescending(run => run.Snapshot.Run.StartedAt)
                .Skip(MostOver)
                .Select(run => run.Id),
        ];
        foreach (string one in old)
        {
            runs.TryRemove(one, out _);
        }
        GiveBack();
    }

    // Building a model leaves hundreds of megabytes behind. Before a heat and after it there is time to tidy up; in the middle of
    // one there is not.
    private void GiveBack()
    {
        if (GoingOn.Count == 0)
        {
            GC.Collect(GC.MaxGeneration, GCCollectionMode.Aggressive, blocking: true, compacting: true);
        }
    }

    // The system lets go of the file when the program dies, however it dies.
    private FileStream? Hold(string id)
    {
        string folder = Directory.CreateDirectory(Path.Combine(store.Folder, LockFolder)).FullName;
        try
        {
            return new FileStream(
                Path.Combine(folder, id + ".lock"),
                FileMode.OpenOrCreate,
                FileAccess.ReadWrite,
                FileShare.None,
                1,
                FileOptions.DeleteOnClose
            );
        }
        catch (IOException)
        {
            return null;
        }
    }
}
