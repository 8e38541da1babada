using Graftbench.Core.Findings;
using static System.FormattableString;

namespace Graftbench.Core.Proof;

// Sets of readings as a whole: what they moved by together, and how many repeats they have.
internal sealed partial class SignalProof
{
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
                $"There are too few nets to tell what all of them moved by together, so {(shift.ExpectedV is null ? "nothing" : "only what temperature explains")} was taken off.",
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
                "Check the meter's battery, its range and the ground place; read a diode of your own with it. If that reads as ever, the chip differs: another type, or its ground does not connect."
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
}
