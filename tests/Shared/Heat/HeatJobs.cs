using Graftbench.Core.Heating;
using Graftbench.Core.Jobs;

namespace Graftbench.Tests.Shared;

/// <summary>Hand-made plans for whatever job comes.</summary>
internal static class HeatJobs
{
    public static Chip Chip { get; } =
        new()
        {
            Id = "U1",
            From = ChipPlace.Host,
            To = ChipPlace.Host,
            BodyLengthMm = 27,
            BodyWidthMm = 27,
            BodyThicknessMm = 2.3,
            XMm = 82,
            YMm = 52,
        };

    /// <summary>The plan for a heat of a job.</summary>
    public static HeatPlan Plan(Job job, HeatTask task, string chipId, HeatPlanState state = HeatPlanState.Planned)
    {
        Chip chip = job.Chips.First(each => each.Id == chipId);
        Board board = task == HeatTask.Lift && chip.From == ChipPlace.Donor ? job.Donor! : job.Host;
        return HeatPlans.Of(board, chip, task, state);
    }
}
