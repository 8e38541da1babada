using Graftbench.Core.Proof;
using Graftbench.Core.Watching.Lines;
using Graftbench.Probes;

namespace Graftbench.Web.Proving;

/// <summary>What the meter on the bench's serial port shows now.</summary>
/// <param name="Port">The port; null where none is read.</param>
/// <param name="Told">What happened last: reading, gone, silent; null for nothing.</param>
/// <param name="Shown">The last line; null before the first.</param>
public sealed record MeterState(string? Port, string? Told, MeterShown? Shown);

/// <summary>Reads one meter on a serial port for as long as it is wanted.</summary>
/// <param name="time">Clock.</param>
public sealed class MeterHost(TimeProvider time) : IDisposable
{
    private readonly Lock gate = new();
    private CancellationTokenSource? running;
    private string? port;
    private string? told;
    private ReadingKind kind = ReadingKind.Diode;
    private MeterFeed feed = new(ReadingKind.Diode);
    private MeterShown? shown;

    /// <summary>What it shows, taken for a kind; another kind begins anew.</summary>
    public MeterState State(ReadingKind wanted)
    {
        lock (gate)
        {
            if (wanted != kind)
            {
                kind = wanted;
                feed = new MeterFeed(kind);
                shown = null;
            }
            return new MeterState(port, told, shown);
        }
    }

    /// <summary>Reads another port; the one before is let go.</summary>
    /// <param name="source">The meter.</param>
    public void Start(IProbeSource source)
    {
        ArgumentNullException.ThrowIfNull(source);
        Stop();
        lock (gate)
        {
            running = new CancellationTokenSource();
            port = source.Name;
            told = null;
            shown = null;
            feed.Anew();
            _ = new ProbeConnection(source, time).RunAsync(Take, Tell, running.Token);
        }
    }

    /// <summary>The leads were put down anew: what came before no longer counts.</summary>
    public void Anew()
    {
        lock (gate)
        {
            feed.Anew();
            shown = null;
        }
    }

    /// <summary>Lets the port go.</summary>
    public void Stop()
    {
        lock (gate)
        {
            running?.Cancel();
            running?.Dispose();
            running = null;
            port = null;
            told = null;
            shown = null;
        }
    }

    /// <summary>Lets the port go.</summary>
    public void Dispose() => Stop();

    private void Take(ReadOnlyMemory<byte> bytes, double arrivalS)
    {
        lock (gate)
        {
            feed.Feed(bytes.Span, arrivalS, one => shown = one);
        }
    }

    private void Tell(ProbeEvent happened)
    {
        lock (gate)
        {
            told = happened.Text;
        }
    }
}
