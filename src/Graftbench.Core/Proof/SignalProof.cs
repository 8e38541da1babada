using Graftbench.Core.Findings;
using static System.FormattableString;

namespace Graftbench.Core.Proof;

/// <summary>Signals: diode-mode against baseline, without what all of them moved by together.</summary>
internal sealed class SignalProof
{
    /// <summary>Name of a net that stands for a diode kept for comparing meters.</summary>
    public const string ReferenceNet = "REFERENCE-DIODE";

    private readonly ProofRequest request;
    private readonly ReadingSet set;
    private readonly ProofThresholds limits;
    private readonly Dictionary<string, ReadingPair> pairs = new(StringComparer.Ordinal);
    private readonly Dictionary<string, Repeatability> repeats = new(StringComparer.Ordinal);
    private readonly Dictionary<SetKey, CommonShift> shifts = [];
    private readonly int compared;

    private readonly record struct SetKey(ReadingState From, string Meter, string Before, ProbePolarity? Polarity);

    public SignalProof(ProofRequest request, ReadingSet set, ProofNames names)
    {
        (this.request, this.set, limits) = (request, set, request.Thresholds);
        foreach (string net in names.Signals)
        {
            ReadingGroup[] now = [.. Diode(net, request.Now)];
            ReadingPair? pair = new[] { ReadingState.DonorBaseline, ReadingState.Baseline }
                .Select(state => ReadingPairs.Best(now, [.. Diode(net, state)]))
                .OfType<ReadingPair>()
                .OrderByDescending(Comparable)
                .FirstOrDefault();
            if (pair is not null)
            {
                pairs[NetNames.Key(net)] = pair;
            }
        }
        compared = pairs.Values.Count(pair => Comparable(pair) && Change(pair) is not null);
        foreach (IGrouping<SetKey, ReadingPair> group in pairs.Values.Where(Comparable).GroupBy(KeyOf))
        {
            double[] changes = [.. group.Select(Change).OfType<double>().Order()];
            if (changes.Length > 0)
            {
                shifts[group.Key] = Shift(group.Key, [.. group], changes);
            }
        }
    }

    /// <summary>What sets moved by together.</summary>
    public IReadOnlyList<CommonShift> Shifts => [.. shifts.Values];

    /// <summary>Repeatabilities that were used, one for each meter.</summary>
    public IReadOnlyList<Repeatability> Repeats => [.. repeats.Values];

    /// <summary>The proof of a signal.</summary>
    public NetProof Of(string net)
    {
        List<Finding> found = [];
        ReadingGroup[] now = [.. Diode(net, request.Now)];
        int? junctions = JunctionsOf(net);
        if (now.Length == 0)
        {
            found.Add(
                Make(
                    net,
                    Verdict.Unknown,
                    "proof.signal-not-measured",
                    "The signal was not read in diode-mode in this state.",
                    todo: "Read it as it was read before: same meter, same polarity."
                )
            );
            return new NetProof(net, null, found) { Kind = ReadingKind.Diode, Junctions = junctions };
        }
        pairs.TryGetValue(NetNames.Key(net), out ReadingPair? pair);
        ReadingGroup read = pair?.Now ?? now[0];
        Repeatability repeat = RepeatOf(read.Meter);
        bool contradict = Contradicts(net, pair is null ? [read] : [read, pair.Before], repeat, found);
        NetProof proof = new(net, null, found)
        {
            Kind = ReadingKind.Diode,
            Now = read.Value,
            Baseline = pair?.Before.Value,
            BaselineState = pair?.Before.State,
            Repeats = read.Count,
            Junctions = junctions,
        };
        if (!contradict)
        {
            proof = Judge(proof, read, pair, repeat, found);
        }
        return proof with { Findings = Finding.WorstFirst(found) };
    }

    /// <summary>Findings about sets of readings.</summary>
    public IEnumerable<Finding> General()
    {
        foreach (CommonShift shift in shifts.Values)
        {
            yield return Told(shift);
        }
        if (compared > 0 && pairs.Values.All(pair => pair.Now.Meter is null))
        {
            yield return new Finding(
                Verdict.Warning,
                "proof.meter-not-noted",
                "diode-mode",
                "Which meter was used is not noted: it is taken that it was one and the same.",
                "not noted",
                null,
                "meter-handbooks",
                "Note the meter: test currents of 0.5 and 1.5 mA alone are 28 mV apart."
            );
        }
        foreach (Repeatability repeat in repeats.Values.Where(_ => compared > 0))
        {
            RepeatPlan plan = PlanOf(repeat);
            double soughtV = limits["sought-shift"];
            int made = pairs
                .Values.Where(Comparable)
                .Select(pair => Math.Min(pair.Now.Count, pair.Before.Count))
                .DefaultIfEmpty(1)
                .Min();
            int needed = plan.Needed(soughtV);
            string rests = repeat.Measured
                ? Invariant($"{1000 * repeat.SpreadNumber:0.0} mV, measured on {repeat.Nets} nets")
                : Invariant($"{1000 * repeat.SpreadNumber:0.0} mV, an estimate");
            yield return new Finding(
                needed > made ? Verdict.Warning : Verdict.Ok,
                "proof.repeats",
                repeat.Meter is null ? "diode-mode" : $"diode-mode, {repeat.Meter}",
                needed > made
                    ? Invariant(
                        $"A shift of {1000 * soughtV:0.#} mV cannot be seen with {made} {(made == 1 ? "repeat" : "repeats")}; {needed} needed in each state."
                    )
                    : Invariant($"{made} repeats show a shift of {1000 * soughtV:0.#} mV; {needed} needed."),
                Invariant($"seen from {1000 * plan.SeenShiftNumber(made, made):0.#} mV on; repeatability {rests}"),
                Invariant($"{1000 * soughtV:0.#} mV"),
                limits.Of("sought-shift").Source,
                needed > made
                    ? "Lift the leads, put them down anew and read again; measure the repeatability once on 10 nets, 5 times each."
                    : null
            );
        }
    }

    private NetProof Judge(
        NetProof proof,
        ReadingGroup read,
        ReadingPair? pair,
        Repeatability repeat,
        List<Finding> found
    )
    {
        string net = proof.Net;
        if (pair is null)
        {
            found.Add(Alone(net, read.Value!));
            return proof;
        }
        if (!Comparable(pair))
        {
            found.Add(
                Make(
                    net,
                    Verdict.Unknown,
                    pair.SamePolarity ? "proof.other-meter" : "proof.other-polarity",
                    pair.SamePolarity
                        ? "It was read with another meter than before, and no reference diode was read with both: they are not compared."
                        : "It was read with the leads the other way round, or the polarity was not noted: they are not compared.",
                    pair.SamePolarity
                        ? $"{read.Meter ?? "not noted"}, before: {pair.Before.Meter ?? "not noted"}"
                        : $"{Words(read.Polarity)}, before: {Words(pair.Before.Polarity)}",
                    source: "meter-handbooks",
                    todo: pair.SamePolarity
                        ? $"Read it with the same meter, or read one and the same diode with both and enter it as {ReferenceNet.ToLowerInvariant()}."
                        : "Read it as it was read before."
                )
            );
            Short(net, read.Value!, null, found);
            return proof;
        }
        MeterValue value = read.Value!;
        MeterValue before = pair.Before.Value!;
        if (Extreme(proof, value, before, found) || Change(pair) is not { } changeV)
        {
            return proof;
        }
        CommonShift shift = shifts[KeyOf(pair)];
        double shiftV = changeV - (shift.Removed ? shift.MedianV : 0);
        RepeatPlan plan = PlanOf(repeat);
        double alarmV = plan.AlarmShiftNumber(pair.Before.Count, read.Count);
        double seenV = plan.SeenShiftNumber(pair.Before.Count, read.Count);
        bool moved = Math.Abs(shiftV) > alarmV;
        string measure = Invariant(
            $"{1000 * shiftV:+0.0;-0.0;0.0} mV ({ReadingText.Of(ReadingKind.Diode, value)}, before {ReadingText.Of(ReadingKind.Diode, before)}{(shift.Removed ? Invariant($", common shift {1000 * shift.MedianV:+0.0;-0.0;0.0} mV taken off") : "")})"
        );
        found.Add(
            Make(
                net,
                moved ? Verdict.Warning : Verdict.Ok,
                moved ? "proof.signal-moved" : "proof.signal-as-before",
                moved
                    ? shiftV > 0
                        ? "It reads more than before: a junction on it may be lost."
                        : "It reads less than before: something leaks, or is tied to it."
                    : $"It reads as its {ProofWords.Of(pair.Before.State)}.",
                measure,
                Invariant($"{1000 * alarmV:0.0} mV"),
                repeat.Source,
                moved ? "Read it again; if it stays, look at its ball from the side or by X-ray." : null
            )
        );
        int? needed = null;
        if (proof.Junctions is >= 2 and int junctions)
        {
            double riseV = Junctions.LostRiseV(junctions, read.BoardC ?? Junctions.RoomC);
            needed = plan.Needed(riseV);
            int made = Math.Min(pair.Before.Count, read.Count);
            if (!moved && riseV < seenV)
            {
                found.Add(
                    Make(
                        net,
                        Verdict.Warning,
                        "proof.cannot-be-seen",
                        Invariant(
                            $"An open ball would raise it by {1000 * riseV:0.0} mV ({junctions} like junctions): it cannot be seen with {made} {(made == 1 ? "repeat" : "repeats")}; {needed} needed."
                        ),
                        Invariant($"seen from {1000 * seenV:0.0} mV on"),
                        Invariant($"{1000 * riseV:0.0} mV"),
                        "junction-law",
                        "Make the repeats in both states where the board before can still be read; else look at the ball."
                    )
                );
            }
        }
        return proof with { ShiftV = shiftV, SeenFromV = seenV, NeededRepeats = needed };
    }

    // Open and short: true where nothing more is to be told.
    private bool Extreme(NetProof proof, MeterValue value, MeterValue before, List<Finding> found)
    {
        string net = proof.Net;
        if (before.IsOverload)
        {
            found.Add(
                value.IsOverload
                    ? Make(
                        net,
                        Verdict.Unknown,
                        "proof.signal-no-junction",
                        "It reads OL before and after: this polarity sees no junction, so it tells nothing of the joint.",
                        "OL",
                        todo: "Read it with the leads the other way round."
                    )
                    : Make(
                        net,
                        value.Number < limits["short"] ? Verdict.Blocker : Verdict.Warning,
                        "proof.signal-tied",
                        "It read OL before and is a number now: tied to something, or more junctions than before.",
                        ReadingText.Of(ReadingKind.Diode, value),
                        "OL",
                        todo: "Look for a bridge at its ball."
                    )
            );
            return true;
        }
        if (value.IsOverload || (value.Number > limits["open"] && before.Number <= limits["open"]))
        {
            Threshold limit = limits.Of("open");
            found.Add(
                Make(
                    net,
                    Verdict.FixFirst,
                    "proof.signal-open",
                    proof.Junctions is null or 1
                        ? "The signal is open: its ball, land or trace does not connect."
                        : "The signal is open although other junctions hang on it: the net is broken, or the probe did not touch.",
                    $"{ReadingText.Of(ReadingKind.Diode, value)}, before {ReadingText.Of(ReadingKind.Diode, before)}",
                    ReadingText.Of(ReadingKind.Diode, limit.Value),
                    limit.Source,
                    "Read it again at another place of the net. If it stays: the joint is open, look at this ball."
                )
            );
            return true;
        }
        return Short(net, value, before, found);
    }

    private bool Short(string net, MeterValue value, MeterValue? before, List<Finding> found)
    {
        Threshold limit = limits.Of("short");
        if (value.Number is not { } volts || volts >= limit.Value)
        {
            return false;
        }
        bool asBefore = before?.Number < limit.Value;
        found.Add(
            Make(
                net,
                asBefore ? Verdict.Warning : Verdict.Blocker,
                asBefore ? "proof.signal-low-before" : "proof.signal-short",
                asBefore
                    ? "It reads below a junction, and did so before: a small resistance hangs on it, which hides its joint."
                    : "The signal is shorted to ground or to a rail.",
                before is null
                    ? ReadingText.Of(ReadingKind.Diode, volts)
                    : $"{ReadingText.Of(ReadingKind.Diode, volts)}, before {ReadingText.Of(ReadingKind.Diode, before)}",
                ReadingText.Of(ReadingKind.Diode, limit.Value),
                limit.Source,
                asBefore
                    ? "Compare its resistance instead."
                    : "No power. Look for a bridge at its ball and its neighbours."
            )
        );
        return true;
    }

    private Finding Alone(string net, MeterValue value)
    {
        bool open = value.IsOverload || value.Number > limits["open"];
        bool isShort = value.Number < limits["short"];
        Threshold limit = limits.Of(isShort ? "short" : "open");
        return Make(
            net,
            Verdict.Unknown,
            open || isShort ? "proof.signal-suspect" : "proof.signal-no-baseline",
            open ? "It reads as an open signal would, but nothing is there to hold it against."
                : isShort ? "It reads as a shorted signal would, but nothing is there to hold it against."
                : "There is no reading before to hold it against: that it reads like a junction proves little.",
            ReadingText.Of(ReadingKind.Diode, value),
            open || isShort ? ReadingText.Of(ReadingKind.Diode, limit.Value) : null,
            limit.Source,
            "Take the donor's reading from the record, or read a healthy board with this meter."
        );
    }

    // What the person says; else the chip is alone where the net read OL with the chip lifted.
    private int? JunctionsOf(string net)
    {
        int? told = set.Groups.Where(group => NetNames.Same(group.Net, net)).Min(group => group.Junctions);
        ReadingGroup[] lifted = [.. Diode(net, ReadingState.AfterLift)];
        ProbePolarity?[] now = [.. Diode(net, request.Now).Select(group => group.Polarity)];
        bool alone = lifted.Any(group => group.Value is { IsOverload: true } && now.Contains(group.Polarity));
        return told ?? (alone ? 1 : null);
    }

    private bool Contradicts(string net, ReadingGroup[] groups, Repeatability repeat, List<Finding> found)
    {
        bool any = false;
        foreach (ReadingGroup group in groups)
        {
            if (Contradiction.In(group, repeat, limits) is { } told)
            {
                any = true;
                found.Add(
                    Make(
                        net,
                        Verdict.Unknown,
                        "proof.contradiction",
                        $"Repeats of its {ProofWords.Of(group.State)} contradict each other.",
                        told,
                        Contradiction.Limit(limits),
                        limits.Of("contradiction").Source,
                        "Wait until it has settled, clean the place, and read it again."
                    )
                );
            }
        }
        return any;
    }

    private CommonShift Shift(SetKey key, ReadingPair[] group, double[] changes)
    {
        double medianV =
            changes.Length % 2 == 1
                ? changes[changes.Length / 2]
                : (changes[(changes.Length / 2) - 1] + changes[changes.Length / 2]) / 2;
        double?[] warmer = [.. group.Select(pair => pair.Now.BoardC - pair.Before.BoardC)];
        double? deltaK = warmer.Any(one => one is null) ? null : warmer.Average();
        return new CommonShift(
            key.From,
            group[0].Now.Meter,
            key.Polarity,
            changes.Length,
            medianV,
            changes.Length >= limits["shift-nets"],
            deltaK,
            deltaK * limits["drift"] / 1000
        );
    }

    private Finding Told(CommonShift shift)
    {
        string where =
            $"diode-mode{(shift.Polarity is { } polarity ? $", {ProofWords.Of(polarity)}" : "")}{(shift.Meter is null ? "" : $", {shift.Meter}")}";
        string value = Invariant(
            $"{1000 * shift.MedianV:+0.0;-0.0;0.0} mV over {shift.Nets} nets{(shift.ExpectedV is { } told ? Invariant($", {1000 * told:+0.0;-0.0;0.0} mV expected of {shift.TemperatureDeltaK:+0.0;-0.0;0.0} K") : "")}"
        );
        if (!shift.Removed)
        {
            return new Finding(
                Verdict.Warning,
                "proof.shift-not-removed",
                where,
                "There are too few nets to tell what all of them moved by together, so nothing was taken off.",
                value,
                Invariant($"{limits["shift-nets"]:0} nets"),
                limits.Of("shift-nets").Source,
                "Read more nets of the chip, and hold the board at one temperature."
            );
        }
        double unexplainedV = Math.Abs(shift.MedianV - (shift.ExpectedV ?? 0));
        Threshold limit = limits.Of("shift-unexplained");
        if (unexplainedV > limit.Value)
        {
            return new Finding(
                Verdict.Warning,
                "proof.shift-unexplained",
                where,
                shift.ExpectedV is null
                    ? "All nets moved together, and no temperature was noted that could explain it; it was taken off."
                    : "All nets moved together by more than temperature explains; it was taken off.",
                value,
                Invariant($"{1000 * limit.Value:0.#} mV beyond {limits["drift"]:0.#} mV/K"),
                limit.Source,
                "Check the meter's battery, its range and the ground place; read a diode of your own with it."
            );
        }
        return new Finding(
            Verdict.Ok,
            "proof.shift-removed",
            where,
            "What all nets moved by together was taken off.",
            value,
            Invariant($"{1000 * limit.Value:0.#} mV beyond {limits["drift"]:0.#} mV/K"),
            limit.Source
        );
    }

    private bool Comparable(ReadingPair pair) =>
        pair.SamePolarity && (pair.SameMeter || ReferenceChangeV(pair) is not null);

    // Change of a pair [V], what two meters differ by taken off; null where one of them is no number.
    private double? Change(ReadingPair pair) =>
        pair.Now is { Mixed: false, MeanNumber: { } now } && pair.Before is { Mixed: false, MeanNumber: { } before }
            ? now - before - (pair.SameMeter ? 0 : ReferenceChangeV(pair) ?? 0)
            : null;

    private double? ReferenceChangeV(ReadingPair pair)
    {
        double? Reference(ReadingGroup of) =>
            set
                .Groups.FirstOrDefault(group =>
                    group.Kind == ReadingKind.Diode
                    && NetNames.Key(group.Net) == ReferenceNet
                    && group.Meter is not null
                    && NetNames.Same(group.Meter, of.Meter)
                )
                ?.MeanNumber;
        return Reference(pair.Now) - Reference(pair.Before);
    }

    private SetKey KeyOf(ReadingPair pair) =>
        new(
            pair.Before.State,
            NetNames.Key(pair.Now.Meter ?? ""),
            NetNames.Key(pair.Before.Meter ?? ""),
            pair.Now.Polarity
        );

    private IEnumerable<ReadingGroup> Diode(string net, ReadingState state) =>
        set.Groups.Where(group =>
            group is { Kind: ReadingKind.Diode, To: null } && group.State == state && NetNames.Same(group.Net, net)
        );

    private Repeatability RepeatOf(string? meter)
    {
        string key = NetNames.Key(meter ?? "");
        if (!repeats.TryGetValue(key, out Repeatability? repeat))
        {
            repeats[key] = repeat = Repeatability.For(set, ReadingKind.Diode, meter, limits);
        }
        return repeat;
    }

    private RepeatPlan PlanOf(Repeatability repeat) =>
        new(repeat.SpreadNumber, Math.Max(compared, 1), limits.Fraction("false-alarm"), limits.Fraction("power"));

    private static string Words(ProbePolarity? polarity) => polarity is { } told ? ProofWords.Of(told) : "not noted";

    private static Finding Make(
        string net,
        Verdict verdict,
        string code,
        string what,
        string? value = null,
        string? limit = null,
        string? source = "graftbench-estimate",
        string? todo = null
    ) => new(verdict, code, net, what, value, limit, source, todo);
}
