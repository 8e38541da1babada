using Graftbench.Core.Jobs;
using Graftbench.Store;
using Graftbench.Web.Forms;
using Graftbench.Web.Network;
using Graftbench.Web.Shell;
using Microsoft.AspNetCore.Http;

namespace Graftbench.Web.Hosting;

/// <summary>Why a save did not happen.</summary>
/// <param name="Status">HTTP status of the page that says so.</param>
/// <param name="Notice">What happened and what to do.</param>
/// <param name="Stale">True where a newer revision is in the store.</param>
internal sealed record SaveFailure(int Status, string Notice, bool Stale);

/// <summary>Saves jobs; a store that would not write becomes words above the form, so that nothing typed is lost.</summary>
internal static class Saving
{
    /// <summary>Saves a job.</summary>
    /// <param name="store">The store.</param>
    /// <param name="job">The job.</param>
    /// <param name="expectedRevision">Revision that it was changed from.</param>
    /// <param name="evidence">Evidence that is stored in the same step; null for none.</param>
    /// <returns>Null where it is in the store, else why not.</returns>
    public static SaveFailure? TrySave(BenchStore store, Job job, int expectedRevision, EvidenceDraft? evidence = null)
    {
        try
        {
            if (evidence is null)
            {
                store.SaveJob(job, expectedRevision, Who(job));
            }
            else
            {
                store.SaveJobWithEvidence(job, expectedRevision, Who(job), evidence);
            }
            return null;
        }
        catch (StaleRevisionException stale)
        {
            return new SaveFailure(StatusCodes.Status409Conflict, stale.Message, true);
        }
        catch (Exception failure) when (failure is StoreException or IOException)
        {
            return new SaveFailure(
                StatusCodes.Status503ServiceUnavailable,
                $"The store could not write: {failure.Message} What you typed is still below; save again.",
                false
            );
        }
    }

    /// <summary>Saves a change that can be made to whatever revision is newest: a line added, a clock stopped.</summary>
    /// <param name="store">The store.</param>
    /// <param name="id">Id of the job.</param>
    /// <param name="change">The change; it is made again on the newer job where somebody saved in between.</param>
    public static StoredJob Change(BenchStore store, string id, Func<Job, Job> change)
    {
        const int MostTries = 5;
        for (int attempt = 1; ; attempt++)
        {
            StoredJob stored =
                store.FindJob(id) ?? throw new InvalidOperationException($"The store holds no job named '{id}'.");
            Job changed = change(stored.Job);
            try
            {
                return store.SaveJob(changed, stored.Revision, Who(changed));
            }
            catch (StaleRevisionException) when (attempt < MostTries)
            {
                // Somebody saved in between: the loop makes the change on the newer job.
            }
        }
    }

    /// <summary>Stores evidence and its mention in whatever revision of the job is newest, both or neither.</summary>
    /// <param name="store">The store.</param>
    /// <param name="id">Id of the job.</param>
    /// <param name="entry">The mention.</param>
    /// <param name="draft">The evidence.</param>
    /// <param name="change">What else changes in the job; nothing where null.</param>
    public static void AddEvidence(
        BenchStore store,
        string id,
        EvidenceEntry entry,
        EvidenceDraft draft,
        Func<Job, Job>? change = null
    )
    {
        const int MostTries = 5;
        for (int attempt = 1; ; attempt++)
        {
            StoredJob stored =
                store.FindJob(id) ?? throw new InvalidOperationException($"The store holds no job named '{id}'.");
            try
            {
                Job changed = (change?.Invoke(stored.Job) ?? stored.Job) with
                {
                    Evidence = [.. stored.Job.Evidence, entry],
                };
                store.SaveJobWithEvidence(changed, stored.Revision, entry.Who ?? Who(changed), draft);
                return;
            }
            catch (StaleRevisionException) when (attempt < MostTries)
            {
                // Somebody saved in between: the entry is added to the newer job.
            }
        }
    }

    /// <summary>Stores a line of evidence with its mention in the job, and its file where it has one.</summary>
    /// <param name="store">The store.</param>
    /// <param name="clock">Tells the time of the line.</param>
    /// <param name="job">The job.</param>
    /// <param name="kind">What the line is.</param>
    /// <param name="words">The line in words.</param>
    /// <param name="payloadJson">What it says, as JSON.</param>
    /// <param name="file">Its file; null without one.</param>
    /// <param name="change">What else changes in the job; nothing where null.</param>
    public static void AddLine(
        BenchStore store,
        BenchClock clock,
        Job job,
        EvidenceKind kind,
        string words,
        string payloadJson,
        StoredFile? file = null,
        Func<Job, Job>? change = null
    )
    {
        EvidenceEntry entry = new()
        {
            At = clock.Now,
            Who = Who(job),
            Kind = kind,
            Note = words,
            File = file?.Name,
            Sha256 = file is null ? null : EvidenceChain.FileHash(file.Bytes),
        };
        AddEvidence(
            store,
            job.Id,
            entry,
            new EvidenceDraft(entry.Who, FieldWords.NameOf(kind), payloadJson, file),
            change
        );
    }

    /// <summary>Name that goes into the evidence: of who is signed in or named at the bench, else of the job's technician.</summary>
    public static string Who(Job job) =>
        Visitor.ActingName ?? (string.IsNullOrWhiteSpace(job.Shop.Technician) ? WhoWithoutJob : job.Shop.Technician);

    /// <summary>Name that goes into evidence which belongs to no job.</summary>
    public static string WhoWithoutJob => Visitor.ActingName ?? "bench";
}
