using Graftbench.Core.Findings;
using static System.FormattableString;

namespace Graftbench.Core.Proof;

/// <summary>Signals: diode-mode against baseline, without what all of them moved by together.</summary>
internal sealed partial class SignalProof
{
    /// <summary>Name of a net that stands for a diode kept for comparing meters.</summary>
    public const string ReferenceNet = "REFERENCE-DIODE";

    private readonly ProofRequest request;
    private readonly ReadingSet set;
    private readonly ProofThresholds limits;
    private readonly Dictionary<(string Net, ProbePolarity? Polarity), ReadingPair> pairs = [];
    private readonly Dictionary<string, Repeatability> repeats = new(StringComparer.Ordinal);
    private readonly Dictionary<SetKey, CommonShift> shifts = [];
    private readonly int compared;

    private readonly record struct SetKey(ReadingState From, string Meter, string Before, ProbePolarity? Polarity);

    public SignalProof(ProofRequest request, ReadingSet set, ProofNames names)
    {
        (this.request, this.set, limits) = (request, set, request.Thresholds);
        foreach (string net in names.Signals)
        {
            foreach (
                IGrouping<ProbePolarity?, ReadingGroup> now in Diode(net, request.Now).GroupBy(group => group.Polarity)
            )
            {
                ReadingPair? pair = new[]
                {
                    [.. Diode(net, ReadingState.DonorBaseline)],
                    [.. Diode(net, ReadingState.Baseline)],
                    RailProof.HealthyLike(request, Diode(net, ReadingState.Healthy)),
                }
                    .Select(before => ReadingPairs.Best(now, before))
                    .OfType<ReadingPair>()
                    .OrderByDescending(Comparable)
                    .FirstOrDefault();
                if (pair is not null)
                {
                    pairs[(NetNames.Key(net), now.Key)] = pair;
                }
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

    /// <summary>The proof of a signal, over both polarities where it was read both ways.</summary>
    public NetProof Of(string net)
    {
        List<NetProof> ways =
        [
            .. Diode(net, request.Now).GroupBy(group => group.Polarity).Select(way => Of(net, way.Key, [.. way])),
        ];
        if (ways.Count == 0)
        {
            Finding missing = Make(
                net,
                Verdict.Unknown,
                "proof.signal-not-measured",
                "The signal was not read in diode-mode in this state.",
                todo: "Read it as it was read before: same meter, same polarity."
            );
            return new NetProof(net, null, [missing])
            {
                Kind = ReadingKind.Diode,
                Junctions = set.Groups.Where(group => NetNames.Same(group.Net, net)).Min(group => group.Junctions),
            };
        }
        // One way that was held against something answers for the net; what the other way cannot tell is no matter then.
        bool told = ways.Exists(way => way.Verdict != Verdict.Unknown);
        List<NetProof> count =
        [
            .. ways.Where(way => !told || way.Verdict != Verdict.Unknown).OrderBy(way => way.Verdict),
        ];
        return count[0] with
        {
            Findings = Finding.WorstFirst(count.SelectMany(way => way.Findings)),
            Junctions = count.Min(way => way.Junctions),
        };
    }

    private NetProof Of(string net, ProbePolarity? polarity, ReadingGroup[] now)
    {
        List<Finding> found = [];
        pairs.TryGetValue((NetNames.Key(net), polarity), out ReadingPair? pair);
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
            Junctions = JunctionsOf(net, polarity),
        };
        if (!contradict)
        {
            proof = Judge(proof, read, pair, repeat, found);
        }
        return proof with { Findings = Finding.WorstFirst(found) };
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
        double shiftV = changeV - shift.TakenOffV;
        RepeatPlan plan = PlanOf(repeat);
        double alarmV = plan.AlarmShiftNumber(pair.Before.Count, read.Count);
        double seenV = plan.SeenShiftNumber(pair.Before.Count, read.Count);
        bool moved = Math.Abs(shiftV) > alarmV;
        string measure = Invariant(
            $"{1000 * shiftV:+0.0;-0.0;0.0} mV ({ReadingText.Of(ReadingKind.Diode, value)}, before {ReadingText.Of(ReadingKind.Diode, before)}{(shift.TakenOffV != 0 || shift.Removed ? Invariant($", common shift {1000 * shift.TakenOffV:+0.0;-0.0;0.0} mV taken off") : "")})"
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
    private int? JunctionsOf(string net, ProbePolarity? polarity)
    {
        int? told = set.Groups.Where(group => NetNames.Same(group.Net, net)).Min(group => group.Junctions);
        bool alone = Diode(net, ReadingState.AfterLift)
            .Any(group => group.Polarity == polarity && group.Value is { IsOverload: true });
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
