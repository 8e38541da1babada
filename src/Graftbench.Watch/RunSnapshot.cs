using Graftbench.Core.Watching;
using Graftbench.Store;

namespace Graftbench.Watch;

/// <summary>A channel at one moment.</summary>
/// <param name="Name">Its name.</param>
/// <param name="TemperatureC">Last reading; null where the last sample had none, or none came lately [°C].</param>
/// <param name="Watched">Whether it is one of the watch's probes.</param>
/// <param name="Where">Where the probe sits; empty for a channel that is recorded only.</param>
public sealed record ChannelNow(string Name, double? TemperatureC, bool Watched, string Where);

/// <summary>The source at one moment.</summary>
/// <param name="Well">Whether readings come.</param>
/// <param name="Text">What is known of it.</param>
/// <param name="SilentS">Time since the last sample [s]; null before the first.</param>
public sealed record SourceNow(bool Well, string Text, double? SilentS);

/// <summary>All that is shown of a run at one moment. Never changes.</summary>
/// <param name="Version">Rises with each.</param>
/// <param name="Run">The run in the store.</param>
/// <param name="TimeS">Time of the run [s].</param>
/// <param name="State">Estimate, look ahead, probes, cue.</param>
/// <param name="Channels">Channels.</param>
/// <param name="Source">The source.</param>
/// <param name="StoredNumber">Samples that are on disk.</param>
/// <param name="StoreProblem">Why samples are not on disk; null where they are.</param>
/// <param name="Marks">What happened lately, the oldest first.</param>
/// <param name="GasSetC">Set point of the gas that counts now [°C].</param>
/// <param name="PreheaterSetC">Set point of the bottom heater that counts now [°C].</param>
/// <param name="RoomC">The room; a heater that is set no higher is off [°C].</param>
/// <param name="ByHand">Whether the person has set something by hand.</param>
public sealed record RunSnapshot(
    long Version,
    HeatRun Run,
    double TimeS,
    WatchState State,
    IReadOnlyList<ChannelNow> Channels,
    SourceNow Source,
    long StoredNumber,
    string? StoreProblem,
    IReadOnlyList<HeatMark> Marks,
    double? GasSetC,
    double? PreheaterSetC,
    double RoomC,
    bool ByHand
)
{
    /// <summary>Whether it goes on.</summary>
    public bool GoesOn => Run.State == HeatRunState.Running;
}
