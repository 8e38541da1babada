using Graftbench.Core.Facts;
using Graftbench.Core.Findings;
using static System.FormattableString;

namespace Graftbench.Core.Mixing;

/// <summary>Findings and the answer sentence of a mixture.</summary>
internal static class MixFindings
{
    /// <summary>Lead up to which a solder counts as free of it [%]: the usual legal limit, RoHS Annex II (from memory).</summary>
    public const double LeadFreePercent = 0.1;

    /// <summary>Bismuth from which it counts as an ingredient [%]; below it is what any solder may hold as impurity (our own).</summary>
    public const double BismuthPercent = 0.1;

    private const double TracePercent = 0.005;
    private const double LateRangeDeltaK = 5;
    private const string Computed = "graftbench-computed";
    private const string Memory = "from-memory";

    /// <summary>The answer with its sentence and findings.</summary>
    /// <param name="answer">Figures so far.</param>
    /// <param name="request">What it was computed from.</param>
    /// <param name="wrong">Why there are no figures; empty where there are.</param>
    public static MixAnswer Finish(MixAnswer answer, MixRequest request, IReadOnlyList<string> wrong)
    {
        List<Finding> findings =
        [
            .. wrong.Select(why => new Finding(
                Verdict.Unknown,
                "alloy.no-figure",
                answer.Subject,
                why,
                Source: "gibbs-kattner1999-own",
                Todo: "Nothing is said about melting and freezing: go by the maker's data sheet, and try it on scrap."
            )),
            .. Bismuth(answer),
            .. Column(answer),
            .. Lead(answer),
            .. Peak(answer, request),
            .. Freezing(answer),
        ];
        return answer with { Findings = Finding.WorstFirst(findings), Answer = Sentence(answer, findings, wrong) };
    }

    private static string Sentence(MixAnswer answer, List<Finding> findings, IReadOnlyList<string> wrong)
    {
        if (findings.FirstOrDefault(one => one.Verdict == Verdict.Blocker) is { } refused)
        {
            return $"Refused: {refused.What}";
        }
        if (answer is not { FullMelt: { } full, NeededC: double neededC, Freezing: { } freezing })
        {
            return $"No figure: {string.Join(' ', wrong)}";
        }
        string melts = Invariant(
            $"Fully molten at {full.ValueC:0} °C (± {full.HighC - full.ValueC:0} K): bring the coldest joint to {Math.Ceiling(neededC):0} °C"
        );
        string peak = answer.Peak switch
        {
            null => "",
            { Mixes: true } one => Invariant($", which {one.PeakC:0.#} °C does"),
            { DissolvedFraction: double dissolved } one => Invariant(
                $"; {one.PeakC:0.#} °C is too low, {100 * dissolved:0} % of the {one.LastAlloy} dissolves at most"
            ),
            { } one => Invariant($"; {one.PeakC:0.#} °C is too low"),
        };
        return Invariant(
            $"{melts}{peak}. Do not move the board before every joint is below {freezing.StillC:0} °C, and then wait longer: small joints may stay liquid 10 to 30 K below that."
        );
    }

    /// <summary>Lead and bismuth in one joint: refused.</summary>
    /// <param name="subject">What it is about.</param>
    /// <param name="value">What was found: shares, or the names of the alloys.</param>
    /// <param name="late">How much freezes last, as a sentence of its own; empty where it is not known.</param>
    public static Finding LeadMeetsBismuth(string subject, string value, string late)
    {
        ReworkTemperature soft = ReflowTables.Rework("mix-lead-bismuth-solidus");
        return new Finding(
            Verdict.Blocker,
            "alloy.lead-meets-bismuth",
            subject,
            Invariant(
                $"Lead meets bismuth: the joint is partly liquid from about {soft.Low:0} °C, inside the working range of a warm board.{late}"
            ),
            value,
            Invariant($"{LeadFreePercent} % lead where there is bismuth"),
            soft.Source,
            Invariant(
                $"Take an alloy without bismuth, or clean the lands until less than {LeadFreePercent} % lead is left in the joint."
            )
        );
    }

    private static IEnumerable<Finding> Bismuth(MixAnswer answer)
    {
        double lead = answer.Shares.LeadPercent;
        double bismuth = answer.Shares.BismuthPercent;
        if (bismuth < BismuthPercent)
        {
            yield break;
        }
        string shares = Invariant($"{lead:0.##} % lead, {bismuth:0.#} % bismuth");
        ReworkTemperature soft = ReflowTables.Rework("mix-lead-bismuth-solidus");
        string softC = Invariant($"{soft.Low:0} °C");
        if (lead > LeadFreePercent)
        {
            string late = answer.Freezing is { LateFraction: > 0 } freezing
                ? freezing.LateFraction < 0.01
                    ? " Under 1 % of the joint freezes only there."
                    : Invariant($" {100 * freezing.LateFraction:0.#} % of the joint freezes only there.")
                : "";
            yield return LeadMeetsBismuth(answer.Subject, shares, late);
            yield break;
        }
        if (answer.Solid.Count > 0)
        {
            yield return new Finding(
                Verdict.Blocker,
                "alloy.lead-meets-bismuth",
                answer.Subject,
                $"Lead meets bismuth: solder with bismuth takes up lead from the ball that stays solid and is then partly liquid from about {softC}.",
                shares,
                Invariant($"{LeadFreePercent} % lead where there is bismuth"),
                soft.Source,
                "Take solder without bismuth for the fillet."
            );
        }
        if (lead > TracePercent)
        {
            yield return new Finding(
                Verdict.Warning,
                "alloy.lead-trace-with-bismuth",
                answer.Subject,
                Invariant(
                    $"A trace of lead beside bismuth: about {2.9 * lead:0.##} % of the joint stays liquid down to about {softC}."
                ),
                shares,
                Invariant($"{LeadFreePercent} % lead where there is bismuth"),
                soft.Source,
                "Clean the lands once more."
            );
        }
        if (answer.Solidus is { ValueC: < 180 } solidus)
        {
            yield return new Finding(
                Verdict.Warning,
                "alloy.melts-low",
                answer.Subject,
                Invariant(
                    $"A joint with bismuth begins to melt at {solidus.ValueC:0} °C, whatever it was built with before."
                ),
                Invariant($"{solidus.ValueC:0} °C"),
                null,
                Computed,
                "Keep it away from hot running parts, and write bismuth into the record: no lead may come near it, ever."
            );
        }
    }

    private static IEnumerable<Finding> Column(MixAnswer answer)
    {
        double hottestC = MixPlanner.Hottest.High!.Value;
        foreach (MixPart part in answer.Solid)
        {
            yield return new Finding(
                Verdict.Warning,
                "alloy.stays-solid",
                answer.Subject,
                Invariant(
                    $"The {part.Name} of {part.Alloy.Name} melts in no board process and stays as a column; only the solder around it melts, and takes up lead from it that these figures leave out."
                ),
                part.Alloy.Name,
                Invariant($"{hottestC:0} °C, the hottest joint"),
                MixPlanner.Hottest.Source,
                "Plan for the solder around it alone, with lead in it: do not move the board before every joint is below 175 °C."
            );
        }
        if (answer.Solid.Count == 0 && answer.Parts.All(MixPlanner.StaysSolid))
        {
            yield return new Finding(
                Verdict.FixFirst,
                "alloy.nothing-melts",
                answer.Subject,
                Invariant($"{answer.Parts[0].Alloy.Name} melts in no board process."),
                answer.Solidus is { } solidus ? Invariant($"{solidus.ValueC:0} °C") : null,
                Invariant($"{hottestC:0} °C, the hottest joint"),
                MixPlanner.Hottest.Source,
                "Add the solder that is to hold it: paste, or what is left on the lands."
            );
        }
    }

    private static IEnumerable<Finding> Lead(MixAnswer answer)
    {
        double lead = answer.Shares.LeadPercent;
        if (lead <= LeadFreePercent && answer.Solid.Count == 0)
        {
            yield break;
        }
        string[] clean = [.. answer.Parts.Where(part => !part.Alloy.Leaded).Select(part => part.Alloy.Name).Distinct()];
        string what =
            answer.Solid.Count > 0 ? "The joint holds lead: its ball does."
            : clean.Length > 0
                ? Invariant(
                    $"Lead gets into {string.Join(" and ", clean)}: the joint holds {lead:0.##} % of it and is not lead-free any more."
                )
            : Invariant($"The joint holds {lead:0.##} % lead.");
        yield return new Finding(
            Verdict.Warning,
            "alloy.lead",
            answer.Subject,
            what,
            Invariant($"{lead:0.##} % lead"),
            Invariant($"{LeadFreePercent} % by mass, the usual legal limit (RoHS Annex II)"),
            Memory,
            "Say so in the record and on the machine; local rules decide on sale and recycling. Wash hands, no food at the bench."
        );
    }

    private static IEnumerable<Finding> Peak(MixAnswer answer, MixRequest request)
    {
        if (answer is not { FullMelt: { } full, NeededC: double neededC })
        {
            yield break;
        }
        string limit = Invariant($"{neededC:0.#} °C, full melt and its error of {full.HighC - full.ValueC:0} K");
        if (answer.Peak is not { } peak)
        {
            if (request.PeakWanted)
            {
                yield return new Finding(
                    Verdict.Unknown,
                    "alloy.peak-unknown",
                    answer.Subject,
                    "No peak is entered, so whether the joint mixes fully is not known.",
                    null,
                    limit,
                    Computed,
                    "Enter the temperature that the coldest joint reaches."
                );
            }
            yield break;
        }
        string value = Invariant($"{peak.PeakC:0.#} °C");
        if (peak.Mixes)
        {
            yield return new Finding(
                Verdict.Ok,
                "alloy.mixes",
                answer.Subject,
                "The peak melts all of the joint, with the model's error set aside.",
                value,
                limit,
                Computed
            );
            yield break;
        }
        string what =
            peak.PeakC >= full.ValueC
                ? "The peak may melt all of the joint: it lies above full melt by less than the model's error."
            : peak.DissolvedFraction is double dissolved
                ? Invariant(
                    $"The joint does not mix: {100 * peak.LiquidFraction:0} % of it is liquid at the peak, and {100 * dissolved:0} % of the {peak.LastAlloy} dissolves at most."
                )
            : Invariant($"The joint does not melt: {100 * peak.LiquidFraction:0} % of it is liquid at the peak.");
        yield return new Finding(
            Verdict.FixFirst,
            "alloy.does-not-mix",
            answer.Subject,
            what,
            value,
            limit,
            Computed,
            Invariant(
                $"Bring the coldest joint to {Math.Ceiling(neededC):0} °C or more and hold it there for 60 s (common practice)."
            )
        );
    }

    private static IEnumerable<Finding> Freezing(MixAnswer answer)
    {
        if (
            answer is not { FullMelt: { } full, Freezing: { } freezing }
            || full.ValueC - freezing.End.ValueC <= LateRangeDeltaK
        )
        {
            yield break;
        }
        yield return new Finding(
            Verdict.Warning,
            "alloy.freezes-late",
            answer.Subject,
            Invariant(
                $"It freezes over {full.ValueC - freezing.End.ValueC:0} K: the last {100 * freezing.LateFraction:0.#} % are liquid down to {freezing.End.ValueC:0} °C, long after the joint looks solid, and soften there first on the next heat."
            ),
            Invariant($"{freezing.End.ValueC:0.#} °C"),
            Invariant($"{freezing.StillC:0} °C, the worse side"),
            Computed,
            Invariant($"Do not move or lift the board before every joint is below {freezing.StillC:0} °C.")
        );
    }
}
