namespace Graftbench.Core.Reviewing;

/// <summary>A channel of a run.</summary>
/// <param name="Name">Its name.</param>
/// <param name="TemperaturesC">One for each of the run's times; NaN where there was none [°C].</param>
public sealed record RunChannel(string Name, IReadOnlyList<double> TemperaturesC);

/// <summary>Something that happened in a run: what the person marked, a cue, a gap, a fault.</summary>
/// <param name="TimeS">Since the run's start [s].</param>
/// <param name="Kind">Sort: <c>moved</c>, <c>dropped</c>, <c>smelled</c>, <c>popped</c>, <c>cue</c>, <c>gap</c> ...</param>
/// <param name="Text">What it says.</param>
public sealed record RunMark(double TimeS, string Kind, string Text);

/// <summary>A heat as it was measured: times, channels, marks. Nothing in it was computed.</summary>
/// <param name="TimesS">Times, rising [s].</param>
/// <param name="Channels">Channels, at least one.</param>
public sealed record RunLog(IReadOnlyList<double> TimesS, IReadOnlyList<RunChannel> Channels)
{
    /// <summary>What happened, in order.</summary>
    public IReadOnlyList<RunMark> Marks { get; init; } = [];

    /// <summary>What had to be repaired or left out to read it, one sentence each.</summary>
    public IReadOnlyList<string> Notes { get; init; } = [];

    /// <summary>Times at which the logger's clock jumped: nothing is joined across them [s].</summary>
    public IReadOnlyList<double> BreaksS { get; init; } = [];

    /// <summary>Whether the readings come from a simulated bench and not from a board.</summary>
    public bool Simulated { get; init; }

    /// <summary>Whether the run was cut off and not ended by a person.</summary>
    public bool Interrupted { get; init; }

    /// <summary>Last time [s]; 0 for an empty run.</summary>
    public double EndS => TimesS.Count == 0 ? 0 : TimesS[^1];

    /// <summary>A run on a clock that starts later or earlier; what comes before its zero is left out.</summary>
    /// <param name="startS">Time that becomes 0 [s].</param>
    public RunLog StartingAt(double startS)
    {
        if (startS == 0)
        {
            return this;
        }
        int first = 0;
        while (first < TimesS.Count && TimesS[first] < startS)
        {
            first++;
        }
        return this with
        {
            TimesS = [.. TimesS.Skip(first).Select(time => time - startS)],
            Channels =
            [
                .. Channels.Select(channel => channel with { TemperaturesC = [.. channel.TemperaturesC.Skip(first)] }),
            ],
            Marks =
            [
                .. Marks.Where(mark => mark.TimeS >= startS).Select(mark => mark with { TimeS = mark.TimeS - startS }),
            ],
            BreaksS = [.. BreaksS.Where(time => time >= startS).Select(time => time - startS)],
        };
    }
}

/// <summary>A stretch of time.</summary>
/// <param name="FromS">Begin [s].</param>
/// <param name="ToS">End [s].</param>
public sealed record RunSpan(double FromS, double ToS)
{
    /// <summary>How long it is [s].</summary>
    public double LengthS => ToS - FromS;
}
