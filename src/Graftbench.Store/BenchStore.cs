using Graftbench.Core.Jobs;

namespace Graftbench.Store;

/// <summary>A job as the store holds it.</summary>
/// <param name="Job">The job.</param>
/// <param name="Revision">Counts up with each save, from 1.</param>
/// <param name="ChangedAt">When it was saved last.</param>
public sealed record StoredJob(Job Job, int Revision, DateTimeOffset ChangedAt);

/// <summary>One acknowledged line of evidence.</summary>
/// <param name="RecordId">Job id, or <see cref="BenchStore.ShopRecord"/>.</param>
/// <param name="Sequence">Place in the record's chain, from 1 without gaps.</param>
/// <param name="At">When it was stored.</param>
/// <param name="Who">Who stored it.</param>
/// <param name="Kind">Sort of evidence: <c>job-saved</c>, <c>note</c>, <c>weighing</c>, <c>waiver</c>, <c>picture</c> ...</param>
/// <param name="PayloadJson">What was stored, as JSON.</param>
/// <param name="FileSha256">SHA-256 of the file that belongs to it; null where there is none.</param>
/// <param name="PreviousSha256">Hash of the line before; 64 zeros for the first.</param>
/// <param name="Sha256">Hash of this line with the previous hash in it.</param>
public sealed record EvidenceLine(
    string RecordId,
    long Sequence,
    DateTimeOffset At,
    string Who,
    string Kind,
    string PayloadJson,
    string? FileSha256,
    string PreviousSha256,
    string Sha256
);

/// <summary>Evidence to be stored.</summary>
/// <param name="Who">Who stores it.</param>
/// <param name="Kind">Sort of evidence.</param>
/// <param name="PayloadJson">What is stored, as JSON.</param>
/// <param name="File">File that belongs to it; null where there is none.</param>
public sealed record EvidenceDraft(string Who, string Kind, string PayloadJson, StoredFile? File = null);

/// <summary>A file in the store.</summary>
/// <param name="Name">Name as given, without folders.</param>
/// <param name="MediaType">Media type.</param>
/// <param name="Bytes">The bytes.</param>
public sealed record StoredFile(string Name, string MediaType, byte[] Bytes);

/// <summary>A thing on the shelf.</summary>
/// <param name="Id">Unique id.</param>
/// <param name="Kind"><c>board</c>, <c>chip</c> or <c>material</c>.</param>
/// <param name="Title">What a person recognises it by.</param>
/// <param name="Json">The thing as JSON.</param>
/// <param name="Revision">Counts up with each save, from 1.</param>
/// <param name="ChangedAt">When it was saved last.</param>
public sealed record ShelfItem(string Id, string Kind, string Title, string Json, int Revision, DateTimeOffset ChangedAt);

/// <summary>Somebody else saved a newer revision in the meantime.</summary>
/// <param name="what">What was to be saved.</param>
/// <param name="expected">The revision that the writer had seen.</param>
/// <param name="found">The revision in the store.</param>
public sealed class StaleRevisionException(string what, int expected, int found)
    : Exception($"{what}: revision {expected} was edited, but revision {found} is in the store. Load it again and repeat the change.");

/// <summary>The shop's records on disk: one SQLite file in a data folder. Safe for several processes and threads at once.</summary>
public sealed class BenchStore : IDisposable
{
    /// <summary>Record id of evidence that belongs to the shop and no single job.</summary>
    public const string ShopRecord = "shop";

    /// <summary>Opens the store in a folder; creates and migrates it where needed.</summary>
    public static BenchStore Open(string folder, TimeProvider time) => throw new NotSupportedException();

    /// <summary>All jobs, last changed first.</summary>
    public IReadOnlyList<StoredJob> Jobs() => throw new NotSupportedException();

    /// <summary>Finds a job; null where there is none.</summary>
    public StoredJob? FindJob(string id) => throw new NotSupportedException();

    /// <summary>Saves a job and writes the evidence line <c>job-saved</c> with the whole document, in one transaction.</summary>
    /// <param name="job">The job.</param>
    /// <param name="expectedRevision">Revision that was edited; 0 for a new job.</param>
    /// <param name="who">Who saves it.</param>
    /// <exception cref="StaleRevisionException">A newer revision is in the store.</exception>
    public StoredJob SaveJob(Job job, int expectedRevision, string who) => throw new NotSupportedException();

    /// <summary>Appends evidence; on return it is on disk.</summary>
    public EvidenceLine Append(string recordId, EvidenceDraft draft) => throw new NotSupportedException();

    /// <summary>The evidence of a record, oldest first.</summary>
    public IReadOnlyList<EvidenceLine> Evidence(string recordId) => throw new NotSupportedException();

    /// <summary>A file by its SHA-256; null where there is none.</summary>
    public StoredFile? FindFile(string sha256) => throw new NotSupportedException();

    /// <summary>Things on the shelf of one kind, by title.</summary>
    public IReadOnlyList<ShelfItem> Shelf(string kind) => throw new NotSupportedException();

    /// <summary>Saves a thing on the shelf; evidence goes to <see cref="ShopRecord"/>.</summary>
    public ShelfItem SaveShelfItem(string id, string kind, string title, string json, int expectedRevision, string who) =>
        throw new NotSupportedException();

    /// <inheritdoc/>
    public void Dispose() { }
}
