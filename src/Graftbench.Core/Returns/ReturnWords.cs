using Graftbench.Core.Findings;
using Graftbench.Core.Proof;
using static System.FormattableString;

namespace Graftbench.Core.Returns;

/// <summary>Words of the comparison of hand-over and return.</summary>
internal static class ReturnWords
{
    // Meter, ground place, or every junction of the chip at once: until that is known, "nothing has moved" is not.
    private const string TellApart =
        "Read a diode of your own with the meter of the hand-over, and another ground place. If both read as ever, the chip itself has changed: its ground, or what is inside.";

    public static (string Answer, string? Next) Line(
        IReadOnlyList<NetReturn> nets,
        ReturnPattern pattern,
        IEnumerable<Finding> findings
    )
    {
        int compared = nets.Count(net => net.Why is null);
        int moved = nets.Count(net => net.StandsOut);
        if (compared == 0)
        {
            return (
                "Not known: no net can be compared with its hand-over.",
                "Read the nets of the hand-over again, with the same meter."
            );
        }
        string count = Invariant($"{moved} of {compared} nets {(moved == 1 ? "has" : "have")} moved since hand-over");
        if (moved == 0 && findings.FirstOrDefault(one => one.Code == "return.shift-unexplained") is { } together)
        {
            return (
                Invariant(
                    $"Not known: no net of {compared} has moved against the others, but all of them together ({together.Value})."
                ),
                TellApart
            );
        }
        return moved == 0
            ? (
                Invariant($"No net of {compared} has moved since hand-over."),
                nets.Any(net => net.Why is not null)
                    ? "Read the nets that could not be compared."
                    : "Look for the fault elsewhere: firmware, assembly, load."
            )
            : ($"{count}: {Of(pattern)}", Todo(pattern) ?? "Read them again, then look at their balls.");
    }

    public static string Of(ReturnPattern pattern) =>
        pattern switch
        {
            ReturnPattern.Corner => "they lie together at a corner, which speaks for joints.",
            ReturnPattern.Corners => "they lie near several corners, which speaks for joints.",
            ReturnPattern.Block => "they lie together away from the corners, which speaks for package or board.",
            ReturnPattern.Scattered => "they lie scattered, which speaks for package or board.",
            _ => "how they lie cannot be told.",
        };

    public static string? Todo(ReturnPattern pattern) =>
        pattern switch
        {
            ReturnPattern.Corner =>
                "Look at that corner from the side or by X-ray; press its rim and see whether the readings change.",
            ReturnPattern.Corners =>
                "Look at all corners from the side or by X-ray; a chip or board that bows lifts several at once.",
            ReturnPattern.Block or ReturnPattern.Scattered =>
                "Another heat on the balls may not help: compare hot and cold, and press the die before the chip is lifted.",
            _ => null,
        };

    public static string Of(ClusterChance chance)
    {
        string how = chance.Exact
            ? Invariant($"all {chance.Choices} choices")
            : Invariant($"{chance.Choices} draws of a fixed sequence");
        string together = chance.TogetherFraction is { } fraction
            ? Invariant(
                $"{chance.MeanPitchNumber:0.0} pitches apart on average, as close by chance in {100 * fraction:0.##} %; "
            )
            : "";
        return together
            + Invariant(
                $"{chance.OneCornerPitchNumber:0.0} pitches from one corner, as close to corners by chance in {100 * chance.CornerFraction:0.##} % ({how})"
            );
    }

    public static Finding Of(ReturnShift shift, bool removed, ProofThresholds limits)
    {
        bool diode = shift.Kind == ReadingKind.Diode;
        Threshold limit = limits.Of(removed ? "shift-unexplained" : "shift-nets");
        string value =
            Invariant($"{Signed(shift.Kind, shift.MedianNumber)} over {shift.Nets} nets")
            + (
                shift.ExpectedV is { } told
                    ? Invariant(
                        $", {1000 * told:+0.0;-0.0;0.0} mV expected of {shift.TemperatureDeltaK:+0.0;-0.0;0.0} K"
                    )
                    : ""
            );
        bool unexplained = diode && removed && Math.Abs(shift.MedianNumber - (shift.ExpectedV ?? 0)) > limit.Value;
        return new Finding(
            removed && !unexplained ? Verdict.Ok : Verdict.Warning,
            !removed ? "return.shift-not-removed"
                : unexplained ? "return.shift-unexplained"
                : "return.shift-removed",
            ProofWords.Of(shift.Kind),
            !removed
                    ? $"There are too few nets to tell what all of them moved by together, so {(shift.ExpectedV is null ? "nothing" : "only what temperature explains")} was taken off."
                : !unexplained ? "What all nets moved by together was taken off."
                : shift.ExpectedV is null
                    ? "All nets moved together, and no temperature was noted that could explain it; it was taken off."
                : "All nets moved together by more than temperature explains; it was taken off.",
            value,
            removed
                ? diode
                    ? Invariant($"{1000 * limit.Value:0.#} mV beyond {limits["drift"]:0.#} mV/K")
                    : null
                : Invariant($"{limit.Value:0} nets"),
            limit.Source,
            unexplained ? TellApart
                : !removed ? "Read more nets."
                : null
        );
    }

    public static string Measure(NetReturn net) =>
        (net.ShiftNumber is { } shift ? Signed(net.Kind, shift) + ", " : "")
        + $"{ReadingText.Of(net.Kind, net.Now!)}, at hand-over {ReadingText.Of(net.Kind, net.Before!)}";

    public static string Amount(ReadingKind kind, double number) =>
        kind == ReadingKind.Resistance ? Invariant($"{100 * (Math.Exp(number) - 1):0.0} %")
        : kind == ReadingKind.Diode ? Invariant($"{1000 * number:0.0} mV")
        : ReadingText.Of(kind, number);

    private static string Signed(ReadingKind kind, double number) =>
        kind == ReadingKind.Resistance ? Invariant($"{100 * (Math.Exp(number) - 1):+0.0;-0.0;0.0} %")
        : kind == ReadingKind.Diode ? Invariant($"{1000 * number:+0.0;-0.0;0.0} mV")
        : (number > 0 ? "+" : "") + ReadingText.Of(kind, number);
}
