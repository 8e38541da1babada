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
                $"{Capital(balls)}. {plan.Need!.Sentence}{Slides(plan)}{Other(plan, "Or")} As it is now: {now}.",
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
