using Graftbench.Core.Facts;
using Graftbench.Core.Findings;
using static System.FormattableString;

namespace Graftbench.Vision.SideView;

/// <summary>Holds the gaps of one to four sides against what the joint model expects and against the limits.</summary>
public static class SeatCheck
{
    /// <summary>Sides of a package.</summary>
    public const int AllSides = 4;

    /// <summary>Checks.</summary>
    /// <param name="sides">Sides that were measured, in order around the package.</param>
    /// <param name="expected">What the joint model expects; null where nobody computed it.</param>
    public static SeatReading Of(IReadOnlyList<SideViewReading> sides, ExpectedStandoff? expected)
    {
        ArgumentNullException.ThrowIfNull(sides);
        List<Finding> findings =
        [
            .. sides
                .Where(side => !side.Judged)
                .Select(side => new Finding(
                    Verdict.Unknown,
                    "side.unknown",
                    side.Side,
                    $"Cannot be judged: {side.WhyNot}.",
                    Todo: "Take the picture again."
                )),
        ];
        SideViewReading[] judged = [.. sides.Where(side => side.Judged)];
        if (sides.Count < AllSides || judged.Length < sides.Count)
        {
            findings.Add(
                new Finding(
                    Verdict.Unknown,
                    "side.not-all",
                    "package",
                    Invariant(
                        $"{judged.Length} of {AllSides} sides were measured: the tilt of the package may be larger than what was seen."
                    ),
                    Todo: "Measure all four sides at the same magnification."
                )
            );
        }
        SideGap[] gaps = [.. judged.SelectMany(side => side.Gaps)];
        if (gaps.Length == 0)
        {
            return new SeatReading("No gap could be measured.", null, null, null, Finding.WorstFirst(findings));
        }
        double mean = gaps.Average(gap => gap.GapMm);
        SideGap largest = gaps.MaxBy(gap => gap.GapMm)!;
        SideGap smallest = gaps.MinBy(gap => gap.GapMm)!;
        double tilt = largest.GapMm - smallest.GapMm;
        double off = Math.Sqrt(Sq(largest.UncertaintyMm) + Sq(smallest.UncertaintyMm));
        findings.Add(Tilt(tilt, off, expected?.GapMm ?? mean));
        foreach (SideViewReading side in judged)
        {
            findings.Add(Corner(side, side.Gaps[0], mean, "left"));
            findings.Add(Corner(side, side.Gaps[^1], mean, "right"));
        }
        findings.Add(Standoff(mean, gaps, expected));
        findings.AddRange(Corners(judged));
        Verdict worst = Finding.Worst(findings);
        return new SeatReading(
            Invariant(
                $"Mean gap {mean:0.000} mm, tilt {tilt:0.000} ± {off:0.000} mm over {judged.Length} {(judged.Length == 1 ? "side" : "sides")}: "
            )
                + (
                    worst switch
                    {
                        Verdict.FixFirst or Verdict.Blocker => "not seated as it should be.",
                        Verdict.Warning => "look at it before going on.",
                        Verdict.Unknown => "nothing wrong seen, but not all could be judged.",
                        _ => "inside the limits.",
                    }
                ),
            mean,
            tilt,
            off,
            Finding.WorstFirst(findings)
        );
    }

    private static Finding Tilt(double tiltMm, double offMm, double standoffMm)
    {
        SeatLimit limit = InspectionFacts.TiltByStandoff;
        double most = limit.AllowedPercent / 100 * standoffMm;
        return Held(
            "side.tilt",
            "package",
            tiltMm,
            offMm,
            most,
            limit,
            "tilt",
            "Find what holds one side up: a part below, a joint that did not collapse, a bridge."
        );
    }

    private static Finding Corner(SideViewReading side, SideGap gap, double meanMm, string which)
    {
        SeatLimit limit = InspectionFacts.CornerOverMean;
        return Held(
            "side.corner",
            $"{side.Side}, {which} corner",
            gap.GapMm,
            gap.UncertaintyMm,
            (1 + limit.AllowedPercent / 100) * meanMm,
            limit,
            "gap",
            "Look for tall, thin or two-lobed joints at that corner and measure their nets."
        );
    }

    private static Finding Held(
        string code,
        string where,
        double value,
        double off,
        double most,
        SeatLimit limit,
        string word,
        string todo
    )
    {
        (Verdict verdict, string what) =
            value - off > most ? (Verdict.FixFirst, $"The {word} is over the limit.")
            : value + off > most ? (Verdict.Warning, $"The {word} lies too near to the limit to tell.")
            : (Verdict.Ok, $"The {word} is inside the limit.");
        return new Finding(
            verdict,
            code,
            where,
            what,
            Invariant($"{value:0.000} mm ± {off:0.000}"),
            Invariant($"{most:0.000} mm ({limit.AllowedPercent:0.#} %: {limit.Title})"),
            limit.Source,
            verdict == Verdict.Ok ? null : todo
        );
    }

    private static Finding Standoff(double meanMm, SideGap[] gaps, ExpectedStandoff? expected)
    {
        if (expected is null)
        {
            return new Finding(
                Verdict.Unknown,
                "side.standoff",
                "package",
                "There is no expected standoff to compare the gap with.",
                Invariant($"{meanMm:0.000} mm"),
                Todo: "Compute the joints of this package first."
            );
        }
        // Edges differ from place to place; the scale is shared and does not average out.
        double shared = gaps.Average(gap => gap.UncertaintyMm);
        double band = Math.Sqrt(Sq(2 * expected.SpreadMm) + Sq(shared));
        double off = meanMm - expected.GapMm;
        bool inside = Math.Abs(off) <= band;
        string what =
            inside ? "The mean gap is what the joint model expects."
            : off > 0 ? "The mean gap is larger than expected: joints did not collapse, or a part holds the package up."
            : "The mean gap is smaller than expected: joints are squashed or hold less solder.";
        return new Finding(
            inside ? Verdict.Ok : Verdict.Warning,
            "side.standoff",
            "package",
            what,
            Invariant($"{meanMm:0.000} mm"),
            Invariant($"{expected.GapMm:0.000} mm ± {band:0.000}"),
            "graftbench-joint-model",
            inside ? null : "Look at single joints from the side; compare with the joint sheet."
        );
    }

    // A corner is seen from two sides: they must agree, else the scales of the pictures do not.
    private static IEnumerable<Finding> Corners(SideViewReading[] sides)
    {
        for (int i = 0; sides.Length == AllSides && i < AllSides; i++)
        {
            SideGap right = sides[i].Gaps[^1];
            SideGap left = sides[(i + 1) % AllSides].Gaps[0];
            double off = Math.Sqrt(Sq(right.UncertaintyMm) + Sq(left.UncertaintyMm));
            if (Math.Abs(right.GapMm - left.GapMm) > 1.5 * off)
            {
                yield return new Finding(
                    Verdict.Warning,
                    "side.corner-twice",
                    $"corner of {sides[i].Side} and {sides[(i + 1) % AllSides].Side}",
                    "The same corner has two different gaps: the pictures' scales or directions differ.",
                    Invariant($"{right.GapMm:0.000} and {left.GapMm:0.000} mm"),
                    Todo: "Take all sides at the same magnification and level, each seen with its left end at the corner before."
                );
            }
        }
    }

    private static double Sq(double value) => value * value;
}
