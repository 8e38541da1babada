using Graftbench.Core.Ledger;
using Graftbench.Core.Planning;

namespace Graftbench.Cli;

/// <summary>A whole plan in short, for the terminal; the sheet says the rest.</summary>
internal static class PlanText
{
    /// <summary>Spells a plan in at most <see cref="Page.Width"/> columns.</summary>
    public static string Of(JobPlan plan)
    {
        Page page = new();
        page.Add(plan.Job.Title);
        page.Add($"job {plan.Job.Id}, planned for {Say.Moment(plan.ComputedAt, plan.ComputedAt)}");
        page.Add();
        foreach (QuestionAnswer question in plan.Questions.Where(question => question.Computed))
        {
            page.Add($"{question.Number, 2}  {question.Question}", 4);
            page.Add($"    {Say.Verdict(question.Verdict)}: {question.Answer}", 6);
            if (question.Next is { } next)
            {
                page.Add("    → " + next, 6);
            }
        }
        List<int> open = plan
            .Questions.Where(question => !question.Computed)
            .Select(question => question.Number)
            .ToList();
        if (open.Count > 0)
        {
            page.Add($"    Not computed yet: question {string.Join(", ", open)}.", 6);
        }
        page.Add();
        DryingText.Add(page, plan.Drying);
        page.Add();
        DryingText.AddFindings(page, plan.Findings);
        page.Add();
        page.Add("Heats");
        foreach (HeatAccount account in plan.Ledger.Accounts)
        {
            string assumed = account.AssumedNumber > 0 ? $" ({account.AssumedNumber:0.#} of them assumed)" : "";
            string planned =
                account.PlannedHighNumber > account.PlannedLowNumber
                    ? $"{account.PlannedLowNumber:0.#} to {account.PlannedHighNumber:0.#}"
                    : $"{account.PlannedLowNumber:0.#}";
            page.Add(
                $"  {account.Title}: {account.SpentNumber:0.#} spent{assumed}, {planned} planned, guideline {account.GuidelineNumber:0.#} [{account.GuidelineSource}]",
                4
            );
        }
        return page.ToString();
    }
}
