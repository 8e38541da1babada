using System.Globalization;
using static System.FormattableString;

namespace Graftbench.Core.Joints;

/// <summary>The answer line of a joint plan: which balls, how much solder, how sure, and what else would do.</summary>
internal static class JointAnswers
{
    /// <summary>How a line begins that asks for nothing.</summary>
    public const string AsItIs = "Place it as it is, ";

    /// <summary>The line.</summary>
    /// <param name="plan">The plan with its state.</param>
    public static string Line(JointPlan plan)
    {
        string balls = Invariant($"balls of {JointChanges.BallMm(plan.Request):0.00#} mm");
        double dome = JointChanges.DomeMm(plan.Request);
        string lands =
            dome <= 0 ? "lands bare" : Invariant($"{dome:0.00} mm of solder on the lands ({SolderNeeds.Word(dome)})");
        string gap = Invariant($"gap {plan.Molten!.Plane.GapMm:0.00} mm");
        string now = Now(plan.Chance!);
        return plan.State switch
        {
            JointPlanState.Reached => $"{AsItIs}{balls}, {lands}: {now}; {gap}.",
            JointPlanState.NeedsSolder =>
                $"{Capital(balls)}. {plan.Need!.Sentence}{Slides(plan)}{Other(plan, "Or")}{Carried(plan)} As it is now: {now}.",
            _ when plan.Need is null => $"{Capital(balls)}, {lands}: {now}; {gap}.",
            _ => $"{Capital(balls)}. No amount of solder on the lands is enough by itself; {now}."
                + (
                    Other(plan, "Enough is:") is { Length: > 0 } other ? other
                    : plan.Levers is [{ } lever, ..]
                        ? Invariant(
                            $" Most is gained by {lever.What}, but it is not enough alone: chance {100 * lever.AllJoinedFraction:0.0} %."
                        )
                    : ""
                ),
        };
    }

    // All or none of so many says more than a fraction with an error of nothing.
    private static string Now(JointChance chance) =>
        chance.AllJoinedFraction >= 1 ? Invariant($"every joint forms in all {chance.Trials} drawn packages")
        : chance.AllJoinedFraction <= 0 ? Invariant($"every joint forms in none of {chance.Trials} drawn packages")
        : Invariant(
            $"chance {100 * chance.AllJoinedFraction:0.0} ± {200 * chance.AllJoinedErrorFraction:0.0} % that every joint forms"
        );

    // Why joints stay open.
    private static string Carried(JointPlan plan)
    {
        string[] parts = [.. plan.Stops.Where(stop => stop.ForceMilliN > 0).Select(stop => stop.Name)];
        int open = plan.Joints.Count(joint => joint.Class.HasFlag(JointClass.Open));
        const int Most = 4;
        return parts.Length == 0 || open == 0
            ? ""
            : Invariant(
                $" {string.Join(", ", parts.Take(Most))}{(parts.Length > Most ? Invariant($" and {parts.Length - Most} more") : "")} underneath {(parts.Length == 1 ? "holds" : "hold")} it up: {open} of {plan.Joints.Count} joints stay open at the sizes given."
            );
    }

    private static string Slides(JointPlan plan)
    {
        return plan.Limits!.SlideDomeMm is { } slide && plan.Need!.AdvisedDomeMm > slide
            ? Invariant(
                $" Above {slide:0.00} mm a ball put down off centre slides: set the chip down centred, in tacky flux."
            )
            : "";
    }

    private static string Other(JointPlan plan, string word) =>
        plan.Levers.FirstOrDefault(lever => lever is { Enough: true, Kind: not JointLeverKind.Solder }) is { } other
            ? $" {word} {other.What}."
            : "";

    private static string Capital(string text) => char.ToUpperInvariant(text[0]) + text[1..];
}
