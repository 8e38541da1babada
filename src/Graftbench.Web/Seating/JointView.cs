using Graftbench.Core.Jobs;
using Graftbench.Core.Joints;
using Graftbench.Core.Planning;
using Graftbench.Store;
using Graftbench.Web.Desk;

namespace Graftbench.Web.Seating;

/// <summary>Everything that the screen of the joints shows.</summary>
/// <param name="Stored">The job as stored.</param>
/// <param name="Subject">Which chip; null for a job without one that goes to the host.</param>
/// <param name="Status">Where its whole answer stands; null for a job without.</param>
/// <param name="Plan">The job's plan with this chip as the answer to question 5.</param>
/// <param name="Look">What is tried.</param>
/// <param name="Glance">The seat at a glance, with what is tried; null where it cannot be computed.</param>
public sealed record JointView(
    StoredJob Stored,
    JointSubject? Subject,
    DeskStatus<JointPlan>? Status,
    JobPlan Plan,
    JointLook Look,
    JointPlan? Glance
)
{
    /// <summary>Number of the question.</summary>
    public const int Question = 5;

    /// <summary>The whole answer; null before it is computed.</summary>
    public JointPlan? Joints => Status?.Plan;

    /// <summary>Address of the job page.</summary>
    public string JobAddress => $"/jobs/{Stored.Job.Id}";

    /// <summary>The answer to the question.</summary>
    public QuestionAnswer Answer => Plan.Questions.First(question => question.Number == Question);
}
