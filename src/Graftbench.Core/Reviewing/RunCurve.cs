namespace Graftbench.Core.Reviewing;

/// <summary>
/// Temperatures over time with what is not known between them: points are joined by straight lines, except across gaps.
/// </summary>
/// <remarks>
/// A gap is a distance of more than 2.5 s and more than three times the usual one, a jump of the logger's clock, or a stretch
/// whose readings were left out. The noise is the median of second differences (a straight line has none, whatever its slope),
/// at least that of the logger's last digit. Where noise counts, each point is the value of a straight line fitted over
/// 3 s round it, within its stretch; a ramp stays as it is by that.
/// </remarks>
internal sealed class RunCurve
{
    /// <summary>Length over which noisy points are brought to a line [s].</summary>
    public const double SmoothS = 3;

    /// <summary>Noise below which points are taken as they are [K].</summary>
    public const double QuietDeltaK = 0.1;

    /// <summary>Longest distance of two readings that is never a gap [s].</summary>
    public const double NoGapS = 2.5;

    /// <summary>The most that a joint or body may have risen or fallen by unseen [K/s]; the rise limit of J-STD-020 table 5-2.</summary>
    public const double MostUnseenKPerS = 3;

    private readonly bool[] joins;

    private RunCurve(double[] timesS, double[] rawC, double[] valuesC, bool[] joined, double noiseDeltaK, double stepS)
    {
        TimesS = timesS;
        RawC = rawC;
        ValuesC = valuesC;
        joins = joined;
        NoiseDeltaK = noiseDeltaK;
        StepS = stepS;
    }

    /// <summary>Times [s].</summary>
    public double[] TimesS { get; }

    /// <summary>As read [°C].</summary>
    public double[] RawC { get; }

    /// <summary>Noise taken off where it counts [°C].</summary>
    public double[] ValuesC { get; }

    /// <summary>Noise of a reading, one standard deviation [K].</summary>
    public double NoiseDeltaK { get; }

    /// <summary>Usual distance of readings [s].</summary>
    public double StepS { get; }

    /// <summary>Number of points.</summary>
    public int Count => TimesS.Length;

    /// <summary>Whether a point is joined to the one before it.</summary>
    public bool Joined(int i) => joins[i];

    /// <summary>Gaps between its points, in order.</summary>
    public IEnumerable<RunSpan> Gaps()
    {
        for (int i = 1; i < Count; i++)
        {
            if (!joins[i])
            {
                yield return new RunSpan(TimesS[i - 1], TimesS[i]);
            }
        }
    }

    /// <summary>A curve of what was read.</summary>
    /// <param name="timesS">Times, rising [s].</param>
    /// <param name="readC">Readings; what is not finite is none [°C].</param>
    /// <param name="breaksS">Times at which the clock jumped [s].</param>
    /// <param name="leftOut">Stretches whose readings do not count.</param>
    public static RunCurve Of(
        IReadOnlyList<double> timesS,
        IReadOnlyList<double> readC,
        IReadOnlyList<double>? breaksS = null,
        IReadOnlyList<RunSpan>? leftOut = null
    )
    {
        List<double> times = new(timesS.Count);
        List<double> raw = new(timesS.Count);
        List<int> index = new(timesS.Count);
        for (int i = 0; i < timesS.Count; i++)
        {
            double at = timesS[i];
            bool counts = double.IsFinite(readC[i]) && !(leftOut ?? []).Any(span => at >= span.FromS && at <= span.ToS);
            if (counts)
            {
                times.Add(at);
                raw.Add(readC[i]);
                index.Add(i);
            }
        }
        double[] t = [.. times];
        double[] v = [.. raw];
        double stepS = UsualStepS(t);
        double gapS = Math.Max(NoGapS, 3 * stepS);
        bool[] joined = new bool[t.Length];
        int next = 0;
        double[] breaks = [.. (breaksS ?? []).Order()];
        for (int i = 1; i < t.Length; i++)
        {
            while (next < breaks.Length && breaks[next] <= t[i - 1])
            {
                next++;
            }
            bool jumped = next < breaks.Length && breaks[next] <= t[i];
            bool left = (leftOut ?? []).Any(span => span.FromS <= t[i] && span.ToS >= t[i - 1]);
            joined[i] = t[i] - t[i - 1] <= gapS && !jumped && !left;
        }
        (double spread, double noiseDeltaK) = Noise(t, v, joined);
        return new RunCurve(t, v, spread > QuietDeltaK ? Smoothed(t, v, joined) : v, joined, noiseDeltaK, stepS);
    }

    /// <summary>The same curve, each point moved.</summary>
    /// <param name="byDeltaK">By how much a point is moved, of its number [K].</param>
    public RunCurve Moved(Func<int, double> byDeltaK) =>
        new(
            TimesS,
            [.. RawC.Select((value, i) => value + byDeltaK(i))],
            [.. ValuesC.Select((value, i) => value + byDeltaK(i))],
            joins,
            NoiseDeltaK,
            StepS
        );

    private static double UsualStepS(double[] t)
    {
        double[] steps = new double[Math.Max(0, t.Length - 1)];
        for (int i = 0; i < steps.Length; i++)
        {
            steps[i] = t[i + 1] - t[i];
        }
        Array.Sort(steps);
        return steps.Length == 0 ? 1 : steps[steps.Length / 2];
    }

    private static (double Spread, double NoiseDeltaK) Noise(double[] t, double[] v, bool[] joined)
    {
        List<double> bent = [];
        double digit = double.PositiveInfinity;
        for (int i = 1; i < t.Length; i++)
        {
            double change = Math.Abs(v[i] - v[i - 1]);
            digit = change > 1e-6 ? Math.Min(digit, change) : digit;
            if (i + 1 < t.Length && joined[i] && joined[i + 1] && t[i + 1] > t[i - 1])
            {
                double w = (t[i] - t[i - 1]) / (t[i + 1] - t[i - 1]);
                double off = v[i] - v[i - 1] * (1 - w) - v[i + 1] * w;
                bent.Add(Math.Abs(off) / Math.Sqrt(1 + w * w + (1 - w) * (1 - w)));
            }
        }
        bent.Sort();
        double spread = bent.Count == 0 ? 0 : 1.4826 * bent[bent.Count / 2];
        // A logger that shows tenths is never better than its tenths; a curve without noise has no digits to speak of.
        double least = double.IsFinite(digit) && digit is >= 0.009 and <= 1.01 ? digit / Math.Sqrt(12) : 0;
        return (spread, bent.Count > 0 && spread < 1e-9 ? least : spread);
    }

    private static double[] Smoothed(double[] t, double[] v, bool[] joined)
    {
        double[] smooth = new double[v.Length];
        int from = 0;
        while (from < v.Length)
        {
            int to = from + 1;
            while (to < v.Length && joined[to])
            {
                to++;
            }
            int low = from;
            int high = from;
            for (int i = from; i < to; i++)
            {
                while (t[i] - t[low] > SmoothS / 2)
                {
                    low++;
                }
                high = Math.Max(high, i);
                while (high + 1 < to && t[high + 1] - t[i] <= SmoothS / 2)
                {
                    high++;
                }
                // The same number of points on either side, so that an end does not lean.
                int side = Math.Min(i - low, high - i);
                smooth[i] = side == 0 ? v[i] : Line(t, v, i - side, i + side).At(t[i]);
            }
            from = to;
        }
        return smooth;
    }

    /// <summary>Straight line through points, least squares.</summary>
    internal static FittedLine Line(double[] t, double[] v, int first, int last)
    {
        int n = last - first + 1;
        double meanT = 0;
        double meanV = 0;
        for (int i = first; i <= last; i++)
        {
            meanT += t[i] / n;
            meanV += v[i] / n;
        }
        double tt = 0;
        double tv = 0;
        for (int i = first; i <= last; i++)
        {
            tt += (t[i] - meanT) * (t[i] - meanT);
            tv += (t[i] - meanT) * (v[i] - meanV);
        }
        return new FittedLine(meanT, meanV, tt > 0 ? tv / tt : 0, tt);
    }
}

/// <summary>A fitted straight line.</summary>
/// <param name="MeanS">Mean time [s].</param>
/// <param name="MeanC">Mean value [°C].</param>
/// <param name="SlopeKPerS">Slope [K/s].</param>
/// <param name="SumS2">Sum of squares of the times about their mean [s²].</param>
internal readonly record struct FittedLine(double MeanS, double MeanC, double SlopeKPerS, double SumS2)
{
    public double At(double timeS) => MeanC + SlopeKPerS * (timeS - MeanS);
}
