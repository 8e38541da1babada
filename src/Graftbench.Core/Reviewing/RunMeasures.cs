namespace Graftbench.Core.Reviewing;

/// <summary>A measured or estimated number with the range that it lies in.</summary>
/// <param name="Best">Best value.</param>
/// <param name="Low">Lower end.</param>
/// <param name="High">Upper end; infinite where nothing bounds it.</param>
/// <param name="Open">Whether part of it was not seen: it is at least so much.</param>
internal readonly record struct Measure(double Best, double Low, double High, bool Open)
{
    public static Measure Around(double best, double half) => new(best, best - half, best + half, false);
}

/// <summary>What is read off a curve. Nothing is read across a gap; what may have happened in one widens the range.</summary>
internal static class RunMeasures
{
    /// <summary>Length of the window over which slopes are fitted [s]; that of the heat plan's figures.</summary>
    public const double SlopeWindowS = 10;

    private const double SlopeErrorFraction = 0.01;
    private const double StillKPerS = 0.2;

    /// <summary>Length of window that this curve's readings allow [s].</summary>
    public static double WindowS(RunCurve curve) => Math.Max(SlopeWindowS, 2.2 * curve.StepS);

    /// <summary>Time above a level, crossings interpolated.</summary>
    /// <param name="curve">Curve.</param>
    /// <param name="levelC">Level [°C].</param>
    /// <param name="offDeltaK">What every reading may be off by, two standard deviations, of a point's number [K].</param>
    public static Measure Above(RunCurve curve, double levelC, Func<int, double> offDeltaK)
    {
        (double best, double unseenS, bool open, bool cut) = Summed(curve, levelC);
        (double low, _, _, _) = Summed(curve.Moved(i => -offDeltaK(i)), levelC);
        (double high, double highUnseenS, bool highOpen, bool highCut) = Summed(curve.Moved(offDeltaK), levelC);
        bool endless = cut || highCut;
        return new Measure(
            best,
            low,
            endless ? double.PositiveInfinity : high + Math.Max(unseenS, highUnseenS),
            open || endless || (highOpen && high > 0)
        );
    }

    private static (double SumS, double UnseenS, bool Open, bool Cut) Summed(RunCurve curve, double levelC)
    {
        double[] t = curve.TimesS;
        double[] v = curve.ValuesC;
        double sum = 0;
        double unseen = 0;
        for (int i = 1; i < t.Length; i++)
        {
            double a = v[i - 1] - levelC;
            double b = v[i] - levelC;
            double span = t[i] - t[i - 1];
            if (curve.Joined(i))
            {
                sum +=
                    a >= 0 && b >= 0 ? span
                    : a < 0 && b < 0 ? 0
                    : span * Math.Max(a, b) / Math.Abs(a - b);
                continue;
            }
            // The highest that it can have been in between: up from one side and down to the other as fast as may be.
            double rise = RunCurve.MostUnseenKPerS;
            double top = (a + b + rise * span) / 2;
            unseen += top <= 0 ? 0 : Math.Min(span, Reached(a, rise, span) + Reached(b, rise, span));
        }
        bool cut = t.Length > 0 && (v[^1] >= levelC || v[0] >= levelC);
        return (sum, unseen, unseen > 0, cut);
    }

    // Of the gap on one side: all where it stands above, else what is left once it can have climbed to the level.
    private static double Reached(double over, double rise, double spanS) =>
        over >= 0 ? spanS : Math.Max(0, spanS / 2 + over / rise);

    /// <summary>Highest point.</summary>
    /// <param name="curve">Curve, not empty.</param>
    /// <param name="offDeltaK">What it may be off by [K].</param>
    /// <returns>Measure and when [s].</returns>
    public static (Measure Peak, double AtS) Peak(RunCurve curve, Func<int, double> offDeltaK)
    {
        int at = Highest(curve.ValuesC);
        double rawC = curve.RawC.Max();
        double best = curve.ValuesC[at];
        // A smoothed tip is too low and a raw one too high: half of what lies between is doubted.
        double tip = Math.Max(0, rawC - best) / 2;
        double off = offDeltaK(at);
        double half = Math.Sqrt(off * off + tip * tip + curve.NoiseDeltaK * curve.NoiseDeltaK);
        double high = best + half;
        bool open = false;
        for (int i = 1; i < curve.Count; i++)
        {
            if (!curve.Joined(i))
            {
                double span = curve.TimesS[i] - curve.TimesS[i - 1];
                double top = (curve.ValuesC[i - 1] + curve.ValuesC[i] + RunCurve.MostUnseenKPerS * span) / 2;
                if (top > best)
                {
                    open = true;
                    high = Math.Max(high, top + half);
                }
            }
        }
        bool climbing = curve.Count > 2 && EndSlopeKPerS(curve) > StillKPerS && curve.ValuesC[^1] > best - 5;
        bool falling = curve.Count > 2 && at == 0 && best > 60;
        return climbing || falling
            ? (new Measure(best, best - half, double.PositiveInfinity, true), curve.TimesS[at])
            : (new Measure(best, best - half, high, open), curve.TimesS[at]);
    }

    private static double EndSlopeKPerS(RunCurve curve)
    {
        int from = curve.Count - 1;
        while (from > 0 && curve.Joined(from) && curve.TimesS[^1] - curve.TimesS[from - 1] <= SlopeWindowS)
        {
            from--;
        }
        return from == curve.Count - 1 ? 0 : RunCurve.Line(curve.TimesS, curve.RawC, from, curve.Count - 1).SlopeKPerS;
    }

    /// <summary>Steepest rise over the window, up to the peak; null where no window fits between gaps.</summary>
    /// <param name="curve">Curve.</param>
    /// <param name="ownFraction">What the slope itself may be off by, as a share of it.</param>
    public static Measure? SteepestRise(RunCurve curve, double ownFraction = SlopeErrorFraction) =>
        Steepest(curve, +1, double.NegativeInfinity, ownFraction);

    /// <summary>Steepest fall over the window, from the peak down to a level; null where no window fits.</summary>
    /// <param name="curve">Curve.</param>
    /// <param name="downToC">The level [°C].</param>
    /// <param name="ownFraction">What the slope itself may be off by, as a share of it.</param>
    public static Measure? SteepestFall(RunCurve curve, double downToC, double ownFraction = SlopeErrorFraction) =>
        Steepest(curve, -1, downToC, ownFraction);

    private static Measure? Steepest(RunCurve curve, int sign, double downToC, double ownFraction)
    {
        if (curve.Count < 3)
        {
            return null;
        }
        double[] t = curve.TimesS;
        int peak = Highest(curve.ValuesC);
        double windowS = WindowS(curve);
        FittedLine? best = null;
        int last = 0;
        bool missed = false;
        int begin = sign > 0 ? 0 : peak;
        int end = sign > 0 ? peak : curve.Count - 1;
        for (int first = begin; first < end; first++)
        {
            if (sign < 0 && curve.ValuesC[first] < downToC)
            {
                break;
            }
            last = Math.Max(last, first);
            while (last < end && curve.Joined(last + 1) && t[last] - t[first] < windowS - 1e-9)
            {
                last++;
            }
            if (last < end && !curve.Joined(last + 1))
            {
                missed = true;
            }
            if (t[last] - t[first] < windowS - 1e-9 || last - first < 2)
            {
                continue;
            }
            FittedLine line = RunCurve.Line(t, curve.RawC, first, last);
            if (best is null || sign * line.SlopeKPerS > sign * best.Value.SlopeKPerS)
            {
                best = line;
            }
        }
        if (best is not { } found)
        {
            return null;
        }
        double value = sign * found.SlopeKPerS;
        double sd = curve.NoiseDeltaK / Math.Sqrt(Math.Max(found.SumS2, 1e-9));
        // The steepest of many noisy windows is steeper than the truth: by the expected largest of so many normal numbers.
        double windows = Math.Max(2, (t[end] - t[begin]) / windowS);
        double picked = Math.Sqrt(2 * Math.Log(windows)) * sd;
        double own = 2 * sd + ownFraction * Math.Abs(value);
        return new Measure(value, value - own - picked, missed ? double.PositiveInfinity : value + own, missed);
    }

    /// <summary>Mean slope from one level to another, as tables count it; null where the curve does not have both.</summary>
    /// <param name="curve">Curve.</param>
    /// <param name="levelC">Level that is crossed [°C].</param>
    /// <param name="offDeltaK">What readings may be off by [K].</param>
    /// <param name="rising">From the first crossing to the peak; else from the peak to the last crossing.</param>
    public static Measure? MeanSlope(RunCurve curve, double levelC, Func<int, double> offDeltaK, bool rising)
    {
        double? Of(RunCurve one)
        {
            int peak = Highest(one.ValuesC);
            double? at = rising ? FirstUp(one, levelC)?.AtS : LastDown(one, levelC)?.AtS;
            if (at is not double cross)
            {
                return null;
            }
            double span = rising ? one.TimesS[peak] - cross : cross - one.TimesS[peak];
            return span > Math.Max(1e-6, one.StepS / 2) ? (one.ValuesC[peak] - levelC) / span : null;
        }
        if (curve.Count < 2 || Of(curve) is not double value)
        {
            return null;
        }
        double[] all = [value, Of(curve.Moved(offDeltaK)) ?? value, Of(curve.Moved(i => -offDeltaK(i))) ?? value];
        double own = SlopeErrorFraction * value;
        bool gap = Cut(curve, levelC, rising);
        return new Measure(value, all.Min() - own, gap ? double.PositiveInfinity : all.Max() + own, gap);
    }

    // A gap between the level and the peak, either way: neither crossing nor peak is sure then.
    private static bool Cut(RunCurve curve, double levelC, bool rising)
    {
        int peak = Highest(curve.ValuesC);
        double? cross = rising ? FirstUp(curve, levelC)?.AtS : LastDown(curve, levelC)?.AtS;
        double peakS = curve.TimesS[peak];
        return cross is double at
            && curve.Gaps().Any(gap => gap.ToS > Math.Min(at, peakS) && gap.FromS < Math.Max(at, peakS));
    }

    /// <summary>Time from the first crossing of one level to the first crossing of a higher one; null where one is missing.</summary>
    public static Measure? Between(RunCurve curve, double fromC, double toC, Func<int, double> offDeltaK)
    {
        if (FirstUp(curve, fromC) is not { } from || FirstUp(curve, toC) is not { } to)
        {
            return null;
        }
        double? Of(RunCurve one) => FirstUp(one, toC)?.AtS - FirstUp(one, fromC)?.AtS;
        double value = to.AtS - from.AtS;
        double[] all = [value, Of(curve.Moved(offDeltaK)) ?? value, Of(curve.Moved(i => -offDeltaK(i))) ?? value];
        double unseen = from.UnseenS + to.UnseenS;
        return new Measure(value, all.Min() - unseen, all.Max() + unseen, false);
    }

    /// <summary>Time from the first crossing of a level to the peak; a flat peak may be anywhere on its top.</summary>
    public static Measure? ToPeak(RunCurve curve, double fromC, Func<int, double> offDeltaK)
    {
        if (curve.Count < 2)
        {
            return null;
        }
        double[] v = curve.ValuesC;
        (Measure peak, double peakS) = Peak(curve, offDeltaK);
        (double startS, double unseenS) = FirstUp(curve, fromC) is { } up ? (up.AtS, up.UnseenS) : (curve.TimesS[0], 0);
        double flat = Math.Max(0.3, 2 * curve.NoiseDeltaK);
        int first = Array.FindIndex(v, value => value >= peak.Best - flat);
        int last = Array.FindLastIndex(v, value => value >= peak.Best - flat);
        return new Measure(
            peakS - startS,
            curve.TimesS[first] - startS - unseenS,
            double.IsInfinity(peak.High) ? double.PositiveInfinity : curve.TimesS[last] - startS + unseenS,
            peak.Open
        );
    }

    /// <summary>When a curve first comes to a level from below, and how far that is uncertain by a gap; null for never.</summary>
    public static (double AtS, double UnseenS)? FirstUp(RunCurve curve, double levelC)
    {
        for (int i = 1; i < curve.Count; i++)
        {
            if (curve.ValuesC[i - 1] < levelC && curve.ValuesC[i] >= levelC)
            {
                return Crossing(curve, i, levelC);
            }
        }
        return null;
    }

    /// <summary>When a curve last falls below a level; null for never.</summary>
    public static (double AtS, double UnseenS)? LastDown(RunCurve curve, double levelC)
    {
        for (int i = curve.Count - 1; i > 0; i--)
        {
            if (curve.ValuesC[i - 1] >= levelC && curve.ValuesC[i] < levelC)
            {
                return Crossing(curve, i, levelC);
            }
        }
        return null;
    }

    private static (double AtS, double UnseenS) Crossing(RunCurve curve, int i, double levelC)
    {
        double share = (levelC - curve.ValuesC[i - 1]) / (curve.ValuesC[i] - curve.ValuesC[i - 1]);
        double span = curve.TimesS[i] - curve.TimesS[i - 1];
        return (curve.TimesS[i - 1] + share * span, curve.Joined(i) ? 0 : span);
    }

    private static int Highest(double[] values)
    {
        int at = 0;
        for (int i = 1; i < values.Length; i++)
        {
            at = values[i] > values[at] ? i : at;
        }
        return at;
    }
}
