using Graftbench.Core;
using Graftbench.Core.Heating;
using Graftbench.Core.Jobs;
using Graftbench.Core.Reviewing;
using Graftbench.Store;
using Graftbench.Web.Benches;
using Graftbench.Web.Desk;
using Graftbench.Web.Heating;

namespace Graftbench.Web.Reviewing;

/// <summary>Reviews of stored runs with hidden joints estimated, computed in the background: a model has to be built for each.</summary>
/// <param name="store">The store.</param>
/// <param name="heats">Heat plans, which say which nozzle a heat was planned with.</param>
/// <param name="time">Clock, for the age of a calibration.</param>
public sealed class RunDesk(BenchStore store, HeatDesk heats, TimeProvider time) : IDisposable
{
    private readonly PlanDesk<RunReview> desk = new("review of the heat");

    /// <summary>Where a review stands.</summary>
    public DeskStatus<RunReview> Status(Job job, HeatRun run) => desk.Status(Key(job, run));

    /// <summary>What was said about a run; a nozzle that nobody named is that of the heat's plan, where it is computed.</summary>
    public RunSetup SetupOf(Job job, HeatRun run)
    {
        ArgumentNullException.ThrowIfNull(run);
        RunSetup setup = RunSetup.Read(run.SetupJson);
        return
            setup is { Nozzle: null, Task: { } task, ChipId: { } chip }
            && heats.Status(job, task, chip).Plan?.Nozzle?.Name is { } nozzle
            ? setup with
            {
                Nozzle = nozzle,
            }
            : setup;
    }

    /// <summary>Asks for a review. One that is there, waits or runs is not asked for again.</summary>
    public DeskStatus<RunReview> Request(Job job, HeatRun run) =>
        desk.Request(Key(job, run), (progress, cancel) => Review(job, run, estimate: true, progress, cancel));

    /// <summary>Stops one that waits or runs.</summary>
    public void Cancel(Job job, HeatRun run) => desk.Cancel(Key(job, run));

    /// <summary>Stops everything.</summary>
    public void Dispose() => desk.Dispose();

    /// <summary>The review of a stored run.</summary>
    /// <param name="job">Its job.</param>
    /// <param name="run">The run.</param>
    /// <param name="estimate">Whether hidden joints are estimated, which takes seconds.</param>
    /// <param name="progress">Told how far it is; null for nobody.</param>
    /// <param name="cancel">Stops it.</param>
    public RunReview Review(
        Job job,
        HeatRun run,
        bool estimate,
        IProgress<PlanProgress>? progress = null,
        CancellationToken cancel = default
    )
    {
        ArgumentNullException.ThrowIfNull(run);
        return RunReviewing.Review(
            RunView.NameOf(run),
            BenchKnowledge.With(store, job, time.GetUtcNow()),
            StoredRuns.Log(store, run),
            SetupOf(job, run),
            estimate,
            progress,
            cancel
        );
    }

    private static string Key(Job job, HeatRun run) =>
        PlanKey.Of(job, $"review\n{run.Id}\n{run.State}\n{run.SetupJson}");
}
