using Graftbench.Core.Findings;
using Graftbench.Core.Fit.Maps;
using Graftbench.Core.Proof;
using static System.FormattableString;

namespace Graftbench.Core.Returns;

/// <summary>Compares readings at hand-over with those on return, net by net and on the ball field.</summary>
/// <remarks>
/// Per kind, meter and polarity: the change of each net less the median of all; beyond 3·s·√(1/n₁ + 1/n₂) it stands out
/// (3·s·√(2/n) for n repeats in both). Resistances are compared by their logarithm. That a cluster at a corner speaks for a joint,
/// and scatter or one block for package or board, is an estimate.
/// </remarks>
public static class ReturnComparer
{
    private const double Beyond = 3;
    private const string Estimate = "graftbench-estimate";
    private const int FewestForPattern = 3;

    /// <summary>Compares hand-over and return where both were read.</summary>
    /// <param name="request">What was read.</param>
    /// <returns>Null where one of them was not read.</returns>
    public static ReturnAnswer? CompareIfRead(ReturnRequest request)
    {
        ArgumentNullException.ThrowIfNull(request);
        ReadingState[] states = [ReadingState.Handover, ReadingState.Return];
        return states.All(state => request.Readings.Any(one => one.State == state)) ? Compare(request) : null;
    }

    /// <summary>The comparison.</summary>
    public static ReturnAnswer Compare(ReturnRequest request)
    {
        ArgumentNullException.ThrowIfNull(request);
        ProofThresholds limits = request.Thresholds;
        ReadingSet set = ReadingSet.Newest([
            .. request.Readings.Where(one => one.State is ReadingState.Handover or ReadingState.Return),
        ]);
        ReadingSet all = ReadingSet.Of(request.Readings);
        List<NetReturn> nets = [];
        List<ReturnShift> shifts = [];
        List<Repeatability> repeats = [];
        List<Finding> findings = [];
        Dictionary<string, List<string>> balls = BallsOf(request.Map, set);
        foreach (IGrouping<ReadingKind, ReadingGroup> kind in set.Groups.GroupBy(group => group.Kind))
        {
            List<(string Net, ReadingPair Pair)> pairs = [];
            foreach (
                IGrouping<string, ReadingGroup> net in kind.GroupBy(group => NetNames.Key($"{group.Net} {group.To}"))
            )
            {
                Sort(net, kind.Key, pairs, nets, balls);
            }
            foreach (
                var sitting in pairs.GroupBy(one =>
                    (Meter: NetNames.Key(one.Pair.Now.Meter ?? ""), one.Pair.Now.Polarity)
                )
            )
            {
                Repeatability repeat = Repeatability.For(all, kind.Key, sitting.First().Pair.Now.Meter, limits);
                repeats.Add(repeat);
                nets.AddRange(Judge([.. sitting], kind.Key, repeat, limits, balls, shifts, findings));
            }
        }
        (ReturnPattern pattern, ClusterChance? chance) = Pattern(request, nets, limits);
        findings.AddRange(Told(nets, pattern, chance, limits, request.Map));
        NetReturn[] sorted =
        [
            .. nets.OrderByDescending(net => net.StandsOut)
                .ThenByDescending(net => net.Why is not null)
                .ThenByDescending(net =>
                    net.ShiftNumber is { } shift && net.LimitNumber is > 0 and { } limit ? Math.Abs(shift) / limit : 0
                ),
        ];
        (string answer, string? next) = ReturnWords.Line(sorted, pattern, findings);
        return new ReturnAnswer(answer, next, sorted, shifts, pattern, chance, repeats, Finding.WorstFirst(findings));
    }

    // Pairs that may be compared, and nets that may not, with the reason.
    private static void Sort(
        IGrouping<string, ReadingGroup> net,
        ReadingKind kind,
        List<(string, ReadingPair)> pairs,
        List<NetReturn> nets,
        Dictionary<string, List<string>> balls
    )
    {
        ReadingGroup first = net.First();
        string name = first.To is null ? first.Net : $"{first.Net} to {first.To}";
        ProbePolarity?[] both =
        [
            .. net.Where(group => group.State == ReadingState.Handover)
                .Select(group => group.Polarity)
                .Intersect(net.Where(group => group.State == ReadingState.Return).Select(group => group.Polarity)),
        ];
        if (both.Length < 2)
        {
            Sort(name, [.. net], kind, pairs, nets, balls);
            return;
        }
        foreach (ProbePolarity? polarity in both)
        {
            string way = polarity is { } told ? ProofWords.Of(told) : "polarity not noted";
            Sort($"{name}, {way}", [.. net.Where(group => group.Polarity == polarity)], kind, pairs, nets, balls);
        }
    }

    private static void Sort(
        string name,
        ReadingGroup[] net,
        ReadingKind kind,
        List<(string, ReadingPair)> pairs,
        List<NetReturn> nets,
        Dictionary<string, List<string>> balls
    )
    {
        ReadingGroup[] before = [.. net.Where(group => group.State == ReadingState.Handover)];
        ReadingGroup[] now = [.. net.Where(group => group.State == ReadingState.Return)];
        ReadingPair? pair = ReadingPairs.Best(now, before);
        string? why =
            before.Length == 0 ? "Not read at hand-over."
            : now.Length == 0 ? "Not read on return."
            : !pair!.SamePolarity ? "Read with the leads the other way round."
            : !pair.SameMeter
                ? $"Read with another meter: {pair.Now.Meter ?? "not noted"}, at hand-over {pair.Before.Meter ?? "not noted"}."
            : pair.Now.Mixed || pair.Before.Mixed ? "Repeats contradict each other: some numbers, some OL."
            : null;
        if (why is not null)
        {
            nets.Add(
                new NetReturn(
                    name,
                    kind,
                    (pair?.Before ?? before.FirstOrDefault())?.Value,
                    (pair?.Now ?? now.FirstOrDefault())?.Value,
                    null,
                    null,
                    false,
                    why,
                    Of(balls, net[0].Net)
                )
            );
            return;
        }
        pairs.Add((name, pair!));
    }

    private static List<NetReturn> Judge(
        List<(string Net, ReadingPair Pair)> pairs,
        ReadingKind kind,
        Repeatability repeat,
        ProofThresholds limits,
        Dictionary<string, List<string>> balls,
        List<ReturnShift> shifts,
        List<Finding> findings
    )
    {
        double[] changes = [.. pairs.Select(one => Change(one.Pair, kind)).OfType<double>().Order()];
        bool enough = changes.Length >= limits["shift-nets"];
        double median =
            changes.Length == 0 ? 0
            : changes.Length % 2 == 1 ? changes[changes.Length / 2]
            : (changes[(changes.Length / 2) - 1] + changes[changes.Length / 2]) / 2;
        double takenOff = enough ? median : 0;
        if (changes.Length > 0)
        {
            double?[] warmer = [.. pairs.Select(one => one.Pair.Now.BoardC - one.Pair.Before.BoardC)];
            double? deltaK = warmer.Any(one => one is null) ? null : warmer.Average();
            ReturnShift shift = new(
                kind,
                changes.Length,
                median,
                deltaK,
                kind == ReadingKind.Diode ? deltaK * limits["drift"] / 1000 : null
            );
            takenOff = enough ? median : shift.ExpectedV ?? 0;
            shifts.Add(shift);
            findings.Add(ReturnWords.Of(shift, enough, limits));
        }
        List<NetReturn> judged = [];
        foreach ((string net, ReadingPair pair) in pairs)
        {
            double? shift = Change(pair, kind) - takenOff;
            double limit = Beyond * repeat.SpreadNumber * Math.Sqrt((1.0 / pair.Before.Count) + (1.0 / pair.Now.Count));
            bool overload = pair.Now.Value!.IsOverload != pair.Before.Value!.IsOverload;
            bool zero = shift is null && !overload && !pair.Now.Value.IsOverload;
            judged.Add(
                new NetReturn(
                    net,
                    kind,
                    pair.Before.Value,
                    pair.Now.Value,
                    shift,
                    limit,
                    overload || Math.Abs(shift ?? 0) > limit,
                    zero ? "A resistance of 0 has no ratio." : null,
                    Of(balls, pair.Now.Net)
                )
            );
        }
        return judged;
    }

    private static (ReturnPattern, ClusterChance?) Pattern(
        ReturnRequest request,
        List<NetReturn> nets,
        ProofThresholds limits
    )
    {
        if (request.Map is not { } map)
        {
            return (ReturnPattern.NotTold, null);
        }
        Dictionary<string, FieldSite> sites = map.Balls.ToDictionary(
            ball => ball.Name,
            ball => new FieldSite(ball.Row, ball.Column),
            StringComparer.Ordinal
        );
        // A net of many balls has no place: only nets of a single ball are drawn and tested.
        FieldSite[] Sites(IEnumerable<NetReturn> of) =>
            [
                .. of.Where(net =>
                        net.Balls.Count == 1 && net.ShiftNumber is not null
                        || net is { StandsOut: true, Balls.Count: 1 }
                    )
                    .Select(net => sites.TryGetValue(net.Balls[0], out FieldSite site) ? site : (FieldSite?)null)
                    .OfType<FieldSite>()
                    .Distinct(),
            ];
        FieldSite[] outside = Sites(nets.Where(net => net.StandsOut));
        FieldSite[] measured = Sites(nets.Where(net => net.Why is null));
        if (outside.Length == 0)
        {
            return (ReturnPattern.NotTold, null);
        }
        ClusterChance chance = ClusterTest.Of(outside, measured, map.Rows, map.Columns);
        double limit = limits.Fraction("cluster-chance");
        // With so few choices not even the closest one is rare: neither a cluster nor scatter can be told.
        bool blind = ClusterTest.Choices(measured.Length, outside.Length) * limit < 1;
        if (outside.Length < FewestForPattern || blind)
        {
            return (ReturnPattern.NotTold, chance);
        }
        bool together = chance.TogetherFraction <= limit;
        double reach = limits.Fraction("corner-reach") * Math.Min(map.Rows - 1, map.Columns - 1);
        return (
            !together
                ? chance.CornerFraction <= limit
                    ? ReturnPattern.Corners
                    : ReturnPattern.Scattered
                : chance.OneCornerPitchNumber <= reach
                    ? ReturnPattern.Corner
                    : ReturnPattern.Block,
            chance
        );
    }

    private static IEnumerable<Finding> Told(
        List<NetReturn> nets,
        ReturnPattern pattern,
        ClusterChance? chance,
        ProofThresholds limits,
        BallMap? map
    )
    {
        if (nets.Count == 0)
        {
            yield return new Finding(
                Verdict.Unknown,
                "return.nothing",
                "readings",
                "There is no reading of hand-over or return.",
                Source: "common-practice",
                Todo: "Read the nets of the hand-over again, with the same meter."
            );
        }
        foreach (NetReturn net in nets.Where(net => net.StandsOut))
        {
            yield return new Finding(
                Verdict.FixFirst,
                net.Now!.IsOverload ? "return.open" : "return.moved",
                net.Net,
                net.Now.IsOverload ? "It is open and was not at hand-over."
                    : net.Before!.IsOverload ? "It was open at hand-over and is not now."
                    : "It has moved since hand-over.",
                ReturnWords.Measure(net),
                net.LimitNumber is { } limit && net.ShiftNumber is not null
                    ? ReturnWords.Amount(net.Kind, limit)
                    : null,
                Estimate,
                "Read it again; then look at its ball and its land."
            );
        }
        foreach (IGrouping<string, NetReturn> other in nets.Where(net => net.Why is not null).GroupBy(net => net.Why!))
        {
            yield return new Finding(
                Verdict.Unknown,
                "return.not-compared",
                string.Join(", ", other.Take(6).Select(net => net.Net)) + (other.Count() > 6 ? " and others" : ""),
                other.Key,
                Invariant($"{other.Count()} of {nets.Count} nets"),
                null,
                "meter-handbooks",
                "Read them with the meter and the polarity of the hand-over."
            );
        }
        if (chance is not null && pattern != ReturnPattern.NotTold)
        {
            yield return new Finding(
                Verdict.Warning,
                "return.pattern",
                "ball field",
                ReturnWords.Of(pattern),
                ReturnWords.Of(chance),
                Invariant($"{limits["cluster-chance"]:0.#} %"),
                limits.Of("cluster-chance").Source,
                ReturnWords.Todo(pattern)
            );
        }
        else if (nets.Any(net => net.StandsOut))
        {
            yield return new Finding(
                Verdict.Unknown,
                "return.pattern",
                "ball field",
                map is null ? "Without the ball list the nets have no place in the field."
                    : chance is null
                        ? "The nets that stand out have no single ball in the list, so they have no place in the field."
                    : "Too few balls stand out, or too few others were read: no pattern can be told.",
                chance is null ? null : ReturnWords.Of(chance),
                null,
                limits.Of("cluster-chance").Source,
                map is null
                    ? "Give the ball list."
                    : "Read more nets of single balls, at the corners and in the middle."
            );
        }
    }

    private static double? Change(ReadingPair pair, ReadingKind kind) =>
        pair.Now.MeanNumber is not { } now || pair.Before.MeanNumber is not { } before ? null
        : kind != ReadingKind.Resistance ? now - before
        : now > 0 && before > 0 ? Math.Log(now / before)
        : null;

    private static Dictionary<string, List<string>> BallsOf(BallMap? map, ReadingSet set)
    {
        Dictionary<string, List<string>> balls = new(StringComparer.Ordinal);
        void Add(string net, string ball)
        {
            if (!balls.TryGetValue(NetNames.Key(net), out List<string>? list))
            {
                balls[NetNames.Key(net)] = list = [];
            }
            if (!list.Contains(ball))
            {
                list.Add(ball);
            }
        }
        foreach (MapBall ball in map?.Balls ?? [])
        {
            Add(ball.Class == BallClass.Supply ? ProofRail.NameOf(ball) : ball.Signal, ball.Name);
        }
        foreach (Reading reading in set.Readings.Where(one => one.Ball is not null))
        {
            Add(reading.Net, reading.Ball!.ToUpperInvariant());
        }
        return balls;
    }

    private static List<string> Of(Dictionary<string, List<string>> balls, string net) =>
        balls.GetValueOrDefault(NetNames.Key(net)) ?? [];
}
