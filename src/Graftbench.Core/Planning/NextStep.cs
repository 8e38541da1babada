using Graftbench.Core.Findings;
using Graftbench.Core.Jobs;

namespace Graftbench.Core.Planning;

/// <summary>The one thing to do next in a job.</summary>
public static class NextStep
{
    /// <summary>The question to look at next; null where no question has something to do.</summary>
    /// <param name="plan">The plan.</param>
    /// <returns>The first question that a blocker stops, else one with something to fix first, else that of the job's stage, else the first with something to do.</returns>
    public static QuestionAnswer? Of(JobPlan plan)
    {
        ArgumentNullException.ThrowIfNull(plan);
        int here = QuestionOf(plan.Job.Stage);
        return plan
            .Questions.Where(question => question is { Computed: true, Next: not null })
            .OrderBy(question =>
                question.Verdict switch
                {
                    Verdict.Blocker => 0,
                    Verdict.FixFirst => 1,
                    _ => question.Number == here ? 2 : 3,
                }
            )
            .ThenBy(question => question.Number)
            .FirstOrDefault();
    }

    // What a stage waits for.
    private static int QuestionOf(JobStage stage) =>
        stage switch
        {
            JobStage.Intake or JobStage.Fit => 1,
            JobStage.Baseline or JobStage.Proving or JobStage.FirstPower => 7,
            JobStage.Drying => 2,
            JobStage.Lifting or JobStage.Placing => 3,
            JobStage.Preparing => 5,
            JobStage.Inspecting => 6,
            _ => 10,
        };
}
