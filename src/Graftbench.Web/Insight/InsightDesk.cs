using Graftbench.Store;
using Graftbench.Web.Desk;

namespace Graftbench.Web.Insight;

/// <summary>Reads the store for the page of what the shop learned, in the background and one reading at a time.</summary>
/// <param name="book">What was read.</param>
public sealed class InsightDesk(InsightBook book) : IDisposable
{
    // A shop of a few hundred jobs never sees a line of progress.
    private static readonly TimeSpan Patience = TimeSpan.FromMilliseconds(900);

    private readonly CancellationTokenSource stop = new();
    private readonly Lock gate = new();
    private Task reading = Task.CompletedTask;
    private DeskStatus<InsightBook> status = Told(DeskState.Done, 1, "Up to date.");

    /// <summary>What was read.</summary>
    public InsightBook Book => book;

    /// <summary>Where the reading stands.</summary>
    public IDeskStatus Status
    {
        get
        {
            lock (gate)
            {
                return status;
            }
        }
    }

    /// <summary>Has whatever changed read, and waits for it a moment; what takes longer goes on by itself.</summary>
    public async Task<IDeskStatus> Look()
    {
        Task now;
        lock (gate)
        {
            if (reading.IsCompleted)
            {
                status = Told(DeskState.Running, 0, "Looking for jobs that have changed.");
                reading = Task.Run(Read);
            }
            now = reading;
        }
        await Task.WhenAny(now, Task.Delay(Patience));
        return Status;
    }

    /// <inheritdoc/>
    public void Dispose()
    {
        stop.Cancel();
        // The store is closed after this: nothing may still read in it.
        reading.Wait(TimeSpan.FromSeconds(10));
        stop.Dispose();
    }

    private void Read()
    {
        DeskStatus<InsightBook> ended;
        try
        {
            book.Refresh(
                (done, of) =>
                {
                    lock (gate)
                    {
                        status = Told(
                            DeskState.Running,
                            (double)done / of,
                            $"{done - (done % Math.Max(1, of / 10))} of {of} changed jobs are read."
                        );
                    }
                },
                stop.Token
            );
            ended = Told(DeskState.Done, 1, "Up to date.");
        }
        catch (OperationCanceledException)
        {
            ended = Told(DeskState.Cancelled, 0, "Stopped with the program.");
        }
        catch (Exception problem) when (problem is StoreException or IOException)
        {
            ended = Told(DeskState.Failed, 0, problem.Message);
        }
        lock (gate)
        {
            status = ended;
        }
    }

    private static DeskStatus<InsightBook> Told(DeskState state, double done, string words) =>
        new("insight", state, done, words, null);
}
