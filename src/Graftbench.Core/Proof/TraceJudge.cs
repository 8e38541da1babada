using Graftbench.Core.Findings;
using static System.FormattableString;

namespace Graftbench.Core.Proof;

/// <summary>Says what a trace of the first power looks like, and what that usually stands for.</summary>
/// <remarks>Common practice without a published source; the limits are estimates in <c>data/proof-thresholds.csv</c>.</remarks>
public static class TraceJudge
{
    private const string Source = "first-power-order";

    // A supply lets a little more through than it says.
    private const double PastLimit = 1.1;

    private static readonly Dictionary<
        TraceSignature,
        (string Words, string Reads, string Todo, string? Outcome, Verdict Verdict)
    > Table = new()
    {
        [TraceSignature.Zero] = (
            "Nothing flows",
            "Fuse, input switch or connector.",
            "Look at fuse, input switch and connector.",
            "other",
            Verdict.FixFirst
        ),
        [TraceSignature.AtLimit] = (
            "At the limit at once",
            "A short on the input or an always-on rail.",
            "Off. Measure the input and the always-on rails to ground; chase the heat with less voltage, never with more limit.",
            "other",
            Verdict.Blocker
        ),
        [TraceSignature.Standby] = (
            "Standby, and it stays there",
            "Control logic, a missing always-on rail, or a fault nearby.",
            "Measure the always-on rails and the button's line.",
            "standby",
            Verdict.FixFirst
        ),
        [TraceSignature.KickAndBack] = (
            "A short kick and back to standby",
            "A rail fails its power-good: a short, a missing rail, or the core regulator refuses the chip's code.",
            "Find the rail that drops first; measure all rails to ground again.",
            "standby",
            Verdict.FixFirst
        ),
        [TraceSignature.MidPlateau] = (
            "It steps to a plateau and stays there, flat",
            "The core is powered, no code runs: open signal, no clock or reset, boot memory not read, or a dead chip.",
            "Look for clock, reset and reads of the boot memory.",
            "other",
            Verdict.FixFirst
        ),
        [TraceSignature.Restarts] = (
            "It rises, works and starts anew every few seconds",
            "Code runs and then stops: the firmware lacks the chip, memory training, or a damaged image.",
            "Read the boot memory again and compare; try other memory.",
            "restarts",
            Verdict.FixFirst
        ),
        [TraceSignature.Busy] = (
            "It varies as a busy board does",
            "It starts.",
            "Go on to the soak.",
            "other",
            Verdict.Ok
        ),
        [TraceSignature.SlowClimb] = (
            "It climbs slowly and does not settle",
            "Cooling or leakage.",
            "Off. Look at the cooler's seat, and at the heat question of the fit sheet.",
            "other",
            Verdict.Blocker
        ),
        [TraceSignature.Unknown] = (
            "Nothing known",
            "It fits none of the usual pictures.",
            "Record the start from before the button, ten samples a second or more, with limit and standby current told; compare with a healthy trace by eye.",
            null,
            Verdict.Unknown
        ),
    };

    /// <summary>What the trace says.</summary>
    public static TraceAnswer Answer(TraceRequest request)
    {
        ArgumentNullException.ThrowIfNull(request);
        ProofThresholds limits = request.Thresholds;
        CutTrace cut = TracePlateaus.Cut(request.Trace, limits["trace-penalty"]);
        TraceFeatures features = new(cut, request);
        (TraceSignature signature, List<TraceFigure> figures) = TraceRules.Judge(features);
        (string words, string reads, string todo, string? outcome, Verdict verdict) = Table[signature];
        List<Finding> findings =
        [
            new Finding(
                verdict,
                $"trace.{Facts.FactNames<TraceSignature>.NameOf(signature)}",
                "supply current",
                $"{words}. {reads}",
                string.Join("; ", figures.Select(figure => $"{figure.What}: {figure.Value}")),
                null,
                Source,
                todo
            ),
        ];
        findings.AddRange(Missing(request, features));
        findings.AddRange(Compared(request, cut, limits));
        return new TraceAnswer(
            signature,
            words,
            reads,
            todo,
            figures,
            cut.Plateaus,
            cut.NoiseA,
            outcome,
            Finding.WorstFirst(findings)
        );
    }

    private static IEnumerable<Finding> Missing(TraceRequest request, TraceFeatures features)
    {
        if (request.LimitCurrentA is { } limitA && features.PeakA > PastLimit * limitA)
        {
            yield return new Finding(
                Verdict.Warning,
                "trace.past-limit",
                "supply current",
                "The trace shows more current than the limit that was told lets through: one of them is wrong.",
                Invariant($"{features.PeakA:0.000} A"),
                Invariant($"{limitA:0.000} A"),
                Source,
                "Check the limit on the supply, and the unit of the trace (A or mA)."
            );
        }
        if (request.LimitCurrentA is null)
        {
            yield return new Finding(
                Verdict.Warning,
                "trace.no-limit",
                "supply current",
                "The supply's limit was not told, so it is not known whether it was reached.",
                Source: Source,
                Todo: "Enter the limit that was set."
            );
        }
        if (request.StandbyCurrentA is null)
        {
            yield return new Finding(
                Verdict.Warning,
                "trace.no-standby",
                "supply current",
                "The expected standby current was not told: the first plateau was taken for it.",
                Source: Source,
                Todo: "Take it from the host's own healthy trace."
            );
        }
    }

    // Plateau by plateau, in order of time; each of ours against the healthy one of the same number.
    private static IEnumerable<Finding> Compared(TraceRequest request, CutTrace cut, ProofThresholds limits)
    {
        double share = limits.Fraction("trace-healthy");
        foreach ((CurrentTrace healthy, int at) in request.Healthy.Select((one, i) => (one, i)))
        {
            TracePlateau[] theirs = Long(TracePlateaus.Cut(healthy, limits["trace-penalty"]).Plateaus);
            TracePlateau[] ours = Long(cut.Plateaus);
            string where = Invariant($"healthy trace {at + 1}");
            for (int i = 0; i < Math.Min(theirs.Length, ours.Length); i++)
            {
                double offA = Math.Abs(ours[i].MeanCurrentA - theirs[i].MeanCurrentA);
                double allowedA = Math.Max(share * theirs[i].MeanCurrentA, limits["trace-standby-least"]);
                if (offA > allowedA)
                {
                    yield return new Finding(
                        Verdict.Warning,
                        "trace.unlike-healthy",
                        where,
                        Invariant($"Plateau {i + 1} is unlike the healthy one: here they part."),
                        Invariant($"{ours[i].MeanCurrentA:0.000} A at {ours[i].FromS:0.0} s"),
                        Invariant($"{theirs[i].MeanCurrentA:0.000} A ± {allowedA:0.000} A"),
                        limits.Of("trace-healthy").Source,
                        "Look at what comes up at this moment."
                    );
                    yield break;
                }
            }
            yield return ours.Length < theirs.Length
                ? new Finding(
                    Verdict.Warning,
                    "trace.shorter-than-healthy",
                    where,
                    "It has fewer plateaus than the healthy trace: it does not get as far.",
                    Invariant($"{ours.Length}"),
                    Invariant($"{theirs.Length}"),
                    limits.Of("trace-healthy").Source,
                    "Look at what comes up after the last plateau."
                )
                : new Finding(
                    Verdict.Ok,
                    "trace.as-healthy",
                    where,
                    "Each plateau is as in the healthy trace.",
                    Invariant($"{Math.Min(ours.Length, theirs.Length)} plateaus"),
                    Invariant($"± {100 * share:0} %"),
                    limits.Of("trace-healthy").Source
                );
        }
    }

    // Short stretches on a ramp between two levels are no plateaus to be compared.
    private static TracePlateau[] Long(IReadOnlyList<TracePlateau> plateaus) =>
        [.. plateaus.Where(one => one.LengthS >= 0.5)];
}
