using static System.FormattableString;

namespace Graftbench.Core.Proof;

/// <summary>What of a trace decides: levels, time above standby, cycles, how flat and how steep.</summary>
internal sealed class TraceFeatures
{
    public TraceFeatures(CutTrace cut, TraceRequest request)
    {
        (Cut, Limits, LimitA) = (cut, request.Thresholds, request.LimitCurrentA);
        double[] sorted = [.. cut.CurrentA.Order()];
        PeakA = sorted[^Math.Max(1, sorted.Length / 200)];
        Flowing = Math.Max(0, Array.FindIndex(cut.CurrentA, current => current >= Limits["trace-zero"]));
        StandbyTold = request.StandbyCurrentA is not null;
        // Not told: the first plateau on which current flows.
        StandbyA =
            request.StandbyCurrentA
            ?? cut.Plateaus.FirstOrDefault(one => one.MeanCurrentA >= Limits["trace-zero"])?.MeanCurrentA
            ?? 0;
        SlackA = Math.Max(Limits.Fraction("trace-standby") * StandbyA, Limits["trace-standby-least"]);
        Excursions = [.. Above()];
    }

    public CutTrace Cut { get; }

    public ProofThresholds Limits { get; }

    public double? LimitA { get; }

    public bool StandbyTold { get; }

    /// <summary>Highest current, half a percent of the samples left out [A].</summary>
    public double PeakA { get; }

    /// <summary>First sample with current.</summary>
    public int Flowing { get; }

    public double StandbyA { get; }

    /// <summary>How far standby may lie off [A].</summary>
    public double SlackA { get; }

    /// <summary>Stretches above standby, in time [s]; the last may not have ended.</summary>
    public IReadOnlyList<(double FromS, double ToS, bool Ended)> Excursions { get; }

    public double EndS => Cut.TimeS[^1];

    /// <summary>Samples from a time on.</summary>
    public double[] From(double timeS) => [.. Cut.CurrentA.Where((_, i) => Cut.TimeS[i] >= timeS)];

    // By plateaus, so that noise does not break an excursion in two.
    private IEnumerable<(double FromS, double ToS, bool Ended)> Above()
    {
        double? from = null;
        foreach ((double atS, bool above) in Cut.Plateaus.SelectMany(Stretches))
        {
            if (above && from is null)
            {
                from = atS;
            }
            else if (!above && from is { } began)
            {
                if (atS > began)
                {
                    yield return (began, atS, true);
                }
                from = null;
            }
        }
        if (from is { } open)
        {
            yield return (open, EndS, false);
        }
    }

    // With few samples a second a plateau holds a dip to standby and the start after it: two samples at standby are a dip.
    private IEnumerable<(double FromS, bool Above)> Stretches(TracePlateau plateau)
    {
        bool above = plateau.MeanCurrentA > StandbyA + SlackA;
        yield return (plateau.FromS, above);
        if (!above || plateau.ScatterCurrentA <= 3 * Cut.NoiseA)
        {
            yield break;
        }
        int first = Array.FindIndex(Cut.TimeS, time => time >= plateau.FromS);
        int low = 0;
        for (int i = first; i < Cut.TimeS.Length && Cut.TimeS[i] < plateau.ToS; i++)
        {
            bool atStandby = Cut.CurrentA[i] <= StandbyA + (SlackA / 2);
            if (!atStandby && low >= 2)
            {
                yield return (Cut.TimeS[i - low], false);
                yield return (Cut.TimeS[i], true);
            }
            low = atStandby ? low + 1 : 0;
        }
        if (low >= 2)
        {
            yield return (plateau.ToS, false);
        }
    }
}

/// <summary>The rules: from features to a signature, with the numbers that decided.</summary>
internal static class TraceRules
{
    private const int LeastCycles = 3;

    public static (TraceSignature Signature, List<TraceFigure> Figures) Judge(TraceFeatures trace)
    {
        ProofThresholds limits = trace.Limits;
        List<TraceFigure> figures = [new("highest current", Amps(trace.PeakA), null)];
        if (trace.PeakA < limits["trace-zero"])
        {
            figures[0] = figures[0] with { Limit = $"below {Amps(limits["trace-zero"])}" };
            return (TraceSignature.Zero, figures);
        }
        if (AtLimit(trace, figures))
        {
            return (TraceSignature.AtLimit, figures);
        }
        figures.Add(
            new TraceFigure(
                trace.StandbyTold ? "standby expected" : "standby, from the first plateau",
                Amps(trace.StandbyA),
                $"± {Amps(trace.SlackA)}"
            )
        );
        (double FromS, double ToS, bool Ended)[] excursions = [.. trace.Excursions];
        bool atStandby = Math.Abs(trace.Cut.Plateaus[^1].MeanCurrentA - trace.StandbyA) <= trace.SlackA;
        figures.Add(new TraceFigure("last plateau", Amps(trace.Cut.Plateaus[^1].MeanCurrentA), null));
        if (excursions.Length == 0)
        {
            return (atStandby && trace.StandbyTold ? TraceSignature.Standby : TraceSignature.Unknown, figures);
        }
        double[] lengths = [.. excursions.Where(one => one.Ended).Select(one => one.ToS - one.FromS)];
        double kickS = limits["trace-kick"];
        figures.Add(
            new TraceFigure(
                "times above standby",
                string.Join(", ", excursions.Take(8).Select(one => Invariant($"{one.ToS - one.FromS:0.0} s"))),
                Invariant($"a kick lasts {kickS:0.#} s at most")
            )
        );
        int worked = lengths.Count(length => length > kickS);
        if (worked >= LeastCycles - 1 && excursions.Length >= LeastCycles)
        {
            figures.Add(
                new TraceFigure("starts", Invariant($"{excursions.Length}"), Invariant($"{LeastCycles} or more"))
            );
            return (TraceSignature.Restarts, figures);
        }
        if (
            lengths.Length > 0
            && lengths.Length == excursions.Length
            && lengths.All(length => length <= kickS)
            && atStandby
        )
        {
            return (TraceSignature.KickAndBack, figures);
        }
        return excursions[^1].Ended ? (TraceSignature.Unknown, figures) : Running(trace, excursions[^1].FromS, figures);
    }

    private static bool AtLimit(TraceFeatures trace, List<TraceFigure> figures)
    {
        if (trace.LimitA is not { } limitA)
        {
            return false;
        }
        double reachedA = trace.Limits["trace-at-limit"] * limitA;
        double startS = trace.Cut.TimeS[trace.Flowing];
        int first = Array.FindIndex(trace.Cut.CurrentA, current => current >= reachedA);
        double[] after = trace.From(startS + trace.Limits["trace-at-once"]);
        double heldFraction =
            after.Length == 0 ? 0 : (double)after.Count(current => current >= reachedA) / after.Length;
        if (first < 0)
        {
            return false;
        }
        double delayS = trace.Cut.TimeS[first] - startS;
        figures.Add(
            new TraceFigure(
                "limit reached after",
                Invariant($"{delayS:0.0} s"),
                Invariant($"{trace.Limits["trace-at-once"]:0.#} s at most")
            )
        );
        figures.Add(new TraceFigure("time at the limit", Invariant($"{100 * heldFraction:0} %"), "90 % or more"));
        return delayS <= trace.Limits["trace-at-once"] && heldFraction >= 0.9;
    }

    // It is above standby and stays there: flat, climbing or busy.
    private static (TraceSignature, List<TraceFigure>) Running(
        TraceFeatures trace,
        double fromS,
        List<TraceFigure> figures
    )
    {
        ProofThresholds limits = trace.Limits;
        double lengthS = trace.EndS - fromS;
        figures.Add(
            new TraceFigure(
                "above standby at the end for",
                Invariant($"{lengthS:0.0} s"),
                Invariant($"{limits["trace-mid"]:0.#} s or more")
            )
        );
        // The step up itself is not part of what it does afterwards: the first fifth is left out.
        double[] run = trace.From(fromS + (0.2 * lengthS));
        if (lengthS < limits["trace-mid"] || run.Length < 9)
        {
            return (TraceSignature.Unknown, figures);
        }
        double mean = TracePlateaus.Mean(run);
        double scatter = TracePlateaus.Deviation(run, mean);
        (double riseA, double restA) = Line(run);
        int turns = Turns(run, Math.Max(3 * trace.Cut.NoiseA, limits.Fraction("trace-flat") * mean));
        figures.Add(new TraceFigure("level", Amps(mean), null));
        figures.Add(
            new TraceFigure(
                "scatter by level",
                Percent(scatter / mean),
                Invariant($"flat to {limits["trace-flat"]:0.#} %, busy from {limits["trace-busy"]:0.#} %")
            )
        );
        figures.Add(
            new TraceFigure(
                "rise by level",
                Percent(riseA / mean),
                Invariant($"climbs from {limits["trace-climb"]:0.#} %")
            )
        );
        figures.Add(new TraceFigure("ups and downs", Invariant($"{turns}"), "busy from 6"));
        if (
            riseA >= limits.Fraction("trace-climb") * mean
            && restA < 0.5 * riseA / Math.Sqrt(12)
            && turns <= 2
            && Steady(run)
        )
        {
            return (TraceSignature.SlowClimb, figures);
        }
        // Noise alone turns back by three times its deviation all the time, by seven times hardly ever.
        double flatA = limits.Fraction("trace-flat") * mean;
        bool quiet = scatter <= flatA && Turns(run, Math.Max(7 * trace.Cut.NoiseA, flatA)) < 6;
        if (quiet || (scatter <= Math.Max(flatA, 3 * trace.Cut.NoiseA) && turns < 6))
        {
            return (TraceSignature.MidPlateau, figures);
        }
        return (
            scatter >= limits.Fraction("trace-busy") * mean && turns >= 6
                ? TraceSignature.Busy
                : TraceSignature.Unknown,
            figures
        );
    }

    // Rise of a straight line over the samples, and what is left beside it.
    private static (double RiseA, double RestA) Line(double[] run)
    {
        double mean = TracePlateaus.Mean(run);
        double centre = (run.Length - 1) / 2.0;
        double top = 0;
        double below = 0;
        for (int i = 0; i < run.Length; i++)
        {
            top += (i - centre) * (run[i] - mean);
            below += (i - centre) * (i - centre);
        }
        double slope = top / below;
        double[] rest = [.. run.Select((value, i) => value - mean - (slope * (i - centre)))];
        return (slope * (run.Length - 1), TracePlateaus.Deviation(rest, 0));
    }

    // Each third lies above the one before, the last rise not much smaller than the first: no plateau at the end.
    private static bool Steady(double[] run)
    {
        int third = run.Length / 3;
        double first = TracePlateaus.Mean(run.AsSpan(0, third));
        double second = TracePlateaus.Mean(run.AsSpan(third, third));
        double last = TracePlateaus.Mean(run.AsSpan(2 * third));
        return second > first && last - second > 0.25 * (second - first);
    }

    // How often the current turns back by more than a band.
    private static int Turns(double[] run, double bandA)
    {
        int turns = 0;
        int way = 0;
        double extreme = run[0];
        foreach (double value in run)
        {
            if (way >= 0 && value > extreme)
            {
                (extreme, way) = (value, way == 0 && value - run[0] > bandA ? 1 : way);
            }
            else if (way <= 0 && value < extreme)
            {
                (extreme, way) = (value, way == 0 && run[0] - value > bandA ? -1 : way);
            }
            else if (way > 0 && extreme - value > bandA)
            {
                (extreme, way, turns) = (value, -1, turns + 1);
            }
            else if (way < 0 && value - extreme > bandA)
            {
                (extreme, way, turns) = (value, 1, turns + 1);
            }
        }
        return turns;
    }

    private static string Amps(double currentA) => Invariant($"{currentA:0.000} A");

    private static string Percent(double share) => Invariant($"{100 * share:0.0} %");
}
