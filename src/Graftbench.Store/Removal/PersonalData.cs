namespace Graftbench.Store;

/// <summary>What is to be taken out of the record of one job.</summary>
/// <param name="JobId">The job.</param>
/// <param name="Words">Words such as the owner's name, compared as search compares.</param>
/// <param name="Files">SHA-256 of files whose content goes; their hash and size stay.</param>
public sealed record RemovalRequest(string JobId, IReadOnlyList<string> Words, IReadOnlyList<string> Files);

/// <summary>A text of the record that holds a word.</summary>
/// <param name="Sequence">Line of evidence; null for the setup or a mark of a watched heat, which lie beside the evidence.</param>
/// <param name="Kind">Kind of the line.</param>
/// <param name="At">When it was stored.</param>
/// <param name="Path">Field of the payload; <c>name of the file</c> where it is that.</param>
/// <param name="Before">The text around the first place.</param>
/// <param name="After">The same as it will be.</param>
/// <param name="Places">How many places the text has.</param>
/// <param name="IsPart">Whether one of them may be part of another word: look twice.</param>
public sealed record RemovalPlace(
    long? Sequence,
    string Kind,
    DateTimeOffset At,
    string Path,
    string Before,
    string After,
    int Places,
    bool IsPart
);

/// <summary>Whether a file was found to hold a word.</summary>
public enum FileHolding
{
    /// <summary>A word stands in it.</summary>
    Holds,

    /// <summary>It is plain text, and no word stands in it.</summary>
    HoldsNone,

    /// <summary>It is drawn, packed or longer than 32 MiB (picture, PDF, archive, dump), or no word was given: a person has to look.</summary>
    NotSearched,

    /// <summary>Its content was removed already.</summary>
    Emptied,
}

/// <summary>A file of the job.</summary>
/// <param name="Sha256">SHA-256 of its bytes.</param>
/// <param name="Name">Name as given.</param>
/// <param name="MediaType">Media type as given.</param>
/// <param name="Bytes">Its size [bytes].</param>
/// <param name="Lines">Lines that refer to it.</param>
/// <param name="Holding">Whether a word was found in it.</param>
/// <param name="AlsoIn">Other records that refer to it: it cannot be emptied then.</param>
/// <param name="IsChosen">Whether the request names it.</param>
public sealed record RemovalFile(
    string Sha256,
    string Name,
    string MediaType,
    long Bytes,
    IReadOnlyList<long> Lines,
    FileHolding Holding,
    IReadOnlyList<string> AlsoIn,
    bool IsChosen
)
{
    /// <summary>Whether it can be emptied: it has a content, and no other record refers to it.</summary>
    public bool CanGo => Bytes > 0 && Holding != FileHolding.Emptied && AlsoIn.Count == 0;

    /// <summary>Whether a removal would empty it.</summary>
    public bool IsToGo => IsChosen && CanGo;
}

/// <summary>Another job that search finds by one of the words.</summary>
/// <param name="Id">Its id.</param>
/// <param name="Title">Its title.</param>
public sealed record OtherJob(string Id, string Title);

/// <summary>What a removal would do, and what it would not. Nothing was changed for it.</summary>
public sealed record PersonalDataLook
{
    /// <summary>The job.</summary>
    public required string JobId { get; init; }

    /// <summary>Title of the job.</summary>
    public required string Title { get; init; }

    /// <summary>Head of the record that was looked at; a removal is refused where it has moved.</summary>
    public required string HeadSha256 { get; init; }

    /// <summary>All that stands against the removal; empty where it can be done.</summary>
    public IReadOnlyList<string> Problems { get; init; } = [];

    /// <summary>Every text that holds a word.</summary>
    public IReadOnlyList<RemovalPlace> Places { get; init; } = [];

    /// <summary>Every file of the job.</summary>
    public IReadOnlyList<RemovalFile> Files { get; init; } = [];

    /// <summary>What holds a word and stays, in words.</summary>
    public IReadOnlyList<string> Stays { get; init; } = [];

    /// <summary>Texts that the owner's field had at any save and that none of the words takes out.</summary>
    public IReadOnlyList<string> OtherOwners { get; init; } = [];

    /// <summary>Other jobs that search finds by one of the words; they are not changed.</summary>
    public IReadOnlyList<OtherJob> OtherJobs { get; init; } = [];

    /// <summary>Lines of the shop's own record that hold a word; they are not changed.</summary>
    public IReadOnlyList<long> ShopLines { get; init; } = [];

    /// <summary>Lines of evidence that would change.</summary>
    public int LinesNumber =>
        Places.Where(place => place.Sequence is not null).Select(place => place.Sequence).Distinct().Count();

    /// <summary>Files that would be emptied.</summary>
    public int FilesNumber => Files.Count(file => file.IsToGo);

    /// <summary>Whether there is nothing to do.</summary>
    public bool IsEmpty => Places.Count == 0 && FilesNumber == 0;
}

/// <summary>What a removal did.</summary>
/// <param name="Line">The line that says it.</param>
/// <param name="Note">What it says.</param>
/// <param name="Revision">Revision of the job after it.</param>
/// <param name="Remains">Where bytes of the words may still lie in the database itself, and what to do; null where nowhere.</param>
public sealed record RemovalReport(EvidenceLine Line, RemovalNote Note, int Revision, string? Remains);

/// <summary>Personal data was not removed, for the reasons given; nothing was changed.</summary>
/// <param name="id">The job.</param>
/// <param name="problems">All that stands against it.</param>
public sealed class RemovalRefusedException(string id, IReadOnlyList<string> problems)
    : StoreException(
        $"Nothing was removed, since {problems.Count} thing(s) stand against it: {string.Join(" ", problems)}",
        $"job {id}",
        "Put that right and look again."
    )
{
    /// <summary>All that stands against it.</summary>
    public IReadOnlyList<string> Problems { get; } = problems;
}

/// <summary>The record was added to between the look and the removal; nothing was changed.</summary>
/// <param name="id">The job.</param>
public sealed class RecordMovedException(string id)
    : StoreException(
        "Nothing was removed: a line was added to the record after it was looked at",
        $"job {id}",
        "Look again; what is new may hold the words too."
    );

/// <summary>A file that is asked for was emptied on request.</summary>
/// <param name="sha256">The file.</param>
public sealed class FileRemovedException(string sha256)
    : StoreException(
        "The content of this file was removed on request; its hash and size stay in the record",
        $"file {sha256}",
        "The record says when, by whom and why."
    );
