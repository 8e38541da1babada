using Graftbench.Core.Diagnosis;
using Graftbench.Core.Findings;
using Graftbench.Core.Jobs;
using Graftbench.Core.Proof;
using Graftbench.Firmware.Updates;
using Graftbench.Store;
using Graftbench.Vision.Answering;
using Graftbench.Web.Imaging;
using Graftbench.Web.Inspecting;
using Graftbench.Web.Proving;

namespace Graftbench.Web.Diagnosing;

/// <summary>An outcome that other evidence of the job suggests. It counts only once a person confirms it.</summary>
/// <param name="TestId">The test.</param>
/// <param name="OutcomeId">What it seems to have shown.</param>
/// <param name="From">Where it comes from, in words: <c>side view picture 12</c>.</param>
/// <param name="Address">Where that can be looked at.</param>
public sealed record SuggestedOutcome(string TestId, string OutcomeId, string From, string Address);

/// <summary>The one place where evidence of other questions turns into outcomes of tests.</summary>
/// <param name="inspection">Pictures.</param>
/// <param name="firmware">Images of the flash chip.</param>
/// <param name="readings">Readings, and traces of the first power.</param>
public sealed class SuggestedOutcomes(InspectionDesk inspection, FirmwareDesk firmware, ReadingDesk readings)
{
    /// <summary>All that the job's other evidence suggests; pictures and images are looked at here and now.</summary>
    public IReadOnlyList<SuggestedOutcome> Of(StoredJob stored)
    {
        ArgumentNullException.ThrowIfNull(stored);
        return [.. Readings(stored.Job), .. Side(stored.Job), .. Image(stored.Job.Id)];
    }

    // A rail or signal that was let pass by name stands as it was read: a waiver lifts the bar on power, no reading.
    private IEnumerable<SuggestedOutcome> Readings(Job job)
    {
        JobReadings record = readings.Record(job.Id);
        if (record.Readings.Count == 0 && record.Traces.Count == 0)
        {
            yield break;
        }
        string address = $"/jobs/{job.Id}/proof";
        ProofAnswer proof = readings.Proof(job, record);
        TraceAnswer? start = readings.FirstPower(record, ReadingDesk.Plan(proof, record).LimitCurrentA);
        JobTrace? trace = record.Traces.LastOrDefault(one => one.Role == TraceRole.FirstPower);
        foreach (TestSeen seen in ProofEvidence.Of(proof, start))
        {
            yield return new SuggestedOutcome(
                seen.TestId,
                seen.OutcomeId,
                seen.TestId == "current"
                    ? FormattableString.Invariant($"trace {trace?.Name}, line {trace?.Line}")
                    : From(proof, seen.TestId == "rail"),
                address
            );
        }
    }

    // The one that decides where one failed; else how many were read.
    private static string From(ProofAnswer proof, bool rails)
    {
        NetProof[] nets = [.. proof.Nets.Where(net => net.Rail is not null == rails)];
        return Array.Find(nets, net => net.Verdict is Verdict.Blocker or Verdict.FixFirst) is { } failed
            ? $"readings of {(rails ? "rail " : "")}{failed.Net}"
            : FormattableString.Invariant($"readings of {nets.Length} {(rails ? "rails" : "signals")}");
    }

    // One uneven side is uneven; even takes every side that was judged, and something that was judged.
    private IEnumerable<SuggestedOutcome> Side(Job job)
    {
        List<(JobPicture Picture, SeenPicture Seen)> sides =
        [
            .. inspection
                .Pictures(job.Id)
                .Where(picture => picture is { Kind: PictureKind.Side, SetAside: false })
                .Select(picture => (picture, inspection.Seen(job, picture)))
                .Where(one => one.Item2.Judged),
        ];
        if (sides.Find(one => Measured(one.Seen).Any(Bad)) is { Picture: { } uneven })
        {
            yield return Told(uneven, "uneven");
        }
        else if (
            sides.Select(one => one.Picture.Side).Distinct(StringComparer.Ordinal).Count() >= SidesDue
            && sides.TrueForAll(one => Measured(one.Seen).All(finding => finding.Verdict == Verdict.Ok))
        )
        {
            yield return Told(sides[^1].Picture, "even");
        }

        SuggestedOutcome Told(JobPicture picture, string outcome) =>
            new(
                "side",
                outcome,
                FormattableString.Invariant($"side view picture {picture.Line}"),
                FormattableString.Invariant($"/jobs/{job.Id}/pictures/{picture.Line}")
            );
    }

    private IEnumerable<SuggestedOutcome> Image(string jobId)
    {
        FirmwareRecord record = firmware.Record(jobId);
        string address = $"/jobs/{jobId}/firmware";
        if (record is { Combined: { } intended, ReadBack: { } back })
        {
            bool exact = firmware.ReadBackOf(record, intended, back).Exact;
            Knows? knows = firmware.Knows(record, intended)?.Answer;
            if (!exact || knows == Knows.No)
            {
                yield return new SuggestedOutcome(
                    "image",
                    "wrong",
                    $"read-back {back.Name}, {(exact ? "which does not list the processor" : "not exact")}",
                    address + (exact ? "?step=processor" : "?step=read-back")
                );
            }
            else if (knows == Knows.Yes)
            {
                yield return new SuggestedOutcome(
                    "image",
                    "right",
                    $"read-back {back.Name}, exact, lists the processor",
                    address + "?step=read-back"
                );
            }
        }
        else if (
            record.Reads is [{ } read, ..]
            && record.Combined is null
            && firmware.Knows(record, read)?.Answer == Knows.No
        )
        {
            yield return new SuggestedOutcome(
                "image",
                "wrong",
                $"read {read.Name}, which does not list the processor",
                address + "?step=processor"
            );
        }
    }

    private const int SidesDue = 4;

    // What the test of the table means by low, whatever limit the shop has set for its own proof.

    // The findings that a limit stands behind; what the picture cannot tell at all is said on its own page.
    private static IEnumerable<Finding> Measured(SeenPicture seen) =>
        seen.Findings.Where(finding =>
            finding.Code is "side.tilt" or "side.corner" or "side.corner-twice" or "side.standoff"
        );

    private static bool Bad(Finding finding) => finding.Verdict is Verdict.Blocker or Verdict.FixFirst;
}
