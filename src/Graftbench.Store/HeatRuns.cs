namespace Graftbench.Store;

/// <summary>How a watched heat stands.</summary>
public enum HeatRunState
{
    /// <summary>Samples still come.</summary>
    Running,

    /// <summary>A person ended it.</summary>
    Ended,

    /// <summary>The program stopped in the middle of it; what was acknowledged is kept.</summary>
    Interrupted,
}

/// <summary>A heat that is to be watched.</summary>
/// <param name="RecordId">Job that it belongs to, or <see cref="BenchStore.ShopRecord"/> for a trial on a scrap board.</param>
/// <param name="Who">Who watches.</param>
/// <param name="SetupJson">What is heated with which plan and from which probes, as JSON; at most <see cref="EvidenceRules.MaxPayloadBytes"/>.</param>
/// <param name="Channels">Names of the channels, 1 to 64.</param>
public sealed record HeatRunDraft(string RecordId, string Who, string SetupJson, IReadOnlyList<string> Channels);

/// <summary>A watched heat in the store.</summary>
/// <param name="Id">Unique id.</param>
/// <param name="RecordId">Job that it belongs to, or <see cref="BenchStore.ShopRecord"/>.</param>
/// <param name="StartedAt">When it began; samples count from here.</param>
/// <param name="Who">Who watched.</param>
/// <param name="SetupJson">What was heated with which plan and from which probes.</param>
/// <param name="Channels">Names of the channels.</param>
/// <param name="State">How it stands.</param>
/// <param name="EndedAt">When it was ended or found interrupted; null while it runs.</param>
/// <param name="EvidenceSequence">Line of evidence that holds its log; null while it runs.</param>
public sealed record HeatRun(
    string Id,
    string RecordId,
    DateTimeOffset StartedAt,
    string Who,
    string SetupJson,
    IReadOnlyList<string> Channels,
    HeatRunState State,
    DateTimeOffset? EndedAt,
    long? EvidenceSequence
);

/// <summary>Readings of one moment.</summary>
/// <param name="TimeS">Since the run's start [s].</param>
/// <param name="TemperaturesC">One for each channel; NaN where there is none [°C].</param>
public readonly record struct HeatSample(double TimeS, double[] TemperaturesC);

/// <summary>Something that happened in a run: a cue, a gap, a fault, or what the person marked.</summary>
/// <param name="TimeS">Since the run's start [s].</param>
/// <param name="Kind">Sort: <c>cue</c>, <c>gap</c>, <c>fault</c>, <c>moved</c>, <c>dropped</c>, <c>smelled</c>, <c>popped</c> ...</param>
/// <param name="Text">What it says.</param>
public readonly record struct HeatMark(double TimeS, string Kind, string Text);
