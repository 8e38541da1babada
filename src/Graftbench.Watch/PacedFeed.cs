namespace Graftbench.Watch;

/// <summary>A feed whose time is made here: it goes at a chosen speed and stands still while there is work to wait for.</summary>
/// <param name="speedRatio">Run time over the time on the wall; 1 is real time.</param>
/// <param name="time">Clock.</param>
public abstract class PacedFeed(double speedRatio, TimeProvider time) : IRunFeed
{
    /// <summary>Slowest speed.</summary>
    public const double SlowestRatio = 0.1;

    /// <summary>Fastest speed.</summary>
    public const double FastestRatio = 2000;

    private static readonly TimeSpan Beat = TimeSpan.FromMilliseconds(50);

    /// <inheritdoc />
    public abstract string Name { get; }

    /// <inheritdoc />
    public abstract FeedNature Nature { get; }

    /// <inheritdoc />
    public abstract IReadOnlyList<string> Channels { get; }

    /// <summary>Run time over the time on the wall.</summary>
    public double SpeedRatio { get; } = speedRatio;

    /// <inheritdoc />
    public virtual void Turn(double? gasC, double? preheaterC, Action<double?> taken)
    {
        ArgumentNullException.ThrowIfNull(taken);
        taken(null);
    }

    /// <inheritdoc />
    public async Task RunAsync(IFeedTaker taker, CancellationToken cancel)
    {
        ArgumentNullException.ThrowIfNull(taker);
        taker.Tell(0, "connected", $"Reading {Name}.");
        double nowS = 0;
        using PeriodicTimer timer = new(Beat, time);
        try
        {
            while (true)
            {
                Prepare(nowS);
                long from = time.GetTimestamp();
                if (!await timer.WaitForNextTickAsync(cancel).ConfigureAwait(false))
                {
                    return;
                }
                // No leaps: after a pause of the machine the run goes on where it was.
                double goneS = Math.Min(time.GetElapsedTime(from).TotalSeconds, 4 * Beat.TotalSeconds);
                double toS = nowS + SpeedRatio * goneS;
                bool more = GiveTo(toS, taker);
                nowS = toS;
                taker.Clock(nowS);
                if (!more)
                {
                    taker.Tell(nowS, "over", $"{Name} has ended.");
                    return;
                }
            }
        }
        catch (OperationCanceledException) when (cancel.IsCancellationRequested) { }
    }

    /// <summary>Does what takes time, while the run's time stands still.</summary>
    /// <param name="nowS">Time of the run [s].</param>
    protected virtual void Prepare(double nowS) { }

    /// <summary>Gives all samples up to a time.</summary>
    /// <param name="timeS">Time of the run [s].</param>
    /// <param name="taker">Takes them.</param>
    /// <returns>False where no more will come.</returns>
    protected abstract bool GiveTo(double timeS, IFeedTaker taker);
}
