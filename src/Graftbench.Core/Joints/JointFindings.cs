using System.Globalization;
using Graftbench.Core.Facts;
using Graftbench.Core.Findings;
using Graftbench.Core.Physics.Capillary;
using static System.FormattableString;

namespace Graftbench.Core.Joints;

/// <summary>Findings and the answer line of a joint plan.</summary>
internal static class JointFindings
{
    internal const string Model = "graftbench-joint-model";
    private const double LeastSizeMm = 0.01;

    /// <summary>Why nothing can be computed; null where it can.</summary>
    public static Finding? Refuse(JointRequest request)
    {
        string where = request.Subject;
        if (request.Sites.Count < 3)
        {
            return No(where, "joints.too-few", "A package stands on three joints or more.", "List its joints.");
        }
        if (request.Sites.Count > JointPlanner.MostJoints)
        {
            return No(
                where,
                "joints.too-many",
                Invariant($"{request.Sites.Count} joints are more than {JointPlanner.MostJoints}."),
                "Check rows and columns."
            );
        }
        bool finite = request.Sites.All(site =>
            Size(site.BoardRadiusMm)
            && Size(site.PackageRadiusMm)
            && double.IsFinite(site.XMm + site.YMm + site.LandHeightMm)
            && site.BallVolumeMm3 is >= 0 and < 100
            && site.DomeVolumeMm3 is >= 0 and < 100
        );
        if (!finite || request.Sites.All(site => site.BallVolumeMm3 <= 0))
        {
            return No(
                where,
                "joints.sizes",
                "Sizes of pads or balls are missing or no numbers.",
                "Give balls and pads."
            );
        }
        if (!Size(request.Solder.TensionNPerM) || !(request.Solder.SwellingFactor is > 0.9 and < 1.2))
        {
            return No(where, "joints.solder", "The solder's figures are missing or no numbers.", "Give its tension.");
        }
        return request.Load is { PackageG: >= 0, LidG: >= 0, PressG: >= 0 }
            ? null
            : No(where, "joints.load", "The load is no weight.", "Give weights of 0 g or more.");
    }

    public static Finding NoShape(JointRequest request) =>
        No(
            request.Subject,
            "joints.no-shape",
            "For these pads and volumes no table of joints could be solved: too many different pads, or too little solder.",
            "Check pads and balls; at most 24 different pairs of pads are followed."
        );

    public static Finding Tips(JointRequest request) =>
        No(
            request.Subject,
            "joints.tips",
            "The package tips over: its centre of gravity is not within its contacts.",
            "Check the centre of gravity and the places of the joints."
        );

    public static Finding Crushed(JointRequest request) =>
        No(
            request.Subject,
            "joints.crushed",
            Invariant(
                $"Under {request.Load.PackageG + request.Load.LidG + request.Load.PressG:0.0} g the molten joints are squashed flat: nothing holds the package off the board."
            ),
            "Take the lid or the press off; never press while it is molten."
        ) with
        {
            Verdict = Verdict.FixFirst,
        };

    public static Finding NotSettled(JointRequest request, MoltenSeat molten) =>
        No(
            request.Subject,
            "joints.not-settled",
            Invariant(
                $"The molten package was not brought to rest in {molten.Steps} steps; {molten.ResidualMilliN:0.000} mN are left."
            ),
            "Nothing is said about the joints; please report the input."
        );

    /// <summary>The plan with state, answer line and findings.</summary>
    public static JointPlan Finish(JointPlan plan, NominalSeat squeezed)
    {
        JointPlanState state = State(plan);
        JointPlan finished = plan with { State = state };
        return finished with
        {
            Answer = JointAnswers.Line(finished),
            Findings = Finding.WorstFirst([
                .. Chance(finished),
                .. Seat(finished),
                .. SeatFindings.Of(finished),
                .. Bridges(finished, squeezed),
                .. Unknowns(finished),
            ]),
        };
    }

    private static JointPlanState State(JointPlan plan)
    {
        if (plan.Chance!.AllJoinedFraction >= plan.Request.Goal.WantedFraction)
        {
            return JointPlanState.Reached;
        }
        return plan.Need is null ? JointPlanState.CannotBeReached
            : plan.Need.AdvisedDomeMm is not null ? JointPlanState.NeedsSolder
            : JointPlanState.CannotBeReached;
    }

    private static IEnumerable<Finding> Chance(JointPlan plan)
    {
        JointChance chance = plan.Chance!;
        double wanted = plan.Request.Goal.WantedFraction;
        double errorPercent = 200 * chance.AllJoinedErrorFraction;
        // An error is never shown as none.
        string value =
            errorPercent < 0.05
                ? Invariant($"{100 * chance.AllJoinedFraction:0.00} ± {Math.Max(errorPercent, 0.01):0.00} %")
                : Invariant($"{100 * chance.AllJoinedFraction:0.0} ± {errorPercent:0.0} %");
        string limit = Invariant($"{100 * wanted:0.0} % of packages");
        yield return plan.State == JointPlanState.Reached
            ? new Finding(
                Verdict.Ok,
                "joints.all-form",
                plan.Subject,
                Invariant($"Of {chance.Trials} drawn packages {value} have every joint formed."),
                value,
                limit,
                Model
            )
            : new Finding(
                Verdict.FixFirst,
                plan.State == JointPlanState.NeedsSolder ? "joints.needs-solder" : "joints.cannot-be-reached",
                plan.Subject,
                Invariant($"Of {chance.Trials} drawn packages only {value} have every joint formed."),
                value,
                limit,
                Model,
                plan.State == JointPlanState.NeedsSolder ? plan.Need!.Sentence
                    : plan.Levers is [{ What: { } what }, ..] ? "Change something else: " + what + "."
                    : "Measure again, or take other balls."
            );
        if (chance.NotSettledNumber > 0)
        {
            yield return new Finding(
                Verdict.Unknown,
                "joints.drawn-not-settled",
                plan.Subject,
                Invariant(
                    $"{chance.NotSettledNumber} drawn packages were not brought to rest; they count as not joined."
                ),
                null,
                null,
                Model
            );
        }
        if (chance.OutsideTableNumber > 0)
        {
            yield return new Finding(
                Verdict.Warning,
                "joints.outside-table",
                plan.Subject,
                Invariant(
                    $"In {chance.OutsideTableNumber} drawn packages a joint is squashed or stretched past the table, or holds more solder than it covers; its force is carried on from the edge."
                ),
                null,
                null,
                Model
            );
        }
    }

    private static IEnumerable<Finding> Seat(JointPlan plan)
    {
        JointState[] open =
        [
            .. plan.Joints.Where(joint =>
                joint.Class.HasFlag(JointClass.Open) && !joint.Class.HasFlag(JointClass.Parted)
            ),
        ];
        if (open.Length > 0)
        {
            JointState worst = open.MaxBy(joint => joint.MissMm)!;
            yield return new Finding(
                Verdict.FixFirst,
                "joints.open",
                plan.Subject,
                Invariant(
                    $"{open.Length} joints stay open even at nominal sizes; {worst.Name} misses by {worst.MissMm:0.000} mm."
                ),
                Invariant($"{worst.MissMm:0.000} mm"),
                "0 mm",
                Model,
                Invariant(
                    $"Re-tin the lands of the open joints ({Names(open)}): at {worst.Name} the solder must stand {Math.Ceiling(100 * worst.NeededDomeMm) / 100:0.00} mm high at least."
                )
            );
        }
        StopState[] pressed = [.. plan.Stops.Where(stop => stop.ForceMilliN > 0)];
        if (pressed.Length > 0)
        {
            StopState most = pressed.MaxBy(stop => stop.ForceMilliN)!;
            yield return new Finding(
                Verdict.Warning,
                "joints.stopped-by-parts",
                plan.Subject,
                Invariant(
                    $"Parts stop the package: {First(pressed.Select(stop => stop.Name))} carry {plan.Molten!.OnStopsMilliN:0} mN, its weight is {plan.Molten.LoadMilliN:0} mN; {most.Name} alone {most.ForceMilliN:0.0} mN while its own solder is molten."
                ),
                Invariant($"{plan.Molten.OnStopsMilliN:0} mN"),
                null,
                Model,
                "Expect squeezed solder under the parts that carry the package, and look at them afterwards."
            );
        }
        ColdSeat cold = plan.Cold!;
        if (cold.Rocks)
        {
            yield return new Finding(
                Verdict.Warning,
                "joints.rocks",
                plan.Subject,
                $"Before melting the package can rock: it stands on {First(cold.Contacts)}.",
                null,
                null,
                Model,
                "Hold it with tacky flux and do not touch it."
            );
        }
        if (cold.StandsOnParts)
        {
            yield return new Finding(
                Verdict.Warning,
                "joints.stands-on-parts",
                plan.Subject,
                Invariant(
                    $"Before melting the package stands on its parts; {cold.Float10UmNumber} balls hang free by more than 0.01 mm."
                ),
                null,
                null,
                Model
            );
        }
        double dome = JointChanges.DomeMm(plan.Request);
        if (plan.Limits!.SlideDomeMm is { } slide && dome > slide)
        {
            yield return new Finding(
                Verdict.Warning,
                "joints.slides",
                plan.Subject,
                Invariant($"Balls put down off centre slide on lands this round ({dome:0.00} mm)."),
                Invariant($"{dome:0.00} mm"),
                Invariant($"{slide:0.00} mm"),
                JointFacts.Figure("slide-slope").Source,
                "Tacky flux; set it down centred."
            );
        }
        double quarter = plan.Request.Sites.Min(site => site.BoardRadiusMm);
        yield return new Finding(
            Verdict.Ok,
            "joints.self-centring",
            plan.Subject,
            plan.Molten!.CentringMilliNPerMm is { } centring
                ? Invariant(
                    $"Molten joints centre the package if every ball lies within half a land ({quarter:0.00} mm); they pull with {centring / 10:0} mN for each 0.1 mm off. Parts that rub on the board are not in that figure."
                )
                : Invariant(
                    $"Molten joints centre the package if every ball lies within half a land ({quarter:0.00} mm); how hard is not computed here."
                ),
            null,
            Invariant($"{quarter:0.00} mm"),
            JointFacts.Figure("centring-reach").Source
        );
    }

    private static IEnumerable<Finding> Bridges(JointPlan plan, NominalSeat squeezed)
    {
        JointLimits limits = plan.Limits!;
        if (limits.LeastSpacingMm is { } spacing && spacing < limits.AskedSpacingMm)
        {
            yield return new Finding(
                Verdict.FixFirst,
                "joints.bridge-risk",
                plan.Subject,
                Invariant($"Two molten joints come within {spacing:0.00} mm."),
                Invariant($"{spacing:0.00} mm"),
                Invariant($"{limits.AskedSpacingMm:0.00} mm"),
                JointFacts.Figure("neighbour-spacing").Source,
                "Smaller balls, less load, flatter heat."
            );
        }
        int spilled = Math.Max(
            plan.Joints.Count(joint => joint.Class.HasFlag(JointClass.Spill)),
            squeezed.Joints.Count(joint => joint.Class.HasFlag(JointClass.Spill))
        );
        if (spilled > 0 || plan.Chance!.SpillFraction > 0.01)
        {
            // More often than the opens that are allowed: then it is no chance to take.
            bool often = spilled > 0 || plan.Chance!.SpillFraction > 1 - plan.Request.Goal.WantedFraction;
            yield return new Finding(
                often ? Verdict.FixFirst : Verdict.Warning,
                "joints.spill",
                plan.Subject,
                spilled > 0
                    ? Invariant(
                        $"{spilled} joints are squashed over the edge of a pad at nominal sizes; so is one or more in {100 * plan.Chance!.SpillFraction:0} % of drawn packages."
                    )
                    : Invariant(
                        $"In {100 * plan.Chance!.SpillFraction:0} % of drawn packages one joint or more is squashed over the edge of a pad; at nominal sizes none is."
                    ),
                null,
                null,
                Model,
                spilled == 0 && !plan.Request.WarpageKnown
                    ? "Measure the warpage and enter it: it is drawn either way up to its limit, and that squashes them. Else take load off and heat it flatter; solder on the lands is not the cause."
                    : "Take load off and heat it flatter; solder on the lands is not the cause."
            );
        }
        double load = plan.Request.Load.PackageG + plan.Request.Load.LidG + plan.Request.Load.PressG;
        if (limits.SafeLoadG is { } safe && load > safe)
        {
            yield return new Finding(
                load > limits.SpillLoadG ? Verdict.FixFirst : Verdict.Warning,
                "joints.load",
                plan.Subject,
                Invariant($"{load:0.0} g rest on the molten joints."),
                Invariant($"{load:0.0} g"),
                Invariant($"{safe:0.0} g, a third of what spills"),
                Model,
                "Take the lid or the press off; never press while it is molten."
            );
        }
    }

    private static IEnumerable<Finding> Unknowns(JointPlan plan)
    {
        if (!plan.Request.PartsKnown)
        {
            yield return new Finding(
                Verdict.Unknown,
                "joints.parts-unknown",
                plan.Subject,
                "Nobody looked whether parts sit on the underside; they decide more than anything else.",
                null,
                null,
                Model,
                "Look, and measure the highest part over the mask."
            );
        }
        if (!plan.Request.WarpageKnown)
        {
            yield return new Finding(
                Verdict.Unknown,
                "joints.warpage-unknown",
                plan.Subject,
                WarpageUnknown(plan),
                null,
                null,
                JointFacts.WarpageLimit(plan.Request.PitchMm).Source,
                "Measure a like package on a hot plate, or keep the margin."
            );
        }
        if (!plan.Request.Load.WeightKnown)
        {
            yield return new Finding(
                Verdict.Unknown,
                "joints.weight-unknown",
                plan.Subject,
                Invariant($"The weight is taken as {plan.Request.Load.PackageG:0.0} g."),
                null,
                null,
                Model,
                "Weigh the package."
            );
        }
        yield return new Finding(
            Verdict.Warning,
            "joints.head-on-pillow",
            plan.Subject,
            "Whether oxide or spent flux keeps touching ball and land apart is not in the model.",
            null,
            null,
            Model,
            "Fresh flux on both sides; look at the side view afterwards."
        );
    }

    private static string WarpageUnknown(JointPlan plan)
    {
        string ends = string.Join(
            ", ",
            plan.WarpageEnds.Select(end =>
                Invariant(
                    $"with the {(end.WarpageMm < 0 ? "middle" : "corners")} up by {Math.Abs(end.WarpageMm):0.00} mm {end.OpenNumber} joints stay open and {end.SpillNumber} spill"
                )
            )
        );
        return $"The warpage was not measured; the pictures show it flat, the chances draw it either way: {ends}.";
    }

    private static string Names(JointState[] joints) =>
        string.Join(", ", joints.OrderByDescending(joint => joint.MissMm).Take(6).Select(joint => joint.Name))
        + (joints.Length > 6 ? Invariant($" and {joints.Length - 6} more") : "");

    private static string First(IEnumerable<string> names)
    {
        string[] all = [.. names];
        const int Most = 8;
        return string.Join(", ", all.Take(Most))
            + (all.Length > Most ? Invariant($" and {all.Length - Most} more") : "");
    }

    private static bool Size(double value) => double.IsFinite(value) && value >= LeastSizeMm;

    private static Finding No(string where, string code, string what, string todo) =>
        new(Verdict.Unknown, code, where, what, null, null, Model, todo);
}
