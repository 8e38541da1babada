using Graftbench.Core;

namespace Graftbench.Web.Desk;

/// <summary>
/// Computes plans in the background: one at a time, in the order they were asked for, never twice for the same content of a
/// job, kept in memory up to a limit. Pages only look at it.
/// </summary>
/// <typeparam name="TPlan">What is computed.</typeparam>
/// <param name="about">What it computes: <c>heat plan</c>.</param>
public sealed class PlanDesk<TPlan>(string about) : IDisposable
    where TPlan : class
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

    private sealed class Entry(string key, Func<IProgress<PlanProgress>, CancellationToken, TPlan> planning)
    {
        public string Key { get; } = key;

        // Let go when it is done: it holds the job.
        public Func<IProgress<PlanProgress>, CancellationToken, TPlan>? Planning { get; set; } = planning;
        public DeskState State { get; set; } = DeskState.Queued;
        public double Done { get; set; }
        public string Words { get; set; } = "waits for its turn";
        public TPlan? Plan { get; set; }
        public long Looked { get; set; }
        public CancellationTokenSource Stop { get; } = new();
        public DeskStatus<TPlan> Status => new(Key, State, Done, Words, Plan);
    }

    /// <summary>Rises with every plan that is finished, so that whoever keeps answers knows that there is news.</summary>
    public int Version { get; private set; }

    /// <summary>Where a plan stands.</summary>
    public DeskStatus<TPlan> Status(string key)
    {
        lock (gate)
        {
            if (!entries.TryGetValue(key, out Entry? entry))
            {
                return new DeskStatus<TPlan>(key, DeskState.NotComputed, 0, "", null);
            }
            entry.Looked = ++looks;
            return entry.Status;
        }
    }

    /// <summary>Asks for a plan. One that is there, waits or runs is not asked for again.</summary>
    /// <param name="key">Hash of everything the plan depends on.</param>
    /// <param name="planning">Computes it; null where this program cannot.</param>
    /// <returns>Where it stands now.</returns>
    public DeskStatus<TPlan> Request(string key, Func<IProgress<PlanProgress>, CancellationToken, TPlan>? planning)
    {
        lock (gate)
        {
            if (
                entries.TryGetValue(key, out Entry? known)
                && known.State is not (DeskState.Failed or DeskState.Cancelled)
            )
            {
                return known.Status;
            }
            if (planning is null || closed || waiting.Count >= MostWaiting)
            {
                string why =
                    planning is null ? $"This program holds no planner for the {about}."
                    : closed ? "The bench is being shut down."
                    : $"{MostWaiting} plans wait already; ask again when they are done.";
                return new DeskStatus<TPlan>(key, DeskState.Failed, 0, why, null);
            }
            Entry entry = new(key, planning) { Looked = ++looks };
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
                    Name = $"desk of the {about}",
                    Priority = ThreadPriority.BelowNormal,
                }.Start();
            }
            return entry.Status;
        }
    }

    /// <summary>Stops a plan that waits or runs.</summary>
    public void Cancel(string key)
    {
        lock (gate)
        {
            if (entries.TryGetValue(key, out Entry? entry) && entry.Status.Moving)
            {
                entry.Stop.Cancel();
                entry.State = DeskState.Cancelled;
                entry.Words = "stopped";
                entry.Planning = null;
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
                entry.State = DeskState.Cancelled;
            }
        }
    }

    private void Work()
    {
        while (true)
        {
            Entry entry;
            Func<IProgress<PlanProgress>, CancellationToken, TPlan> planning;
            lock (gate)
            {
                if (closed || !waiting.TryDequeue(out entry!))
                {
                    working = false;
                    return;
                }
                if (entry.State != DeskState.Queued || entry.Planning is null)
                {
                    continue;
                }
                entry.State = DeskState.Running;
                entry.Words = "starts";
                planning = entry.Planning;
            }
            Compute(entry, planning);
        }
    }

    private void Compute(Entry entry, Func<IProgress<PlanProgress>, CancellationToken, TPlan> planning)
    {
        TPlan? plan = null;
        string words = "";
        try
        {
            plan = planning(new Teller(this, entry), entry.Stop.Token);
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
            entry.Planning = null;
            if (entry.State != DeskState.Running)
            {
                return;
            }
            entry.Plan = plan;
            entry.Done = plan is null ? entry.Done : 1;
            entry.Words = words;
            entry.State =
                plan is not null ? DeskState.Done
                : entry.Stop.IsCancellationRequested ? DeskState.Cancelled
                : DeskState.Failed;
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
                .Values.Where(entry => entry.State == DeskState.Done)
                .OrderByDescending(entry => entry.Looked)
                .Skip(MostKept)
                .ToList()
        )
        {
            entries.Remove(old.Key);
        }
    }

    private sealed class Teller(PlanDesk<TPlan> desk, Entry entry) : IProgress<PlanProgress>
    {
        public void Report(PlanProgress value)
        {
            lock (desk.gate)
            {
                if (entry.State == DeskState.Running && double.IsFinite(value.DoneFraction))
                {
                    // Never backwards: a bar that falls back is read as a fault.
                    entry.Done = Math.Max(entry.Done, Math.Clamp(value.DoneFraction, 0, 1));
                    entry.Words = value.Step;
                }
            }
        }
    }
}
