using System.Data.Common;
using Graftbench.Core.Findings;
using Graftbench.Store.Checking;
using Graftbench.Store.Engines;

namespace Graftbench.Store;

/// <summary>What checking the store gave.</summary>
/// <param name="Records">The records that were checked, with the heads that can be noted on paper.</param>
/// <param name="Findings">All that was found, worst first; one <see cref="Verdict.Ok"/> for each sound record.</param>
public sealed record StoreCheck(IReadOnlyList<RecordSummary> Records, IReadOnlyList<Finding> Findings)
{
    /// <summary>Whether nothing was found that must be put right.</summary>
    /// <remarks>What was emptied on request is whole; <see cref="EmptiedNumber"/> says whether there is any.</remarks>
    public bool IsWhole => Findings.All(finding => finding.Verdict is not (Verdict.Blocker or Verdict.FixFirst));

    /// <summary>Removals of personal data that the records name.</summary>
    public int EmptiedNumber =>
        Findings.Count(finding => string.Equals(finding.Code, RemovalTally.Code, StringComparison.Ordinal));
}

public sealed partial class BenchStore
{
    /// <summary>Checks every chain, every file and every document against what was stored, from one picture of the store.</summary>
    /// <remarks>
    /// Finds any change that was made beside the program, by accident or by hand. It cannot find that somebody has
    /// rewritten a whole record, hashes and all: against that helps only a head noted somewhere else.
    /// </remarks>
    /// <param name="recordId">The record to check; null for the whole store.</param>
    /// <param name="notedHead">A head of that record noted earlier; null where there is none.</param>
    /// <param name="stop">Stops the check.</param>
    /// <exception cref="UnknownRecordException">There is no such record.</exception>
    public StoreCheck Verify(string? recordId = null, string? notedHead = null, CancellationToken stop = default)
    {
        if (notedHead is not null && (recordId is null || !EvidenceChain.IsHash(notedHead)))
        {
            throw new ArgumentException("must be 64 small hexadecimal digits, for one record", nameof(notedHead));
        }
        return _connections.Read(connection => Checked(connection, FilePath, recordId, notedHead, stop));
    }

    /// <summary>Checks a store inside the caller's transaction.</summary>
    private static StoreCheck Checked(
        DbConnection connection,
        string where,
        string? recordId,
        string? notedHead,
        CancellationToken stop
    )
    {
        List<Finding> findings = [];
        void Look(Func<IEnumerable<Finding>> check) => findings.AddRange(Guarded(check, where));
        Look(() => StoreFileCheck.Guards(connection, where));
        List<string> ids = [];
        Look(() =>
        {
            ids = RecordCheck.AllIds(connection);
            return [];
        });
        if (recordId is null)
        {
            Look(() => StoreDialect.Of(connection).Soundness(connection, where));
        }
        else
        {
            ids = ids.Contains(recordId, StringComparer.Ordinal)
                ? [recordId]
                : throw new UnknownRecordException(recordId, where);
        }
        FileCheck files = new(connection);
        foreach (string id in ids)
        {
            stop.ThrowIfCancellationRequested();
            findings.AddRange(CheckRecord(connection, id, files, notedHead));
        }
        if (recordId is null)
        {
            Look(files.NotReferenced);
        }
        List<RecordSummary> summaries = [];
        Look(() =>
        {
            summaries = SummariesOf(connection)
                .Where(summary => ids.Contains(summary.Id, StringComparer.Ordinal))
                .ToList();
            return [];
        });
        return new StoreCheck(summaries, Finding.WorstFirst(findings));
    }

    /// <summary>Turns a page that cannot be read into a finding; what can be checked is still checked.</summary>
    private static List<Finding> Guarded(Func<IEnumerable<Finding>> check, string path)
    {
        try
        {
            return [.. check()];
        }
        catch (DbException problem)
        {
            return
            [
                new Finding(
                    Verdict.Blocker,
                    "store.damaged",
                    path,
                    $"A part of the file cannot be read: {problem.Message.TrimEnd('.')}.",
                    Todo: "Copy the whole folder, then import the last export into a new folder."
                ),
            ];
        }
    }

    private static List<Finding> CheckRecord(DbConnection connection, string id, FileCheck files, string? notedHead)
    {
        RecordCheck check = new(connection, id, files);
        try
        {
            return check.Run(notedHead);
        }
        catch (DbException problem)
        {
            return
            [
                new Finding(
                    Verdict.Blocker,
                    "record.unreadable",
                    $"record {id}",
                    $"The record cannot be read to its end: {problem.Message}.",
                    Todo: "Copy the whole folder, then import the last export into a new folder."
                ),
            ];
        }
    }
}
