using Graftbench.Core.Facts;
using Graftbench.Core.Findings;
using Graftbench.Vision.Lattice;
using static System.FormattableString;

namespace Graftbench.Vision.Xray;

/// <summary>What a reading means: each joint against the limit, whose limit, what to do.</summary>
internal static class XrayFindings
{
    private const string Practice = "common-practice";

    /// <summary>Findings of a judged picture, worst first.</summary>
    public static IReadOnlyList<Finding> Of(XrayRequest request, XrayReading reading, FieldFitState fit)
    {
        List<Finding> findings =
        [
            new(
                Verdict.Unknown,
                "xray.not-promised",
                request.Name,
                XrayReading.NeverPromised,
                Source: "xray-limits-page",
                Todo: "Look at the joints from the side, and measure; a good X-ray picture alone proves no joint."
            ),
        ];
        if (fit == FieldFitState.CornerUnknown)
        {
            findings.Add(
                new Finding(
                    Verdict.Unknown,
                    "xray.corner",
                    request.Name,
                    "The field looks the same when turned: which corner is A1 is not to be seen, so names may belong to other balls.",
                    Todo: "Say in which corner of the picture A1 lies."
                )
            );
        }
        else if (fit == FieldFitState.Mirrored)
        {
            findings.Add(
                new Finding(
                    Verdict.Unknown,
                    "xray.mirrored",
                    request.Name,
                    "The field fits only mirrored: the picture was taken from the other side, or is mirrored.",
                    Todo: "Give the other view, or mirror the picture; until then names are not right."
                )
            );
        }
        if (reading.Sharpened)
        {
            findings.Add(
                new Finding(
                    Verdict.Warning,
                    "xray.sharpened",
                    request.Name,
                    "The picture was sharpened: edges carry a halo, and voids at the rim are less sure.",
                    Todo: "Take the detector's own picture, without sharpening."
                )
            );
        }
        findings.AddRange(reading.Joints.SelectMany(joint => Of(joint, reading.Limit)));
        findings.AddRange(
            reading.Strays.Select(spot => new Finding(
                Verdict.Warning,
                "xray.stray",
                "near " + spot.Near,
                Invariant(
                    $"A dark spot stands between joints at ({spot.XPx:0}, {spot.YPx:0}): loose solder, or a via or part of the board."
                ),
                Size(spot.DiameterPx, reading.PxPerMm),
                Todo: "Compare with a picture of the bare board or of a board that works."
            ))
        );
        return Finding.WorstFirst(findings);
    }

    /// <summary>The answer in one line.</summary>
    public static string Answer(XrayReading reading, IReadOnlyList<Finding> findings)
    {
        int Of(JointSight state) => reading.Joints.Count(joint => joint.State == state);
        int over = findings.Count(finding => finding is { Code: "xray.void", Verdict: Verdict.FixFirst });
        int near = findings.Count(finding => finding is { Code: "xray.void", Verdict: Verdict.Unknown });
        int judged = reading.Joints.Count(joint => joint.VoidPercent is not null);
        List<string> parts = [];
        void Add(int number, string what)
        {
            if (number > 0)
            {
                parts.Add(Invariant($"{number} {what}"));
            }
        }
        Add(Of(JointSight.Missing), "missing");
        Add(Of(JointSight.Joined), "joined");
        Add(Of(JointSight.Odd), "of odd shape");
        Add(over, Invariant($"over {reading.Limit.AreaPercent:0.##} % void"));
        Add(near, "too near to that limit to tell");
        Add(reading.Joints.Count - judged - Of(JointSight.Missing), "whose voids cannot be judged");
        string what = parts.Count == 0 ? "none missing, joined or over the limit" : string.Join(", ", parts);
        return Invariant(
            $"{reading.Joints.Count} joints: {what}. {judged} were read for voids against {reading.Limit.Title}."
        );
    }

    private static IEnumerable<Finding> Of(JointReading joint, VoidLimit limit)
    {
        switch (joint.State)
        {
            case JointSight.Missing:
                yield return new Finding(
                    Verdict.Blocker,
                    "xray.missing",
                    joint.Name,
                    "No solder where the map has a ball.",
                    Source: Practice,
                    Todo: "Check that the ball belongs there; then lift the package and set it again."
                );
                yield break;
            case JointSight.Joined:
                yield return new Finding(
                    Verdict.Blocker,
                    "xray.joined",
                    joint.Name,
                    $"Solder goes on to {string.Join(" and ", joint.JoinedWith)}.",
                    Source: Practice,
                    Todo: "No power: a bridge. Lift the package, clean the lands and set it again."
                );
                break;
            case JointSight.Odd:
                yield return new Finding(
                    Verdict.Warning,
                    "xray.odd-shape",
                    joint.Name,
                    "Size or outline is unlike the other joints: not molten with its land, squashed or pulled.",
                    Invariant(
                        $"{joint.AreaRatio:0.00} of the usual area, {100 * joint.EllipticityRatio:0} % longer than wide, edge off by {100 * joint.RoughRatio:0} % of the radius"
                    ),
                    Source: "graftbench-estimate",
                    Todo: "Look at it from the side and measure its net."
                );
                break;
            case JointSight.CannotJudge:
                yield return new Finding(
                    Verdict.Unknown,
                    "xray.unknown",
                    joint.Name,
                    $"Cannot be judged: {joint.WhyNot}.",
                    Todo: "Take a picture at another angle or exposure."
                );
                yield break;
            case JointSight.Present:
                break;
        }
        yield return Voids(joint, limit);
    }

    private static Finding Voids(JointReading joint, VoidLimit limit)
    {
        string most = Invariant($"{limit.AreaPercent:0.##} % of the area ({limit.Title})");
        if (joint.VoidPercent is not { } share || joint.VoidUncertaintyPercent is not { } off)
        {
            return new Finding(
                Verdict.Unknown,
                "xray.void-unknown",
                joint.Name,
                $"Voids cannot be judged: {joint.WhyNot}.",
                Limit: most,
                Source: limit.Source,
                Todo: "Magnify, change exposure or angle, or take the other side's parts into account."
            );
        }
        string diameter = limit.DiameterPercent is null
            ? ""
            : Invariant($" ({10 * Math.Sqrt(joint.LargestVoidPercent ?? 0):0} % of the diameter)");
        string value = Invariant($"{share:0.0} % ± {off:0.0}, largest void {joint.LargestVoidPercent:0.0} %{diameter}");
        (Verdict verdict, string what, string? todo) =
            share - off > limit.AreaPercent
                ? (
                    Verdict.FixFirst,
                    "More void than the limit allows.",
                    "Decide with the limit's owner; a further heat is the only cure, and is a heat more."
                )
            : share + off > limit.AreaPercent
                ? (
                    Verdict.Unknown,
                    "Void area lies so near to the limit that this picture cannot tell on which side.",
                    "Magnify more and read it again."
                )
            : (Verdict.Ok, "Void area is inside the limit.", (string?)null);
        return new Finding(verdict, "xray.void", joint.Name, what, value, most, limit.Source, todo);
    }

    private static string Size(double diameterPx, double? pxPerMm) =>
        pxPerMm is { } scale ? Invariant($"{diameterPx / scale:0.00} mm wide") : Invariant($"{diameterPx:0} px wide");
}
