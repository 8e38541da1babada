using Graftbench.Core.Findings;
using static System.FormattableString;

namespace Graftbench.Core.Proof;

/// <summary>Rails: resistance to ground against baseline, healthy board and hints.</summary>
internal sealed class RailProof(ProofRequest request, ReadingSet set)
{
    private readonly ProofThresholds limits = request.Thresholds;

    /// <summary>Repeatability of resistances.</summary>
    public Repeatability Repeat { get; } = Repeatability.For(set, ReadingKind.Resistance, null, request.Thresholds);

    /// <summary>The proof of a rail.</summary>
    public NetProof Of(ProofRail rail, ProofNames names)
    {
        string key = NetNames.Key(rail.Name);
        ReadingGroup[] all =
        [
            .. set.Groups.Where(group =>
                group is { Kind: ReadingKind.Resistance, To: null } && names.RailKey(group.Net) == key
            ),
        ];
        ReadingGroup[] now = [.. all.Where(group => group.State == request.Now)];
        ReadingGroup[] before = [.. all.Where(group => group.State == rail.Baseline)];
        List<Finding> found = [];
        if (now.Length == 0)
        {
            found.Add(
                Make(
                    rail,
                    Verdict.Unknown,
                    "proof.rail-not-measured",
                    "The rail was not measured.",
                    todo: "Measure its resistance to ground: board unpowered, cells out, capacitors discharged."
                )
            );
            return new NetProof(rail.Name, rail, found);
        }
        ReadingState from = rail.Baseline;
        if (before.Length == 0 && HealthyLike(request, all) is { Length: > 0 } healthy)
        {
            (before, from) = (healthy, ReadingState.Healthy);
        }
        // Read in several ways, the lowest counts of those that may be compared: a short hides in none of them.
        ReadingPair? pair = now.Select(group => ReadingPairs.Best([group], before))
            .OfType<ReadingPair>()
            .OrderByDescending(one => one.SamePolarity && one.SameMeter)
            .ThenBy(one => one.Now.MeanNumber / one.Before.MeanNumber ?? double.MaxValue)
            .FirstOrDefault();
        ReadingGroup read = pair?.Now ?? now[0];
        Contradictions(rail, pair is null ? [read] : [read, pair.Before], found);
        ReadingState other =
            rail.Baseline == ReadingState.Baseline ? ReadingState.DonorBaseline : ReadingState.Baseline;
        double? ratio = Ratio(rail, from, read, pair, Array.Exists(all, group => group.State == other), found);
        if (from == ReadingState.Healthy)
        {
            found.Add(
                Make(
                    rail,
                    Verdict.Warning,
                    "proof.rail-by-healthy",
                    $"There is no {ProofWords.Of(rail.Baseline)} of this rail: a healthy board of the same revision stands in for it.",
                    source: "graftbench-estimate"
                )
            );
        }
        Absolute(rail, read, found);
        Twin(rail, read, all, found);
        Leads(rail, read, found);
        return new NetProof(rail.Name, rail, Finding.WorstFirst(found))
        {
            Kind = ReadingKind.Resistance,
            Now = read.Value,
            Baseline = pair?.Before.Value,
            BaselineState = pair is null ? null : from,
            ChangeRatio = ratio,
            Repeats = read.Count,
        };
    }

    /// <summary>Readings of a healthy board that is known to be of the host's revision.</summary>
    public static ReadingGroup[] HealthyLike(ProofRequest request, IEnumerable<ReadingGroup> groups) =>
        [
            .. groups.Where(group =>
                group.State == ReadingState.Healthy
                && group.Readings.All(one => NetNames.Same(one.Revision, request.HostRevision))
            ),
        ];

    private double? Ratio(
        ProofRail rail,
        ReadingState from,
        ReadingGroup read,
        ReadingPair? pair,
        bool otherTaken,
        List<Finding> found
    )
    {
        string than = ProofWords.Of(from);
        if (pair is null)
        {
            found.Add(
                Make(
                    rail,
                    Verdict.Unknown,
                    "proof.rail-no-baseline",
                    $"There is no {than} of this rail to hold it against.",
                    Say(read),
                    todo: rail.Baseline == ReadingState.DonorBaseline && request.FromDonor == false
                            ? "The chip came without a board: measure a healthy board of the same revision. The host's own baseline was of the old chip: if the rail feeds more than the chip, name its class (main or input), and it counts; else set it aside and say why."
                        : otherTaken
                            ? rail.Baseline == ReadingState.DonorBaseline
                                    ? "The host's own baseline of it was taken: if the rail feeds more than this chip, name its class (main or input), and it counts."
                                : "The donor's baseline of it was taken: it counts for the rails of the chip, which its ball list names: give that list."
                        : rail.Baseline == ReadingState.DonorBaseline
                            ? "Take the donor's reading from the record, or measure a healthy board; else set it aside and say why."
                        : "Measure a healthy board of the same revision, or set it aside and say why."
                )
            );
            return null;
        }
        if (read.Value is not { } value || pair.Before.Value is not { } before)
        {
            return null;
        }
        if (!pair.SameMeter || !pair.SamePolarity)
        {
            found.Add(
                Make(
                    rail,
                    Verdict.Warning,
                    "proof.rail-other-meter",
                    $"It was read with {(pair.SameMeter ? "the leads the other way round" : "another meter")} than the {than}: through junctions that reads differently.",
                    pair.SameMeter
                        ? null
                        : $"{read.Meter ?? "meter not noted"}, before: {pair.Before.Meter ?? "meter not noted"}",
                    todo: "Read it again as it was read before."
                )
            );
        }
        if (value.IsOverload || before.IsOverload)
        {
            Overload(rail, value, before, than, found);
            return null;
        }
        (double ohm, double beforeOhm) = (value.Number!.Value, before.Number!.Value);
        if (beforeOhm == 0)
        {
            found.Add(
                Make(
                    rail,
                    Verdict.Unknown,
                    "proof.rail-baseline-zero",
                    $"The {than} is 0 Ω, so it says nothing: the rail was shorted already, or the leads were subtracted wrongly.",
                    Say(read),
                    todo: "Measure with four wires, and look at a healthy board."
                )
            );
            return null;
        }
        double ratio = ohm / beforeOhm;
        string measure = Invariant(
            $"{ratio:0.00} of its {than} ({ReadingText.Of(ReadingKind.Resistance, ohm)}, before {ReadingText.Of(ReadingKind.Resistance, beforeOhm)})"
        );
        (Verdict verdict, string code, string what, string limit, string? todo) =
            ratio < limits["ratio-stop"]
                ? (
                    Verdict.Blocker,
                    "proof.rail-low",
                    $"The rail is far below its {than}: a short or a bridge.",
                    "ratio-stop",
                    "No power. Find the short: inject current with the voltage held to the rail's, 1 V at most, and look for heat."
                )
            : ratio < limits["ratio-look-low"]
                ? (
                    Verdict.Warning,
                    "proof.rail-lower",
                    $"The rail is below its {than}.",
                    "ratio-look-low",
                    "Read it again when it has settled, and look for residue and bridges on this rail."
                )
            : ratio > limits["ratio-look-high"]
                ? (
                    Verdict.Warning,
                    "proof.rail-higher",
                    $"The rail is above its {than}: something that hung on it may be off.",
                    "ratio-look-high",
                    "Read it again, and look for parts that were moved or lost."
                )
            : ((Verdict, string, string, string, string?))
                (Verdict.Ok, "proof.rail-as-before", $"The rail is as its {than}.", "ratio-look-low", null);
        found.Add(
            Make(
                rail,
                verdict,
                code,
                what,
                measure,
                verdict == Verdict.Ok
                    ? Invariant($"{limits["ratio-look-low"]:0.##} to {limits["ratio-look-high"]:0.##}")
                    : Invariant($"{limits[limit]:0.##}"),
                limits.Of(limit).Source,
                todo
            )
        );
        return ratio;
    }

    private static void Overload(ProofRail rail, MeterValue value, MeterValue before, string than, List<Finding> found)
    {
        bool both = value.IsOverload && before.IsOverload;
        found.Add(
            both
                ? Make(
                    rail,
                    Verdict.Ok,
                    "proof.rail-as-before",
                    $"The meter shows OL, as in its {than}: no short.",
                    "OL"
                )
                : Make(
                    rail,
                    Verdict.Warning,
                    value.IsOverload ? "proof.rail-higher" : "proof.rail-lower",
                    value.IsOverload
                        ? $"The meter shows OL where its {than} was a number: no short, but something may be off."
                        : $"The meter shows a number where its {than} was OL.",
                    $"{ReadingText.Of(ReadingKind.Resistance, value)}, before {ReadingText.Of(ReadingKind.Resistance, before)}",
                    todo: "Read it again with the same meter and range."
                )
        );
    }

    // Pages about boards of one kind: hints, and never for a core rail.
    private void Absolute(ProofRail rail, ReadingGroup read, List<Finding> found)
    {
        if (read.MeanNumber is not { } ohm)
        {
            return;
        }
        if (rail.Class == RailClass.Input && ohm < limits["input-short"])
        {
            Threshold limit = limits.Of("input-short");
            found.Add(
                Make(
                    rail,
                    Verdict.Blocker,
                    "proof.input-short",
                    "The main input is shorted.",
                    Say(read),
                    ReadingText.Of(ReadingKind.Resistance, limit.Value),
                    limit.Source,
                    "No power. Find the short before anything else."
                )
            );
            return;
        }
        string? hint = rail.Class switch
        {
            RailClass.Input => "hint-input",
            RailClass.Main => "hint-main",
            RailClass.Memory => "hint-memory",
            RailClass.LowIo => "hint-low-io",
            _ => null,
        };
        if (hint is not null && ohm < limits[hint])
        {
            Threshold limit = limits.Of(hint);
            found.Add(
                Make(
                    rail,
                    Verdict.Warning,
                    "proof.rail-hint",
                    "It is lower than on a board that a public page tells of; that is a hint, no limit.",
                    Say(read),
                    ReadingText.Of(ReadingKind.Resistance, limit.Value),
                    limit.Source,
                    "Go by the ratio to its baseline."
                )
            );
        }
    }

    private void Twin(ProofRail rail, ReadingGroup read, ReadingGroup[] all, List<Finding> found)
    {
        ReadingPair? twin = ReadingPairs.Best([read], [.. all.Where(group => group.State == ReadingState.Healthy)]);
        if (
            twin?.Before.MeanNumber is not { } healthyOhm
            || read.MeanNumber is not { } ohm
            || healthyOhm == 0
            || twin.Before.Mixed
        )
        {
            return;
        }
        double ratio = ohm / healthyOhm;
        if (ratio < limits["twin-low"] || ratio > limits["twin-high"])
        {
            string limit = ratio < limits["twin-low"] ? "twin-low" : "twin-high";
            found.Add(
                Make(
                    rail,
                    Verdict.Warning,
                    "proof.rail-unlike-healthy",
                    "It is unlike the healthy board's.",
                    Invariant($"{ratio:0.00} of {ReadingText.Of(ReadingKind.Resistance, healthyOhm)}"),
                    Invariant($"{limits["twin-low"]:0.##} to {limits["twin-high"]:0.##}"),
                    limits.Of(limit).Source,
                    "Check that both boards are of one revision and carry the same parts."
                )
            );
        }
    }

    private void Leads(ProofRail rail, ReadingGroup read, List<Finding> found)
    {
        if (
            read.MeanNumber is not { } ohm
            || ohm >= limits["leads-below"]
            || read.Readings.All(one => one.Leads is LeadState.FourWire)
        )
        {
            return;
        }
        bool subtracted = read.Readings.All(one => one.Leads == LeadState.Subtracted);
        if (ohm < limits["low-ohm"])
        {
            found.Add(
                Lead(
                    rail,
                    read,
                    "low-ohm",
                    "Two leads cannot tell so few ohms: their contact alone is as much.",
                    "Measure with four wires, or inject a known current and read the voltage across the rail."
                )
            );
        }
        else if (!subtracted)
        {
            found.Add(
                Lead(
                    rail,
                    read,
                    "leads-below",
                    "The resistance of the leads may still be in it.",
                    "Touch the leads together first and subtract what they show."
                )
            );
        }
    }

    private Finding Lead(ProofRail rail, ReadingGroup read, string limit, string what, string todo) =>
        Make(
            rail,
            Verdict.Warning,
            "proof.leads",
            what,
            Say(read),
            ReadingText.Of(ReadingKind.Resistance, limits[limit]),
            limits.Of(limit).Source,
            todo
        );

    private void Contradictions(ProofRail rail, ReadingGroup[] groups, List<Finding> found)
    {
        foreach (ReadingGroup group in groups)
        {
            if (Contradiction.In(group, Repeat, limits) is { } told)
            {
                found.Add(
                    Make(
                        rail,
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
    }

    private static string Say(ReadingGroup read) =>
        read.Value is { } value ? ReadingText.Of(ReadingKind.Resistance, value) : "some numbers, some OL";

    private static Finding Make(
        ProofRail rail,
        Verdict verdict,
        string code,
        string what,
        string? value = null,
        string? limit = null,
        string? source = "graftbench-estimate",
        string? todo = null
    ) => new(verdict, code, rail.Name, what, value, limit, source, todo);
}

/// <summary>Repeats that cannot be of one and the same thing.</summary>
internal static class Contradiction
{
    /// <summary>What the repeats show, in words; null where they agree.</summary>
    public static string? In(ReadingGroup group, Repeatability repeat, ProofThresholds limits)
    {
        string All() => string.Join(", ", group.Readings.Take(8).Select(one => ReadingText.Of(group.Kind, one.Value)));
        if (group.Mixed)
        {
            return All();
        }
        bool zeroAndMore =
            group.Kind == ReadingKind.Resistance && group.ScaledSpreadNumber is null && group.SpreadNumber > 0;
        return zeroAndMore || group.ScaledSpreadNumber > limits["contradiction"] * repeat.SpreadNumber ? All() : null;
    }

    /// <summary>The limit in words.</summary>
    public static string Limit(ProofThresholds limits) =>
        Invariant($"{limits["contradiction"]:0.#} times the repeatability");
}
