using Graftbench.Core.Watching;
using Graftbench.Store;
using static System.FormattableString;

namespace Graftbench.Watch;

/// <summary>State of one run, for its owner's thread: what is on disk, what waits for it, the watch, the curves.</summary>
internal sealed class RunBook
{
    /// <summary>Without a sample for longer than this there is a gap [s].</summary>
    public const double GapS = 3;

    private const int MostWaiting = 20_000;
    private const int MostMarks = 60;

    private static readonly HashSet<string> Readable = new(StringComparer.Ordinal)
    {
        "connected",
        "gone",
        "silent",
        "over",
    };

    private readonly RunOrder order;
    private readonly IRunFeed feed;
    private readonly BenchStore store;
    private readonly HeatWatch watch;
    private readonly RunHistory history;
    private readonly Lock historyGate = new();
    private readonly int[] probeOf;
    private readonly double[] lastC;
    private readonly Queue<HeatSample> waiting = new();
    private readonly Queue<HeatMark> marks = new();
    private double nowS;
    private double lastSampleS = double.NaN;
    private double storedToS = double.NegativeInfinity;
    private long version;
    private long storedNumber;
    private string? storeProblem;
    private string sourceText = "Waiting for the first reading.";
    private string? broken;
    private CueKind cue = CueKind.Wait;
    private Dictionary<string, ProbeFault> faults = new(StringComparer.Ordinal);

    public RunBook(RunOrder order, IRunFeed feed, BenchStore store)
    {
        this.order = order;
        this.feed = feed;
        this.store = store;
        watch = new HeatWatch(order.Model, order.Goals);
        history = new RunHistory(feed.Channels.Count);
        IReadOnlyList<WatchProbe> probes = order.Model.Setup.Probes;
        probeOf =
        [
            .. feed.Channels.Select(channel =>
                Enumerable.Range(0, probes.Count).FirstOrDefault(p => probes[p].Channel == channel, -1)
            ),
        ];
        lastC = new double[feed.Channels.Count];
        Array.Fill(lastC, double.NaN);
        Run = store.StartRun(new HeatRunDraft(order.RecordId, order.Who, order.SetupJson(feed), feed.Channels));
        if (feed.Nature == FeedNature.Simulation)
        {
            Write(new HeatMark(0, "simulation", "Readings of a simulated bench: no board was heated."));
        }
        else if (feed.Nature == FeedNature.Replay)
        {
            Write(new HeatMark(0, "replay", "Readings of a stored log, played again: no board was heated."));
        }
    }

    public HeatRun Run { get; private set; }

    public bool GoesOn => Run.State == HeatRunState.Running;

    /// <summary>Puts samples on disk before anything is made of them; where that fails they wait.</summary>
    public void Store(IReadOnlyList<(double TimeS, double[] TemperaturesC)> samples)
    {
        foreach ((double timeS, double[] temperaturesC) in samples)
        {
            if (timeS > storedToS && double.IsFinite(timeS))
            {
                storedToS = timeS;
                if (waiting.Count == MostWaiting)
                {
                    waiting.Dequeue();
                }
                waiting.Enqueue(new HeatSample(timeS, temperaturesC));
            }
        }
        Flush();
    }

    public void Sample(double timeS, double[] temperaturesC)
    {
        // A sample that is not later than the one before says nothing new; it is not stored either.
        if (!(timeS > lastSampleS || double.IsNaN(lastSampleS)) || !double.IsFinite(timeS))
        {
            return;
        }
        if (timeS - lastSampleS > GapS)
        {
            Write(new HeatMark(timeS, "gap", Invariant($"No readings from {lastSampleS:0.0} to {timeS:0.0} s.")));
        }
        lastSampleS = timeS;
        // The readings of a step have to be there before it is made.
        Advance(Math.BitDecrement(timeS));
        for (int i = 0; i < temperaturesC.Length; i++)
        {
            lastC[i] = temperaturesC[i];
            if (probeOf[i] >= 0)
            {
                double? readC = double.IsFinite(temperaturesC[i]) ? temperaturesC[i] : null;
                Guarded(() => watch.Add(new ProbeReading(timeS, feed.Channels[i], readC)));
            }
        }
        nowS = Math.Max(nowS, timeS);
    }

    public void Tell(double timeS, string kind, string text)
    {
        if (Readable.Contains(kind))
        {
            sourceText = text;
        }
        Write(new HeatMark(Math.Max(timeS, 0), kind, text));
        // A stored log or a simulation that has no more ends its run; a logger that is gone may come back.
        if (kind == "over")
        {
            End(HeatRunState.Ended);
        }
    }

    public void Clock(double timeS)
    {
        if (double.IsFinite(timeS) && timeS > nowS)
        {
            nowS = timeS;
            Advance(timeS);
        }
    }

    public string? Mark(string sort, string text) => Write(new HeatMark(nowS, sort, text));

    /// <summary>Counts what was set from a time on; not a number: from now on.</summary>
    public string? Set(double fromS, double? gasC, double? preheaterC)
    {
        double timeS = double.IsNaN(fromS) ? nowS : fromS;
        Guarded(() => watch.Set(timeS, gasC, preheaterC));
        string gas = gasC is double g ? Invariant($"gas {g:0} °C") : "";
        string preheater = preheaterC is double p ? Invariant($"bottom heater {p:0} °C") : "";
        return Write(
            new HeatMark(timeS, "set", string.Join(", ", new[] { gas, preheater }.Where(one => one.Length > 0)))
        );
    }

    public string? End(HeatRunState state)
    {
        if (!GoesOn)
        {
            return null;
        }
        Flush();
        try
        {
            Run = store.EndRun(Run, state);
            return null;
        }
        catch (Exception error) when (error is StoreException or IOException)
        {
            storeProblem = error.Message;
            return error.Message;
        }
    }

    public (float[] Cells, int Columns) HistoryNow()
    {
        lock (historyGate)
        {
            return (history.ToArray(), history.Columns);
        }
    }

    public RunSnapshot Look()
    {
        double? silentS = double.IsNaN(lastSampleS) ? null : Math.Max(0, nowS - lastSampleS);
        bool well = silentS <= GapS;
        WatchState state = watch.State;
        if (broken is not null)
        {
            WatchCue none = new(CueKind.CannotTell, "Cannot tell", broken, nowS, null);
            state = state with { Cue = none };
        }
        WatchSettings settings = watch.Settings;
        return new RunSnapshot(
            ++version,
            Run,
            nowS,
            state,
            [
                .. feed.Channels.Select(
                    (name, i) =>
                        new ChannelNow(
                            name,
                            well && double.IsFinite(lastC[i]) ? lastC[i] : null,
                            probeOf[i] >= 0,
                            probeOf[i] >= 0 ? WhereOf(probeOf[i]) : ""
                        )
                ),
            ],
            new SourceNow(
                well,
                well || silentS is null ? sourceText : Invariant($"No reading for {silentS:0} s. {sourceText}"),
                silentS
            ),
            storedNumber,
            storeProblem,
            [.. marks],
            settings.GasC,
            settings.PreheaterC,
            order.Model.Setup.Model.RoomC,
            settings.ByHand
        );
    }

    private string WhereOf(int probe)
    {
        string place = order.Model.Setup.Probes[probe].Place.Name;
        return order.Where.GetValueOrDefault(place, place);
    }

    // Second by second, so that each gets its row and no cue is passed over.
    private void Advance(double toS)
    {
        double fromS = watch.State.Estimate.TimeS;
        if (toS - fromS > 600)
        {
            Step(toS);
            return;
        }
        for (double secondS = fromS + 1; secondS <= toS; secondS++)
        {
            Step(secondS);
        }
    }

    private void Step(double toS)
    {
        if (broken is not null)
        {
            return;
        }
        Guarded(() => watch.AdvanceTo(toS));
        WatchState state = watch.State;
        if (state.Cue.Kind != cue)
        {
            cue = state.Cue.Kind;
            Write(new HeatMark(state.Estimate.TimeS, "cue", $"{state.Cue.Headline}. {state.Cue.Detail}"));
        }
        foreach (ProbeHealth probe in state.Probes)
        {
            if (faults.GetValueOrDefault(probe.Channel) != probe.Fault)
            {
                faults[probe.Channel] = probe.Fault;
                Write(
                    new HeatMark(
                        state.Estimate.TimeS,
                        "fault",
                        probe.Fault == ProbeFault.None
                            ? $"{probe.Channel}: sound again."
                            : $"{probe.Channel}: {probe.Words}"
                    )
                );
            }
        }
        Row(state);
    }

    private void Row(WatchState state)
    {
        LiveEstimate now = state.Estimate;
        if (!history.IsDue(now.TimeS))
        {
            return;
        }
        bool fresh = now.TimeS - lastSampleS <= GapS;
        Span<float> row = stackalloc float[history.Columns];
        row[0] = (float)now.TimeS;
        row[1] = (float)now.Coldest.Band.EstimateC;
        row[2] = (float)now.Coldest.Band.LowC;
        row[3] = (float)now.Coldest.Band.HighC;
        row[4] = (float)now.Hottest.Band.EstimateC;
        row[5] = (float)(now.BodyTop?.Band.EstimateC ?? double.NaN);
        row[6] = (float)now.GasC;
        row[7] = (float)now.PreheaterC;
        for (int i = 0; i < lastC.Length; i++)
        {
            row[RunHistory.FixedColumns + i] = fresh ? (float)lastC[i] : float.NaN;
        }
        lock (historyGate)
        {
            history.Add(row);
        }
    }

    private void Guarded(Action work)
    {
        try
        {
            work();
        }
#pragma warning disable CA1031 // A watch that breaks must never leave an old cue on the screen; the log goes on.
        catch (Exception failure)
#pragma warning restore CA1031
        {
            if (broken is null)
            {
                broken =
                    $"The watch broke ({failure.GetType().Name}: {failure.Message}). Go by the probe and the clock.";
                Write(new HeatMark(nowS, "fault", broken));
            }
        }
    }

    private void Flush()
    {
        if (waiting.Count == 0 || !GoesOn)
        {
            return;
        }
        try
        {
            storedNumber = store.AppendSamples(Run, [.. waiting]);
            waiting.Clear();
            storeProblem = null;
        }
        catch (Exception error) when (error is StoreException or IOException)
        {
            storeProblem = Invariant($"{waiting.Count} readings are not on disk yet. {error.Message}");
        }
    }

    private string? Write(HeatMark mark)
    {
        marks.Enqueue(mark);
        while (marks.Count > MostMarks)
        {
            marks.Dequeue();
        }
        try
        {
            store.AppendMark(Run, mark);
            return null;
        }
        catch (Exception error) when (error is StoreException or IOException)
        {
            storeProblem = error.Message;
            return error.Message;
        }
    }
}
