using Graftbench.Core.Findings;
using Graftbench.Core.Heating;

namespace Graftbench.Core.Planning;

public static partial class Planner
{
    // An answer's own findings as they stand after waivers; what the answer itself says weighs at least as much.
    private static List<Finding> Own(IReadOnlyList<Finding> answer, IReadOnlyList<Finding> all)
    {
        HashSet<(string, string)> own = [.. answer.Select(finding => (finding.Code, finding.Where))];
        return [.. all.Where(finding => own.Contains((finding.Code, finding.Where)))];
    }

    private static string? Urgent(IEnumerable<Finding> findings) =>
        findings
            .FirstOrDefault(finding =>
                finding.Verdict is Verdict.Blocker or Verdict.FixFirst && finding.Todo is not null
            )
            ?.Todo;

    private static QuestionAnswer HeatAnswer(string question, HeatPlan heat, IReadOnlyList<Finding> all)
    {
        List<Finding> findings = Own(heat.Findings, all);
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
            heat.Model?.Lacks?.Todo
            ?? Urgent(findings)
            ?? (heat is { State: HeatPlanState.NotPossible, Remedies: [{ } first, ..] } ? first.What : null)
            ?? (
                heat.State == HeatPlanState.Planned && heat.Probes.Count > 0
                    ? $"Put the probe here: {heat.Probes[0].Where}."
                    : findings.FirstOrDefault(finding => finding.Todo is not null)?.Todo
            );
        return new QuestionAnswer(HeatQuestion, question, true, verdict, heat.Answer, next);
    }
}
