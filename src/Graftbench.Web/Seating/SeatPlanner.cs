using Graftbench.Core.Joints;
using Graftbench.Web.Desk;

namespace Graftbench.Web.Seating;

/// <summary>The planner of the joints as the desk calls it.</summary>
public static class SeatPlanner
{
    /// <summary>The real one.</summary>
    public static JointPlanning Real { get; } =
        new((job, chipId, progress, cancel) => JobJoints.Plan(job, chipId, progress, cancel), JobJoints.Glance);
}
