using Graftbench.Core.Jobs;

namespace Graftbench.Store;

/// <summary>A job as the store holds it.</summary>
/// <param name="Job">The job.</param>
/// <param name="Revision">Counts up with each save, from 1.</param>
/// <param name="ChangedAt">When it was saved last.</param>
public sealed record StoredJob(Job Job, int Revision, DateTimeOffset ChangedAt);

/// <summary>One save of a job, found in its evidence.</summary>
/// <param name="Revision">Counts up with each save, from 1.</param>
/// <param name="Sequence">Place of the <c>job-saved</c> line in the record.</param>
/// <param name="At">When it was saved.</param>
/// <param name="Who">Who saved it.</param>
public sealed record JobRevision(int Revision, long Sequence, DateTimeOffset At, string Who);

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
/// <param name="FileName">Name of that file as given; null where there is none.</param>
/// <param name="FileMediaType">Media type of that file as given; null where there is none.</param>
public sealed record EvidenceLine(
    string RecordId,
    long Sequence,
    DateTimeOffset At,
    string Who,
    string Kind,
    string PayloadJson,
    string? FileSha256,
    string PreviousSha256,
    string Sha256,
    string? FileName = null,
    string? FileMediaType = null
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
public sealed record ShelfItem(
    string Id,
    string Kind,
    string Title,
    string Json,
    int Revision,
    DateTimeOffset ChangedAt
);

/// <summary>Something that is known of a bench: how its probes are read, what a calibration learned, its heaters.</summary>
/// <param name="Sequence">Line of the shop's record that holds it.</param>
/// <param name="Bench">Name of the bench as given; empty for the one without a name.</param>
/// <param name="Kind">Sort of fact, such as <see cref="BenchFactRules.ProbeFormat"/>.</param>
/// <param name="Json">The fact, a JSON object.</param>
/// <param name="At">When it was added.</param>
/// <param name="Who">Who added it.</param>
public sealed record BenchFact(long Sequence, string Bench, string Kind, string Json, DateTimeOffset At, string Who);

/// <summary>What the store knows of a record without reading all of it.</summary>
/// <param name="Id">Job id, or <see cref="BenchStore.ShopRecord"/>.</param>
/// <param name="Title">Title of the job; null for the shop's own record, or where the document cannot be read.</param>
/// <param name="Lines">Number of lines of evidence.</param>
/// <param name="HeadSha256">Hash of the last line; 64 zeros where there is none.</param>
/// <param name="Files">Number of different files.</param>
/// <param name="Revision">Revision of the job; 0 where there is none.</param>
/// <param name="LastAt">When the last line was stored; null where there is none.</param>
public sealed record RecordSummary(
    string Id,
    string? Title,
    long Lines,
    string HeadSha256,
    int Files,
    int Revision,
    DateTimeOffset? LastAt
);
