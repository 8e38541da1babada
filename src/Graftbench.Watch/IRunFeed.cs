namespace Graftbench.Watch;

/// <summary>What readings are: of a real heat, or not.</summary>
public enum FeedNature
{
    /// <summary>A logger on a bench, now.</summary>
    Live,

    /// <summary>A stored log, played again: no heat goes on.</summary>
    Replay,

    /// <summary>A simulated bench: nothing is heated at all.</summary>
    Simulation,
}

/// <summary>Takes what a feed gives; calls come one at a time, in the order of the run's time.</summary>
public interface IFeedTaker
{
    /// <summary>Readings of one moment.</summary>
    /// <param name="timeS">Since the run's start [s].</param>
    /// <param name="temperaturesC">One for each channel of the feed; NaN where there is none [°C].</param>
    void Sample(double timeS, double[] temperaturesC);

    /// <summary>Something about the source that a person must know.</summary>
    /// <param name="timeS">Since the run's start [s].</param>
    /// <param name="kind">Sort: <c>connected</c>, <c>gone</c>, <c>silent</c>, <c>refused</c>, <c>clock</c>, <c>flood</c>, <c>bytes</c>, <c>over</c>.</param>
    /// <param name="text">One or two sentences.</param>
    void Tell(double timeS, string kind, string text);

    /// <summary>It is this late in the run, whether readings came or not.</summary>
    /// <param name="timeS">Since the run's start [s].</param>
    void Clock(double timeS);
}

/// <summary>Where a run's readings and its clock come from.</summary>
public interface IRunFeed
{
    /// <summary>What a person recognises it by.</summary>
    string Name { get; }

    /// <summary>What its readings are.</summary>
    FeedNature Nature { get; }

    /// <summary>Names of its channels, in the order of a sample.</summary>
    IReadOnlyList<string> Channels { get; }

    /// <summary>Gives readings from the run's time 0 on until it is cancelled or has no more.</summary>
    /// <param name="taker">Takes them.</param>
    /// <param name="cancel">Ends it.</param>
    Task RunAsync(IFeedTaker taker, CancellationToken cancel);

    /// <summary>Tells what the person has set on the heaters; a logger does not care, a simulated bench obeys.</summary>
    /// <param name="gasC">Gas [°C]; null where it was left.</param>
    /// <param name="preheaterC">Bottom heater [°C]; null where it was left.</param>
    /// <param name="taken">
    /// Called once, in the order of the run's time, with the time from which it counts [s]; null where it counts from now.
    /// A simulated bench may be ahead of the watch, so only it knows the time.
    /// </param>
    void Turn(double? gasC, double? preheaterC, Action<double?> taken);
}
