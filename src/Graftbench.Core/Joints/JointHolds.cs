using Graftbench.Core.Findings;
using Graftbench.Core.Mixing;

namespace Graftbench.Core.Joints;

/// <summary>
/// What stands against placing the package whatever the chance of its joints is: a refused alloy, solder that does not melt,
/// joints that spill, an underside that nobody has looked at. It comes first in the answer line.
/// </summary>
internal static class JointHolds
{
    /// <summary>Code of the finding that nobody has looked under the package.</summary>
    public const string PartsUnknown = "joints.parts-unknown";

    private const string Model = "graftbench-joint-model";

    // What the answer line says by itself already.
    private static readonly HashSet<string> Said = ["joints.needs-solder", "joints.cannot-be-reached", "joints.open"];

    private static readonly HashSet<string> Hollow = ["joints.solid-ball", "alloy.does-not-mix", "alloy.nothing-melts"];

    /// <summary>The plan with what stands against it in state and line; unchanged where nothing does.</summary>
    /// <param name="plan">The plan with all its findings.</param>
    public static JointPlan On(JointPlan plan)
    {
        if (plan.State == JointPlanState.NoAnswer)
        {
            return plan;
        }
        Finding[] against = [.. plan.Findings.Where(Stands)];
        if (against.Length == 0)
        {
            return plan;
        }
        Finding worst = against.MinBy(finding => finding.Verdict)!;
        string word =
            worst.Verdict == Verdict.Blocker ? "Do not place it:"
            : worst.Verdict == Verdict.FixFirst ? "Do not place it yet:"
            : "Look first:";
        string todo = worst.Todo is null ? "" : " " + worst.Todo;
        // What was computed for solder that melts as one says nothing where it does not.
        string rest =
            worst.Verdict == Verdict.Blocker || Hollow.Contains(worst.Code)
                ? ""
                : $" Apart from that: {Small(plan.Answer.Replace(JointAnswers.AsItIs, "", StringComparison.Ordinal))}";
        return plan with { State = JointPlanState.Held, Answer = $"{word} {Small(worst.What)}{todo}{rest}" };
    }

    /// <summary>A ball that stays solid does not collapse: what was computed for a molten one does not hold.</summary>
    /// <param name="plan">The plan.</param>
    /// <param name="mixture">What the solders of a joint become.</param>
    public static IEnumerable<Finding> SolidBalls(JointPlan plan, MixAnswer? mixture)
    {
        if (mixture?.Solid.Any(part => part.Name == "ball") != true)
        {
            yield break;
        }
        yield return new Finding(
            Verdict.FixFirst,
            "joints.solid-ball",
            plan.Subject,
            "The balls do not melt in a board process: nothing collapses, and gap, chance and forces here, which are those of molten balls, do not hold.",
            null,
            null,
            Model,
            "Count on the balls' full height: what is uneven or bowed stays so, and only the solder on the lands closes it."
        );
    }

    private static bool Stands(Finding finding) =>
        (finding.Verdict is Verdict.Blocker or Verdict.FixFirst && !Said.Contains(finding.Code))
        || finding.Code == PartsUnknown;

    private static string Small(string text) =>
        text.Length > 1 && char.IsUpper(text[0]) && char.IsLower(text[1])
            ? char.ToLowerInvariant(text[0]) + text[1..]
            : text;
}
