using Graftbench.Core.Heating;
using Graftbench.Core.Watching;
using Graftbench.Core.Watching.Lines;
using Graftbench.Probes;
using Graftbench.Watch;
using Graftbench.Web.Heating;

namespace Graftbench.Web.Watching;

/// <summary>How far a watch is on its way to its start.</summary>
public enum PreparationState
{
    /// <summary>The source is listened to; format and places wait for the person.</summary>
    Listening,

    /// <summary>The model is being built.</summary>
    Building,

    /// <summary>The heat can start.</summary>
    Ready,

    /// <summary>It went wrong; the words say how.</summary>
    Failed,
}

/// <summary>A watch before its heat: source, format, places, model. Kept in memory; nothing of it is lost evidence.</summary>
public sealed class WatchPreparation : IAsyncDisposable
{
    /// <summary>Channels of a simulated bench.</summary>
    public static readonly IReadOnlyList<string> SimulatedChannels = ["probe 1", "probe 2", "probe 3", "probe 4"];

    private readonly Lock gate = new();
    private readonly TimeProvider time;
    private readonly CancellationTokenSource stop = new();
    private SourceListener? listener;
    private RunOrder? order;
    private IRunFeed? simulated;
    private double doneFraction;

    internal WatchPreparation(
        string id,
        string jobId,
        HeatSubject subject,
        HeatPlan plan,
        RunSource source,
        TimeProvider time
    )
    {
        Id = id;
        JobId = jobId;
        Subject = subject;
        Plan = plan;
        Source = source;
        this.time = time;
        MadeAt = time.GetUtcNow();
        listener = source.Listening(time) is { } bytes ? new SourceListener(bytes, time) : null;
    }

    /// <summary>Its id.</summary>
    public string Id { get; }

    /// <summary>The job.</summary>
    public string JobId { get; }

    /// <summary>Which heat.</summary>
    public HeatSubject Subject { get; }

    /// <summary>Its plan.</summary>
    public HeatPlan Plan { get; }

    /// <summary>Where readings come from.</summary>
    public RunSource Source { get; }

    /// <summary>When it was begun.</summary>
    public DateTimeOffset MadeAt { get; }

    /// <summary>How far it is.</summary>
    public PreparationState State { get; private set; }

    /// <summary>What went wrong; empty where nothing did.</summary>
    public string Words { get; private set; } = "";

    /// <summary>Format that the person confirmed; null before, and for a simulation.</summary>
    public ProbeFormat? Format { get; private set; }

    /// <summary>Probes that were placed.</summary>
    public IReadOnlyList<WatchProbe> Probes { get; private set; } = [];

    /// <summary>Whether the nozzle was checked to stand centred.</summary>
    public bool AlignmentChecked { get; private set; }

    /// <summary>How far the model is, 0 to 1.</summary>
    public double DoneFraction => Volatile.Read(ref doneFraction);

    /// <summary>The listener; null for a simulation and once it is let go.</summary>
    public SourceListener? Listener => Volatile.Read(ref listener);

    /// <summary>Formats to choose from, the likeliest first.</summary>
    public IReadOnlyList<LearnedFormat> Formats => Listener?.Formats(Plan.Model?.RoomC ?? 25) ?? [];

    /// <summary>Takes what the person confirmed and builds the model.</summary>
    /// <param name="who">Who watches.</param>
    /// <param name="format">The confirmed format; null for a simulation.</param>
    /// <param name="probes">Probes by channel.</param>
    /// <param name="alignmentChecked">Whether the nozzle was checked to stand centred.</param>
    /// <returns>What stands against it, all of it; empty where the model is being built.</returns>
    public IReadOnlyList<string> Confirm(
        string who,
        ProbeFormat? format,
        IReadOnlyList<WatchProbe> probes,
        bool alignmentChecked
    )
    {
        WatchWish wish = new(JobId, who, Plan, probes) { AlignmentChecked = alignmentChecked };
        IReadOnlyList<string> problems = wish.Problems();
        if (problems.Count > 0)
        {
            return problems;
        }
        lock (gate)
        {
            if (State == PreparationState.Building)
            {
                return ["The model is being built already."];
            }
            (State, Words, Format, Probes, AlignmentChecked) = (
                PreparationState.Building,
                "",
                format,
                probes,
                alignmentChecked
            );
        }
        Volatile.Write(ref doneFraction, 0);
        _ = Task.Run(() => Build(wish));
        return [];
    }

    /// <summary>Goes back to the source and the places.</summary>
    public void Reopen()
    {
        lock (gate)
        {
            if (State != PreparationState.Building)
            {
                State = PreparationState.Listening;
            }
        }
    }

    /// <summary>Starts the heat: its time 0 is now.</summary>
    /// <param name="host">Owns the run.</param>
    /// <exception cref="InvalidOperationException">It is not ready.</exception>
    /// <exception cref="ProbeSourceException">The source cannot be read.</exception>
    public async Task<WatchRun> Start(RunHost host)
    {
        ArgumentNullException.ThrowIfNull(host);
        RunOrder? what = order;
        if (State != PreparationState.Ready || what is null)
        {
            throw new InvalidOperationException("The watch is not ready to start.");
        }
        if (Interlocked.Exchange(ref listener, null) is { } listening)
        {
            await listening.DisposeAsync();
        }
        IRunFeed feed =
            simulated ?? Source.Feed(Format ?? throw new InvalidOperationException("No format is confirmed."), time);
        return host.Start(what, feed);
    }

    /// <inheritdoc />
    public async ValueTask DisposeAsync()
    {
        await stop.CancelAsync();
        if (Interlocked.Exchange(ref listener, null) is { } listening)
        {
            await listening.DisposeAsync();
        }
        stop.Dispose();
    }

    private void Build(WatchWish wish)
    {
        try
        {
            order = wish.Order(new Told(this), stop.Token);
            simulated =
                Source.Kind == RunSourceKind.Simulation
                    ? wish.Simulated((ulong)MadeAt.Ticks, Source.SpeedRatio, time)
                    : null;
            State = PreparationState.Ready;
        }
        catch (OperationCanceledException)
        {
            (Words, State) = ("Stopped.", PreparationState.Failed);
        }
#pragma warning disable CA1031 // Whatever breaks here must reach the page in words and must not end the server.
        catch (Exception failure)
#pragma warning restore CA1031
        {
            (Words, State) = (failure.Message, PreparationState.Failed);
        }
    }

    private sealed class Told(WatchPreparation preparation) : IProgress<double>
    {
        public void Report(double value) =>
            Volatile.Write(ref preparation.doneFraction, Math.Clamp(double.IsFinite(value) ? value : 0, 0, 1));
    }
}
