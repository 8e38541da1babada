using System.Text.Json;
using Graftbench.Core.Jobs;
using Graftbench.Store;

namespace Graftbench.Web.BoardMap;

/// <summary>What the page on which a board is drawn shows.</summary>
public sealed class BoardMapView
{
    internal BoardMapView(StoredJob stored, BoardPlace place, string? photoUrl)
    {
        Stored = stored;
        Place = place;
        PhotoUrl = photoUrl;
        Drawing = BoardDrawing.Write(stored.Job, place);
        Revision = stored.Revision;
    }

    /// <summary>The job as it is in the store.</summary>
    public StoredJob Stored { get; }

    internal BoardPlace Place { get; }

    /// <summary>The stored board.</summary>
    public Board Board => Place.BoardOf(Stored.Job)!;

    /// <summary>Address of the page.</summary>
    public string Address => $"/jobs/{Stored.Job.Id}/board/{Place.Name()}";

    /// <summary>Address of the newest photo of the board; null where there is none.</summary>
    public string? PhotoUrl { get; }

    /// <summary>The drawing as JSON: the stored one, or the posted one that could not be saved.</summary>
    public string Drawing { get; init; }

    /// <summary>What the bench heats with, as JSON: shown on the picture, changed in the forms.</summary>
    public string Heaters => JsonSerializer.Serialize(Stored.Job.Bench.Heat, JobFormat.Json);

    /// <summary>Revision that the drawing was made on.</summary>
    public int Revision { get; init; }

    /// <summary>True where the drawing shown is not the one in the store.</summary>
    public bool Unsaved { get; init; }

    /// <summary>True where a newer revision than the drawing's is in the store.</summary>
    public bool Stale { get; init; }

    /// <summary>Why the drawing or the photo was not saved, in words.</summary>
    public string? Notice { get; init; }

    /// <summary>What has just been done.</summary>
    public string? Done { get; init; }

    internal IReadOnlyList<DrawingProblem> Problems { get; init; } = [];

    /// <summary>How many more problems there are.</summary>
    public int NotListed { get; init; }
}
