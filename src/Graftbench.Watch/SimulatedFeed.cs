using Graftbench.Core.Watching;

namespace Graftbench.Watch;

/// <summary>A simulated bench as a feed: it obeys what the person sets, and is marked as a simulation in all that it writes.</summary>
/// <param name="logger">The simulated bench.</param>
/// <param name="channels">Names of its channels.</param>
/// <param name="lastS">When it ends [s].</param>
/// <param name="speedRatio">Run time over the time on the wall.</param>
/// <param name="time">Clock.</param>
public sealed class SimulatedFeed(
    SimulatedLogger logger,
    IReadOnlyList<string> channels,
    double lastS,
    double speedRatio,
    TimeProvider time
) : PacedFeed(speedRatio, time)
{
    private readonly Lock gate = new();
    private readonly Queue<(double? GasC, double? PreheaterC, Action<double?> Taken)> settings = new();

    /// <inheritdoc />
    public override string Name => "the simulated bench";

    /// <inheritdoc />
    public override FeedNature Nature => FeedNature.Simulation;

    /// <inheritdoc />
    public override IReadOnlyList<string> Channels => channels;

    /// <inheritdoc />
    public override void Turn(double? gasC, double? preheaterC, Action<double?> taken)
    {
        lock (gate)
        {
            settings.Enqueue((gasC, preheaterC, taken));
        }
    }

    /// <inheritdoc />
    protected override void Prepare(double nowS)
    {
        while (true)
        {
            (double? GasC, double? PreheaterC, Action<double?> Taken) setting;
            lock (gate)
            {
                if (!settings.TryDequeue(out setting))
                {
                    return;
                }
            }
            logger.Set(nowS, setting.GasC, setting.PreheaterC);
            setting.Taken(nowS);
        }
    }

    /// <inheritdoc />
    protected override bool GiveTo(double timeS, IFeedTaker taker)
    {
        ArgumentNullException.ThrowIfNull(taker);
        foreach (IGrouping<double, ProbeReading> moment in logger.ReadTo(timeS).GroupBy(one => one.TimeS))
        {
            double[] temperaturesC = new double[channels.Count];
            Array.Fill(temperaturesC, double.NaN);
            foreach (ProbeReading reading in moment)
            {
                for (int i = 0; i < temperaturesC.Length; i++)
                {
                    if (channels[i] == reading.Channel)
                    {
                        temperaturesC[i] = reading.TemperatureC ?? double.NaN;
                    }
                }
            }
            taker.Sample(moment.Key, temperaturesC);
        }
        return timeS < lastS;
    }
}
