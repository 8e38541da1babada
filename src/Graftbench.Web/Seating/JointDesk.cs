using Graftbench.Core;
using Graftbench.Core.Jobs;
using Graftbench.Core.Joints;
using Graftbench.Web.Desk;

namespace Graftbench.Web.Seating;

/// <summary>Computes how a chip seats: with all chances and levers, or at a glance while somebody moves a slider.</summary>
/// <param name="Whole">The whole answer; takes seconds.</param>
/// <param name="Glance">Pictures and a rough chance, in well under a tenth of a second.</param>
public sealed record JointPlanning(
    Func<Job, string, IProgress<PlanProgress>, CancellationToken, JointPlan> Whole,
    Func<Job, string, CancellationToken, JointPlan> Glance
);

/// <summary>Joint seats computed in the background, by job and chip.</summary>
/// <param name="planning">Computes them; null where this program holds no planner.</param>
public sealed class JointDesk(JointPlanning? planning) : IDisposable
{
    private readonly PlanDesk<JointPlan> desk = new("joint seat");

    /// <summary>Whether seats can be computed at all.</summary>
    public bool CanPlan => planning is not null;

    /// <summary>Rises with every seat that is finished.</summary>
    public int Version => desk.Version;

    /// <summary>Where a seat stands.</summary>
    public DeskStatus<JointPlan> Status(Job job, string chipId) => desk.Status(Key(job, chipId));

    /// <summary>Asks for a seat. One that is there, waits or runs is not asked for again.</summary>
    /// <returns>Where it stands now.</returns>
    public DeskStatus<JointPlan> Request(Job job, string chipId) =>
        desk.Request(
            Key(job, chipId),
            planning is null ? null : (progress, cancel) => planning.Whole(job, chipId, progress, cancel)
        );

    /// <summary>Stops a seat that waits or runs.</summary>
    public void Cancel(Job job, string chipId) => desk.Cancel(Key(job, chipId));

    /// <summary>The seat at a glance; null where this program holds no planner.</summary>
    public JointPlan? Glance(Job job, string chipId, CancellationToken cancel) => planning?.Glance(job, chipId, cancel);

    /// <summary>Stops everything.</summary>
    public void Dispose() => desk.Dispose();

    private static string Key(Job job, string chipId) => PlanKey.OfSeat(job, chipId);
}
