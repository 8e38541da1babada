using Graftbench.Core.Findings;
using Graftbench.Core.Handover;
using Graftbench.Core.Jobs;
using Graftbench.Core.Planning;
using Graftbench.Store;
using Graftbench.Web.Shell;

namespace Graftbench.Web.HandingOver;

/// <summary>Everything that the hand-over screen shows.</summary>
/// <param name="Stored">The job as stored.</param>
/// <param name="Plan">Its plan for now.</param>
/// <param name="Answer">The answer to question 10.</param>
public sealed record HandoverView(StoredJob Stored, JobPlan Plan, HandoverAnswer Answer)
{
    /// <summary>What is wrong with what was asked for.</summary>
    public IReadOnlyList<string> Problems { get; init; } = [];

    /// <summary>What was just done; null for nothing.</summary>
    public string? Done { get; init; }

    /// <summary>Address of the job page.</summary>
    public string JobAddress => $"/jobs/{Stored.Job.Id}";

    /// <summary>Address of this screen.</summary>
    public string Address => JobAddress + "/handover";

    /// <summary>Whether it was handed over and has not come back.</summary>
    public bool Over => Stored.Job.Stage == JobStage.HandedOver;

    /// <summary>Sheets that were kept when it was handed over, newest first.</summary>
    public IEnumerable<EvidenceEntry> Kept => SheetsOf(Stored.Job);

    /// <summary>Checklist, in the parts that the page shows: what stands against it, what to mind, what was checked.</summary>
    public IEnumerable<(string Title, IReadOnlyList<Finding> Findings)> Parts =>
        [
            ("Put right first", [.. Answer.Stops]),
            ("Not tested", Of(Verdict.Unknown)),
            ("To mind, and to tell the owner", Of(Verdict.Warning)),
            ("Checked", Of(Verdict.Ok)),
        ];

    private IReadOnlyList<Finding> Of(Verdict verdict) =>
        [.. Answer.Findings.Where(finding => finding.Verdict == verdict)];

    /// <summary>Name of a job's sheet as a file, without its ending.</summary>
    public static string SheetName(Job job)
    {
        ArgumentNullException.ThrowIfNull(job);
        return $"{job.Id}-handover";
    }

    /// <summary>Sheets of a job that were kept when it was handed over, newest first.</summary>
    public static IEnumerable<EvidenceEntry> SheetsOf(Job job)
    {
        ArgumentNullException.ThrowIfNull(job);
        return job
            .Evidence.Where(entry =>
                entry is { Kind: EvidenceKind.Decision, File: { } file, Sha256: not null }
                && file.StartsWith(SheetName(job), StringComparison.Ordinal)
            )
            .Reverse();
    }

    /// <summary>The screen of a job.</summary>
    public static HandoverView Of(StoredJob stored, BenchPlans plans)
    {
        ArgumentNullException.ThrowIfNull(stored);
        ArgumentNullException.ThrowIfNull(plans);
        return new HandoverView(stored, plans.For(stored), plans.Handover(stored));
    }
}
