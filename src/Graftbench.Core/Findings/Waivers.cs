using System.Globalization;
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

    /// <summary>A finding as it stands after waivers: one never hides it, the weight falls to a warning and the words stay.</summary>
    /// <param name="job">The job that holds the evidence.</param>
    /// <param name="finding">The finding.</param>
    public static Finding Apply(Job job, Finding finding)
    {
        ArgumentNullException.ThrowIfNull(finding);
        EvidenceEntry? waiver = Of(job, finding).LastOrDefault();
        return waiver is null || finding.Verdict is Verdict.Ok or Verdict.Warning
            ? finding
            : finding with
            {
                Verdict = Verdict.Warning,
                What =
                    $"{finding.What} Set aside by {waiver.Who}, {waiver.At.ToString("yyyy-MM-dd", CultureInfo.InvariantCulture)}: {waiver.Note}",
            };
    }
}
