using System.Collections.Concurrent;
using System.Security.Cryptography;
using Graftbench.Core;
using Graftbench.Core.Calibrating;
using Graftbench.Web.Desk;

namespace Graftbench.Web.Benches;

/// <summary>A trial that is being fitted or was fitted, until somebody keeps it or it gives way to others.</summary>
/// <param name="Id">Its id.</param>
/// <param name="Bench">Name of the bench.</param>
/// <param name="JobId">Job that its form started from.</param>
/// <param name="Trial">The trial.</param>
public sealed record DeskTrial(string Id, string Bench, string JobId, Trial Trial);

/// <summary>Fits trials in the background, one at a time; a few are kept in memory.</summary>
public sealed class TrialDesk : IDisposable
{
    private const int MostKept = 8;
    private readonly PlanDesk<CalibrationResult> desk = new("calibration");
    private readonly ConcurrentDictionary<string, DeskTrial> trials = new(StringComparer.Ordinal);
    private readonly ConcurrentQueue<string> order = new();

    /// <summary>Begins to fit a trial.</summary>
    /// <param name="bench">Name of the bench.</param>
    /// <param name="jobId">Job that its form started from.</param>
    /// <param name="trial">The trial.</param>
    public DeskTrial Begin(string bench, string jobId, Trial trial)
    {
        DeskTrial begun = new(RandomNumberGenerator.GetHexString(24, lowercase: true), bench, jobId, trial);
        trials[begun.Id] = begun;
        order.Enqueue(begun.Id);
        while (order.Count > MostKept && order.TryDequeue(out string? oldest))
        {
            desk.Cancel(oldest);
            trials.TryRemove(oldest, out _);
        }
        desk.Request(
            begun.Id,
            (progress, cancel) =>
                Calibrator.Calibrate(
                    begun.Trial.Request,
                    new Told(share => progress.Report(new PlanProgress("builds the model of the board", 0.8 * share))),
                    cancel
                )
        );
        return begun;
    }

    /// <summary>A trial; null where there is none of that id.</summary>
    /// <param name="id">Its id.</param>
    public DeskTrial? Find(string id) => trials.GetValueOrDefault(id);

    /// <summary>How far it is.</summary>
    /// <param name="trial">The trial.</param>
    public DeskStatus<CalibrationResult> Status(DeskTrial trial)
    {
        ArgumentNullException.ThrowIfNull(trial);
        return desk.Status(trial.Id);
    }

    /// <summary>Lets go of a trial that was kept.</summary>
    /// <param name="trial">The trial.</param>
    public bool Drop(DeskTrial trial)
    {
        ArgumentNullException.ThrowIfNull(trial);
        return trials.TryRemove(trial.Id, out _);
    }

    /// <inheritdoc />
    public void Dispose() => desk.Dispose();

    private sealed class Told(Action<double> told) : IProgress<double>
    {
        public void Report(double value) => told(value);
    }
}
