using Graftbench.Core.Watching.Lines;
using Graftbench.Probes;

namespace Graftbench.Watch;

/// <summary>A logger that sends its lines now: serial port, network or a file that grows.</summary>
/// <param name="source">The source.</param>
/// <param name="format">The confirmed format of its lines.</param>
/// <param name="time">Clock.</param>
public sealed class LiveFeed(IProbeSource source, ProbeFormat format, TimeProvider time) : IRunFeed
{
    private static readonly TimeSpan Beat = TimeSpan.FromMilliseconds(100);

    /// <inheritdoc />
    public string Name => source.Name;

    /// <inheritdoc />
    public FeedNature Nature => FeedNature.Live;

    /// <inheritdoc />
    public IReadOnlyList<string> Channels { get; } = format.Channels;

    /// <inheritdoc />
    public void Turn(double? gasC, double? preheaterC, Action<double?> taken) => taken(null);

    /// <inheritdoc />
    public async Task RunAsync(IFeedTaker taker, CancellationToken cancel)
    {
        ArgumentNullException.ThrowIfNull(taker);
        ProbeConnection connection = new(source, time);
        Hearing hearing = new(format, taker);
        using CancellationTokenSource stop = CancellationTokenSource.CreateLinkedTokenSource(cancel);
        Task beating = BeatAsync(connection, hearing, stop.Token);
        try
        {
            await connection.RunAsync(hearing.Take, hearing.Tell, cancel).ConfigureAwait(false);
        }
        finally
        {
            await stop.CancelAsync().ConfigureAwait(false);
            await beating.ConfigureAwait(false);
        }
    }

    // Time goes on where nothing comes: a source that is gone must be seen as such.
    private async Task BeatAsync(ProbeConnection connection, Hearing hearing, CancellationToken cancel)
    {
        using PeriodicTimer timer = new(Beat, time);
        try
        {
            while (await timer.WaitForNextTickAsync(cancel).ConfigureAwait(false))
            {
                hearing.Clock(connection.NowS);
            }
        }
        catch (OperationCanceledException) { }
    }

    /// <summary>Turns bytes into samples; begins anew with each connection, since half a line may be lost between two.</summary>
    private sealed class Hearing(ProbeFormat format, IFeedTaker taker)
    {
        private readonly Lock gate = new();
        private ProbeReceiver receiver = ProbeReceiver.Live(format);

        public void Take(ReadOnlyMemory<byte> bytes, double arrivalS)
        {
            lock (gate)
            {
                receiver.Feed(
                    bytes.Span,
                    arrivalS,
                    sample => taker.Sample(sample.TimeS, Temperatures(sample)),
                    one => taker.Tell(one.TimeS, one.Kind, one.Text)
                );
            }
        }

        public void Tell(ProbeEvent one)
        {
            lock (gate)
            {
                if (one.Kind == "connected")
                {
                    receiver = ProbeReceiver.Live(format);
                }
                taker.Tell(one.TimeS, one.Kind, one.Text);
            }
        }

        public void Clock(double nowS)
        {
            lock (gate)
            {
                taker.Clock(nowS);
            }
        }
    }

    /// <summary>Temperatures of a sample, one for each channel.</summary>
    internal static double[] Temperatures(ProbeSample sample) =>
        [.. sample.Readings.Select(reading => reading.TemperatureC)];
}
