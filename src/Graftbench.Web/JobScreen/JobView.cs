using Graftbench.Core.Drying;
using Graftbench.Core.Findings;
using Graftbench.Core.Jobs;
using Graftbench.Core.Planning;
using Graftbench.Store;

namespace Graftbench.Web.JobScreen;

/// <summary>Everything that the job page shows.</summary>
/// <param name="Stored">The job as stored.</param>
/// <param name="Plan">Its plan for now.</param>
/// <param name="Lines">Its evidence in the store, oldest first.</param>
/// <param name="Done">What was just done, for the line at the top; null for nothing.</param>
public sealed record JobView(StoredJob Stored, JobPlan Plan, IReadOnlyList<EvidenceLine> Lines, string? Done)
{
    /// <summary>Files of the evidence whose content was removed on request, by SHA-256.</summary>
    public IReadOnlySet<string> Emptied { get; init; } = new HashSet<string>(StringComparer.Ordinal);

    /// <summary>The job.</summary>
    public Job Job => Stored.Job;

    /// <summary>Address of the job page.</summary>
    public string Address => $"/jobs/{Job.Id}";

    /// <summary>Waivers of a finding, oldest first.</summary>
    public IEnumerable<EvidenceEntry> WaiversOf(Finding finding) => Waivers.Of(Job, finding);

    /// <summary>The bake that runs for a subject; null where it is not in a dryer.</summary>
    public Exposure? RunningBake(string subjectId) =>
        Job.History.Exposures.LastOrDefault(exposure =>
            exposure.Of == subjectId
            && exposure.Place == ExposurePlace.Bake
            && exposure.From <= Plan.ComputedAt
            && (exposure.To is null || exposure.To > Plan.ComputedAt)
        );

    /// <summary>Parts that bar a board from the dryer: a finding says so, and nobody has set it aside.</summary>
    public IReadOnlyList<RemoveFirst> MustComeOff(SubjectDrying subject) => MustComeOff(Plan, subject);

    /// <summary>Parts of a plan that bar a board from the dryer.</summary>
    /// <param name="plan">The plan; its findings know the waivers.</param>
    /// <param name="subject">The board.</param>
    public static IReadOnlyList<RemoveFirst> MustComeOff(JobPlan plan, SubjectDrying subject)
    {
        HashSet<string> places = plan
            .Findings.Where(finding =>
                finding.Code == "drying.take-off-first" && finding.Verdict is Verdict.Blocker or Verdict.FixFirst
            )
            .Select(finding => finding.Where)
            .ToHashSet(StringComparer.Ordinal);
        return subject.RemoveFirst.Where(part => places.Contains($"{subject.Title}, {part.Ref}")).ToList();
    }

    /// <summary>Findings that belong to no card of the page: neither to a question nor to the ledger.</summary>
    public IReadOnlyList<Finding> OtherFindings =>
        Plan
            .Findings.Where(finding =>
                !Plan
                    .Drying.Findings.Concat(Plan.Ledger.Findings)
                    .Concat(Plan.Heat?.Findings ?? [])
                    .Concat(Plan.Joints?.Findings ?? [])
                    .Concat(Plan.Apart?.Summaries.SelectMany(summary => summary.Findings) ?? [])
                    .Any(shown => shown.Code == finding.Code && shown.Where == finding.Where)
            )
            .ToList();

    /// <summary>Whether there is an earlier revision to go back to.</summary>
    public bool CanUndo => Lines.Count(line => line.Kind == "job-saved") > 1;

    /// <summary>Order of the drying states in words for the head of a subject.</summary>
    public static string StateWords(DryingState state) =>
        state switch
        {
            DryingState.NoBakeNeeded => "No bake needed",
            DryingState.ToDry => "Still to dry",
            DryingState.InDryer => "In the dryer",
            DryingState.Dried => "Dried as advised",
            DryingState.NoHeatLeft => "No heat left",
            _ => "No answer with this dryer",
        };
}
