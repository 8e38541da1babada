using System.Text.Json;
using System.Text.Json.Nodes;
using Graftbench.Core.Jobs;
using Graftbench.Web.Forms;

namespace Graftbench.Web.BoardMap;

/// <summary>A board as the picture reads and posts it: <c>{ "board": ..., "chips": [...] }</c> in the words of the job document.</summary>
internal static class BoardDrawing
{
    /// <summary>Fields of the board that are drawn; all others of the stored board are left alone.</summary>
    private static readonly string[] BoardFields =
    [
        "lengthMm",
        "widthMm",
        "thicknessMm",
        "copperThicknessMm",
        "support",
        "outline",
        "parts",
        "copperRegions",
    ];

    /// <summary>Fields of a chip that are drawn.</summary>
    private static readonly string[] ChipFields =
    [
        "xMm",
        "yMm",
        "rotationDeg",
        "bodyLengthMm",
        "bodyWidthMm",
        "pitchMm",
        "rows",
        "columns",
    ];

    private static readonly JsonDocumentOptions ReadOptions = new() { MaxDepth = JobFormat.MaxDepth };

    /// <summary>Writes a board of a job for the picture.</summary>
    public static string Write(Job job, BoardPlace place)
    {
        JsonObject drawing = new()
        {
            ["board"] = JsonSerializer.SerializeToNode(place.BoardOf(job), JobFormat.Json),
            ["chips"] = JsonSerializer.SerializeToNode(place.ChipsOn(job), JobFormat.Json),
        };
        return drawing.ToJsonString();
    }

    /// <summary>Puts a posted drawing into the document of a job.</summary>
    /// <param name="job">The job in the store.</param>
    /// <param name="place">Which board was drawn.</param>
    /// <param name="posted">The drawing as it was posted; anything a browser can send.</param>
    /// <param name="problem">Why the drawing could not be read at all; null where it could.</param>
    /// <returns>The document with the drawing, unchecked; null where the drawing could not be read at all.</returns>
    public static JsonObject? Merge(Job job, BoardPlace place, string posted, out string? problem)
    {
        JsonObject document = JobDraft.ToDocument(job);
        if (document[place.Name()] is not JsonObject board || Parse(posted, out problem) is not { } drawing)
        {
            problem =
                "The drawing arrived broken and was not saved. Open the page again: unsaved work is offered back.";
            return null;
        }
        Copy((JsonObject)drawing["board"]!, board, BoardFields);
        foreach (JsonObject chip in Objects(drawing["chips"])!)
        {
            if (Stored(document, chip["id"]) is not { } stored)
            {
                problem =
                    "A chip of the drawing is no longer in the job. Load the stored drawing and repeat the change.";
                return null;
            }
            Copy(chip, stored, ChipFields);
        }
        return document;
    }

    private static JsonObject? Parse(string posted, out string? problem)
    {
        problem = null;
        try
        {
            return JsonNode.Parse(posted, documentOptions: ReadOptions) is JsonObject drawing && CanBeShown(drawing)
                ? drawing
                : null;
        }
        catch (Exception broken) when (broken is JsonException or ArgumentException)
        {
            // ArgumentException: a name twice in one object.
            return null;
        }
    }

    /// <summary>
    /// Whether the picture could show the drawing again: numbers and texts where it draws them. Ranges are the reader's business.
    /// </summary>
    private static bool CanBeShown(JsonObject drawing) =>
        drawing["board"] is JsonObject board
        && Numbers(board, required: true, "lengthMm", "widthMm")
        && Objects(board["parts"]) is { } parts
        && Objects(board["outline"]) is { } outline
        && Objects(board["copperRegions"]) is { } regions
        && Objects(drawing["chips"]) is { } chips
        && parts.TrueForAll(part =>
            Texts(part, "ref", "kind")
            && Numbers(part, required: false, "xMm", "yMm", "lengthMm", "widthMm", "rotationDeg")
        )
        && regions.TrueForAll(region =>
            Texts(region, "amount") && Numbers(region, required: true, "xMm", "yMm", "lengthMm", "widthMm")
        )
        && outline.TrueForAll(point => Numbers(point, required: true, "xMm", "yMm"))
        && chips.TrueForAll(chip => Texts(chip, "id") && Numbers(chip, required: false, ChipFields));

    private static List<JsonObject>? Objects(JsonNode? list) =>
        list is null ? []
        : list is JsonArray entries && entries.All(entry => entry is JsonObject) ? [.. entries.Cast<JsonObject>()]
        : null;

    private static bool Numbers(JsonObject holder, bool required, params string[] fields) =>
        Array.TrueForAll(
            fields,
            field => holder[field] is { } node ? node.GetValueKind() == JsonValueKind.Number : !required
        );

    private static bool Texts(JsonObject holder, params string[] fields) =>
        Array.TrueForAll(fields, field => holder[field]?.GetValueKind() == JsonValueKind.String);

    private static JsonObject? Stored(JsonObject document, JsonNode? id) =>
        id is JsonValue value && value.TryGetValue(out string? text) && document["chips"] is JsonArray chips
            ? chips.OfType<JsonObject>().FirstOrDefault(chip => chip["id"]?.GetValue<string>() == text)
            : null;

    private static void Copy(JsonObject from, JsonObject to, string[] fields)
    {
        foreach (string field in fields)
        {
            to.Remove(field);
            if (from[field] is { } value)
            {
                to[field] = value.DeepClone();
            }
        }
    }
}
