using Graftbench.Core.Facts;
using Graftbench.Core.Findings;
using Graftbench.Core.Heating;
using Graftbench.Core.Watching;
using static System.FormattableString;

namespace Graftbench.Core.Reviewing;

/// <summary>A curve with what it may be off by.</summary>
internal sealed record Track(string Subject, FigureBasis Basis, string By, RunCurve Curve, Func<int, double> OffDeltaK)
{
    /// <summary>What a slope may be off by, as a share: of a probe its scale, of an estimate what its band is of its rise.</summary>
    public double SlopeOffFraction
    {
        get
        {
            int peak = Curve.Count == 0 ? 0 : Array.IndexOf(Curve.ValuesC, Curve.ValuesC.Max());
            return Basis == FigureBasis.Measured || Curve.Count == 0
                ? 0.01
                : Math.Max(0.01, OffDeltaK(peak) / Math.Max(20, Curve.ValuesC[peak] - 25));
        }
    }

    /// <summary>Figure from a measure; null measure for one that the curve does not have.</summary>
    public ReviewFigure Figure(string key, string title, string unit, Measure? measure) =>
        new(
            key,
            Subject,
            title,
            Basis,
            By,
            measure?.Best,
            measure?.Low,
            measure is { } one && double.IsFinite(one.High) ? one.High : null,
            unit,
            measure?.Open ?? false
        );
}

/// <summary>Figures of one run's curves, and which curve speaks for a place.</summary>
internal sealed class ReviewBook
{
    /// <summary>Time above this is always counted for bodies [°C] (common practice, no source).</summary>
    public const double WarmC = 200;

    private const double RoomC = 25;
    private const double NearClassDeltaK = 5;
    private const double EarlyMeltS = LiveReader.EarlyMeltS;

    private readonly ReviewRequest request;
    private readonly List<Track> probes = [];
    private readonly Dictionary<string, RunCurve> estimated = new(StringComparer.Ordinal);

    public ReviewBook(ReviewRequest request)
    {
        this.request = request;
        RunLog log = request.Log;
        foreach (RunChannel channel in log.Channels)
        {
            IReadOnlyList<RunSpan> leftOut = LeftOut(channel.Name);
            RunCurve curve = RunCurve.Of(log.TimesS, channel.TemperaturesC, log.BreaksS, leftOut);
            ProbeSeat? seat = Seat(channel.Name);
            double off = seat?.OffDeltaK ?? 2.5;
            double gas = seat?.GasDeltaK ?? 0;
            probes.Add(
                new Track(
                    $"probe {channel.Name}",
                    FigureBasis.Measured,
                    channel.Name,
                    curve,
                    _ => Math.Sqrt(off * off + gas * gas)
                )
            );
        }
    }

    /// <summary>One for each channel, in the run's order.</summary>
    public IReadOnlyList<Track> Probes => probes;

    public ProbeSeat? Seat(string channel) => request.Seats.FirstOrDefault(seat => seat.Channel == channel);

    private IReadOnlyList<RunSpan> LeftOut(string channel) =>
        [
            .. (request.Estimate?.LeftOut ?? [])
                .Where(one => one.Channel == channel && one.Fault is not ProbeFault.Swapped)
                .Select(one => one.Span),
        ];

    /// <summary>The probe that sat on a place, the one with readings; null where none did.</summary>
    public Track? MeasuredAt(HeatPlaceKind kind, string? part)
    {
        for (int i = 0; i < probes.Count; i++)
        {
            ProbeSeat? seat = Seat(probes[i].By);
            bool meant =
                seat is not null
                && seat.Kind == kind
                && (part is null || string.Equals(seat.Part, part, StringComparison.Ordinal));
            if (meant && probes[i].Curve.Count >= 3)
            {
                return probes[i];
            }
        }
        return null;
    }

    /// <summary>Whether the estimate of hidden places can be believed in the hot part of the run.</summary>
    public (bool Believed, string Words) Belief()
    {
        if (request.Estimate is not { } estimate || estimate.TimesS.Count == 0)
        {
            return (false, request.NoEstimate ?? "Joints were not estimated: no chip, board and bench are described.");
        }
        double levelC = (request.SolidusC ?? 217) - 60;
        int hot = 0;
        int doubtful = 0;
        bool lost = false;
        for (int k = 0; k < estimate.TimesS.Count; k++)
        {
            if (estimate.Joints.Max(joint => joint.TemperaturesC[k]) >= levelC)
            {
                hot++;
                doubtful += estimate.Trust[k] is WatchTrust.NotTrusted or WatchTrust.CannotTell ? 1 : 0;
                lost |= estimate.Trust[k] == WatchTrust.CannotTell;
            }
        }
        bool all = estimate.Trust.All(trust => trust is WatchTrust.CannotTell or WatchTrust.Settling);
        string why = estimate.Reasons.FirstOrDefault(reason =>
            !reason.StartsWith("Less than", StringComparison.Ordinal)
        )
            is { } reason
            ? " " + reason
            : "";
        if (all || lost)
        {
            return (
                false,
                $"Cannot tell what the joints did: probes and model contradict each other or nothing was read.{why}"
            );
        }
        if (hot > 0 && doubtful > 0.1 * hot)
        {
            return (
                false,
                $"Cannot tell: the estimate was not trusted for {100.0 * doubtful / hot:0} % of the hot part.{why}"
            );
        }
        if (estimate.TimesS[^1] < request.Log.EndS - 2)
        {
            return (
                false,
                $"Cannot tell what the joints did after {Clock(estimate.TimesS[^1])}: the estimate ends there.{why}"
            );
        }
        return (true, "Joints are estimated as the watch does: each second from the readings up to it.");
    }

    /// <summary>An estimated place as a curve with its band.</summary>
    public Track Estimated(EstimatedPlace place, string subject)
    {
        RunEstimate estimate = request.Estimate!;
        if (!estimated.TryGetValue(place.Place.Name, out RunCurve? curve))
        {
            curve = RunCurve.Of(estimate.TimesS, place.TemperaturesC);
            estimated[place.Place.Name] = curve;
        }
        return new Track(subject, FigureBasis.Estimated, "model and probes", curve, i => place.BandDeltaK[i]);
    }

    /// <summary>What speaks for a place: the probe on it, else the estimate; null where there is neither.</summary>
    public Track? At(HeatPlaceKind kind, string? part, string? name, string subject, bool believed)
    {
        if (MeasuredAt(kind, part) is { } measured)
        {
            return measured with { Subject = subject };
        }
        EstimatedPlace? place = request.Estimate?.Places.FirstOrDefault(one =>
            name is not null
                ? one.Place.Name == name
                : one.Place.Kind == kind && (part is null || one.Place.Part == part)
        );
        return place is not null && believed ? Estimated(place, subject) : null;
    }

    /// <summary>Figures that every curve has.</summary>
    public static IEnumerable<ReviewFigure> Plain(Track track, double? liquidusC)
    {
        if (track.Curve.Count < 3)
        {
            yield break;
        }
        (Measure peak, _) = RunMeasures.Peak(track.Curve, track.OffDeltaK);
        yield return track.Figure("peak", "peak", "°C", peak);
        if (liquidusC is double level)
        {
            yield return track.Figure(
                "above",
                Invariant($"time above {level:0.#} °C"),
                "s",
                RunMeasures.Above(track.Curve, level, track.OffDeltaK)
            );
        }
        yield return track.Figure(
            "above-200",
            Invariant($"time above {WarmC:0} °C"),
            "s",
            RunMeasures.Above(track.Curve, WarmC, track.OffDeltaK)
        );
        string window = Invariant($"over {RunMeasures.WindowS(track.Curve):0.#} s");
        yield return track.Figure(
            "rise",
            $"steepest rise {window}",
            "K/s",
            RunMeasures.SteepestRise(track.Curve, track.SlopeOffFraction)
        );
        if (RunMeasures.SteepestFall(track.Curve, liquidusC ?? 183, track.SlopeOffFraction) is { } fall)
        {
            yield return track.Figure("fall", $"steepest fall {window}", "K/s", fall);
        }
    }

    /// <summary>Figures of the body that the classification table counts.</summary>
    public static IEnumerable<(string Item, ReviewFigure Figure)> Body(
        Track body,
        SolderProcess process,
        double? classC
    )
    {
        double liquidusC = ReflowTables.Profiled("liquidus", process).Value;
        double fromC = ReflowTables.Profiled("soak-from", process).Value;
        double toC = ReflowTables.Profiled("soak-to", process).Value;
        RunCurve curve = body.Curve;
        ReviewFigure soak = body.Figure(
            "soak",
            Invariant($"soak, {fromC:0} to {toC:0} °C"),
            "s",
            RunMeasures.Between(curve, fromC, toC, body.OffDeltaK)
        );
        ReviewFigure above = body.Figure(
            "above",
            Invariant($"time above {liquidusC:0} °C"),
            "s",
            RunMeasures.Above(curve, liquidusC, body.OffDeltaK)
        );
        yield return ("soak-least", soak);
        yield return ("soak-most", soak);
        yield return (
            "rise-most",
            body.Figure(
                "rise-mean",
                Invariant($"mean rise from {liquidusC:0} °C to the peak"),
                "K/s",
                RunMeasures.MeanSlope(curve, liquidusC, body.OffDeltaK, rising: true)
            )
        );
        yield return ("molten-least", above);
        yield return ("molten-most", above);
        if (classC is double tc)
        {
            yield return (
                "near-peak-most",
                body.Figure(
                    "near-class",
                    Invariant($"time above {tc - NearClassDeltaK:0} °C, 5 K below the classification"),
                    "s",
                    RunMeasures.Above(curve, tc - NearClassDeltaK, body.OffDeltaK)
                )
            );
        }
        yield return (
            "fall-most",
            body.Figure(
                "fall-mean",
                Invariant($"mean fall from the peak to {liquidusC:0} °C"),
                "K/s",
                RunMeasures.MeanSlope(curve, liquidusC, body.OffDeltaK, rising: false)
            )
        );
        yield return (
            "to-peak-most",
            body.Figure("to-peak", "from 25 °C to the peak", "s", RunMeasures.ToPeak(curve, RoomC, body.OffDeltaK))
        );
    }

    /// <summary>Peak of the joint that peaks lowest (or highest), with the lowest lower and lowest upper end of all.</summary>
    public ReviewFigure JointPeak(bool coldest)
    {
        List<(Measure Peak, EstimatedPlace Place)> peaks =
        [
            .. request.Estimate!.Joints.Select(joint =>
            {
                Track track = Estimated(joint, "");
                return (RunMeasures.Peak(track.Curve, track.OffDeltaK).Peak, joint);
            }),
        ];
        double Pick(Func<Measure, double> of) =>
            coldest ? peaks.Min(one => of(one.Peak)) : peaks.Max(one => of(one.Peak));
        double best = Pick(one => one.Best);
        EstimatedPlace named = peaks.First(one => one.Peak.Best == best).Place;
        double high = Pick(one => one.High);
        return new ReviewFigure(
            "peak",
            coldest ? "coldest joint" : "hottest joint",
            $"peak, {named.Where}",
            FigureBasis.Estimated,
            "model and probes",
            best,
            Pick(one => one.Low),
            double.IsFinite(high) ? high : null,
            "°C",
            peaks.Any(one => one.Peak.Open)
        );
    }

    /// <summary>Shortest (or longest) time of any joint above a level; the model melts up to 5 s early, which the range holds.</summary>
    public ReviewFigure JointAbove(double levelC, bool least)
    {
        List<Measure> all =
        [
            .. request.Estimate!.Joints.Select(joint =>
            {
                Track track = Estimated(joint, "");
                return RunMeasures.Above(track.Curve, levelC, track.OffDeltaK);
            }),
        ];
        double Pick(Func<Measure, double> of) => least ? all.Min(of) : all.Max(of);
        double high = Pick(one => one.High);
        return new ReviewFigure(
            "above",
            least ? "coldest joint" : "hottest joint",
            Invariant($"time above {levelC:0.#} °C"),
            FigureBasis.Estimated,
            "model and probes",
            Pick(one => one.Best),
            Math.Max(0, Pick(one => one.Low) - EarlyMeltS),
            double.IsFinite(high) ? high : null,
            "s",
            all.Any(one => one.Open)
        );
    }

    /// <summary>Hottest less coldest joint when the coldest peaks.</summary>
    public ReviewFigure Spread()
    {
        List<EstimatedPlace> joints = [.. request.Estimate!.Joints];
        EstimatedPlace coldest = joints.MinBy(joint => joint.TemperaturesC.Max())!;
        int at = Enumerable.Range(0, coldest.TemperaturesC.Count).MaxBy(k => coldest.TemperaturesC[k]);
        EstimatedPlace hottest = joints.MaxBy(joint => joint.TemperaturesC[at])!;
        double spread = hottest.TemperaturesC[at] - coldest.TemperaturesC[at];
        // What is wrong for all joints alike leaves their difference alone; that is not known, so the larger band counts whole.
        double half = Math.Max(hottest.BandDeltaK[at], coldest.BandDeltaK[at]);
        return new ReviewFigure(
            "spread",
            "joints",
            "hottest less coldest joint at the coldest one's peak",
            FigureBasis.Estimated,
            "model and probes",
            spread,
            Math.Max(0, spread - half),
            spread + half,
            "K",
            false
        );
    }

    internal static string Clock(double timeS)
    {
        int whole = (int)Math.Round(timeS);
        return Invariant($"{whole / 60}:{whole % 60:00}");
    }
}
