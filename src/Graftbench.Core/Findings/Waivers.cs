using Graftbench.Core.Jobs;

namespace Graftbench.Core.Findings;

/// <summary>Which written waivers belong to a finding.</summary>
public static class Waivers
{
    /// <summary>Waivers of one finding, oldest entry first: the same code at the same place, with a reason.</summary>
    /// <remarks>A waiver of one cell on a board must not set the next one aside; hence the place.</remarks>
    /// <param name="job">The job that holds the evidence.</param>
    /// <param name="finding">The finding.</param>
    public static IEnumerable<EvidenceEntry> Of(Job job, Finding finding) =>
        job.Evidence.Where(entry =>
            entry.Kind == EvidenceKind.Waiver
            && string.Equals(entry.Waives, finding.Code, StringComparison.Ordinal)
            && string.Equals(entry.WaivesWhere, finding.Where, StringComparison.Ordinal)
            && !string.IsNullOrWhiteSpace(entry.Note)
        );
}
