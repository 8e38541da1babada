using static System.FormattableString;

namespace Graftbench.Core.Watching.Lines;

/// <summary>Something about the logger that a person must know.</summary>
/// <param name="TimeS">When, on the arrival clock [s].</param>
/// <param name="Kind">Sort: <c>refused</c>, <c>clock</c>, <c>flood</c>, <c>bytes</c>.</param>
/// <param name="Text">One sentence.</param>
public sealed record ProbeEvent(double TimeS, string Kind, string Text);

/// <summary>Turns bytes as they arrive into samples: cuts lines, reads them by a confirmed format, gives times, thins floods.</summary>
/// <remarks>Never throws on what arrives and keeps at most one line and one window of samples. What is refused is said, at most once in ten seconds each sort.</remarks>
public sealed class ProbeReceiver
{
    private const double QuietS = 10;
    private readonly ProbeFormat format;
    private readonly LineCutter cutter;
    private readonly SampleClock clock = new();
    private readonly SampleThinner thinner = new();
    private readonly Dictionary<string, (double SaidS, long Count)> said = new(StringComparer.Ordinal);
    private readonly bool byStamp;
    private double stampStartS = double.NaN;
    private long tooLongNumber;
    private long nulNumber;
    private long thinnedNumber;

    private ProbeReceiver(ProbeFormat format, LineCutter cutter, bool byStamp)
    {
        this.format = format;
        this.cutter = cutter;
        this.byStamp = byStamp;
    }

    /// <summary>A stream that is read as it arrives; its first piece may be half a line.</summary>
    /// <param name="format">The confirmed format.</param>
    public static ProbeReceiver Live(ProbeFormat format) => new(format, new LineCutter(), byStamp: false);

    /// <summary>A stored log, whose stamps are its time; lines without a stamp follow each other at a given step.</summary>
    /// <param name="format">The confirmed format.</param>
    public static ProbeReceiver OfFile(ProbeFormat format) => new(format, LineCutter.OfFile(), byStamp: true);

    /// <summary>Lines that were read.</summary>
    public long ReadNumber { get; private set; }

    /// <summary>Lines that were refused.</summary>
    public long RefusedNumber { get; private set; }

    /// <summary>Takes bytes.</summary>
    /// <param name="bytes">Bytes as they arrived.</param>
    /// <param name="arrivalS">When, by a clock that never jumps; for a stored log the time of a line without a stamp [s].</param>
    /// <param name="take">Called for each sample, in order.</param>
    /// <param name="tell">Called for what a person must know.</param>
    public void Feed(ReadOnlySpan<byte> bytes, double arrivalS, Action<ProbeSample> take, Action<ProbeEvent> tell)
    {
        ArgumentNullException.ThrowIfNull(take);
        ArgumentNullException.ThrowIfNull(tell);
        cutter.Feed(bytes, line => Line(line, arrivalS, take, tell));
        if (cutter.TooLongNumber > tooLongNumber)
        {
            tooLongNumber = cutter.TooLongNumber;
            Tell(
                "bytes",
                arrivalS,
                Invariant($"A line of more than {LineCutter.LongestLine} bytes was left out."),
                tell
            );
        }
        if (cutter.NulNumber > nulNumber)
        {
            nulNumber = cutter.NulNumber;
            Tell(
                "bytes",
                arrivalS,
                "The logger sends zero bytes; they are left out. Check its speed and its plug.",
                tell
            );
        }
    }

    /// <summary>Takes what is left of a stored log.</summary>
    public void Finish(double arrivalS, Action<ProbeSample> take, Action<ProbeEvent> tell)
    {
        ArgumentNullException.ThrowIfNull(take);
        ArgumentNullException.ThrowIfNull(tell);
        cutter.Finish(line => Line(line, arrivalS, take, tell));
    }

    private void Line(string line, double arrivalS, Action<ProbeSample> take, Action<ProbeEvent> tell)
    {
        ProbeLine read = ProbeLine.Read(line, format);
        if (read.Problem is { } problem)
        {
            RefusedNumber++;
            Tell("refused", arrivalS, $"A line was refused: {problem}.", tell);
            return;
        }
        ReadNumber++;
        double timeS = clock.NextS(
            byStamp ? FileTimeS(read.StampS, arrivalS) : arrivalS,
            read.StampS,
            out string? note
        );
        if (note is not null && !byStamp)
        {
            Tell("clock", arrivalS, note, tell);
        }
        thinner.Next(new ProbeSample(timeS, read.Readings), take);
        if (thinner.ThinnedNumber > thinnedNumber)
        {
            thinnedNumber = thinner.ThinnedNumber;
            Tell(
                "flood",
                arrivalS,
                Invariant(
                    $"The logger sends more than {SampleThinner.MostPerS:0} lines a second; the median of each {1 / SampleThinner.MostPerS:0.00} s is kept."
                ),
                tell
            );
        }
    }

    private double FileTimeS(double? stampS, double stepS)
    {
        if (stampS is not { } stamp)
        {
            return stepS;
        }
        stampStartS = double.IsNaN(stampStartS) ? stamp : stampStartS;
        return stamp - stampStartS;
    }

    // Ten seconds of quiet between two remarks of one sort, with how many there were.
    private void Tell(string kind, double arrivalS, string text, Action<ProbeEvent> tell)
    {
        (double saidS, long count) = said.GetValueOrDefault(kind, (double.NegativeInfinity, 0));
        count++;
        if (arrivalS - saidS >= QuietS)
        {
            tell(
                new ProbeEvent(
                    arrivalS,
                    kind,
                    count > 1 ? Invariant($"{text} {count} times since the last remark.") : text
                )
            );
            (saidS, count) = (arrivalS, 0);
        }
        said[kind] = (saidS, count);
    }
}
