using System.Globalization;
using System.Text;
using System.Text.Json;
using System.Text.Json.Nodes;
using Graftbench.Core.Jobs;
using Graftbench.Store;
using Graftbench.Web.Hosting;
using Graftbench.Web.Shell;
using Microsoft.AspNetCore.Builder;
using Microsoft.AspNetCore.Http;
using Microsoft.AspNetCore.Http.HttpResults;
using Microsoft.AspNetCore.Routing;

namespace Graftbench.Web.BoardMap;

/// <summary>Pages on which the boards of a job are drawn.</summary>
internal static class BoardMapEndpoints
{
    private const string PictureKind = "picture";

    public static void MapBoardMap(this IEndpointRouteBuilder routes)
    {
        routes.MapGet(
            "/jobs/{id}/board",
            (string id) => Results.LocalRedirect($"/jobs/{Uri.EscapeDataString(id)}/board/host")
        );
        routes.MapGet("/jobs/{id}/board/{board}", Show);
        routes.MapPost("/jobs/{id}/board/{board}", Save);
        routes.MapPost("/jobs/{id}/board/{board}/photo", KeepPhoto);
        routes.MapGet("/jobs/{id}/board/{board}/photo/{sha256}", Photo);
    }

    private static IResult Show(BenchStore store, string id, string board, string? done)
    {
        if (Find(store, id, board, out StoredJob? stored, out BoardPlace place) is { } problem)
        {
            return problem;
        }
        string? text = done switch
        {
            "saved" => $"Saved as revision {stored!.Revision}.",
            "photo" => "The photo is attached to the job.",
            _ => null,
        };
        return Page(new BoardMapView(stored!, place, PhotoUrl(store, id, place)) { Done = text });
    }

    private static async Task<IResult> Save(
        HttpContext http,
        BenchStore store,
        BenchClock clock,
        string id,
        string board
    )
    {
        if (Find(store, id, board, out StoredJob? stored, out BoardPlace place) is { } missing)
        {
            return missing;
        }
        IFormCollection form = await http.Request.ReadFormAsync(http.RequestAborted);
        string posted = form["drawing"].ToString();
        // "over" is the revision that a person has decided to draw over, after being told of it.
        int expected = Number(form["over"]) ?? Number(form["revision"]) ?? 0;
        string? photo = PhotoUrl(store, id, place);
        if (BoardDrawing.Merge(stored!.Job, place, posted, out string? broken) is not { } document)
        {
            return Page(new BoardMapView(stored, place, photo) { Notice = broken }, StatusCodes.Status400BadRequest);
        }
        JobReading reading = JobReader.Read(Encoding.UTF8.GetBytes(document.ToJsonString()), clock.Now);
        if (reading.Job is not { } job)
        {
            return Page(
                new BoardMapView(stored, place, photo)
                {
                    Drawing = posted,
                    Revision = expected,
                    Unsaved = true,
                    Problems = [.. reading.Problems.Select(problem => DrawingProblem.Of(problem, place, document))],
                    NotListed = reading.NotListed,
                },
                StatusCodes.Status422UnprocessableEntity
            );
        }
        if (Saving.TrySave(store, job, expected) is { } failure)
        {
            return Page(
                new BoardMapView(store.FindJob(id) ?? stored, place, photo)
                {
                    Drawing = posted,
                    Revision = expected,
                    Unsaved = true,
                    Stale = failure.Stale,
                    Notice = failure.Notice,
                },
                failure.Status
            );
        }
        return Results.LocalRedirect($"/jobs/{Uri.EscapeDataString(id)}/board/{place.Name()}?done=saved");
    }

    private static async Task<IResult> KeepPhoto(HttpContext http, BenchStore store, string id, string board)
    {
        if (Find(store, id, board, out StoredJob? stored, out BoardPlace place) is { } missing)
        {
            return missing;
        }
        IFormCollection form = await http.Request.ReadFormAsync(http.RequestAborted);
        PhotoReading reading = await ReadPhoto(form.Files.GetFile("picture"), http.RequestAborted);
        if (reading.Jpeg is { } jpeg)
        {
            string name = $"{place.Name()}-board.jpg";
            string payload = new JsonObject { ["board"] = place.Name() }.ToJsonString();
            store.Append(
                id,
                new EvidenceDraft(
                    Saving.Who(stored!.Job),
                    PictureKind,
                    payload,
                    new StoredFile(name, "image/jpeg", jpeg)
                )
            );
        }
        bool byScript = http.Request.Headers.Accept.ToString().Contains("application/json", StringComparison.Ordinal);
        if (byScript)
        {
            string message = reading.Problem ?? "The photo is attached to the job.";
            int status = reading.Problem is null ? StatusCodes.Status200OK : StatusCodes.Status422UnprocessableEntity;
            return Results.Json(
                new { url = reading.Problem is null ? PhotoUrl(store, id, place) : null, message },
                statusCode: status
            );
        }
        return reading.Problem is null
            ? Results.LocalRedirect($"/jobs/{Uri.EscapeDataString(id)}/board/{place.Name()}?done=photo")
            : Page(
                new BoardMapView(stored!, place, PhotoUrl(store, id, place)) { Notice = reading.Problem },
                StatusCodes.Status422UnprocessableEntity
            );
    }

    private static async Task<PhotoReading> ReadPhoto(IFormFile? file, CancellationToken stop)
    {
        if (file is null)
        {
            return BoardPhoto.Read([]);
        }
        if (file.Length > BoardPhoto.MaxBytes)
        {
            return new PhotoReading(
                null,
                $"The picture is larger than {BoardPhoto.MaxBytes / (1024 * 1024)} MB. Make a smaller copy."
            );
        }
        byte[] bytes = new byte[file.Length];
        await using Stream stream = file.OpenReadStream();
        await stream.ReadExactlyAsync(bytes, stop);
        return BoardPhoto.Read(bytes);
    }

    private static IResult Photo(HttpContext http, BenchStore store, string id, string board, string sha256)
    {
        if (Find(store, id, board, out _, out BoardPlace place) is { } missing)
        {
            return missing;
        }
        if (Photos(store, id, place).All(line => line.FileSha256 != sha256) || store.FindFile(sha256) is not { } file)
        {
            return Results.NotFound();
        }
        // The address holds the hash of the bytes: they never change.
        http.Response.Headers.CacheControl = "private, max-age=31536000, immutable";
        return Results.Bytes(file.Bytes, "image/jpeg");
    }

    private static string? PhotoUrl(BenchStore store, string id, BoardPlace place) =>
        Photos(store, id, place).LastOrDefault() is { } line
            ? $"/jobs/{Uri.EscapeDataString(id)}/board/{place.Name()}/photo/{line.FileSha256}"
            : null;

    private static IEnumerable<EvidenceLine> Photos(BenchStore store, string id, BoardPlace place)
    {
        IReadOnlySet<string> emptied = store.EmptiedFiles(id);
        return store
            .Evidence(id)
            .Where(line =>
                line is { Kind: PictureKind, FileSha256: { } sha }
                && !emptied.Contains(sha)
                && IsOf(line.PayloadJson, place)
            );
    }

    private static bool IsOf(string payloadJson, BoardPlace place)
    {
        try
        {
            return JsonNode.Parse(payloadJson) is JsonObject payload
                && payload["board"] is JsonValue value
                && value.TryGetValue(out string? name)
                && name == place.Name();
        }
        catch (Exception problem) when (problem is JsonException or InvalidOperationException or ArgumentException)
        {
            return false;
        }
    }

    /// <summary>Finds a job and one of its boards; a page that says what is missing where there is none.</summary>
    private static RazorComponentResult<ProblemPage>? Find(
        BenchStore store,
        string id,
        string board,
        out StoredJob? stored,
        out BoardPlace place
    )
    {
        stored = store.FindJob(id);
        place = BoardPlace.Host;
        if (stored is null)
        {
            return Pages.NoSuchJob(id);
        }
        if (BoardPlaces.Find(board) is not { } found)
        {
            return Pages.NotFound($"/jobs/{id}/board/{board}");
        }
        place = found;
        return found.BoardOf(stored.Job) is null
            ? Pages.Problem(
                StatusCodes.Status404NotFound,
                "No donor board",
                $"The job '{id}' has no donor board. Enter one on the job's edit page, then draw it."
            )
            : null;
    }

    private static int? Number(Microsoft.Extensions.Primitives.StringValues text) =>
        int.TryParse(text.ToString(), NumberStyles.None, CultureInfo.InvariantCulture, out int number) ? number : null;

    private static RazorComponentResult<BoardMapPage> Page(BoardMapView view, int status = StatusCodes.Status200OK) =>
        Pages.Of<BoardMapPage>(status, (nameof(BoardMapPage.View), view));
}
