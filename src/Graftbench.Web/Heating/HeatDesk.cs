using Graftbench.Core;
using Graftbench.Core.Heating;
using Graftbench.Core.Jobs;
using Graftbench.Web.Desk;

namespace Graftbench.Web.Heating;

/// <summary>Computes a heat plan; takes seconds, reports how far it is, stops when told.</summary>
/// <param name="job">The job.</param>
/// <param name="task">What the heat is for.</param>
/// <param name="chipId">The chip.</param>
/// <param name="progress">Told how far it is.</param>
/// <param name="cancel">Stops it.</param>
public delegate HeatPlan HeatPlanning(
    Job job,
    HeatTask task,
    string chipId,
    IProgress<PlanProgress> progress,
    CancellationToken cancel
);

/// <summary>Heat plans computed in the background, by job, task and chip.</summary>
/// <param name="planning">Computes one plan; null where this program holds no planner.</param>
/// <param name="known">Lays what is known of its bench into a job; null where nothing is.</param>
public sealed class HeatDesk(HeatPlanning? planning, Func<Job, Job>? known = null) : IDisposable
{
    private readonly PlanDesk<HeatPlan> desk = new("heat plan");

    /// <summary>Whether plans can be computed at all.</summary>
    public bool CanPlan => planning is not null;

    /// <summary>Rises with every plan that is finished, so that whoever keeps answers knows that there is news.</summary>
    public int Version => desk.Version;

    /// <summary>Where a plan stands.</summary>
    public DeskStatus<HeatPlan> Status(Job job, HeatTask task, string chipId) =>
        desk.Status(Key(Known(job), task, chipId));

    /// <summary>Asks for a plan. One that is there, waits or runs is not asked for again.</summary>
    /// <returns>Where it stands now.</returns>
    public DeskStatus<HeatPlan> Request(Job job, HeatTask task, string chipId)
    {
        Job whole = Known(job);
        return desk.Request(
            Key(whole, task, chipId),
            planning is null ? null : (progress, cancel) => planning(whole, task, chipId, progress, cancel)
        );
    }

    /// <summary>Stops a plan that waits or runs.</summary>
    public void Cancel(Job job, HeatTask task, string chipId) => desk.Cancel(Key(Known(job), task, chipId));

    /// <summary>Stops everything.</summary>
    public void Dispose() => desk.Dispose();

    private Job Known(Job job) => known?.Invoke(job) ?? job;

    private static string Key(Job job, HeatTask task, string chipId) => PlanKey.Of(job, $"{task}\n{chipId}");
}
