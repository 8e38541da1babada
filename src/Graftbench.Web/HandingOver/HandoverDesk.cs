using System.Text.Json;
using Graftbench.Core.Handover;
using Graftbench.Core.Jobs;
using Graftbench.Core.Planning;
using Graftbench.Core.Proof;
using Graftbench.Firmware.Answering;
using Graftbench.Firmware.Identity;
using Graftbench.Store;
using Graftbench.Web.Imaging;
using Graftbench.Web.Proving;

namespace Graftbench.Web.HandingOver;

/// <summary>What the record of a job says for its hand-over: readings, first power, identity, return.</summary>
/// <param name="store">Where it lies.</param>
/// <param name="readings">Readings and traces.</param>
/// <param name="firmware">Images of the flash chip.</param>
public sealed class HandoverDesk(BenchStore store, ReadingDesk readings, FirmwareDesk firmware)
{
    private sealed record Items(IReadOnlyList<string> Words);

    private readonly AnswerMemo<Items> reports = new(16);

    /// <summary>What the record says.</summary>
    /// <param name="job">The job.</param>
    /// <param name="apart">Its other answers; the plan of the first power is taken from them.</param>
    public HandoverFacts Facts(Job job, ApartAnswers? apart)
    {
        ArgumentNullException.ThrowIfNull(job);
        JobReadings record = readings.Record(job.Id);
        return new HandoverFacts
        {
            Readings = record.All.Count(reading => reading.State == ReadingState.Handover),
            FirstPower = readings.FirstPower(record, apart?.FirstPower?.LimitCurrentA),
            Identity = Identity(job.Id),
            Returned = readings.Returned(job, record),
        };
    }

    // Nothing is waited for: an answer that is being computed is not known yet.
    private HandoverIdentity? Identity(string jobId)
    {
        FirmwareRecord record = firmware.Record(jobId);
        if (record.Images.Count == 0 || firmware.Glance(jobId) is not { } answer)
        {
            return null;
        }
        bool proven = answer.Steps.All(step => step.Verdict == Core.Findings.Verdict.Ok);
        return !proven ? new HandoverIdentity(IdentityState.NotProven, [])
            : record.Combined?.Combined is { } combined
                ? new HandoverIdentity(
                    IdentityState.Kept,
                    reports.Get(combined.Report, () => new Items(Carried(combined.Report))).Words
                )
            : new HandoverIdentity(IdentityState.Untouched, []);
    }

    // Kinds of what was carried, by the report of the combination; a report that cannot be read names none.
    private IReadOnlyList<string> Carried(string sha256)
    {
        if (sha256.Length == 0 || store.FindFile(sha256) is not { } file)
        {
            return [];
        }
        try
        {
            Report? report = JsonSerializer.Deserialize<Report>(file.Bytes, FirmwareNote.Json);
            HashSet<string> taken = [.. report?.Taken ?? []];
            return
            [
                .. (report?.Identity?.Proposals ?? [])
                    .Where(one => one.Id is not null && taken.Contains(one.Id))
                    .Select(one => IdentityWords.Of(one.Kind, one.Shape))
                    .Distinct(StringComparer.Ordinal),
            ];
        }
        catch (JsonException)
        {
            return [];
        }
    }

    private sealed record Report(IReadOnlyList<string>? Taken, ReportIdentity? Identity);

    private sealed record ReportIdentity(IReadOnlyList<ReportProposal>? Proposals);

    private sealed record ReportProposal(string? Id, ProposalKind Kind, IdentityShape Shape);
}
