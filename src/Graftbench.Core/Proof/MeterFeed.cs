using Graftbench.Core.Watching.Lines;

namespace Graftbench.Core.Proof;

/// <summary>What a meter on a line shows now.</summary>
/// <param name="TimeS">When, on the arrival clock [s].</param>
/// <param name="Line">The line.</param>
/// <param name="Value">Its value in the unit of the kind; null where it holds none of it.</param>
/// <param name="Settled">The mean of the lines that agree, once they do; overload once all of them are; null before.</param>
/// <param name="Problem">Why there is no value; null where there is one.</param>
public sealed record MeterShown(double TimeS, string Line, MeterValue? Value, MeterValue? Settled, string? Problem);

/// <summary>Turns the bytes of a meter on a serial port into values, and says when one has settled.</summary>
/// <remarks>
/// Settled: the newest lines, at least <c>settle-lines</c> of them over at least <c>settle-time</c>, lie within
/// <c>settle-range</c> times the meter's noise of each other, and a straight line through them moves by <c>settle-drift</c>
/// times the noise at most (estimates in <c>data/proof-thresholds.csv</c>). A capacitor that still charges moves by more; one
/// that charges slower than that is taken for settled. Never throws on what arrives; memory is bounded.
/// </remarks>
public sealed class MeterFeed
{
    private const int MostKept = 256;
    private readonly ReadingKind kind;
    private readonly double noiseFraction;
    private readonly double leastNoise;
    private readonly ProofThresholds limits;
    private readonly LineCutter cutter = new();
    private readonly Queue<(double TimeS, MeterValue Value)> newest = new();

    /// <summary>Takes a meter.</summary>
    /// <param name="kind">What it measures: its lines must have that unit, or none.</param>
    /// <param name="noiseNumber">Noise of a value, one standard deviation in the unit of the kind; null for the usual: 1 mV, 1 mA, or 0.2 % and 0.05 Ω.</param>
    /// <param name="thresholds">Limits; those of the program where null.</param>
    public MeterFeed(ReadingKind kind, double? noiseNumber = null, ProofThresholds? thresholds = null)
    {
        if (noiseNumber is { } given)
        {
            Require.FinitePositive(given, nameof(noiseNumber));
        }
        this.kind = kind;
        limits = thresholds ?? ProofThresholds.Standard;
        noiseFraction = noiseNumber is null && kind == ReadingKind.Resistance ? 0.002 : 0;
        leastNoise = noiseNumber ?? (kind == ReadingKind.Resistance ? 0.05 : 0.001);
    }

    /// <summary>Takes bytes as they arrive.</summary>
    /// <param name="bytes">Bytes.</param>
    /// <param name="arrivalS">When, by a clock that never jumps [s].</param>
    /// <param name="take">Called for each whole line, in order.</param>
    public void Feed(ReadOnlySpan<byte> bytes, double arrivalS, Action<MeterShown> take)
    {
        ArgumentNullException.ThrowIfNull(take);
        cutter.Feed(bytes, line => take(Line(line, arrivalS)));
    }

    /// <summary>Takes a line.</summary>
    /// <param name="line">The line.</param>
    /// <param name="arrivalS">When, by a clock that never jumps [s].</param>
    public MeterShown Line(string line, double arrivalS)
    {
        MeterLine read = MeterLine.Read(line);
        string? problem =
            read.Problem
            ?? (
                read.Unit is { } unit && unit != ElectricalUnits.Of(kind)
                    ? $"The meter shows {ElectricalUnits.Sign(unit)}, not {ElectricalUnits.Sign(ElectricalUnits.Of(kind))}: turn it to {ProofWords.Of(kind)}."
                : read.Value!.Number is { } number ? ReadingLimits.Problem(kind, number)
                : null
            );
        if (problem is not null)
        {
            // A meter that is being turned has nothing that settles.
            newest.Clear();
            return new MeterShown(arrivalS, line, null, null, problem);
        }
        newest.Enqueue((arrivalS, read.Value!));
        if (newest.Count > MostKept)
        {
            newest.Dequeue();
        }
        return new MeterShown(arrivalS, line, read.Value, Settled(), null);
    }

    /// <summary>Forgets what came before: the leads were put down anew.</summary>
    public void Anew() => newest.Clear();

    // The fewest newest lines that are many enough and span enough time.
    private MeterValue? Settled()
    {
        (double TimeS, MeterValue Value)[] all = [.. newest];
        double endS = all[^1].TimeS;
        int from = Array.FindLastIndex(all, one => endS - one.TimeS >= limits["settle-time"]);
        from = Math.Min(from, all.Length - (int)limits["settle-lines"]);
        if (from < 0)
        {
            return null;
        }
        MeterValue[] last = [.. all[from..].Select(one => one.Value)];
        if (last.All(one => one.IsOverload))
        {
            return MeterValue.Overload;
        }
        if (last.Any(one => one.IsOverload))
        {
            return null;
        }
        double[] numbers = [.. last.Select(one => one.Number!.Value)];
        double mean = numbers.Average();
        double noise = Math.Max(leastNoise, noiseFraction * Math.Abs(mean));
        bool still =
            numbers.Max() - numbers.Min() <= limits["settle-range"] * noise
            && Math.Abs(DriftOver(all[from..])) <= limits["settle-drift"] * noise;
        return still ? MeterValue.Of(mean) : null;
    }

    // What a straight line through the values moves by from the first to the last.
    private static double DriftOver((double TimeS, MeterValue Value)[] last)
    {
        double meanS = last.Average(one => one.TimeS);
        double mean = last.Average(one => one.Value.Number!.Value);
        double below = last.Sum(one => (one.TimeS - meanS) * (one.TimeS - meanS));
        double top = last.Sum(one => (one.TimeS - meanS) * (one.Value.Number!.Value - mean));
        return below > 0 ? top / below * (last[^1].TimeS - last[0].TimeS) : 0;
    }
}
