using Graftbench.Core.Joints;
using Graftbench.Web.Desk;

namespace Graftbench.Web.Seating;

/// <summary>The planner of the joints as the desk calls it.</summary>
public static class SeatPlanner
{
    /// <summary>The real one.</summary>
    public static JointPlanning Real { get; } =
        new(
            (job, chipId, progress, cancel) =>
            {
                progress.Report(new DeskProgress(0.1, "settles the chip, draws packages, tries what helps"));
                return JobJoints.Plan(job, chipId, cancel);
            },
            JobJoints.Glance
        );
}
