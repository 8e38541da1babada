using Graftbench.Core.Heating;
using Graftbench.Web.Desk;

namespace Graftbench.Web.Heating;

/// <summary>The heat planner as the desk calls it.</summary>
public static class DeskPlanner
{
    /// <summary>Planning with models.</summary>
    /// <param name="models">Models of boards and benches.</param>
    public static HeatPlanning With(IHeatModels models) =>
        (job, task, chipId, progress, cancel) =>
            HeatPlanner.Plan(
                // One processor stays with the pages.
                new HeatRequest(job, task, chipId) { Workers = Math.Clamp(Environment.ProcessorCount - 1, 1, 8) },
                models,
                progress,
                cancel
            );
}
