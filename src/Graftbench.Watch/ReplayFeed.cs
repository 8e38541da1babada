using Graftbench.Core.Watching.Lines;

namespace Graftbench.Watch;

/// <summary>A stored log played again at a chosen speed; its own stamps are the time, lines without one follow each other each second.</summary>
public sealed class ReplayFeed : PacedFeed, IDisposable
{
    private const int PieceBytes = 4096;
    private const double LineStepS = 1;

    private readonly Stream log;
    private readonly string name;
    private readonly ProbeReceiver receiver;
    private readonly Queue<ProbeSample> waiting = new();
    private readonly byte[] buffer = new byte[PieceBytes];
    private int filled;
    private int used;
    private double lineS;
    private double firstS = double.NaN;
    private bool ended;

    /// <summary>Opens nothing: the log is read as the run goes on.</summary>
    /// <param name="name">What a person recognises it by.</param>
    /// <param name="log">The log; closed with the feed.</param>
    /// <param name="format">The confirmed format of its lines.</param>
    /// <param name="speedRatio">Run time over the time on the wall.</param>
    /// <param name="time">Clock.</param>
    public ReplayFeed(string name, Stream log, ProbeFormat format, double speedRatio, TimeProvider time)
        : base(speedRatio, time)
    {
        ArgumentNullException.ThrowIfNull(format);
        this.log = log;
        this.name = name;
        Channels = format.Channels;
        receiver = ProbeReceiver.OfFile(format);
    }

    /// <inheritdoc />
    public override string Name => name;

    /// <inheritdoc />
    public override FeedNature Nature => FeedNature.Replay;

    /// <inheritdoc />
    public override IReadOnlyList<string> Channels { get; }

    /// <inheritdoc />
    public void Dispose() => log.Dispose();

    /// <inheritdoc />
    protected override bool GiveTo(double timeS, IFeedTaker taker)
    {
        ArgumentNullException.ThrowIfNull(taker);
        while (true)
        {
            while (waiting.Count > 0 && waiting.Peek().TimeS - firstS <= timeS)
            {
                ProbeSample sample = waiting.Dequeue();
                taker.Sample(sample.TimeS - firstS, LiveFeed.Temperatures(sample));
            }
            if (waiting.Count > 0)
            {
                return true;
            }
            if (ended)
            {
                return false;
            }
            ReadOn(timeS, taker);
        }
    }

    // One line at a time, so that lines without a stamp get a time each.
    private void ReadOn(double nowS, IFeedTaker taker)
    {
        if (used == filled)
        {
            (used, filled) = (0, log.Read(buffer));
            if (filled == 0)
            {
                ended = true;
                receiver.Finish(lineS, Keep, one => taker.Tell(nowS, one.Kind, one.Text));
                return;
            }
        }
        int end = buffer.AsSpan(used, filled - used).IndexOf((byte)'\n');
        int count = end < 0 ? filled - used : end + 1;
        receiver.Feed(buffer.AsSpan(used, count), lineS, Keep, one => taker.Tell(nowS, one.Kind, one.Text));
        used += count;
        lineS += end < 0 ? 0 : LineStepS;
    }

    private void Keep(ProbeSample sample)
    {
        firstS = double.IsNaN(firstS) ? sample.TimeS : firstS;
        waiting.Enqueue(sample);
    }
}
