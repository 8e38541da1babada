using Graftbench.Core.Drying;
using Graftbench.Core.Findings;
using Graftbench.Core.Jobs;

namespace Graftbench.Core.Planning;

/// <summary>The one thing to do next in a job.</summary>
public static class NextStep
{
    private const int Drying = 2;

    // The order in which questions are answered that nothing was entered for yet: what is lost with the first heat comes before it.
    private static readonly int[] Order = [1, 7, 8, 3, 5, 6, 10];

    /// <summary>The question to look at next; null where nothing is to do, as after a hand-over.</summary>
    /// <param name="plan">The plan.</param>
    /// <returns>
    /// The first question that a blocker stops, else one with something to fix first, else that of the job's stage, else the first with
    /// something to do, else the first that nobody has answered yet. Its <c>Next</c> is never null.
    /// </returns>
    public static QuestionAnswer? Of(JobPlan plan)
    {
        ArgumentNullException.ThrowIfNull(plan);
        JobStage stage = plan.Job.Stage;
        QuestionAnswer[] open = [.. plan.Questions.Where(question => question is { Computed: true, Next: not null })];
        if (stage == JobStage.HandedOver)
        {
            return open.FirstOrDefault(question => question.Number == 10);
        }
        QuestionAnswer[] work = OnlyTheClock(plan) ? [.. open.Where(question => question.Number != Drying)] : open;
        return Worst(open, Verdict.Blocker)
            ?? Worst(work, Verdict.FixFirst)
            ?? work.FirstOrDefault(question => question.Number == QuestionOf(stage))
            ?? ToAnswer(plan, QuestionOf(stage))
            ?? work.MinBy(question => question.Number)
            ?? Order.Select(number => ToAnswer(plan, number)).FirstOrDefault(question => question is not null)
            ?? open.FirstOrDefault();
    }

    // Everything wet is in the dryer: that takes its time, and other work can be done meanwhile.
    private static bool OnlyTheClock(JobPlan plan) =>
        plan.Findings.All(finding =>
            finding.Code == "drying.not-dry"
            || finding.Verdict > Verdict.FixFirst
            || !finding.Code.StartsWith("drying.", StringComparison.Ordinal)
        )
        && plan.Drying.Subjects.Any(subject => subject.State == DryingState.InDryer)
        && plan.Drying.Subjects.All(subject => subject.State is not (DryingState.ToDry or DryingState.NoAnswer));

    private static QuestionAnswer? Worst(QuestionAnswer[] open, Verdict verdict) =>
        open.Where(question => question.Verdict == verdict).MinBy(question => question.Number);

    private static QuestionAnswer? ToAnswer(JobPlan plan, int number) =>
        plan.Questions.FirstOrDefault(question => question.Number == number && !question.Computed) is { } question
        && FirstWords(number, plan.Job) is { } next
            ? question with
            {
                Next = next,
            }
            : null;

    // How a question begins that nothing was entered for yet; null where it answers itself, or is not asked at that stage.
    private static string? FirstWords(int number, Job job) =>
        number switch
        {
            1 => "Enter what chip and board say, on the fit sheet.",
            3 => "Compute the heat plan.",
            5 => "Compute the joint seat.",
            6 when job.Stage >= JobStage.Inspecting => "Photograph the placed chip from all four sides.",
            6 => "Photograph the balls before the chip is placed.",
            7 when job.History.Heats.Count > 0 => "Read the rails, before any power.",
            7 =>
                $"Read the rails of the host{(job.Donor is null ? "" : " and the donor")}: after the first heat there is nothing to hold against.",
            8 when job.History.Heats.Count > 0 => "Read the flash chip twice and add both reads.",
            8 => "Read the flash chip twice and add both reads: before the first heat.",
            9 when job.Stage == JobStage.Returned =>
                "Take the readings of the return, then the test that tells most per minute.",
            10 => "Enter what the hand-over sheet needs.",
            _ => null,
        };

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
            JobStage.Returned => 9,
            _ => 10,
        };
}
