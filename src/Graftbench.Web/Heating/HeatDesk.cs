using Graftbench.Core.Heating;
using Graftbench.Core.Jobs;

namespace Graftbench.Web.Heating;

/// <summary>How far a computation is.</summary>
/// <param name="DoneFraction">0 to 1.</param>
/// <param name="Words">What is being done: <c>searching settings</c>.</param>
public sealed record HeatDeskProgress(double DoneFraction, string Words);

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
    IProgress<HeatDeskProgress> progress,
    CancellationToken cancel
);

/// <summary>Where a heat plan stands.</summary>
public enum HeatDeskState
{
    /// <summary>Nobody asked for it yet, or the job has changed since.</summary>
    NotComputed,

    /// <summary>It waits for others.</summary>
    Queued,

    /// <summary>It is being computed.</summary>
    Running,

    /// <summary>It is there.</summary>
    Done,

    /// <summary>It broke; the words say how.</summary>
    Failed,

    /// <summary>A person stopped it.</summary>
    Cancelled,
}

/// <summary>Where a heat plan stands, at one moment.</summary>
/// <param name="Key">Hash of everything the plan depends on.</param>
/// <param name="State">Where it stands.</param>
/// <param name="DoneFraction">How far a running one is, 0 to 1.</param>
/// <param name="Words">What is being done, or what went wrong.</param>
/// <param name="Plan">The plan; null before it is done.</param>
public sealed record HeatDeskStatus(string Key, HeatDeskState State, double DoneFraction, string Words, HeatPlan? Plan)
{
    /// <summary>Whether it will change by itself.</summary>
    public bool Moving => State is HeatDeskState.Queued or HeatDeskState.Running;
}

/// <summary>
/// Computes heat plans in the background: one at a time, in the order they were asked for, never twice for the same
/// content of a job, kept in memory up to a limit. Pages only look at it.
/// </summary>
/// <param name="planning">Computes one plan; null where this program holds no planner.</param>
public sealed class HeatDesk(HeatPlanning? planning) : IDisposable
{
    /// <summary>Plans kept; the one looked at longest ago goes first.</summary>
    public const int MostKept = 16;

    /// <summary>Plans that may wait.</summary>
    public const int MostWaiting = 20;

    private readonly Lock gate = new();
    private readonly Dictionary<string, Entry> entries = new(StringComparer.Ordinal);
    private readonly Queue<Entry> waiting = new();
    private long looks;
    private bool working;
    private bool closed;

    private sealed class Entry(string key, Job job, HeatTask task, string chipId)
    {
        public string Key { get; } = key;
        public Job? Job { get; set; } = job;
        public HeatTask Task { get; } = task;
        public string ChipId { get; } = chipId;
        public HeatDeskState State { get; set; } = HeatDeskState.Queued;
        public double Done { get; set; }
        public string Words { get; set; } = "waits for its turn";
        public HeatPlan? Plan { get; set; }
        public long Looked { get; set; }
        public CancellationTokenSource Stop { get; } = new();
        public HeatDeskStatus Status => new(Key, State, Done, Words, Plan);
    }

    /// <summary>Whether plans can be computed at all.</summary>
    public bool CanPlan => planning is not null;

    /// <summary>Rises with every plan that is finished, so that whoever keeps answers knows that there is news.</summary>
    public int Version { get; private set; }

    /// <summary>Where a plan stands.</summary>
    public HeatDeskStatus Status(Job job, HeatTask task, string chipId)
    {
        string key = HeatKey.Of(job, task, chipId);
        lock (gate)
        {
            if (!entries.TryGetValue(key, out Entry? entry))
            {
                return new HeatDeskStatus(key, HeatDeskState.NotComputed, 0, "", null);
            }
            entry.Looked = ++looks;
            return entry.Status;
        }
    }

    /// <summary>Asks for a plan. One that is there, waits or runs is not asked for again.</summary>
    /// <returns>Where it stands now.</returns>
    public HeatDeskStatus Request(Job job, HeatTask task, string chipId)
    {
        string key = HeatKey.Of(job, task, chipId);
        lock (gate)
        {
            if (
                entries.TryGetValue(key, out Entry? known)
                && known.State is not (HeatDeskState.Failed or HeatDeskState.Cancelled)
            )
            {
                return known.Status;
            }
            if (planning is null || closed || waiting.Count >= MostWaiting)
            {
                string why =
                    planning is null ? "This program holds no heat planner."
                    : closed ? "The bench is being shut down."
                    : $"{MostWaiting} plans wait already; ask again when they are done.";
                return new HeatDeskStatus(key, HeatDeskState.Failed, 0, why, null);
            }
            Entry entry = new(key, job, task, chipId) { Looked = ++looks };
            entries[key] = entry;
            waiting.Enqueue(entry);
            MakeRoom();
            if (!working)
            {
                working = true;
                // A thread of its own, below the pages that are looked at meanwhile.
                new Thread(Work)
                {
                    IsBackground = true,
                    Name = "heat desk",
                    Priority = ThreadPriority.BelowNormal,
                }.Start();
            }
            return entry.Status;
        }
    }

    /// <summary>Stops a plan that waits or runs.</summary>
    public void Cancel(Job job, HeatTask task, string chipId)
    {
        string key = HeatKey.Of(job, task, chipId);
        lock (gate)
        {
            if (entries.TryGetValue(key, out Entry? entry) && entry.Status.Moving)
            {
                entry.Stop.Cancel();
                entry.State = HeatDeskState.Cancelled;
                entry.Words = "stopped";
                entry.Job = null;
            }
        }
    }

    /// <summary>Stops everything.</summary>
    public void Dispose()
    {
        lock (gate)
        {
            closed = true;
            foreach (Entry entry in entries.Values.Where(entry => entry.Status.Moving))
            {
                entry.Stop.Cancel();
                entry.State = HeatDeskState.Cancelled;
            }
        }
    }

    private void Work()
    {
        while (true)
        {
            Entry entry;
            Job job;
            lock (gate)
            {
                if (closed || !waiting.TryDequeue(out entry!))
                {
                    working = false;
                    return;
                }
                if (entry.State != HeatDeskState.Queued || entry.Job is null)
                {
                    continue;
                }
                entry.State = HeatDeskState.Running;
                entry.Words = "starts";
                job = entry.Job;
            }
            Compute(entry, job);
        }
    }

    private void Compute(Entry entry, Job job)
    {
        HeatPlan? plan = null;
        string words = "";
        try
        {
            plan = planning!(job, entry.Task, entry.ChipId, new Teller(this, entry), entry.Stop.Token);
        }
        catch (OperationCanceledException) when (entry.Stop.IsCancellationRequested)
        {
            words = "stopped";
        }
#pragma warning disable CA1031 // Whatever breaks here must reach the page in words and must not end the server.
        catch (Exception failure)
#pragma warning restore CA1031
        {
            words = $"{failure.GetType().Name}: {failure.Message}";
        }
        lock (gate)
        {
            entry.Job = null;
            if (entry.State != HeatDeskState.Running)
            {
                return;
            }
            entry.Plan = plan;
            entry.Done = plan is null ? entry.Done : 1;
            entry.Words = words;
            entry.State =
                plan is not null ? HeatDeskState.Done
                : entry.Stop.IsCancellationRequested ? HeatDeskState.Cancelled
                : HeatDeskState.Failed;
            Version++;
        }
    }

    private void MakeRoom()
    {
        while (entries.Count > MostKept + MostWaiting)
        {
            Entry? oldest = entries.Values.Where(entry => !entry.Status.Moving).MinBy(entry => entry.Looked);
            if (oldest is null)
            {
                return;
            }
            entries.Remove(oldest.Key);
        }
        foreach (
            Entry old in entries
                .Values.Where(entry => entry.State == HeatDeskState.Done)
                .OrderByDescending(entry => entry.Looked)
                .Skip(MostKept)
                .ToList()
        )
        {
            entries.Remove(old.Key);
        }
    }

    private sealed class Teller(HeatDesk desk, Entry entry) : IProgress<HeatDeskProgress>
    {
        public void Report(HeatDeskProgress value)
        {
            lock (desk.gate)
            {
                if (entry.State == HeatDeskState.Running && double.IsFinite(value.DoneFraction))
                {
                    // Never backwards: a bar that falls back is read as a fault.
                    entry.Done = Math.Max(entry.Done, Math.Clamp(value.DoneFraction, 0, 1));
                    entry.Words = value.Words;
                }
            }
        }
    }
}
