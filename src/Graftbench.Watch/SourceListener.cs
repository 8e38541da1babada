using Graftbench.Core.Watching.Lines;
using Graftbench.Probes;

namespace Graftbench.Watch;

/// <summary>Listens to a source before a run: its first lines, what formats fit them, and whether it answers at all.</summary>
public sealed class SourceListener : IAsyncDisposable
{
    private readonly CancellationTokenSource stop = new();
    private readonly LineCutter cutter;
    private readonly List<string> first = [];
    private readonly Queue<string> newest = new();
    private readonly Lock gate = new();
    private readonly Task running;
    private string said = "Opening the source.";
    private long heardNumber;

    /// <summary>Begins to listen.</summary>
    /// <param name="source">The source.</param>
    /// <param name="time">Clock.</param>
    public SourceListener(IProbeSource source, TimeProvider time)
    {
        ArgumentNullException.ThrowIfNull(source);
        cutter = source.ComesBack ? new LineCutter() : LineCutter.OfFile();
        ProbeConnection connection = new(source, time);
        running = Task.Run(() => connection.RunAsync(Take, Tell, stop.Token));
    }

    /// <summary>What is known of the source.</summary>
    public string Said
    {
        get
        {
            lock (gate)
            {
                return said;
            }
        }
    }

    /// <summary>Lines that were heard.</summary>
    public long HeardNumber
    {
        get
        {
            lock (gate)
            {
                return heardNumber;
            }
        }
    }

    /// <summary>The newest lines, the oldest first.</summary>
    public IReadOnlyList<string> Newest
    {
        get
        {
            lock (gate)
            {
                return [.. newest];
            }
        }
    }

    /// <summary>Formats that fit the first lines, the likeliest first.</summary>
    /// <param name="roomC">Temperature of the room [°C].</param>
    public IReadOnlyList<LearnedFormat> Formats(double roomC)
    {
        List<string> lines;
        lock (gate)
        {
            lines = [.. first];
        }
        return FormatLearner.Learn(lines, roomC);
    }

    /// <summary>Lets go of the source; on return its port is free.</summary>
    public async ValueTask DisposeAsync()
    {
        await stop.CancelAsync().ConfigureAwait(false);
        await running.ConfigureAwait(false);
        stop.Dispose();
    }

    private void Take(ReadOnlyMemory<byte> bytes, double arrivalS)
    {
        lock (gate)
        {
            cutter.Feed(
                bytes.Span,
                line =>
                {
                    heardNumber++;
                    if (first.Count < FormatLearner.MostLines)
                    {
                        first.Add(line);
                    }
                    newest.Enqueue(line);
                    while (newest.Count > 8)
                    {
                        newest.Dequeue();
                    }
                }
            );
        }
    }

    private void Tell(ProbeEvent one)
    {
        lock (gate)
        {
            said = one.Text;
        }
    }
}
