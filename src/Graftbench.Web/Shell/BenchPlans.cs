using System.Collections.Concurrent;
using Graftbench.Core.Planning;
using Graftbench.Store;

namespace Graftbench.Web.Shell;

/// <summary>Plans of stored jobs for the present moment, kept for half a minute so that a page of many jobs opens at once.</summary>
public sealed class BenchPlans(TimeProvider time)
{
    private static readonly TimeSpan KeptFor = TimeSpan.FromSeconds(30);
    private readonly ConcurrentDictionary<string, (int Revision, JobPlan Plan)> kept = new(StringComparer.Ordinal);

    /// <summary>The plan of a job as of now.</summary>
    public JobPlan For(StoredJob stored)
    {
        DateTimeOffset now = time.GetLocalNow();
        if (
            kept.TryGetValue(stored.Job.Id, out (int Revision, JobPlan Plan) known)
            && known.Revision == stored.Revision
            && (now - known.Plan.ComputedAt).Duration() < KeptFor
        )
        {
            return known.Plan;
        }
        JobPlan plan = Planner.Plan(stored.Job, now);
        kept[stored.Job.Id] = (stored.Revision, plan);
        return plan;
    }
}
