using System.Collections.Concurrent;
using Graftbench.Core.Heating;
using Graftbench.Watch;
using Graftbench.Web.Heating;

namespace Graftbench.Web.Watching;

/// <summary>Watches that are being prepared. A few at a time; the oldest gives way.</summary>
/// <param name="time">Clock.</param>
public sealed class WatchDesk(TimeProvider time) : IAsyncDisposable
{
    private const int MostKept = 8;
    private readonly ConcurrentDictionary<string, WatchPreparation> preparations = new(StringComparer.Ordinal);

    /// <summary>Begins to prepare a watch.</summary>
    /// <param name="jobId">The job.</param>
    /// <param name="subject">Which heat.</param>
    /// <param name="plan">Its plan.</param>
    /// <param name="source">Where readings come from.</param>
    public async Task<WatchPreparation> Begin(string jobId, HeatSubject subject, HeatPlan plan, RunSource source)
    {
        // A port that is listened to for another preparation is wanted here.
        foreach (WatchPreparation other in preparations.Values.OrderBy(one => one.MadeAt).ToList())
        {
            if (
                preparations.Count >= MostKept
                || (other.Source.Kind == source.Kind && other.Source.Address == source.Address)
            )
            {
                await Drop(other);
            }
        }
        WatchPreparation begun = new(Guid.CreateVersion7().ToString("N"), jobId, subject, plan, source, time);
        preparations[begun.Id] = begun;
        return begun;
    }

    /// <summary>A preparation; null where there is none of that id.</summary>
    /// <param name="id">Its id.</param>
    public WatchPreparation? Find(string id) => preparations.GetValueOrDefault(id);

    /// <summary>Drops a preparation and lets go of its source.</summary>
    /// <param name="preparation">The preparation.</param>
    public async Task Drop(WatchPreparation preparation)
    {
        ArgumentNullException.ThrowIfNull(preparation);
        if (preparations.TryRemove(preparation.Id, out _))
        {
            await preparation.DisposeAsync();
        }
    }

    /// <inheritdoc />
    public async ValueTask DisposeAsync()
    {
        foreach (WatchPreparation one in preparations.Values)
        {
            await Drop(one);
        }
    }
}
