using System.Data.Common;
using System.Globalization;
using Graftbench.Core.Findings;
using Graftbench.Core.Jobs;
using Graftbench.Core.Search;
using Graftbench.Store.Checking;
using Graftbench.Store.Engines;
using Graftbench.Store.Removal;

namespace Graftbench.Store;

public sealed partial class BenchStore
{
    private const int MaxWhyLength = 400;
    private const int MostOtherJobs = 50;

    /// <summary>Looks what a removal of personal data would change. Nothing is changed.</summary>
    /// <param name="request">What is to be taken out of which job.</param>
    /// <exception cref="UnknownRecordException">There is no such job.</exception>
    public PersonalDataLook LookForPersonalData(RemovalRequest request)
    {
        ArgumentNullException.ThrowIfNull(request);
        return _connections.Read(connection => Planned(connection, request).Look);
    }

    /// <summary>
    /// Takes personal data out of the record of a job: words out of its lines, the content out of chosen files. All of it is one
    /// transaction, with a line of evidence that says what was taken out, never the words; the chain still verifies.
    /// </summary>
    /// <remarks>
    /// Where the job document holds a word it is saved once more without. The hashes of old stay, so that the chain holds; each
    /// changed line is named by the new one with the hash of what is left. Afterwards the database's free space is overwritten.
    /// </remarks>
    /// <param name="request">What is to be taken out of which job.</param>
    /// <param name="seenHead">Head of the record when it was looked at.</param>
    /// <param name="who">Who does it.</param>
    /// <param name="why">Why: whose request, of which day. May not hold the words.</param>
    /// <exception cref="UnknownRecordException">There is no such job.</exception>
    /// <exception cref="RemovalRefusedException">Something stands against it; all of it is listed.</exception>
    /// <exception cref="RecordMovedException">The record was added to since it was looked at.</exception>
    public RemovalReport RemovePersonalData(RemovalRequest request, string seenHead, string who, string why)
    {
        ArgumentNullException.ThrowIfNull(request);
        ArgumentNullException.ThrowIfNull(who);
        ArgumentNullException.ThrowIfNull(why);
        // All writers are kept out: one that adds a line with one of the files would find it emptied under its hands.
        RemovalReport report = _connections.Write(connection =>
        {
            StoreDialect.Of(connection).OverwriteWhatIsDeleted(connection);
            (RemovalPlan plan, PersonalDataLook look) = Planned(connection, request);
            List<string> problems = [.. look.Problems, .. WordProblems(plan, who.Trim(), why.Trim())];
            if (look.IsEmpty && problems.Count == 0)
            {
                problems.Add("Nothing in the record of this job holds one of the words, and no file would be emptied.");
            }
            if (problems.Count > 0)
            {
                throw new RemovalRefusedException(request.JobId, problems);
            }
            if (!string.Equals(look.HeadSha256, seenHead, StringComparison.Ordinal))
            {
                throw new RecordMovedException(request.JobId);
            }
            return Remove(connection, plan, look, who.Trim(), why.Trim());
        });
        try
        {
            return report with { Remains = OverwriteRemoved() };
        }
        catch (StoreException problem)
        {
            // The removal is done and stays done, whatever keeps the file from being written anew.
            return report with
            {
                Remains =
                    $"The old bytes may still lie in the store's files ({problem.What.TrimEnd('.')}): give the command again.",
            };
        }
    }

    /// <summary>Overwrites what was deleted from the database file earlier. Needs room for the store once more.</summary>
    /// <returns>Where bytes may still lie, and what to do; null where nowhere in the database.</returns>
    public string? OverwriteRemoved() => _connections.Overwrite();

    private (RemovalPlan Plan, PersonalDataLook Look) Planned(DbConnection connection, RemovalRequest request)
    {
        string id = request.JobId;
        string? document = connection.Scalar("SELECT document FROM job WHERE id = @id", ("@id", id)) as string;
        if (document is null || HeadOf(connection, id) is not { } head)
        {
            throw new UnknownRecordException(id, FilePath);
        }
        RemovalPlan plan = new(connection, request, _time.GetUtcNow());
        // What was altered beside the program must not be taken for what a removal left.
        foreach (
            Finding wrong in CheckRecord(connection, id, new FileCheck(connection), notedHead: null)
                .Where(finding => finding.Verdict is Verdict.Blocker or Verdict.FixFirst)
        )
        {
            plan.Refuse($"The record is not whole ({wrong.Where}: {wrong.What.TrimEnd('.')}).");
        }
        PersonalDataLook look = plan.Work(
            LinesOf(connection, id, 0),
            head.Head,
            document,
            LinesOf(connection, ShopRecord, 0),
            () => OtherJobs(connection, request)
        );
        return (plan, look);
    }

    private static IEnumerable<string> WordProblems(RemovalPlan plan, string who, string why)
    {
        if (who.Length is 0 or > EvidenceRules.MaxWhoLength || who.Any(char.IsControl))
        {
            yield return $"Say who does it, in 1 to {EvidenceRules.MaxWhoLength} characters.";
        }
        if (why.Length is 0 or > MaxWhyLength || why.Any(char.IsControl))
        {
            yield return $"Say why, in 1 to {MaxWhyLength} characters on one line: whose request, of which day.";
        }
        if (plan.Holds(who) || plan.Holds(why))
        {
            yield return "Who or why holds one of the words that are taken out: write \"the owner\" instead.";
        }
    }

    private static List<OtherJob> OtherJobs(DbConnection connection, RemovalRequest request) =>
        [
            .. request
                .Words.Select(word => SearchWords.Asked(word))
                .Where(asked => asked.Count > 0)
                .SelectMany(asked => FindJobs(connection, new JobQuery { Take = MostOtherJobs }, asked).Jobs)
                .Where(found => found.Job.Id != request.JobId)
                .DistinctBy(found => found.Job.Id)
                .Select(found => new OtherJob(found.Job.Id, found.Job.Title)),
        ];

    private RemovalReport Remove(
        DbConnection connection,
        RemovalPlan plan,
        PersonalDataLook look,
        string who,
        string why
    )
    {
        string id = look.JobId;
        int revision = Convert.ToInt32(
            connection.Scalar("SELECT revision FROM job WHERE id = @id", ("@id", id)),
            CultureInfo.InvariantCulture
        );
        if (plan.Document is { } job)
        {
            string document = EvidenceChain.Utf8.GetString(JobFormat.Write(job));
            EvidenceDraft saved = new(who, EvidenceRules.JobSaved, document);
            EvidenceLine line = AddLine(connection, id, saved, mayBeNew: false);
            WriteJob(connection, id, ++revision, line);
        }
        RemovalNote note = new(
            why,
            [.. plan.Lines.Select(left => new RemovedLine(left.Line.Sequence, EvidenceChain.Hash(left.Line)))],
            [.. look.Files.Where(file => file.IsToGo).Select(file => new RemovedFile(file.Sha256, file.Bytes))],
            [.. plan.Runs.Select(run => run.Id)]
        );
        EvidenceDraft draft = new(who, EvidenceRules.PersonalDataRemoved, note.Write());
        EvidenceLine removal = AddLine(connection, id, draft, mayBeNew: false);
        foreach (LeftLine left in plan.Lines)
        {
            LeaveLine(connection, left.Line);
        }
        foreach (RemovedFile file in note.Files)
        {
            EmptyFile(connection, file.Sha256);
        }
        foreach (LeftRun run in plan.Runs)
        {
            LeaveRun(connection, run);
        }
        Relist(connection, id);
        return new RemovalReport(removal, note, revision, null);
    }

    /// <summary>Gives a line the payload and the name of its file that a removal leaves; its hash stays.</summary>
    private static void LeaveLine(DbConnection connection, EvidenceLine line) =>
        connection.Run(
            "UPDATE evidence SET payload = @payload, file_name = @name WHERE record_id = @id AND sequence = @sequence",
            ("@payload", line.PayloadJson),
            ("@name", line.FileName),
            ("@id", line.RecordId),
            ("@sequence", line.Sequence)
        );

    private static void EmptyFile(DbConnection connection, string sha256) =>
        connection.Run(
            $"UPDATE file SET content = {StoreDialect.Of(connection).NoBytes} WHERE sha256 = @sha",
            ("@sha", sha256)
        );

    private static void LeaveRun(DbConnection connection, LeftRun run)
    {
        if (run.Setup is not null)
        {
            connection.Run("UPDATE heat_run SET setup = @setup WHERE id = @id", ("@setup", run.Setup), ("@id", run.Id));
        }
        foreach ((long sequence, string text) in run.Marks)
        {
            connection.Run(
                "UPDATE heat_mark SET text = @text WHERE run_id = @run AND sequence = @sequence",
                ("@text", text),
                ("@run", run.Id),
                ("@sequence", sequence)
            );
        }
    }
}
