using System.Collections.Concurrent;
using Graftbench.Core.Diagnosis;
using Graftbench.Core.Findings;
using Graftbench.Core.Jobs;
using Graftbench.Core.Ledger;
using Graftbench.Core.Planning;
using Graftbench.Core.Proof;
using Graftbench.Store;
using Graftbench.Web.Desk;
using Graftbench.Web.Proving;

namespace Graftbench.Web.Diagnosing;

/// <summary>Answers question 9 from the record of a job and the closed cases of the whole shop.</summary>
/// <param name="store">Where the records lie.</param>
/// <param name="readings">Readings that bar power.</param>
/// <param name="book">Lines of records.</param>
public sealed class DiagnosisDesk(BenchStore store, ReadingDesk readings, RecordBook book)
{
    // By record: how many decisions it has, and the case that it teaches.
    private readonly ConcurrentDictionary<string, (long Lines, IReadOnlyList<ClosedCase> Cases)> cases = new(
        StringComparer.Ordinal
    );

    /// <summary>What the record of a job says.</summary>
    public DiagnosisRecord Record(string jobId) => book.Of(jobId, DiagnosisRecord.Of);

    /// <summary>Rows that the shop edited, oldest first.</summary>
    public IReadOnlyList<(EvidenceLine Line, TableEdit Edit, string? Why)> Edits() =>
        DiagnosisRecord.Edits(store.Evidence(BenchStore.ShopRecord, DiagnosisNote.Kind));

    /// <summary>The table of this shop: the estimates, its own rows, moved by its closed cases.</summary>
    /// <param name="exceptJobId">Job whose own case is left out: what it taught must not speak for it a second time. Null for none.</param>
    public CauseTable Table(string? exceptJobId = null) => Before().With(Cases(exceptJobId));

    /// <summary>The table before the closed cases.</summary>
    public CauseTable Before() => CauseTable.Standard.Edited(Edits().Select(one => one.Edit));

    /// <summary>The answer for a job.</summary>
    /// <param name="job">The job.</param>
    /// <param name="record">What its record says.</param>
    /// <param name="table">The table of the shop.</param>
    /// <param name="firmware">The answer to question 8; a chip that does not hold what was meant bars power. Null without one.</param>
    public DiagnosisAnswer Answer(Job job, DiagnosisRecord record, CauseTable table, QuestionSummary? firmware)
    {
        ArgumentNullException.ThrowIfNull(record);
        ArgumentNullException.ThrowIfNull(table);
        HeatAccount? account = Account(job);
        return Diagnoser.Answer(
            new DiagnosisRequest(record.Tests)
            {
                Table = table,
                ClosedCasesNumber = table.CasesNumber,
                NoPower = NotWritten(firmware) ?? NotProven(job),
                Heat = new HeatPrice(account?.SpentNumber ?? 0),
                HeatGuidelineNumber = account?.GuidelineNumber,
            }
        );
    }

    private static string? NotWritten(QuestionSummary? firmware) =>
        firmware
            ?.Findings.FirstOrDefault(finding =>
                finding.Verdict == Verdict.Blocker && finding.Code.StartsWith("readback.", StringComparison.Ordinal)
            )
            ?.What;

    // What the proof before power stops; a rail that nobody let pass by name.
    private string? NotProven(Job job)
    {
        JobReadings record = readings.Record(job.Id);
        if (record.Readings.Count == 0)
        {
            return null;
        }
        NetProof? stop = readings
            .Proof(job, record)
            .Bars.FirstOrDefault(net => net.Verdict is Verdict.Blocker or Verdict.FixFirst);
        return stop is null ? null : $"No power: {stop.Net}: {stop.Findings[0].What}";
    }

    /// <summary>The account that a further heat weighs on most: of the host and the chips that go to it the one with the least left.</summary>
    public static HeatAccount? Account(Job job)
    {
        ArgumentNullException.ThrowIfNull(job);
        return HeatBook
            .Of(job)
            .Accounts.Where(account =>
                account.Id == "host" || job.Chips.Any(chip => chip.Id == account.Id && chip.To == ChipPlace.Host)
            )
            .OrderBy(account => account.GuidelineNumber - account.SpentNumber)
            .ThenByDescending(account => account.SpentNumber)
            .FirstOrDefault();
    }

    /// <summary>The answer to question 9 in short; null where nothing was tested.</summary>
    /// <param name="job">The job.</param>
    /// <param name="firmware">The answer to question 8; null without one.</param>
    public QuestionSummary? Summary(Job job, QuestionSummary? firmware)
    {
        ArgumentNullException.ThrowIfNull(job);
        DiagnosisRecord record = Record(job.Id);
        if (record is { Seen.Count: 0, Closed: null })
        {
            return null;
        }
        CauseTable table = Table(job.Id);
        return DiagnosisQuestion.Summary(
            table,
            record.Tests,
            Answer(job, record, table, firmware),
            record.Closed?.Closing
        );
    }

    /// <summary>Closed cases of all jobs whose cause is proven. A record is read again only once it has grown.</summary>
    /// <param name="exceptJobId">Job whose own case is left out; null for none.</param>
    public IReadOnlyList<ClosedCase> Cases(string? exceptJobId = null)
    {
        List<ClosedCase> all = [];
        foreach (
            (string id, long lines) in store
                .LinesOfKind(DiagnosisNote.Kind)
                .OrderBy(one => one.Key, StringComparer.Ordinal)
        )
        {
            if (id is BenchStore.ShopRecord || id == exceptJobId)
            {
                continue;
            }
            if (!cases.TryGetValue(id, out (long Lines, IReadOnlyList<ClosedCase> Cases) known) || known.Lines != lines)
            {
                known = (lines, DiagnosisRecord.Of(store.Evidence(id, DiagnosisNote.Kind)).Cases);
                cases[id] = known;
            }
            all.AddRange(known.Cases);
        }
        return all;
    }
}
