using System.Collections.Concurrent;
using System.Threading.Channels;
using Graftbench.Store;
using Microsoft.Extensions.Logging;

namespace Graftbench.Web.Live;

/// <summary>A record that has grown.</summary>
/// <param name="Id">Job id, or the shop's own record.</param>
/// <param name="Lines">Lines that it has now.</param>
/// <param name="Who">Who added the newest of them.</param>
/// <param name="Kind">Kind of the newest of them.</param>
public sealed record GrownRecord(string Id, long Lines, string Who, string Kind);

/// <summary>
/// Notices what any bench adds to the store, also through another program, and tells pages that listen. The store is
/// looked at only while somebody does.
/// </summary>
/// <param name="store">The store.</param>
/// <param name="time">The clock.</param>
/// <param name="log">Where a store that does not answer is noted.</param>
public sealed partial class RecordWatch(BenchStore store, TimeProvider time, ILogger<RecordWatch> log) : IDisposable
{
    /// <summary>How often the store is looked at.</summary>
    public static TimeSpan Interval { get; } = TimeSpan.FromMilliseconds(250);

    // Numbers of lines need not appear in their order where several benches write at once: so many are looked at anew.
    private const int LookBack = 200;
    private const int MostWaiting = 64;

    private readonly ConcurrentDictionary<Guid, Channel<GrownRecord>> listeners = new();
    private readonly Lock gate = new();
    private readonly CancellationTokenSource stop = new();
    private Task? looking;

    /// <summary>Pages that listen.</summary>
    public int Listeners => listeners.Count;

    /// <summary>Listens until cancelled; what was added before is not told.</summary>
    public async IAsyncEnumerable<GrownRecord> Listen(
        [System.Runtime.CompilerServices.EnumeratorCancellation] CancellationToken cancel
    )
    {
        // Somebody who does not listen for long loses the oldest news, never the newest.
        Channel<GrownRecord> news = Channel.CreateBounded<GrownRecord>(
            new BoundedChannelOptions(MostWaiting) { FullMode = BoundedChannelFullMode.DropOldest, SingleReader = true }
        );
        Guid key = Guid.NewGuid();
        lock (gate)
        {
            listeners[key] = news;
            looking ??= Task.Run(LookOn, CancellationToken.None);
        }
        try
        {
            await foreach (GrownRecord grown in news.Reader.ReadAllAsync(cancel))
            {
                yield return grown;
            }
        }
        finally
        {
            listeners.TryRemove(key, out _);
        }
    }

    /// <inheritdoc />
    public void Dispose()
    {
        stop.Cancel();
        stop.Dispose();
    }

    private async Task LookOn()
    {
        HashSet<long>? seen = null;
        bool answered = true;
        CancellationToken cancel = stop.Token;
        while (!cancel.IsCancellationRequested)
        {
            try
            {
                IReadOnlyList<(long Number, GrownRecord Record)> latest = store.LatestLines(LookBack, Grown);
                foreach ((long _, GrownRecord record) in Newest(latest, seen))
                {
                    Tell(record);
                }
                seen = [.. latest.Select(line => line.Number)];
                answered = true;
            }
            catch (Exception failure) when (failure is StoreException or IOException)
            {
                if (answered)
                {
                    LogNoAnswer(log, failure.Message);
                }
                answered = false;
            }
            catch (ObjectDisposedException)
            {
                return;
            }
            lock (gate)
            {
                if (listeners.IsEmpty)
                {
                    looking = null;
                    return;
                }
            }
            try
            {
                await Task.Delay(Interval, time, cancel);
            }
            catch (OperationCanceledException)
            {
                return;
            }
        }
    }

    private static GrownRecord Grown(EvidenceLine line) => new(line.RecordId, line.Sequence, line.Who, line.Kind);

    // Of each record the newest line that was not there before; at the first look nothing is new.
    private static IEnumerable<(long Number, GrownRecord Record)> Newest(
        IReadOnlyList<(long Number, GrownRecord Record)> latest,
        HashSet<long>? seen
    ) =>
        seen is null
            ? []
            : latest
                .Where(line => !seen.Contains(line.Number))
                .GroupBy(line => line.Record.Id, StringComparer.Ordinal)
                .Select(lines => lines.MaxBy(line => line.Record.Lines));

    private void Tell(GrownRecord record)
    {
        foreach (Channel<GrownRecord> news in listeners.Values)
        {
            news.Writer.TryWrite(record);
        }
    }

    [LoggerMessage(LogLevel.Warning, "The store does not say what is new: {Problem}")]
    private static partial void LogNoAnswer(ILogger log, string problem);
}
