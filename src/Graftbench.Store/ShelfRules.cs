using System.Buffers;
using System.Text.Json;
using System.Text.Json.Nodes;
using Graftbench.Core.Jobs;

namespace Graftbench.Store;

/// <summary>What a thing on the shelf may look like, whether it is saved here or comes from a zip.</summary>
public static class ShelfRules
{
    private const int MaxIdLength = 64;
    private static readonly SearchValues<char> IdLetters = SearchValues.Create(
        "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789._-"
    );
    private static readonly string[] Kinds = ["board", "chip", "material"];

    /// <summary>Longest title [characters].</summary>
    public const int MaxTitleLength = 200;

    /// <summary>A whole job document around the part of one that describes a thing, so that the job reader can judge it.</summary>
    /// <param name="kind"><c>board</c>, <c>chip</c> or <c>material</c>.</param>
    /// <param name="part">The part; it is copied.</param>
    public static JsonObject AsJob(string kind, JsonObject part)
    {
        ArgumentNullException.ThrowIfNull(part);
        JsonObject job = (JsonObject)part.DeepClone();
        job["format"] = JobFormat.Name;
        job["id"] = "shelf";
        job["title"] = "on the shelf";
        if (kind != "board")
        {
            job["host"] = new JsonObject
            {
                ["lengthMm"] = 100,
                ["widthMm"] = 100,
                ["thicknessMm"] = 1.6,
            };
        }
        if (kind != "chip")
        {
            job["chips"] = new JsonArray(
                new JsonObject
                {
                    ["id"] = "U1",
                    ["from"] = "shelf",
                    ["to"] = "host",
                    ["bodyLengthMm"] = 3,
                    ["bodyWidthMm"] = 3,
                    ["bodyThicknessMm"] = 1,
                }
            );
        }
        return job;
    }

    /// <summary>What is wrong with id, kind and title: the name of the field and the words.</summary>
    internal static IEnumerable<(string Field, string Words)> NameProblems(string id, string kind, string title)
    {
        if (id.Length is < 1 or > MaxIdLength || id.AsSpan().IndexOfAnyExcept(IdLetters) >= 0)
        {
            yield return ("id", "must be 1 to 64 letters, digits, dots, dashes or underscores");
        }
        if (!Kinds.Contains(kind, StringComparer.Ordinal))
        {
            yield return ("kind", $"is none of {string.Join(", ", Kinds)}");
        }
        if (string.IsNullOrWhiteSpace(title) || title.Length > MaxTitleLength || title.Any(char.IsControl))
        {
            yield return ("title", $"must be 1 to {MaxTitleLength} characters without control characters");
        }
    }

    /// <summary>All that is wrong with a thing, the job reader's problems with its part included.</summary>
    internal static IEnumerable<string> Problems(ShelfItem item, DateTimeOffset now)
    {
        foreach ((string field, string words) in NameProblems(item.Id, item.Kind, item.Title))
        {
            yield return $"{field} {words}";
        }
        foreach (string problem in ContentProblems(item, now))
        {
            yield return problem;
        }
    }

    private static List<string> ContentProblems(ShelfItem item, DateTimeOffset now)
    {
        try
        {
            JsonObject? whole = JsonNode.Parse(item.Json) as JsonObject;
            if (
                whole is null
                || whole["words"] is not (null or JsonObject)
                || whole["part"] is not (null or JsonObject)
            )
            {
                return ["the thing is no object with words and a part of a job"];
            }
            if (whole["part"] is not JsonObject part)
            {
                return [];
            }
            byte[] job = EvidenceChain.Utf8.GetBytes(AsJob(item.Kind, part).ToJsonString(JobFormat.Json));
            return
            [
                .. JobReader.Read(job, now).Problems.Select(problem => $"{problem.Path}: {problem.What.TrimEnd('.')}"),
            ];
        }
        catch (Exception problem) when (problem is JsonException or InvalidOperationException or ArgumentException)
        {
            return ["the thing cannot be read"];
        }
    }
}
