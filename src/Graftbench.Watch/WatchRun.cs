using System.Threading.Channels;
using Graftbench.Core.Watching;
using Graftbench.Store;
using static System.FormattableString;

namespace Graftbench.Watch;

/// <summary>
/// A watched heat that goes on: one owner takes what the feed gives, puts it on disk, lets the watch look at it and gives
/// out a picture of the moment. Pages come and go without it noticing.
/// </summary>
public sealed class WatchRun : IFeedTaker, IDisposable
{
    private const int MostQueued = 4096;
    private const int MostTaken = 256;
    private const string RunOver = "The run is over.";

    private readonly IRunFeed feed;
    private readonly RunBook book;
    private readonly Channel<Item> queue = Channel.CreateBounded<Item>(
        new BoundedChannelOptions(MostQueued) { SingleReader = true }
    );
    private readonly CancellationTokenSource stop = new();
    private readonly Lock gate = new();
    private TaskCompletionSource changed = Fresh();
    private RunSnapshot snapshot;

    private readonly record struct Item(
        ItemKind Kind,
        double TimeS,
        double[]? TemperaturesC,
        string? Sort,
        string? Text,
        double? GasC,
        double? PreheaterC,
        TaskCompletionSource<string?>? Done
    );

    private enum ItemKind
    {
        Sample,
        Event,
        Clock,
        Mark,
        Set,
        End,
    }

    internal WatchRun(RunOrder order, IRunFeed feed, BenchStore store)
    {
        Order = order;
        this.feed = feed;
        book = new RunBook(order, feed, store);
        snapshot = book.Look();
    }

    /// <summary>Id in the store.</summary>
    public string Id => book.Run.Id;

    /// <summary>What is watched.</summary>
    public RunOrder Order { get; }

    /// <summary>Where its readings come from.</summary>
    public IRunFeed Feed => feed;

    /// <summary>The newest picture of the moment.</summary>
    public RunSnapshot Snapshot => Volatile.Read(ref snapshot);

    /// <summary>Ends when the run is over.</summary>
    public Task Over { get; private set; } = Task.CompletedTask;

    /// <summary>The curves so far, row by row, and how many values a row has.</summary>
    public (float[] Cells, int Columns) History() => book.HistoryNow();

    /// <summary>Waits for a picture newer than one.</summary>
    /// <param name="seenVersion">Version of the one that was seen.</param>
    /// <param name="cancel">Stops waiting.</param>
    public async Task<RunSnapshot> NewerAsync(long seenVersion, CancellationToken cancel)
    {
        while (true)
        {
            Task waiting;
            lock (gate)
            {
                if (snapshot.Version > seenVersion)
                {
                    return snapshot;
                }
                waiting = changed.Task;
            }
            await waiting.WaitAsync(cancel).ConfigureAwait(false);
        }
    }

    /// <summary>Stores what the person has seen or done; on return it is on disk.</summary>
    /// <param name="sort">Sort: <c>moved</c>, <c>dropped</c>, <c>smelled</c>, <c>popped</c>, <c>note</c>.</param>
    /// <param name="text">What it says.</param>
    /// <returns>Null where it is stored, else why not.</returns>
    public Task<string?> MarkAsync(string sort, string text) =>
        Ask(new Item(ItemKind.Mark, 0, null, sort, text, null, null, Answer()));

    /// <summary>Tells what the person has set on the heaters; on return it is on disk.</summary>
    /// <param name="gasC">Gas [°C]; null where it was left.</param>
    /// <param name="preheaterC">Bottom heater [°C]; null where it was left.</param>
    /// <returns>Null where it is stored, else why not.</returns>
    public async Task<string?> SetAsync(double? gasC, double? preheaterC)
    {
        TaskCompletionSource<string?> done = Answer();
        feed.Turn(
            gasC,
            preheaterC,
            timeS => Put(new Item(ItemKind.Set, timeS ?? double.NaN, null, null, null, gasC, preheaterC, done))
        );
        // A source that has ended takes nothing any more.
        await Task.WhenAny(done.Task, Over).ConfigureAwait(false);
        return done.Task.IsCompleted ? await done.Task.ConfigureAwait(false) : RunOver;
    }

    /// <summary>Ends the run and makes its log evidence.</summary>
    /// <param name="state">How it ended.</param>
    /// <returns>Null where it is stored, else why not.</returns>
    public Task<string?> EndAsync(HeatRunState state) =>
        Ask(new Item(ItemKind.End, 0, null, state.ToString(), null, null, null, Answer()));

    /// <inheritdoc />
    void IFeedTaker.Sample(double timeS, double[] temperaturesC) =>
        Put(new Item(ItemKind.Sample, timeS, temperaturesC, null, null, null, null, null));

    /// <inheritdoc />
    void IFeedTaker.Tell(double timeS, string kind, string text) =>
        Put(new Item(ItemKind.Event, timeS, null, kind, text, null, null, null));

    /// <inheritdoc />
    void IFeedTaker.Clock(double timeS) => Put(new Item(ItemKind.Clock, timeS, null, null, null, null, null, null));

    /// <summary>Stops the source; for a run that is over.</summary>
    public void Dispose() => stop.Dispose();

    internal void Start() => Over = Task.WhenAll(Task.Run(FeedAsync), Task.Run(OwnAsync));

    private static TaskCompletionSource Fresh() => new(TaskCreationOptions.RunContinuationsAsynchronously);

    private static TaskCompletionSource<string?> Answer() => new(TaskCreationOptions.RunContinuationsAsynchronously);

    private async Task<string?> Ask(Item item)
    {
        try
        {
            await queue.Writer.WriteAsync(item).ConfigureAwait(false);
        }
        catch (ChannelClosedException)
        {
            return RunOver;
        }
        return await item.Done!.Task.ConfigureAwait(false);
    }

    // Where the disk is slow the source waits; what it holds meanwhile is the system's business.
    private void Put(in Item item)
    {
        if (queue.Writer.TryWrite(item))
        {
            return;
        }
        try
        {
            queue.Writer.WriteAsync(item, stop.Token).AsTask().GetAwaiter().GetResult();
        }
        catch (Exception error) when (error is ChannelClosedException or OperationCanceledException) { }
    }

    private async Task FeedAsync()
    {
        try
        {
            await feed.RunAsync(this, stop.Token).ConfigureAwait(false);
        }
        catch (OperationCanceledException) when (stop.IsCancellationRequested) { }
#pragma warning disable CA1031 // Whatever breaks in a source must be told on the screen and must not end the run.
        catch (Exception failure)
#pragma warning restore CA1031
        {
            Put(
                new Item(
                    ItemKind.Event,
                    Snapshot.TimeS,
                    null,
                    "gone",
                    $"The source broke: {failure.Message}",
                    null,
                    null,
                    null
                )
            );
        }
        finally
        {
            (feed as IDisposable)?.Dispose();
        }
    }

    private async Task OwnAsync()
    {
        List<Item> taken = [];
        while (await queue.Reader.WaitToReadAsync().ConfigureAwait(false))
        {
            taken.Clear();
            while (taken.Count < MostTaken && queue.Reader.TryRead(out Item item))
            {
                taken.Add(item);
            }
            book.Store([
                .. taken.Where(item => item.Kind == ItemKind.Sample).Select(item => (item.TimeS, item.TemperaturesC!)),
            ]);
            foreach (Item item in taken)
            {
                Handle(item);
            }
            Publish();
            if (!book.GoesOn)
            {
                queue.Writer.TryComplete();
                await stop.CancelAsync().ConfigureAwait(false);
                Refuse();
                return;
            }
        }
    }

    private void Handle(in Item item)
    {
        string? problem = null;
        switch (item.Kind)
        {
            case ItemKind.Sample:
                book.Sample(item.TimeS, item.TemperaturesC!);
                break;
            case ItemKind.Event:
                book.Tell(item.TimeS, item.Sort!, item.Text!);
                break;
            case ItemKind.Clock:
                book.Clock(item.TimeS);
                break;
            case ItemKind.Mark:
                problem = book.Mark(item.Sort!, item.Text!);
                break;
            case ItemKind.Set:
                problem = book.Set(item.TimeS, item.GasC, item.PreheaterC);
                break;
            default:
                problem = book.End(Enum.Parse<HeatRunState>(item.Sort!));
                break;
        }
        item.Done?.TrySetResult(problem);
    }

    private void Publish()
    {
        RunSnapshot next = book.Look();
        TaskCompletionSource told;
        lock (gate)
        {
            Volatile.Write(ref snapshot, next);
            told = changed;
            changed = Fresh();
        }
        told.TrySetResult();
    }

    private void Refuse()
    {
        while (queue.Reader.TryRead(out Item item))
        {
            item.Done?.TrySetResult(RunOver);
        }
    }
}
