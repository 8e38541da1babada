using System.Text.Json;
using Graftbench.Core.Diagnosis;
using Graftbench.Core.Insight;
using Graftbench.Core.Jobs;
using Graftbench.Store;
using Graftbench.Web.Diagnosing;

namespace Graftbench.Web.Insight;

/// <summary>
/// The case of every job in the store. A job is read again only where its record has grown; of each only the small case
/// is kept.
/// </summary>
/// <param name="store">The store.</param>
public sealed class InsightBook(BenchStore store)
{
    private const string Decision = "decision";
    private static readonly string[] ReturnedMarks = ["\"stage\": \"returned\"", "\"stage\":\"returned\""];

    private readonly Dictionary<string, (InsightCase Case, long Lines)> cases = new(StringComparer.Ordinal);
    private readonly Dictionary<string, long> unread = new(StringComparer.Ordinal);
    private readonly Lock gate = new();

    /// <summary>The cases that are known now.</summary>
    public IReadOnlyList<InsightCase> Cases
    {
        get
        {
            lock (gate)
            {
                return [.. cases.Values.Select(one => one.Case)];
            }
        }
    }

    /// <summary>Jobs whose documents could not be read; they are in no count.</summary>
    public IReadOnlyList<string> Unread
    {
        get
        {
            lock (gate)
            {
                return [.. unread.Keys.Order(StringComparer.Ordinal)];
            }
        }
    }

    /// <summary>Jobs whose record has grown since they were read, with its lines.</summary>
    public IReadOnlyList<(string Id, long Lines)> Changed()
    {
        IReadOnlyDictionary<string, long> records = store.JobLines();
        lock (gate)
        {
            foreach (string gone in cases.Keys.Concat(unread.Keys).Where(id => !records.ContainsKey(id)).ToList())
            {
                cases.Remove(gone);
                unread.Remove(gone);
            }
            return
            [
                .. records
                    .Where(one =>
                        !(
                            cases.TryGetValue(one.Key, out (InsightCase Case, long Lines) known)
                            && known.Lines == one.Value
                        ) && !(unread.TryGetValue(one.Key, out long tried) && tried == one.Value)
                    )
                    .OrderBy(one => one.Key, StringComparer.Ordinal)
                    .Select(one => (one.Key, one.Value)),
            ];
        }
    }

    /// <summary>Reads one job into its case.</summary>
    /// <param name="id">The job.</param>
    /// <param name="lines">Lines of its record that were seen; more that came since are read the next time.</param>
    public void Read(string id, long lines)
    {
        InsightCase? found = null;
        try
        {
            if (store.FindJob(id) is not { } stored)
            {
                return;
            }
            found = CaseReading.Of(stored.Job, stored.Revision, Facts(stored));
        }
        catch (StoreException)
        {
            // Said on the page with the job's name; the others are read all the same.
        }
        lock (gate)
        {
            if (found is null)
            {
                cases.Remove(id);
                unread[id] = lines;
            }
            else
            {
                unread.Remove(id);
                cases[id] = (found, lines);
            }
        }
    }

    /// <summary>Reads whatever has changed.</summary>
    /// <param name="progress">Told after each job: how many are read, of how many.</param>
    /// <param name="stop">Stops between two jobs; what was read stays.</param>
    public void Refresh(Action<int, int>? progress, CancellationToken stop)
    {
        IReadOnlyList<(string Id, long Lines)> changed = Changed();
        for (int i = 0; i < changed.Count; i++)
        {
            stop.ThrowIfCancellationRequested();
            Read(changed[i].Id, changed[i].Lines);
            progress?.Invoke(i + 1, changed.Count);
        }
    }

    private RecordFacts Facts(StoredJob stored)
    {
        string id = stored.Job.Id;
        CaseClosing? closing = null;
        DateTimeOffset? closedAt = null;
        if (DiagnosisRecord.Of(store.Evidence(id, Decision)).Closed is { } closed)
        {
            closing = closed.Closing;
            closedAt = closed.At;
        }
        bool givenUp = closing is { CauseId: null, Proof: CaseProof.None };
        (DateTimeOffset? over, DateTimeOffset? back) = FirstReturn(stored);
        return new RecordFacts(stored.ChangedAt, over, back, givenUp ? closedAt : null);
    }

    // Only a job that was handed over can have come back; of the others no older revision is looked at.
    private (DateTimeOffset? Over, DateTimeOffset? Back) FirstReturn(StoredJob stored)
    {
        Job job = stored.Job;
        if (stored.Revision < 2 || (job.Stage < JobStage.HandedOver && job.Handover?.HandedOverAt is null))
        {
            return (null, null);
        }
        foreach (EvidenceLine line in store.Evidence(job.Id, EvidenceRules.JobSaved))
        {
            if (ReturnedMarks.Any(mark => line.PayloadJson.Contains(mark, StringComparison.Ordinal)))
            {
                DateTimeOffset? over = null;
                try
                {
                    Job? then = JsonSerializer.Deserialize<Job>(line.PayloadJson, JobFormat.Json);
                    if (then?.Stage != JobStage.Returned)
                    {
                        continue;
                    }
                    over = then.Handover?.HandedOverAt;
                }
                catch (Exception problem)
                    when (problem is JsonException or InvalidOperationException or ArgumentException)
                {
                    // An old revision that this program cannot read tells the day at least.
                }
                return (over, line.At);
            }
        }
        return (null, null);
    }
}
