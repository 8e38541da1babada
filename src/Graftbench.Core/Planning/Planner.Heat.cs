using Graftbench.Core.Findings;
using Graftbench.Core.Heating;

namespace Graftbench.Core.Planning;

public static partial class Planner
{
    private static QuestionAnswer HeatAnswer(string question, HeatPlan heat, IReadOnlyList<Finding> all)
    {
        // The plan's own findings as they stand after waivers; what the plan itself says weighs at least as much.
        HashSet<(string, string)> own = [.. heat.Findings.Select(finding => (finding.Code, finding.Where))];
        List<Finding> findings = [.. all.Where(finding => own.Contains((finding.Code, finding.Where)))];
        Verdict state = heat.State switch
        {
            // A plan that passes a hard limit is none, whatever it calls itself; a margin that is no number is not known.
            HeatPlanState.Planned when heat.Figures.Any(figure => figure is { Limit.Hard: true, Margin: < 0 }) =>
                Verdict.Blocker,
            HeatPlanState.Planned when heat.Figures.Any(figure => !double.IsFinite(figure.Margin)) => Verdict.Unknown,
            HeatPlanState.Planned => Verdict.Ok,
            HeatPlanState.NotPossible => Verdict.FixFirst,
            _ => Verdict.Unknown,
        };
        Verdict verdict = findings.Select(finding => finding.Verdict).Append(state).Min();
        string? next =
            findings
                .FirstOrDefault(finding =>
                    finding.Verdict is Verdict.Blocker or Verdict.FixFirst && finding.Todo is not null
                )
                ?.Todo
            ?? (heat is { State: HeatPlanState.NotPossible, Remedies: [{ } first, ..] } ? first.What : null)
            ?? (
                heat.State == HeatPlanState.Planned && heat.Probes.Count > 0
                    ? $"Put the probe here: {heat.Probes[0].Where}."
                    : findings.FirstOrDefault(finding => finding.Todo is not null)?.Todo
            );
        return new QuestionAnswer(HeatQuestion, question, true, verdict, heat.Answer, next);
    }
}
